package dispatch

import (
	"testing"

	"pgregory.net/rapid"

	"tackline/book"
	"tackline/calendar"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
	"tackline/schedule/search"
)

// network is a problem of activities on stations without limit that never close, a plan in which each begins as early as it
// can, and one unit that ends with the last activity.
func network(lasts []plant.Seconds, due plant.Time, links ...schedule.Link) *shared {
	p := &schedule.Problem{Horizon: 1000 * 3600, Units: []schedule.Unit{{Due: due, Last: len(lasts) - 1}},
		Stations: []schedule.Station{{Takes: schedule.NoLimit, Open: calendar.Make([]calendar.Span{{From: 0, To: 1000 * 3600}})}}}
	plan := &schedule.Plan{}
	for i, d := range lasts {
		p.Ops = append(p.Ops, schedule.Op{Can: []schedule.Alternative{{Run: d}}})
		var begin plant.Time
		for _, l := range links {
			if l.To == i {
				l.Carrier = schedule.None
				p.Links = append(p.Links, l)
				begin = max(begin, plan.Slots[l.From].End.Add(l.Lag))
			}
		}
		plan.Slots = append(plan.Slots, schedule.Slot{Setup: begin, Load: begin, Run: begin, Unload: begin.Add(d), End: begin.Add(d)})
	}
	return &shared{p: p, plan: plan}
}

// begins gives the latest begins in hours.
func (f *shared) begins() []float64 {
	f.into = make([][]int, len(f.p.Ops))
	for i := range f.p.Links {
		f.into[f.p.Links[i].To] = append(f.into[f.p.Links[i].To], i)
	}
	var out []float64
	for _, at := range f.needBy() {
		out = append(out, plant.Seconds(at).Hours())
	}
	return out
}

// Critical path method (Kelley and Walker, "Critical-Path Planning and Scheduling", 1959). The network of eight activities is
// that of Heizer and Render, "Operations Management", chapter on project management (from memory), an hour for each week;
// worked here by hand:
//
//	        lasts  after  earliest begin   latest begin           slack
//	A (0)   2      -      0                min(C 2, D 4) - 2 = 0  0
//	B (1)   3      -      0                D 4 - 3           = 1  1
//	C (2)   2      A      2                min(E 4, F 10) - 2 = 2 0
//	D (3)   4      A, B   3                G 8 - 4           = 4  1
//	E (4)   4      C      4                G 8 - 4           = 4  0
//	F (5)   3      C      4                H 13 - 3          = 10 6
//	G (6)   5      D, E   8                H 13 - 5          = 8  0
//	H (7)   2      F, G   13               15 - 2            = 13 0
func TestNeedBy(t *testing.T) {
	link := func(from, to int) schedule.Link { return schedule.Link{From: from, To: to} }
	f := network([]plant.Seconds{2 * hour, 3 * hour, 2 * hour, 4 * hour, 4 * hour, 3 * hour, 5 * hour, 2 * hour}, plant.Time(15*hour),
		link(0, 2), link(0, 3), link(1, 3), link(2, 4), link(2, 5), link(3, 6), link(4, 6), link(5, 7), link(6, 7))
	if got := f.plan.Slots[7].End; got != plant.Time(15*hour) {
		t.Fatalf("the network takes %v h, not 15", plant.Seconds(got).Hours())
	}
	same(t, "latest begins", f.begins(), []float64{0, 1, 2, 4, 4, 10, 8, 13})

	f.p.Units[0].Due = plant.Time(18 * hour) // three hours later: so is everything
	same(t, "due later", f.begins(), []float64{3, 4, 5, 7, 7, 13, 11, 16})

	f.p.Units = append(f.p.Units, schedule.Unit{Due: plant.Time(9 * hour), Last: 5}) // F is a unit of its own, due at 9: F 6, C 4, A 2
	same(t, "two units", f.begins(), []float64{2, 4, 4, 7, 7, 6, 11, 16})

	f.plan.Slots[3] = schedule.Slot{Station: schedule.None} // D without a slot takes its shortest work, 4 h
	same(t, "left", f.begins(), []float64{2, 4, 4, 7, 7, 6, 11, 16})
}

// Waiting counts, and pieces that pass while the operation before goes on keep their place:
//
//	0   2        6          12
//	|A      |                     A takes 4 h and passes on pieces; B begins 2 h after it
//	    |B       |                B takes 4 h
//	             | 3 h |C   |     C takes 3 h, due at 14: at 11; B must end by 8 and begin by 4; A, 2 h before, by 2
func TestNeedByOfOverlap(t *testing.T) {
	f := network([]plant.Seconds{4 * hour, 4 * hour, 3 * hour}, plant.Time(14*hour), schedule.Link{From: 0, To: 1, Transfer: 1, Pieces: 2},
		schedule.Link{From: 1, To: 2, Lag: 3 * hour})
	for i, begin := range []plant.Time{0, 2, 9} {
		begin *= plant.Time(hour)
		end := begin.Add(f.p.Ops[i].Can[0].Run)
		f.plan.Slots[i] = schedule.Slot{Setup: begin, Load: begin, Run: begin, Unload: end, End: end}
	}
	same(t, "latest begins", f.begins(), []float64{2, 4, 11})
}

// In a plan in which every unit ships in time, no operation begins later than its latest begin; in any plan, the last
// operation of a unit that is late by some time in which its station works does.
func TestNeedByOnOddPlants(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Plant(t)
		plan, err := search.Run(t.Context(), p, search.Options{Seed: 1, Workers: 1})
		if err != nil {
			t.Fatalf("%v", err)
		}
		f := newShared(&book.Index{Book: &book.Book{}}, &needs.Result{}, p, plan)
		late := false
		for i := range p.Units {
			u := &p.Units[i]
			s, ok := f.slot(u.Last)
			late = late || !ok || s.End > u.Due
			if ok && s.End > u.Due && s.Load <= f.by[u.Last] && p.Stations[s.Station].Open.Work(u.Due, s.End) > 0 {
				t.Fatalf("unit %d is late, but its last operation begins at %d, by %d", i, s.Load, f.by[u.Last])
			}
		}
		for op := range p.Ops {
			if s, ok := f.slot(op); !late && ok && p.Ops[op].State == schedule.ToPlan && s.Load > f.by[op] {
				t.Fatalf("operation %d begins at %d, later than %d, and all units are in time", op, s.Load, f.by[op])
			}
		}
	})
}
