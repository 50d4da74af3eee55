package research

import (
	"io"

	"tackline/schedule/staffed"
)

// Staffed reads a flexible job shop with workers: a line with the numbers of jobs, machines and workers (what follows on it is
// not used), then a line for each job: its number of operations, and for each operation the number of machines; for each
// machine its number (from 1) and the number of workers, and as many pairs worker (from 1) and time.
func Staffed(name string, r io.Reader) (*staffed.Instance, error) {
	t := readRows(name, r)
	t.next("the numbers of jobs, machines and workers")
	jobs, machines := t.count("a number of jobs", 1, most, 1), t.number("a number of machines", 1, most)
	workers := t.number("a number of workers", 1, most)
	t.skip() // the mean number of choices
	in := &staffed.Instance{Name: name, Machines: machines, Workers: workers}
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	for j := 0; j < jobs && t.next("the operations of a job"); j++ {
		ops := t.count("a number of operations", 0, most, 5)
		for k := 0; k < ops && !t.wrong; k++ {
			var after []int
			if k > 0 {
				after = []int{len(in.Modes) - 1}
			}
			in.Modes, in.After = append(in.Modes, modes(t, machines, workers)), append(in.After, after)
			in.Job, in.Place = append(in.Job, j), append(in.Place, k)
		}
	}
	if err := t.end(); err != nil {
		return nil, err
	}
	if err := in.Check(); err != nil {
		return nil, refuse(t.name, err)
	}
	return in, nil
}

// modes reads the machines and workers of an operation.
func modes(t *text, machines, workers int) []staffed.Mode {
	var out []staffed.Mode
	n := t.count("a number of machines", 1, machines, 4)
	for i := 0; i < n && !t.wrong; i++ {
		m := t.number("a machine", 1, machines) - 1
		people := t.count("a number of workers", 1, workers, 2)
		for k := 0; k < people && !t.wrong; k++ {
			w := t.number("a worker", 1, workers) - 1
			out = append(out, staffed.Mode{Machine: m, Worker: w, Time: t.number("a time", 0, mostTime)})
		}
	}
	return out
}
