package staffed

import (
	"fmt"

	"tackline/schedule/precedence"
)

// Mode is a way to do an operation: a machine, a worker, and how long the two take together.
type Mode struct{ Machine, Worker, Time int }

// Instance is what must be done. Operations, machines and workers are numbered from 0.
type Instance struct {
	Name     string
	Machines int
	Workers  int
	Modes    [][]Mode // by operation, at least one each
	After    [][]int  // operations that must be over before this one begins
	Job      []int    // job of each operation, for people
	Place    []int    // place of the operation in its job, for people
}

// Longest time of a mode, and of all operations one after the other: sums of two ways through a plan fit 32 bits.
const (
	longest    = 1 << 24
	longestAll = 1 << 29
)

// Check gives an error in words if the instance has no meaning: an operation that nobody can do, an unknown machine, worker or
// operation, a negative time, times too long to be added up, a circle.
func (in *Instance) Check() error {
	if n := len(in.Modes); len(in.After) != n {
		return fmt.Errorf("%d operations, but predecessors of %d", n, len(in.After))
	}
	all := 0
	for o, list := range in.Modes {
		if len(list) == 0 {
			return fmt.Errorf("operation %d has no machine and worker", o)
		}
		slowest := 0
		for _, x := range list {
			if x.Machine < 0 || x.Machine >= in.Machines || x.Worker < 0 || x.Worker >= in.Workers || x.Time < 0 || x.Time > longest {
				return fmt.Errorf("operation %d: machine %d, worker %d, time %d; expected machines 0 to %d, workers 0 to %d, times 0 to %d",
					o, x.Machine, x.Worker, x.Time, in.Machines-1, in.Workers-1, longest)
			}
			slowest = max(slowest, x.Time)
		}
		all += slowest
	}
	if all > longestAll {
		return fmt.Errorf("all operations one after the other can take %d; expected at most %d", all, longestAll)
	}
	return precedence.Check(in.After)
}

// Slot is where, by whom and when an operation is done.
type Slot struct{ Machine, Worker, Start, End int }

// Verify gives an error if slots are not a plan of the instance; it shares no code with the search.
func Verify(in *Instance, slots []Slot) error {
	if len(slots) != len(in.Modes) {
		return fmt.Errorf("%d slots for %d operations", len(slots), len(in.Modes))
	}
	for o, s := range slots {
		fits := false
		for _, x := range in.Modes[o] {
			fits = fits || x == Mode{s.Machine, s.Worker, s.End - s.Start}
		}
		if !fits || s.Start < 0 {
			return fmt.Errorf("operation %d cannot be on machine %d with worker %d from %d to %d", o, s.Machine, s.Worker, s.Start, s.End)
		}
		for _, b := range in.After[o] {
			if slots[b].End > s.Start {
				return fmt.Errorf("operation %d begins at %d, before %d ends at %d", o, s.Start, b, slots[b].End)
			}
		}
		for q, other := range slots[:o] {
			if s.Start >= other.End || other.Start >= s.End {
				continue
			}
			if s.Machine == other.Machine {
				return fmt.Errorf("operations %d and %d overlap on machine %d", q, o, s.Machine)
			}
			if s.Worker == other.Worker {
				return fmt.Errorf("operations %d and %d overlap with worker %d", q, o, s.Worker)
			}
		}
	}
	return nil
}
