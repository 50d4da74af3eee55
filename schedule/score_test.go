package schedule_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// unit adds a unit whose last operation is last.
func (w *world) unit(last int, due float64, lateDay float64) int {
	w.Units = append(w.Units, schedule.Unit{ID: "u", Due: at(due), LateDay: plant.MoneyOf(lateDay), Last: last})
	return len(w.Units) - 1
}

// costs is a plan in which every term of the objective counts. Saturday, 24 to 36, is overtime on station 0.
//
//	         0     2     4        8     10            26   28
//	0 (s0)         |R0   |                                      branch, worth 1000, arrives at 6 (2 h of cooling)
//	1 (s1)   |S1   |R1            |                             branch, worth 500, 2 h of changeover, arrives at 8
//	2 (s2)                        |R2   |                       meets both at 10: one waits 4 h, the other 2 h
//	3, 4 (b)                                          batch in overtime, setup 1 h once
func costs() *world {
	w := newWorld()
	w.Weights = schedule.Weights{Wait: 0.001, Setup: plant.MoneyOf(90), Overtime: plant.MoneyOf(60), Move: plant.MoneyOf(50)}
	w.Centres[0].Changeover = [][]plant.Seconds{{0, span(2), 0}, {0, 0, 0}, {0, 0, 0}}
	for range 3 {
		w.station(daily(0, 24), schedule.Station{})
	}
	b := w.station(daily(0, 24), schedule.Station{Takes: schedule.Batch, Capacity: plant.Pieces(2),
		Overtime: calendar.Make([]calendar.Span{{From: at(24), To: at(36)}})})
	w.op(0, 0, 2, 0, running(2, 4))
	w.op(1, 0, 6, 0, [5]float64{0, 2, 2, 8, 8}, setup(0, 1))
	w.op(2, 0, 2, 0, running(10, 12))
	w.op(b, 0, 4, 0, [5]float64{22, 23, 23, 27, 27}, setup(1, 0))
	w.op(b, 0, 3, 0, [5]float64{22, 23, 23, 27, 27}, setup(0.5, 0))
	w.plan.Slots[3].Batch, w.plan.Slots[4].Batch = 1, 1
	w.Jobs[0].Value, w.Jobs[1].Value = plant.MoneyOf(1000), plant.MoneyOf(500)
	w.link(0, 2, schedule.Link{Meeting: true, Lag: span(2)})
	w.link(1, 2, schedule.Link{Meeting: true})
	w.unit(2, 6, 400)   // 12 - 6 = 6 h late: 0.25 days, 100.00
	w.unit(3, 39, 1000) // in time
	w.unit(4, 15, 200)  // 27 - 15 = 12 h late: half a day, 100.00
	w.Adopted = []schedule.Slot{
		w.plan.Slots[0],                // stays
		slotOf(1, running(5, 11)),      // another time: a move
		slotOf(0, running(10, 12)),     // another station: a move
		slotOf(b, running(24.5, 28.5)), // not inside the freeze of 24 h
		{Station: schedule.None},       // not in it
	}
	return w
}

// TestMeasure: arithmetic by hand.
//
//	lateness   6 h and 12 h late: 0.25 d x 400 + 0.5 d x 200       = 200.00
//	waiting    (10 - 6) h x 1000 x 0.001 + (10 - 8) h x 500 x 0.001 = 4.00 + 1.00
//	setups     2 h of changeover + 1 h for the batch, not 1.5 h     = 3 h x 90 = 270.00
//	overtime   24 to 27, once for the batch                         = 3 h x 60 = 180.00
//	moves      2 x 50                                               = 100.00
func TestMeasure(t *testing.T) {
	w := costs()
	if v := schedule.Check(&w.Problem, &w.plan); v != nil {
		t.Fatal(v)
	}
	want := schedule.Score{LateUnits: 2, LateDays: 0.75, Lateness: 200_00, WaitHours: 6, Waiting: 5_00, SetupHours: 3, Setups: 270_00,
		OvertimeHour: 3, Overtime: 180_00, Moves: 2, Moved: 100_00, Total: 755_00}
	// Bound: operation 1 ends at 6, 2 ends at 8 at the earliest: 2 h late, 400 x 2/24 = 33.33. Unit 2 ends at 3: in time.
	// Setups: 2 h of changeover from family 0 to 1, and one batch, whose largest setup is 1 h. Operation 2 cannot stay: a move.
	want.Least = schedule.Least{Lateness: 33_33, Setups: 270_00, Moved: 50_00, Total: 353_33}
	want.Bound = want.Least.Total
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
	if d := cmp.Diff(want, schedule.Measure(&w.Problem, &w.plan), near); d != "" {
		t.Error(d)
	}
	w.plan.Slots[4] = schedule.Slot{Station: schedule.None} // left: late until the horizon, 240 - 15 = 225 h
	if got := schedule.Measure(&w.Problem, &w.plan); got.LateUnits != 2 || got.Lateness != 100_00+plant.MoneyOf(200*225.0/24) ||
		got.Bound != 33_33 {
		t.Errorf("a unit left: %d late, lateness %s, bound %s", got.LateUnits, got.Lateness, got.Bound)
	}
}

// TestBound: one chain each, the unit due at 0 with 24.00 a day, so that the bound is the hour at which it can end.
func TestBound(t *testing.T) {
	bench := func(w *world) int { return w.station(daily(8, 16), schedule.Station{}) }
	always := func(w *world) int { return w.station(daily(0, 24), schedule.Station{}) }
	any := [5]float64{}
	for _, tt := range []struct {
		name string
		make func(w *world) int // gives the last operation
		want float64
	}{
		{"calendar: 8 h from 8 to 16, 2 h from 32", func(w *world) int { return w.op(bench(w), 0, 10, 0, any) }, 34},
		{"whole: 5 h do not fit after the load from 8 to 12", func(w *world) int { return w.op(bench(w), 4, 5, 0, any, closed(schedule.Whole)) }, 37},
		{"through: loaded from 8 to 12, runs 20 h", func(w *world) int { return w.op(bench(w), 4, 20, 0, any, closed(schedule.Through)) }, 32},
		{"crew from 10 on", func(w *world) int {
			return w.op(bench(w), 0, 2, 0, any, needs(w.pool(0, 0, 10, 1), 1, schedule.OnRun))
		}, 12},
		{"the quicker station", func(w *world) int {
			slow, quick := always(w), always(w)
			o := w.op(slow, 0, 9, 0, any)
			w.Ops[o].Can = append(w.Ops[o].Can, schedule.Alternative{Station: quick, Run: span(7)})
			return o
		}, 7},
		{"material at 5", func(w *world) int {
			return w.op(always(w), 0, 2, 0, any, func(o *schedule.Op) { o.Earliest = at(5) })
		}, 7},
		{"truck at 6, there at 9", func(w *world) int {
			w.Carriers = []schedule.Carrier{{}, {Departures: []plant.Time{at(3), at(6)}, Transit: span(3)}}
			a, b := w.op(always(w), 0, 4, 0, any), w.op(always(w), 0, 1, 0, any)
			w.link(a, b, schedule.Link{Carrier: 1})
			return b
		}, 10},
		{"overlap: a lot of one of four at 1, the last at 4, and not before", func(w *world) int {
			a, b := w.op(always(w), 0, 4, 0, any), w.op(always(w), 0, 1, 0, any)
			w.link(a, b, schedule.Link{Transfer: 1, Pieces: 4})
			return b
		}, 4},
		{"overlap: 1 + 6", func(w *world) int {
			a, b := w.op(always(w), 0, 4, 0, any), w.op(always(w), 0, 6, 0, any)
			w.link(a, b, schedule.Link{Transfer: 1, Pieces: 4})
			return b
		}, 7},
		{"running until 5", func(w *world) int {
			a, b := w.op(always(w), 0, 1, 0, running(-1, 5), state(schedule.Running)), w.op(always(w), 0, 1, 0, any)
			w.link(a, b, schedule.Link{})
			return b
		}, 6},
		{"runs since -2 until 2 in two lots: the first at 0, 6 h from then", func(w *world) int {
			long := w.station(calendar.Make([]calendar.Span{{From: at(-24), To: at(48)}}), schedule.Station{})
			a, b := w.op(long, 0, 9, 0, running(-2, 2), state(schedule.Running)), w.op(always(w), 0, 6, 0, any)
			w.link(a, b, schedule.Link{Transfer: 1, Pieces: 2})
			return b
		}, 6},
		{"does not fit before the horizon of 240 h", func(w *world) int { return w.op(bench(w), 0, 90, 0, any) }, 240},
	} {
		w := newWorld()
		w.unit(tt.make(w), 0, 24)
		if got := schedule.Bound(&w.Problem); got != plant.MoneyOf(tt.want) {
			t.Errorf("%s: %s, want %.2f", tt.name, got, tt.want)
		}
	}
}
