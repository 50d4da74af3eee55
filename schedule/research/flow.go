package research

import (
	"io"
	"strconv"

	"tackline/plant"
	"tackline/schedule"
)

// HybridFlowShop reads a flow shop with equal machines side by side in each stage: the numbers of jobs and stages; the number of machines of
// each stage; for each job its time in each stage. The objective is the makespan.
func HybridFlowShop(name string, r io.Reader) (*Case, error) {
	t := readFree(name, r)
	jobs, stages := t.count("a number of jobs", 1, most, 1), t.count("a number of stages", 1, most, 1)
	beside := t.numbers(stages, "a number of machines", 1, 1000)
	machines := 0
	for _, n := range beside {
		machines += n
	}
	if len(t.faults) == 0 && (machines > most || t.left < jobs*stages) {
		t.bad(t.last, 0, "", "ends early", "a time for each of "+strconv.Itoa(jobs)+" jobs in each of "+strconv.Itoa(stages)+" stages")
	}
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	f := newFloor(name, jobs, machines)
	first := make([]int, stages)
	for s, n := range beside {
		first[s] = f.stations(n, schedule.One, "stage "+strconv.Itoa(s+1)+" machine")
	}
	var ends []int
	for j := range jobs {
		last := none
		for s, n := range beside {
			time := t.number("a time", 0, mostTime)
			can := make([]schedule.Alternative, n)
			for i := range can {
				can[i] = schedule.Alternative{Station: first[s] + i, Run: plant.Seconds(time)}
			}
			o := f.op(j, s, can)
			if last != none {
				f.link(last, o)
			}
			last = o
		}
		ends = append(ends, last)
	}
	if err := t.end(); err != nil {
		return nil, err
	}
	f.makespan(ends)
	return f.done(), nil
}

// FlowShopSetups reads a flow shop whose machines are set up between jobs (Ruiz, Maroto and Alcaraz, European Journal of Operational Research
// 165, 2005): the numbers of jobs and machines; for each job its time on each machine; for each machine a matrix of set-up times, from
// the job before (row) to the job after (column). A machine can be set up before the job comes; the first job needs no set-up. The
// objective is the makespan. In the published set all machines take the jobs in one order; in a plant jobs may overtake,
// so a plan can be shorter than the best known value.
func FlowShopSetups(name string, r io.Reader) (*Case, error) {
	t := readFree(name, r)
	jobs, machines := t.count("a number of jobs", 1, 2000, 1), t.count("a number of machines", 1, most, 1)
	if len(t.faults) == 0 && t.left/jobs/machines < 1+jobs {
		t.bad(t.last, 0, "", "ends early", "times and set-ups of "+strconv.Itoa(jobs)+" jobs on "+strconv.Itoa(machines)+" machines")
	}
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	f := newFloor(name, jobs, machines)
	f.families(jobs)
	for m := range machines {
		f.stations(1, schedule.One, "machine "+strconv.Itoa(m+1))
	}
	var ends []int
	for j := range jobs {
		last := none
		for m := range machines {
			o := f.op(j, m, at(m, t.number("a time", 0, mostTime)))
			f.p.Ops[o].Family = j + 1
			if last != none {
				f.link(last, o)
			}
			last = o
		}
		ends = append(ends, last)
	}
	for m := range machines {
		f.changeover(m, f.matrix(t, jobs, nil))
	}
	if err := t.end(); err != nil {
		return nil, err
	}
	f.makespan(ends)
	return f.done(), nil
}

// families makes a setup family of each job, numbered from 1, and one more for the machine as it stands at the begin.
func (f *floor) families(jobs int) {
	for j := range jobs {
		f.p.Families = append(f.p.Families, plant.Family(strconv.Itoa(j)))
	}
	f.p.Families = append(f.p.Families, "begin")
}

// matrix reads set-up times between jobs, row by row; first are those at the begin, or nil for none.
func (f *floor) matrix(t *text, jobs int, first []int) [][]plant.Seconds {
	m := make([][]plant.Seconds, jobs+2)
	for i := range m {
		m[i] = make([]plant.Seconds, jobs+2)
	}
	for j, x := range first {
		m[jobs+1][j+1] = plant.Seconds(x)
	}
	for i := 0; i < jobs && !t.wrong; i++ {
		for j, x := range t.numbers(jobs, "a set-up time", 0, mostTime) {
			if i != j { // a job does not follow itself
				m[i+1][j+1] = plant.Seconds(x)
			}
		}
	}
	return m
}

// changeover gives a station its set-up times; it stands in the family of the begin.
func (f *floor) changeover(station int, m [][]plant.Seconds) {
	s := &f.p.Stations[station]
	s.Family = len(m) - 1
	f.p.Centres[s.Centre].Changeover = m
	for j := range m { // enough for any order: the longest way into each job
		longest := plant.Seconds(0)
		for i := range m {
			longest = max(longest, m[i][j])
		}
		f.total += longest
	}
}
