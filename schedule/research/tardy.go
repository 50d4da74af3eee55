package research

import (
	"fmt"
	"io"
	"strconv"

	"tackline/schedule"
)

// inOneFile is how many instances a published file of one-machine problems holds.
const inOneFile = 125

// SingleTardiness reads a file of 125 problems of one machine (Crauwels, Potts and Van Wassenhove, INFORMS Journal on Computing 10,
// 1998; no header): for each, the times, the weights and the due dates of as many jobs as the length of the file says. The
// objective is the total weighted tardiness. The cases are named by the file and their number in it, from 1.
func SingleTardiness(name string, r io.Reader) ([]*Case, error) {
	t := readFree(name, r)
	jobs := t.left / inOneFile / 3
	if len(t.faults) == 0 && (jobs == 0 || t.left != jobs*inOneFile*3) {
		t.bad(t.last, 0, "", fmt.Sprintf("the file has %d numbers", t.left), "times, weights and due dates of 125 problems of one size")
	}
	var out []*Case
	for i := 0; i < inOneFile && len(t.faults) == 0; i++ {
		times, weights, dues := t.numbers(jobs, "a time", 0, mostTime), t.numbers(jobs, "a weight", 0, most), t.numbers(jobs, "a due date", -mostTime, mostTime)
		if len(t.faults) == 0 {
			out = append(out, single(name+"-"+strconv.Itoa(i+1), times, weights, dues).done())
		}
	}
	return out, t.end()
}

// single is jobs on one machine, each a unit of its own.
func single(name string, times, weights, dues []int) *floor {
	f := newFloor(name, len(times), 1)
	f.stations(1, schedule.One, "machine")
	for j, time := range times {
		f.unit(dues[j], weights[j], f.op(j, 0, at(0, time)))
	}
	return f
}

// SingleSetups reads one machine with set-up times between jobs: the number of jobs; their times; their weights, unless all
// are 1 (Cicirello 2003 has them, Rubin and Ragatz, Computers & Operations Research 22, 1995, do not); their due dates, below 0 if late
// from the begin; the set-up to each from the begin; the matrix of set-ups, from row to column. The objective is the total
// weighted tardiness. Whether there are weights follows from the length of the file.
func SingleSetups(name string, r io.Reader) (*Case, error) {
	t := readFree(name, r)
	jobs := t.count("a number of jobs", 1, 2000, 4)
	weighted := t.left == jobs*(jobs+4)
	if len(t.faults) == 0 && !weighted && t.left != jobs*(jobs+3) {
		t.bad(t.last, 0, "", fmt.Sprintf("%d numbers follow the number of jobs", t.left),
			fmt.Sprintf("%d with weights or %d without", jobs*(jobs+4), jobs*(jobs+3)))
	}
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	times := t.numbers(jobs, "a time", 0, mostTime)
	weights := make([]int, jobs)
	for j := range weights {
		weights[j] = 1
	}
	if weighted {
		weights = t.numbers(jobs, "a weight", 0, most)
	}
	dues, first := t.numbers(jobs, "a due date", -mostTime, mostTime), t.numbers(jobs, "a set-up time", 0, mostTime)
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	f := single(name, times, weights, dues)
	f.families(jobs)
	for j := range f.p.Ops {
		f.p.Ops[j].Family = j + 1
	}
	f.changeover(0, f.matrix(t, jobs, first))
	if err := t.end(); err != nil {
		return nil, err
	}
	return f.done(), nil
}

// JobShopTardiness reads a job shop with due dates: a line with the numbers of jobs and machines, then a line for each job of pairs
// machine (from 0) and time and, last, its due date. The objective is the total tardiness.
func JobShopTardiness(name string, r io.Reader) (*Case, error) {
	t := readRows(name, r)
	t.next("the numbers of jobs and machines")
	jobs, machines := t.count("a number of jobs", 1, most, 3), t.number("a number of machines", 1, most)
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	f := newFloor(name, jobs, machines)
	f.stations(machines, schedule.One, "machine")
	for j := 0; j < jobs && t.next("the operations of a job"); j++ {
		last := none
		for k := 0; k == 0 || t.here() > 1; k++ {
			m := t.number("a machine", 0, machines-1)
			o := f.op(j, k, at(m, t.number("a time", 0, mostTime)))
			if last != none {
				f.link(last, o)
			}
			last = o
		}
		f.unit(t.number("a due date", -mostTime, mostTime), 1, last)
	}
	if err := t.end(); err != nil {
		return nil, err
	}
	return f.done(), nil
}
