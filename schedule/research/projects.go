package research

import (
	"io"
	"strconv"

	"tackline/plant"
	"tackline/schedule"
)

// Project reads a project with scarce resources (the form of Patterson, "A Comparison of Exact Approaches for Solving the Multiple
// Constrained Resource, Project Scheduling Problem", Management Science 30, 1984; the sets of Kolisch and Sprecher, European Journal of
// Operational Research 96, 1996): the numbers of activities and resources; the capacities; for each activity its time, its demand of
// each resource, its number of successors and these (from 1). Each resource is a crew pool, each activity done
// by a crew that needs no station. The objective is the makespan.
func Project(name string, r io.Reader) (*Case, error) {
	t := readFree(name, r)
	count, pools := t.count("a number of activities", 1, most, 2), t.count("a number of resources", 0, most, 1)
	caps := t.numbers(pools, "a capacity", 0, most)
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	f := newFloor(name, 1, pools)
	f.crews(caps)
	ends := f.activities(t, 0, count, 0, caps)
	if err := t.end(); err != nil {
		return nil, err
	}
	f.makespan(ends)
	return f.done(), nil
}

// Portfolio reads several projects that share their resources (Van Eynde and Vanhoucke, "Resource-constrained multi-project scheduling:
// benchmark datasets and decoupled scheduling", Journal of Scheduling 23, 2020): the numbers of projects and resources; the capacities; for each project its number
// of activities and its release, then the activities as in Project, numbered from 1 in each. The objective is the makespan of all.
func Portfolio(name string, r io.Reader) (*Case, error) {
	t := readFree(name, r)
	projects, pools := t.count("a number of projects", 1, most, 2), t.count("a number of resources", 0, most, 1)
	caps := t.numbers(pools, "a capacity", 0, most)
	if len(t.faults) > 0 {
		return nil, t.faults
	}
	f := newFloor(name, projects, pools)
	f.crews(caps)
	var ends []int
	for j := 0; j < projects && !t.wrong; j++ {
		count, release := t.count("a number of activities", 1, most, 2), t.number("a release", 0, mostTime)
		ends = append(ends, f.activities(t, j, count, release, caps)...)
	}
	if err := t.end(); err != nil {
		return nil, err
	}
	f.makespan(ends)
	return f.done(), nil
}

// crews makes a pool of each resource, and the one station on which all activities stand.
func (f *floor) crews(caps []int) {
	for i, n := range caps {
		name := "resource " + strconv.Itoa(i+1)
		f.p.Pools = append(f.p.Pools, schedule.Pool{ID: plant.PoolID(name), Name: name, Heads: []schedule.Step{{N: n}}})
	}
	f.stations(1, schedule.NoLimit, "site")
}

// activities reads the activities of project j and gives those that no other waits for.
func (f *floor) activities(t *text, j, count, release int, caps []int) (ends []int) {
	first := len(f.p.Ops)
	var links [][2]int
	for k := 0; k < count && !t.wrong; k++ {
		o := f.op(j, k, at(0, t.number("a time", 0, mostTime)))
		f.p.Ops[o].Earliest = plant.Time(release)
		for pool, most := range caps {
			if heads := t.number("a demand", 0, most); heads > 0 {
				f.p.Ops[o].Needs = append(f.p.Ops[o].Needs, schedule.Need{Pool: pool, Heads: heads, When: schedule.OnRun})
			}
		}
		after := t.count("a number of successors", 0, count-1-k, 1)
		for range after {
			// Successors come later in the list, as in all published sets: so there can be no circle.
			links = append(links, [2]int{o, first + t.number("a successor, later in the list,", k+2, count) - 1})
		}
		if after == 0 {
			ends = append(ends, o)
		}
	}
	if !t.wrong {
		for _, l := range links {
			f.link(l[0], l[1])
		}
	}
	return ends
}
