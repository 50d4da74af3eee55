package schedule_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tackline/plant"
	"tackline/schedule"
)

// settingUp: setup of 2 h begins when 0 is over, an hour before the bench of 1 closes for the night.
//
//	0            15 16             32 33 34
//	|R0          |                          always open
//	             |S1|,,,,,,,,,,,,,,|S1|R1|  open from 8 to 16
func settingUp() *world {
	w := newWorld()
	a, b := w.station(daily(0, 24), schedule.Station{}), w.station(daily(8, 16), schedule.Station{})
	w.op(a, 0, 15, 0, running(0, 15))
	w.op(b, 0, 1, 0, [5]float64{15, 33, 33, 34, 34}, setup(2, 0))
	w.link(0, 1, schedule.Link{})
	w.unit(1, 34, 1)
	return w
}

// pinnedLater: plate until 3, pinned to 5.
//
//	0  3 5  6
//	     |R0|
func pinnedLater() *world {
	w := newWorld()
	a := w.station(daily(0, 24), schedule.Station{})
	w.op(a, 0, 1, 0, running(5, 6), func(o *schedule.Op) {
		o.Earliest, o.Why, o.Also = at(5), "pinned to begin 05:00", []schedule.Wait{{Until: at(3), Why: "plate 20 mm, receipt 5"}}
	})
	w.unit(0, 34, 1)
	return w
}

// sentAway: not to be begun before 5, a day at the plater, and 2 h to cool.
//
//	0    5                        29    31 32
//	     |R0 away                 |     |R1|
func sentAway() *world {
	w := newWorld()
	a, b := w.station(daily(0, 24), schedule.Station{Takes: schedule.NoLimit}), w.station(daily(0, 24), schedule.Station{})
	w.op(a, 0, 24, 0, running(5, 29), func(o *schedule.Op) { o.Earliest, o.Why = at(5), "order line not to be begun before 05:00" })
	w.op(b, 0, 1, 0, running(31, 32))
	w.link(0, 1, schedule.Link{Lag: span(2)})
	w.unit(1, 34, 1)
	return w
}

// oven: 0 is ready at once, 1 of the same batch when 2 is over at 4; the batch begins an hour later still.
//
//	0           4  5     7
//	|R2         |           bench
//	               |R0   |  oven
//	               |R1   |
func oven() *world {
	w := newWorld()
	a, b := w.station(daily(0, 24), schedule.Station{Takes: schedule.Batch, Capacity: plant.Pieces(2)}), w.station(daily(0, 24), schedule.Station{})
	w.op(a, 0, 2, 0, running(5, 7))
	w.op(a, 0, 2, 0, running(5, 7))
	w.op(b, 0, 4, 0, running(0, 4))
	w.plan.Slots[0].Batch, w.plan.Slots[1].Batch = 3, 3
	w.link(2, 1, schedule.Link{})
	w.unit(0, 7, 1)
	w.unit(1, 7, 1)
	return w
}

// begun: now is 10. 0 has been running since 8, until 12; 2 was done at 9 and cools until 13; 4 was done at 9.5 and leaves with
// the truck of 12, which is there at 15.
//
//	 8    now 10   12 13 14 15 16
//	 |R0  :        |                unit 0: 1 follows
//	      :        |R1|
//	|R2|  :           |R3|          unit 1
//	|R4 | :              |R5|       unit 2, at 15
func begun() *world {
	w := newWorld()
	w.Now = at(10)
	w.Carriers = []schedule.Carrier{{}, {Name: "truck", Departures: []plant.Time{at(9), at(12)}, Transit: span(3)}}
	for range 6 {
		w.station(daily(0, 24), schedule.Station{})
	}
	w.op(0, 0, 4, 0, running(8, 12), state(schedule.Running))
	w.op(1, 0, 1, 0, running(12, 13))
	w.op(2, 0, 1, 0, running(8, 9), state(schedule.Done))
	w.op(3, 0, 1, 0, running(13, 14))
	w.op(4, 0, 1, 0, running(8.5, 9.5), state(schedule.Done))
	w.op(5, 0, 1, 0, running(15, 16))
	w.link(0, 1, schedule.Link{})
	w.link(2, 3, schedule.Link{Lag: span(4)})
	w.link(4, 5, schedule.Link{Carrier: 1})
	w.unit(1, 24, 1)
	w.unit(3, 24, 1)
	w.unit(5, 24, 1)
	return w
}

func TestExplainReasons(t *testing.T) {
	for _, tt := range []struct {
		name string
		make func() *world
		want [][]why
	}{
		{"setup over a night", settingUp, [][]why{{
			{0, 15, schedule.Working, 0, none, "work of job 0/part"},
			{15, 16, schedule.SettingUp, 1, none, "setup for work of job 1/part"},
			{16, 32, schedule.ShopClosed, 1, none, "Station 1 closed"},
			{32, 33, schedule.SettingUp, 1, none, "setup for work of job 1/part"},
			{33, 34, schedule.Working, 1, none, "work of job 1/part"},
		}}},
		{"material, then by hand", pinnedLater, [][]why{{
			{0, 3, schedule.Material, 0, none, "plate 20 mm, receipt 5"},
			{3, 5, schedule.ByHand, 0, none, "pinned to begin 05:00"},
			{5, 6, schedule.Working, 0, none, "work of job 0/part"},
		}}},
		{"not released, away, cooling", sentAway, [][]why{{
			{0, 5, schedule.NotYet, 0, none, "order line not to be begun before 05:00"},
			{5, 29, schedule.AwayWork, 0, none, "work of job 0/part at Station 0"},
			{29, 31, schedule.Waiting, 0, none, "waits between work and work"},
			{31, 32, schedule.Working, 1, none, "work of job 1/part"},
		}}},
		{"batch", oven, [][]why{{
			{0, 4, schedule.SetWait, 0, 1, "waits for job 1/part of its batch"},
			{4, 5, schedule.Waiting, 0, none, "the plan leaves it for later"},
			{5, 7, schedule.Working, 0, none, "work of job 0/part"},
		}, {
			{0, 4, schedule.Working, 2, none, "work of job 2/part"},
			{4, 5, schedule.Waiting, 1, none, "the plan leaves it for later"},
			{5, 7, schedule.Working, 1, none, "work of job 1/part"},
		}}},
		{"work begun", begun, [][]why{{
			{10, 12, schedule.Working, 0, none, "work of job 0/part"},
			{12, 13, schedule.Working, 1, none, "work of job 1/part"},
		}, {
			{10, 13, schedule.Waiting, 2, none, "waits between work and work"},
			{13, 14, schedule.Working, 3, none, "work of job 3/part"},
		}, {
			{10, 15, schedule.Carrying, 4, none, "on the way, truck"},
			{15, 16, schedule.Working, 5, none, "work of job 5/part"},
		}}},
	} {
		w := tt.make()
		if v := schedule.Check(&w.Problem, &w.plan); v != nil {
			t.Fatalf("%s: %v", tt.name, v)
		}
		for u, e := range schedule.Explain(&w.Problem, &w.plan) {
			var got []why
			for _, s := range e.Segments {
				got = append(got, why{float64(s.From) / 3600, float64(s.To) / 3600, s.Reason, s.Op, s.Behind, s.Text})
			}
			if d := cmp.Diff(tt.want[u], got); d != "" {
				t.Errorf("%s, unit %d:\n%s", tt.name, u, d)
			}
		}
	}
}

// tiny draws up to four operations of whole hours on two benches, one with a night, each unit a chain.
func tiny(t *rapid.T) *world {
	w := newWorld()
	w.station(daily(0, 24), schedule.Station{})
	w.station(daily(8, 16), schedule.Station{})
	n := rapid.IntRange(1, 4).Draw(t, "operations")
	for i := range n {
		hours := func(name string) float64 { return float64(rapid.IntRange(1, 9).Draw(t, name)) }
		o := w.op(rapid.IntRange(0, 1).Draw(t, "station"), 0, hours("run"), 0, [5]float64{})
		if rapid.Bool().Draw(t, "either") {
			w.Ops[o].Can = append(w.Ops[o].Can, schedule.Alternative{Station: 1 - w.Ops[o].Can[0].Station, Run: span(hours("run there"))})
		}
		w.Ops[o].Earliest = at(float64(rapid.IntRange(0, 12).Draw(t, "earliest")))
		if i > 0 && rapid.Bool().Draw(t, "follows") {
			w.link(o-1, o, schedule.Link{Lag: span(float64(rapid.IntRange(0, 2).Draw(t, "lag")))})
			w.Units[len(w.Units)-1].Last = o
		} else {
			w.unit(o, float64(rapid.IntRange(0, 30).Draw(t, "due")), float64(rapid.IntRange(1, 9).Draw(t, "a day late")*24))
		}
	}
	return w
}

// every calls f with each plan that is made by giving the operations in some order the first place on some station.
func (w *world) every(order []int, f func()) {
	if len(order) == len(w.Ops) {
		f()
		return
	}
next:
	for o := range w.Ops {
		for _, x := range order {
			if x == o {
				continue next
			}
		}
		begin := w.Ops[o].Earliest
		for _, l := range w.Links {
			if l.To == o {
				if w.plan.Slots[l.From].Station == none {
					continue next
				}
				begin = max(begin, w.plan.Slots[l.From].End.Add(l.Lag))
			}
		}
		for _, a := range w.Ops[o].Can {
			from := begin
			for _, x := range order {
				if s := w.plan.Slots[x]; s.Station == a.Station {
					from = max(from, s.End)
				}
			}
			open := w.Stations[a.Station].Open
			from = open.Next(from)
			to := open.Add(from, a.Run)
			w.plan.Slots[o] = schedule.Slot{Station: a.Station, Setup: from, Load: from, Run: from, Unload: to, End: to}
			w.every(append(order[:len(order):len(order)], o), f)
		}
		w.plan.Slots[o] = schedule.Slot{Station: none}
	}
}

// TestBoundAgainstEveryPlan: of all semi-active plans of a tiny shop, among which is one of least lateness (Baker and Trietsch,
// "Principles of Sequencing and Scheduling", on regular measures), none costs less than the bound; where one unit's chain
// has the shop to itself, the best costs just as much.
func TestBoundAgainstEveryPlan(t *testing.T) {
	chains, loose := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		w := tiny(t)
		for i := range w.plan.Slots {
			w.plan.Slots[i] = schedule.Slot{Station: none}
		}
		best, bound := plant.Money(-1), schedule.Bound(&w.Problem)
		w.every(nil, func() {
			if v := schedule.Check(&w.Problem, &w.plan); v != nil {
				t.Fatalf("%v", v)
			}
			if cost := schedule.Measure(&w.Problem, &w.plan).Total; best < 0 || cost < best {
				best = cost
			}
		})
		if bound > best {
			t.Fatalf("bound %s, but a plan costs %s", bound, best)
		}
		if len(w.Units) == 1 {
			chains++
			if bound != best {
				t.Fatalf("bound %s of one chain, the best plan costs %s", bound, best)
			}
		} else if bound < best {
			loose++
		}
	})
	if chains == 0 || loose == 0 {
		t.Errorf("%d single chains, %d bounds that are not reached: the draw shows too little", chains, loose)
	}
}
