package research

import (
	"strconv"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/disjunct"
)

// Case is a published instance as a problem of the plant. The Total of a plan's Score is the objective of the instance. A unit
// of its time is so long that an operation takes as long as one in a plant does: the search looks for work some days apart.
type Case struct {
	Name     string
	Jobs     int
	Machines int           // or resources
	Unit     plant.Seconds // a unit of the instance's time
	Problem  *schedule.Problem
	Job      []int // job of each operation, from 0; none for what only marks the end of all
	Place    []int // place of the operation in its job
}

// units are the lengths that a unit of time may have: parts of a day, so that costs for a day are whole.
var units = []plant.Seconds{1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600}

// usual is how long an operation of a plant takes, about.
const usual = 2 * 3600

// none marks what belongs to no job.
const none = -1

// floor is a problem under construction, always open, in which a unit of time is a second until it is done.
type floor struct {
	c     *Case
	p     *schedule.Problem
	total plant.Seconds // time that surely is enough for everything
}

func newFloor(name string, jobs, machines int) *floor {
	p := &schedule.Problem{Families: []plant.Family{""}}
	for j := range jobs {
		p.Jobs = append(p.Jobs, schedule.Job{ID: plant.JobID(strconv.Itoa(j)), Unit: schedule.None, Pieces: 1, Parent: schedule.None})
	}
	return &floor{c: &Case{Name: name, Jobs: jobs, Machines: machines, Problem: p}, p: p}
}

// stations adds n stations of a centre of their own and gives the index of the first.
func (f *floor) stations(n int, takes schedule.Takes, name string) int {
	first, centre := len(f.p.Stations), len(f.p.Centres)
	f.p.Centres = append(f.p.Centres, schedule.Centre{ID: plant.CentreID(name), Name: name})
	for range n {
		id := name + " " + strconv.Itoa(len(f.p.Stations))
		f.p.Stations = append(f.p.Stations, schedule.Station{ID: plant.StationID(id), Name: id, Centre: centre, Takes: takes, Pallets: 1})
	}
	return first
}

// op adds operation k of job j, after those given, and gives its index.
func (f *floor) op(j, k int, can []schedule.Alternative, after ...int) int {
	o := len(f.p.Ops)
	job := max(j, 0)
	f.p.Ops = append(f.p.Ops, schedule.Op{Job: job, Seq: k, Name: "operation " + strconv.Itoa(o), Can: can})
	f.c.Job, f.c.Place = append(f.c.Job, j), append(f.c.Place, k)
	longest := plant.Seconds(0)
	for _, a := range can {
		longest = max(longest, a.Run)
	}
	f.total += longest
	for _, b := range after {
		f.link(b, o)
	}
	return o
}

// link says that one operation comes after another.
func (f *floor) link(before, after int) {
	f.p.Links = append(f.p.Links, schedule.Link{From: before, To: after, Carrier: schedule.None})
}

// unit adds what costs weight for each unit of time that last ends after due.
func (f *floor) unit(due, weight, last int) {
	id := plant.UnitID(strconv.Itoa(len(f.p.Units)))
	f.p.Jobs[f.p.Ops[last].Job].Unit = len(f.p.Units)
	f.p.Units = append(f.p.Units, schedule.Unit{ID: id, Due: plant.Time(due), LateDay: plant.Money(weight), Last: last})
}

// makespan makes the end of all operations the objective: everything is one unit, due at once.
func (f *floor) makespan(ends []int) {
	station := f.stations(1, schedule.NoLimit, "finish")
	f.unit(0, 1, f.op(none, 0, []schedule.Alternative{{Station: station}}, ends...))
	for j := range f.p.Jobs {
		f.p.Jobs[j].Unit = 0
	}
}

// done chooses the length of a unit of time, opens the stations for as long as everything can take, and gives the case.
func (f *floor) done() *Case {
	sum, last := plant.Seconds(0), plant.Time(0)
	for i := range f.p.Ops {
		sum += f.p.Ops[i].Can[0].Run
		last = max(last, f.p.Ops[i].Earliest)
	}
	unit := units[0]
	for _, u := range units {
		if sum*u <= usual*plant.Seconds(len(f.c.Job)) {
			unit = u
		}
	}
	f.stretch(unit)
	f.p.Horizon = plant.Time(f.total*unit+1) + last*plant.Time(unit)
	open := calendar.Make([]calendar.Span{{To: f.p.Horizon}})
	for i := range f.p.Stations {
		f.p.Stations[i].Open = open
	}
	return f.c
}

// stretch makes all times so many times as long.
func (f *floor) stretch(unit plant.Seconds) {
	f.c.Unit = unit
	for i := range f.p.Ops {
		o := &f.p.Ops[i]
		o.Earliest *= plant.Time(unit)
		for k := range o.Can {
			o.Can[k].Run *= unit
		}
	}
	for i := range f.p.Units {
		u := &f.p.Units[i]
		u.Due *= plant.Time(unit)
		u.LateDay *= 24 * 3600 / plant.Money(unit)
	}
	for i := range f.p.Centres {
		for _, row := range f.p.Centres[i].Changeover {
			for k := range row {
				row[k] *= unit
			}
		}
	}
}

// at gives the one alternative of an operation that takes time on a station.
func at(station, time int) []schedule.Alternative {
	return []schedule.Alternative{{Station: station, Run: plant.Seconds(time)}}
}

// Shop gives a bare shop as a problem of the plant, with the makespan as its cost.
func Shop(in *disjunct.Instance) *Case {
	jobs := 0
	for _, j := range in.Job {
		jobs = max(jobs, j+1)
	}
	f := newFloor(in.Name, jobs, in.Machines)
	f.stations(in.Machines, schedule.One, "machine")
	waited := make([]bool, len(in.Options))
	for o, list := range in.Options {
		can := make([]schedule.Alternative, len(list))
		for i, x := range list {
			can[i] = schedule.Alternative{Station: x.Machine, Run: plant.Seconds(x.Time)}
		}
		f.op(in.Job[o], in.Place[o], can)
	}
	for o, list := range in.After {
		for _, b := range list {
			f.link(b, o)
			waited[b] = true
		}
	}
	var ends []int
	for o := range waited {
		if !waited[o] {
			ends = append(ends, o)
		}
	}
	f.makespan(ends)
	return f.done()
}
