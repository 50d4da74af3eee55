package schedule_test

import (
	"slices"
	"strings"
	"testing"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// plain: two operations on a bench that is open from 8 to 16. S setup, L load, R run, U unload, . closed
//
//	0        8  9  10        14 15 16      32     34
//	|........|S |L |R        |U |  |.......|R     |
func plain() *world {
	w := newWorld()
	b := w.station(daily(8, 16), schedule.Station{})
	w.station(daily(8, 16), schedule.Station{}) // nobody can work here
	w.op(b, 1, 4, 1, [5]float64{8, 9, 10, 14, 15}, setup(1, 0))
	w.op(b, 0, 2, 0, running(32, 34))
	return w
}

// changes: a mill set up for short; short then long costs 2 h, long then short 1 h, and setup of the job 1 h.
//
//	0     2     4     7     10
//	|R 0  |     |S 1  |R 1  |
func changes() *world {
	w := newWorld()
	w.Centres[0].Changeover = [][]plant.Seconds{{0, 0, 0}, {0, 0, span(2)}, {0, span(1), 0}}
	m := w.station(daily(0, 24), schedule.Station{Family: 1})
	w.op(m, 0, 2, 0, running(0, 2), setup(0, 1))
	w.op(m, 0, 3, 0, [5]float64{4, 7, 7, 10, 10}, setup(1, 2))
	return w
}

// pallets: a mill with two pallets; 1 is loaded while 0 runs and waits; the setup of 2 comes after the run of 1.
//
//	0   1         5   6   7       10   11  12
//	|L0 |R0       |R1             |S2 |
//	    |L1 |     |U0 |  |L2 ...       |R2 |
func pallets() *world {
	w := newWorld()
	m := w.station(daily(0, 24), schedule.Station{Pallets: 2})
	w.op(m, 1, 4, 1, [5]float64{0, 0, 1, 5, 6})
	w.op(m, 1, 5, 1, [5]float64{1, 1, 5, 10, 11})
	w.op(m, 1, 1, 1, [5]float64{10, 11, 12, 13, 14}, setup(1, 0))
	return w
}

// shifts: crew from 8 to 12, a machine from 6 to 20.
func shifts() *world {
	w := newWorld()
	m := w.station(daily(6, 20), schedule.Station{})
	c := w.pool(0, 0, 8, 1, 12, 0, 32, 1, 36, 0, 56, 1, 60, 0)
	w.op(m, 0, 2, 0, running(9, 11), needs(c, 1, schedule.OnRun), closed(schedule.Whole))
	// The crew goes home at 12 and comes back at 32: the load of 2 h is done at 33, the run goes on through the night.
	w.op(m, 2, 10, 0, [5]float64{11, 11, 33, 43, 43}, needs(c, 1, schedule.OnLoad), closed(schedule.Through))
	w.op(m, 0, 2, 0, running(58, 60), needs(c, 1, schedule.OnRun))
	return w
}

// crews: two welders until 6, then one.
func crews() *world {
	w := newWorld()
	a, b := w.station(daily(0, 24), schedule.Station{}), w.station(daily(0, 24), schedule.Station{Pallets: 2})
	c := w.pool(0, 2, 6, 1)
	w.op(a, 0, 6, 0, running(0, 6), needs(c, 1, schedule.OnRun))
	w.op(b, 1, 4, 0, [5]float64{0, 0, 2, 6, 6}, needs(c, 1, schedule.OnLoad), func(o *schedule.Op) { o.Can[0].Beside = span(1) })
	w.op(a, 0, 2, 0, running(6, 8), needs(c, 1, schedule.OnRun|schedule.OnLoad))
	return w
}

// batches: two operations in one batch, load 1 h each, run the longer of 2 and 3 h; then a batch of one.
func batches() *world {
	w := newWorld()
	b := w.station(daily(0, 24), schedule.Station{Takes: schedule.Batch, Capacity: plant.Pieces(2)})
	red := func(o *schedule.Op) { o.Key = "red" }
	w.op(b, 1, 2, 0, [5]float64{0, 0, 2, 5, 5}, red)
	w.op(b, 1, 3, 0, [5]float64{0, 0, 2, 5, 5}, red)
	w.op(b, 1, 2, 0, [5]float64{5, 5, 6, 8, 8})
	w.plan.Slots[0].Batch, w.plan.Slots[1].Batch = 7, 7
	return w
}

// racks: two places, three operations.
func racks() *world {
	w := newWorld()
	r := w.station(daily(0, 24), schedule.Station{Takes: schedule.Places, Capacity: plant.Pieces(2)})
	w.op(r, 0, 4, 0, running(0, 4), closed(schedule.Through))
	w.op(r, 0, 4, 0, running(2, 6), closed(schedule.Through))
	w.op(r, 0, 4, 0, running(4, 8), closed(schedule.Through))
	return w
}

// chain: 0 passes four pieces one by one to 1, which works faster; 2 h of cooling, then 2; a truck at 24 takes it to 3,
// there at 27.
//
//	0   1   2   3   4
//	|R0             |
//	    |a  |b  |c  |d       lots
//	            |R1     |    2 h for four: at 2 none, at 3 two may be done ... at 4 three
func chain() *world {
	w := newWorld()
	for range 4 {
		w.station(daily(0, 24), schedule.Station{})
	}
	w.Carriers = []schedule.Carrier{{}, {Name: "truck", Departures: []plant.Time{at(10), at(24), at(48)}, Transit: span(3)}}
	w.op(0, 0, 4, 0, running(0, 4))
	w.op(1, 0, 2, 0, running(2.5, 4.5))
	w.op(2, 0, 4, 0, running(6.5, 10.5))
	w.op(3, 0, 1, 0, running(27, 28))
	for i := range w.Ops {
		w.Ops[i].Job = 0
	}
	w.link(0, 1, schedule.Link{Transfer: 1, Pieces: 4})
	w.link(1, 2, schedule.Link{Lag: span(2)})
	w.link(2, 3, schedule.Link{Carrier: 1})
	return w
}

// join: two branches meet, and plate comes at 5.
func join() *world {
	w := newWorld()
	for range 3 {
		w.station(daily(0, 24), schedule.Station{})
	}
	w.op(0, 0, 4, 0, running(0, 4))
	w.op(1, 0, 2, 0, running(5, 7), func(o *schedule.Op) { o.Earliest, o.Why = at(5), "plate 20 mm, order 12" })
	w.op(2, 0, 1, 0, running(7, 8))
	w.link(0, 2, schedule.Link{Meeting: true})
	w.link(1, 2, schedule.Link{Meeting: true})
	return w
}

// floor: 0 is done, 1 runs since before now (6), 2 is frozen and set up for long, 3 comes between.
//
//	0     4   5         8         10    12        14    16
//	|R0   |   |R1       |R3       |     |S2 2 h   |R2   |
func floor() *world {
	w := newWorld()
	w.Now = at(6)
	w.Centres[0].Changeover = [][]plant.Seconds{{0, 0, 0}, {0, 0, span(1)}, {0, span(3), 0}}
	s := w.station(daily(0, 24), schedule.Station{Family: 1})
	w.op(s, 0, 4, 0, running(0, 4), state(schedule.Done))
	w.op(s, 0, 1, 0, running(5, 8), state(schedule.Running), setup(0, 1)) // takes longer than thought: a fact
	w.op(s, 0, 2, 0, [5]float64{12, 14, 14, 16, 16}, state(schedule.Frozen), setup(1, 2))
	w.op(s, 0, 2, 0, running(8, 10))
	w.link(1, 3, schedule.Link{})
	w.link(3, 0, schedule.Link{}) // reported out of order: a fact
	return w
}

// holds: a held operation, and a station down from 10 to 20.
func holds() *world {
	w := newWorld()
	s := w.station(calendar.Without(daily(0, 24), calendar.Make([]calendar.Span{{From: at(10), To: at(20)}})), schedule.Station{})
	w.op(s, 0, 1, 0, running(9, 10), func(o *schedule.Op) { o.Earliest, o.Why = at(9), "hold: leak test" })
	w.op(s, 0, 1, 0, running(20, 21))
	return w
}

// mutation breaks exactly one rule of a valid plan.
type mutation struct {
	name string
	make func() *world
	rule int
	op   int // must be named
	do   func(w *world, s []schedule.Slot)
}

var mutations = []mutation{
	{"station that cannot do it", plain, 1, 0, func(_ *world, s []schedule.Slot) { s[0].Station = 1 }},
	{"run cut short", plain, 1, 0, func(_ *world, s []schedule.Slot) { s[0].Unload, s[0].End = at(13), at(14) }},
	{"setup cut short", plain, 1, 0, func(_ *world, s []schedule.Slot) { s[0].Setup = at(8.5) }},
	{"setup that nobody needs", plain, 1, 1, func(_ *world, s []schedule.Slot) {
		s[1].Load, s[1].Run, s[1].Unload, s[1].End = at(33), at(33), at(35), at(35)
	}},
	{"out of order", plain, 1, 0, func(_ *world, s []schedule.Slot) { s[0].Run = at(8) }},
	{"no such station", plain, 1, 1, func(_ *world, s []schedule.Slot) { s[1].Station = 99 }},
	{"no slot, not left", plain, 1, 1, func(_ *world, s []schedule.Slot) { s[1].Station = schedule.None }},
	{"left and complete", plain, 1, 1, func(w *world, s []schedule.Slot) {
		s[1].Station = schedule.None
		w.plan.Left = []schedule.Left{{Op: 1}}
	}},
	{"two at once", plain, 2, 1, func(_ *world, s []schedule.Slot) { s[1] = slotOf(0, running(12, 14)) }},
	{"changeover left out", changes, 2, 1, func(_ *world, s []schedule.Slot) { s[1].Setup = at(7) }},
	{"changeover too short", changes, 2, 1, func(_ *world, s []schedule.Slot) { s[1].Setup = at(4.5) }},
	{"order turned round", changes, 2, 0, func(_ *world, s []schedule.Slot) { s[0] = slotOf(0, running(10, 12)) }},
	{"runs overlap beside pallets", pallets, 2, 1, func(_ *world, s []schedule.Slot) { s[1].Run = at(4) }},
	{"three pieces, two pallets", pallets, 2, 2, func(_ *world, s []schedule.Slot) { s[0].End, s[1].End = at(11.5), at(11.5) }},
	{"setup before the run before", pallets, 2, 2, func(w *world, s []schedule.Slot) {
		w.Ops[1].Can[0].Run, s[1].Run = span(4), at(6)
		s[0].End = at(5.5)
		w.Ops[0].Can[0].Unload = span(0.5)
		s[2].Setup, s[2].Load = at(5), at(11)
	}},
	{"whole run broken by closed time", plain, 3, 1, func(w *world, s []schedule.Slot) {
		w.Ops[1].Closed = schedule.Whole
		s[1] = slotOf(0, running(39, 57))
	}},
	{"work in the night", plain, 3, 1, func(_ *world, s []schedule.Slot) { s[1] = slotOf(0, running(39, 41)) }},
	{"no crew yet", shifts, 3, 0, func(_ *world, s []schedule.Slot) { s[0] = slotOf(0, running(7, 9)) }},
	{"crew gone before the load is done", shifts, 3, 1, func(_ *world, s []schedule.Slot) { s[1] = slotOf(0, [5]float64{11, 11, 32.5, 43, 43}) }},
	{"two welders of one", crews, 4, 1, func(w *world, _ []schedule.Slot) { w.Pools[0].Heads[0].N = 1 }},
	{"heads go down", crews, 4, 0, func(_ *world, s []schedule.Slot) {
		s[0] = slotOf(0, running(1, 7))
		s[2] = slotOf(0, running(7, 9))
		s[1] = slotOf(1, [5]float64{5, 5, 6, 10, 10})
	}},
	{"crew beside the run", crews, 4, 1, func(_ *world, s []schedule.Slot) { s[1] = slotOf(1, [5]float64{0, 0, 6, 10, 10}) }},
	{"members apart", batches, 5, 1, func(_ *world, s []schedule.Slot) { s[1].Unload, s[1].End = at(5.5), at(5.5) }},
	{"keys differ", batches, 5, 1, func(w *world, _ []schedule.Slot) { w.Ops[1].Key = "grey" }},
	{"closed rules differ", batches, 5, 1, func(w *world, _ []schedule.Slot) { w.Ops[1].Closed = schedule.Whole }},
	{"too big", batches, 5, 1, func(w *world, _ []schedule.Slot) { w.Ops[1].Size = plant.Pieces(1) + 1 }},
	{"batches overlap", batches, 5, 2, func(_ *world, s []schedule.Slot) { s[2] = slotOf(0, [5]float64{4, 4, 5, 7, 7}) }},
	{"three on two places", racks, 6, 2, func(_ *world, s []schedule.Slot) { s[2] = slotOf(0, running(3.9, 7.9)) }},
	{"too big for the rack", racks, 6, 1, func(w *world, _ []schedule.Slot) { w.Ops[1].Size = plant.Pieces(2) }},
	{"first lot not there", chain, 7, 1, func(_ *world, s []schedule.Slot) { s[1] = slotOf(1, running(0.9, 4.5)) }},
	{"lot three not there", chain, 7, 1, func(_ *world, s []schedule.Slot) { s[1] = slotOf(1, running(2.4, 4.5)) }},
	{"still cooling", chain, 7, 2, func(_ *world, s []schedule.Slot) { s[2] = slotOf(2, running(6, 10)) }},
	{"truck has gone", chain, 7, 3, func(_ *world, s []schedule.Slot) { s[3] = slotOf(3, running(26, 27)) }},
	{"no truck any more", chain, 7, 3, func(w *world, _ []schedule.Slot) { w.Carriers[1].Departures = w.Carriers[1].Departures[:1] }},
	{"before a branch", join, 8, 1, func(_ *world, s []schedule.Slot) { s[2] = slotOf(2, running(6, 7)) }},
	{"before the plate", join, 8, 1, func(_ *world, s []schedule.Slot) { s[1] = slotOf(1, running(4, 6)) }},
	{"before what is left", join, 8, 0, func(w *world, s []schedule.Slot) {
		s[0].Station = schedule.None
		w.plan.Left, w.plan.Status = []schedule.Left{{Op: 0}}, schedule.Incomplete
	}},
	{"done work moved", floor, 9, 0, func(_ *world, s []schedule.Slot) { s[0].End++ }},
	{"running work moved", floor, 9, 1, func(_ *world, s []schedule.Slot) { s[1] = slotOf(0, running(6, 7)) }},
	{"frozen work moved", floor, 9, 2, func(_ *world, s []schedule.Slot) { s[2].Batch = 1 }},
	{"before now", holds, 9, 1, func(w *world, s []schedule.Slot) {
		w.Now, w.Ops[0].State, w.Ops[0].Fixed = at(9), schedule.Running, s[0]
		s[1] = slotOf(0, running(5, 6))
	}},
	{"frozen work left", floor, 9, 2, func(w *world, _ []schedule.Slot) {
		w.plan.Left, w.plan.Status = []schedule.Left{{Op: 2}}, schedule.Incomplete
	}},
	{"runs into frozen work", floor, 2, 2, func(_ *world, s []schedule.Slot) { s[3] = slotOf(0, running(11, 13)) }},
	{"frozen work needs more changeover", floor, 2, 2, func(w *world, s []schedule.Slot) {
		w.Ops[3].Family, w.Ops[3].Setup = 1, 0
		w.Centres[0].Changeover[1][2] = span(2)
	}},
	{"frozen work before its part", floor, 8, 2, func(w *world, _ []schedule.Slot) { w.link(3, 2, schedule.Link{Lag: span(5)}) }},
	{"held", holds, 10, 0, func(_ *world, s []schedule.Slot) { s[0] = slotOf(0, running(8, 9)) }},
	{"station down", holds, 10, 1, func(_ *world, s []schedule.Slot) { s[1] = slotOf(0, running(19.5, 21)) }},
}

func TestMutations(t *testing.T) {
	seen := map[int]int{}
	for _, m := range mutations {
		t.Run(m.name, func(t *testing.T) {
			w := m.make()
			if v := schedule.Check(&w.Problem, &w.plan); v != nil {
				t.Fatalf("the plan is not valid to begin with: %v", v)
			}
			m.do(w, w.plan.Slots)
			v := schedule.Check(&w.Problem, &w.plan)
			if len(v) == 0 {
				t.Fatal("not caught")
			}
			named := false
			for _, x := range v {
				if x.Rule != schedule.Rules[m.rule-1] {
					t.Errorf("want rule %s only, got %s: %s", schedule.Rules[m.rule-1], x.Rule, x.Text)
				}
				if strings.Contains(x.Text, "%!") {
					t.Errorf("bad words: %s", x.Text)
				}
				named = named || slices.Contains(x.Ops, m.op)
			}
			if !named {
				t.Errorf("operation %d is not named: %v", m.op, v)
			}
		})
		seen[m.rule]++
	}
	for i, rule := range schedule.Rules {
		if seen[i+1] < 2 {
			t.Errorf("rule %s has %d mutations, want 2 or more", rule, seen[i+1])
		}
	}
}
