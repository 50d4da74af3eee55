// Package research reads the plain formats in which the scheduling literature publishes its instances, so that the searches can
// be measured on them. Bare shops (job shops, flexible and assembly job shops) become a disjunct.Instance; every other set
// becomes a schedule.Problem, the model of the plant itself, in which the cost of a plan is the objective of the instance.
//
// All readers take the name of the file for their errors, which say file, line, what was found and what was expected.
package research

import (
	"io"

	"tackline/schedule/disjunct"
)

// JobShop reads a job shop: a line with the numbers of jobs and machines, then a line for each job of pairs machine (from 0) and
// time, in the order of processing. Jobs may leave machines out and come back to them.
func JobShop(name string, r io.Reader) (*disjunct.Instance, error) {
	t := readRows(name, r)
	t.next("the numbers of jobs and machines")
	jobs, machines := t.count("a number of jobs", 1, most, 2), t.number("a number of machines", 1, most)
	in := &disjunct.Instance{Name: name, Machines: machines}
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	for j := 0; j < jobs && t.next("the operations of a job"); j++ {
		for k := 0; k == 0 || t.here() > 0; k++ {
			m := t.number("a machine", 0, machines-1)
			add(in, j, k, []disjunct.Option{{Machine: m, Time: t.number("a time", 0, mostTime)}})
		}
	}
	return checked(in, t)
}

// checked gives the instance if the file and the instance are as they should be.
func checked(in *disjunct.Instance, t *text) (*disjunct.Instance, error) {
	if err := t.end(); err != nil {
		return nil, err
	}
	if err := in.Check(); err != nil {
		return nil, refuse(t.name, err)
	}
	return in, nil
}

// add appends operation k of job j, after the one before it in the job.
func add(in *disjunct.Instance, j, k int, options []disjunct.Option) {
	var after []int
	if k > 0 {
		after = []int{len(in.Options) - 1}
	}
	in.Options, in.After = append(in.Options, options), append(in.After, after)
	in.Job, in.Place = append(in.Job, j), append(in.Place, k)
}

// Flexible reads a flexible job shop: a line with the numbers of jobs and machines (what follows on it is not used), then a
// line for each job: its number of operations, and for each operation the number of options and as many pairs machine
// (from 1) and time.
func Flexible(name string, r io.Reader) (*disjunct.Instance, error) {
	t := readRows(name, r)
	t.next("the numbers of jobs and machines")
	jobs, machines := t.count("a number of jobs", 1, most, 1), t.number("a number of machines", 1, most)
	t.skip() // the mean number of options
	in := &disjunct.Instance{Name: name, Machines: machines}
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	for j := 0; j < jobs && t.next("the operations of a job"); j++ {
		ops := t.count("a number of operations", 0, most, 3)
		for k := 0; k < ops && !t.wrong; k++ {
			add(in, j, k, options(t, machines, 1))
		}
	}
	return checked(in, t)
}

// options reads a number of options and as many pairs machine and time; machines are counted from first.
func options(t *text, machines, first int) []disjunct.Option {
	out := make([]disjunct.Option, t.count("a number of machines", 1, machines, 2))
	for i := range out {
		out[i].Machine = t.number("a machine", first, machines-1+first) - first
		out[i].Time = t.number("a time", 0, mostTime)
	}
	return out
}

// Assembly reads a flexible job shop whose operations form any precedence graph: a line with the numbers of operations,
// precedences and machines; a line for each precedence, before and after (from 0); a line for each operation: the number of
// options and as many pairs machine (from 0) and time. Operations that hang together count as a job.
func Assembly(name string, r io.Reader) (*disjunct.Instance, error) {
	t := readRows(name, r)
	t.next("the numbers of operations, precedences and machines")
	ops, pairs := t.count("a number of operations", 1, most, 3), t.count("a number of precedences", 0, most, 2)
	machines := t.number("a number of machines", 1, most)
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	in := &disjunct.Instance{Name: name, Machines: machines, After: make([][]int, ops)}
	for i := 0; i < pairs && t.next("a precedence"); i++ {
		before, after := t.number("an operation", 0, ops-1), t.number("an operation", 0, ops-1)
		in.After[after] = append(in.After[after], before)
	}
	for o := 0; o < ops && t.next("the machines of an operation"); o++ {
		in.Options = append(in.Options, options(t, machines, 0))
	}
	in.Job, in.Place = groups(in.After)
	return checked(in, t)
}

// groups numbers the sets of operations that hang together, and the operations within each.
func groups(after [][]int) (group, place []int) {
	root := make([]int, len(after))
	for o := range root {
		root[o] = o
	}
	find := func(o int) int {
		for root[o] != o {
			root[o] = root[root[o]]
			o = root[o]
		}
		return o
	}
	for o, list := range after {
		for _, b := range list {
			if x, y := find(o), find(b); x != y {
				root[max(x, y)] = min(x, y)
			}
		}
	}
	group, place = make([]int, len(after)), make([]int, len(after))
	number, size := map[int]int{}, map[int]int{}
	for o := range after {
		r := find(o)
		if _, seen := number[r]; !seen {
			number[r] = len(number)
		}
		group[o], place[o] = number[r], size[r]
		size[r]++
	}
	return group, place
}
