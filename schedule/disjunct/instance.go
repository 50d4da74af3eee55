package disjunct

import (
	"fmt"

	"tackline/schedule/precedence"
)

// Option is a machine that can do an operation, and how long it takes there.
type Option struct {
	Machine int
	Time    int
}

// Instance is what must be done. Operations are numbered from 0.
type Instance struct {
	Name     string
	Machines int
	Options  [][]Option // by operation, at least one each
	After    [][]int    // operations that must be over before this one begins
	Job      []int      // job of each operation, for people
	Place    []int      // place of the operation in its job, for people
}

// Check gives an error in words if the instance has no meaning: an operation without a machine, an unknown machine or
// operation, a negative time, a circle.
func (in *Instance) Check() error {
	if n := len(in.Options); len(in.After) != n {
		return fmt.Errorf("%d operations, but predecessors of %d", n, len(in.After))
	}
	for o, list := range in.Options {
		if len(list) == 0 {
			return fmt.Errorf("operation %d has no machine", o)
		}
		for _, x := range list {
			if x.Machine < 0 || x.Machine >= in.Machines || x.Time < 0 || x.Time > 1<<24 {
				return fmt.Errorf("operation %d: machine %d with time %d; expected machines 0 to %d and times 0 to %d", o, x.Machine, x.Time, in.Machines-1, 1<<24)
			}
		}
	}
	return precedence.Check(in.After)
}

// Slot is where and when an operation is done.
type Slot struct{ Machine, Start, End int }

// Verify gives an error if slots are not a plan of the instance; it shares no code with the search.
func Verify(in *Instance, slots []Slot) error {
	if len(slots) != len(in.Options) {
		return fmt.Errorf("%d slots for %d operations", len(slots), len(in.Options))
	}
	on := make([][]int, in.Machines)
	for o, s := range slots {
		fits := false
		for _, x := range in.Options[o] {
			fits = fits || x.Machine == s.Machine && s.End == s.Start+x.Time
		}
		if !fits || s.Start < 0 {
			return fmt.Errorf("operation %d cannot be on machine %d from %d to %d", o, s.Machine, s.Start, s.End)
		}
		for _, b := range in.After[o] {
			if slots[b].End > s.Start {
				return fmt.Errorf("operation %d begins at %d, before %d ends at %d", o, s.Start, b, slots[b].End)
			}
		}
		on[s.Machine] = append(on[s.Machine], o)
	}
	for m, ops := range on {
		for i, a := range ops {
			for _, b := range ops[i+1:] {
				if slots[a].Start < slots[b].End && slots[b].Start < slots[a].End {
					return fmt.Errorf("operations %d and %d overlap on machine %d", a, b, m)
				}
			}
		}
	}
	return nil
}
