package schedule_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// alone makes a station that is open day and night.
func (w *world) alone() int { return w.station(daily(0, 24), schedule.Station{}) }

// leastCase is a problem and the terms of its bound.
type leastCase struct {
	name string
	make func(w *world)
	want schedule.Least
}

// families has an operation of an hour of each family, on one station that stands in family 0.
func (w *world) families(of ...int) {
	s := w.alone()
	for _, f := range of {
		w.op(s, 0, 1, 0, anyTime, setup(0, f))
	}
}

// anyTime is where an operation is before it is planned.
var anyTime [5]float64

// TestLeastSetups: by hand.
func TestLeastSetups(t *testing.T) {
	testLeast(t, []leastCase{
		{"own setups: 2 h and 1 h", func(w *world) {
			s := w.alone()
			w.op(s, 0, 1, 0, anyTime, setup(2, 0))
			w.op(s, 0, 1, 0, anyTime, setup(1, 0))
		}, schedule.Least{Setups: 300}},
		{"batches: five pieces of one key on three places are two batches, the larger setup once", func(w *world) {
			s := w.station(daily(0, 24), schedule.Station{Takes: schedule.Batch, Capacity: plant.Pieces(3)})
			for _, h := range []float64{1, 1, 1, 1, 2} {
				w.op(s, 0, 1, 0, anyTime, setup(h, 0), func(o *schedule.Op) { o.Size = plant.Pieces(1) })
			}
		}, schedule.Least{Setups: 300}},
		{"changeovers: into 1 costs 3 h at first and 1 h from 2, into 2 costs 2 h at first and 5 h from 1: 2 + 1", func(w *world) {
			w.Centres[0].Changeover = [][]plant.Seconds{{0, span(3), span(2)}, {0, 0, span(5)}, {0, span(1), 0}}
			w.families(1, 2, 1)
		}, schedule.Least{Setups: 300}},
		{"a station leaves what it stands in once: 1 + 1 + 1 h from none, or 4 h between them; one from none, two between", func(w *world) {
			w.Centres[0].Changeover = [][]plant.Seconds{{0, span(1), span(1), span(1)}, {0, 0, span(4), span(4)}, {0, span(4), 0, span(4)}, {0, span(4), span(4), 0}}
			w.families(1, 2, 3)
		}, schedule.Least{Setups: 900}},
	})
}

// TestLeastTerms: waiting, pins and lateness, one each, by hand.
func TestLeastTerms(t *testing.T) {
	testLeast(t, []leastCase{
		{"a branch that is there since 5 waits until 8, worth 1000 at a thousandth an hour", func(w *world) {
			a, s := w.alone(), w.alone()
			f := w.op(a, 0, 1, 0, running(4, 5), state(schedule.Done))
			o := w.op(s, 0, 1, 0, anyTime, func(o *schedule.Op) { o.Earliest = at(8) })
			w.Jobs[0].Value = plant.MoneyOf(1000)
			w.Weights.Wait = 0.001
			w.link(f, o, schedule.Link{Meeting: true})
		}, schedule.Least{Waiting: 300}},
		{"two branches end on one station, 2 h at 4 an hour and 3 h at 1: the cheap one first, it waits 2 h", func(w *world) {
			a, s := w.alone(), w.alone()
			x, y := w.op(a, 0, 2, 0, anyTime), w.op(a, 0, 3, 0, anyTime)
			o := w.op(s, 0, 1, 0, anyTime)
			w.Jobs[0].Value, w.Jobs[1].Value = plant.MoneyOf(4000), plant.MoneyOf(1000)
			w.Weights.Wait = 0.001
			w.link(x, o, schedule.Link{Meeting: true})
			w.link(y, o, schedule.Link{Meeting: true})
		}, schedule.Least{Waiting: 200}},
		{"pinned at 2, there at 5", func(w *world) {
			w.op(w.alone(), 0, 1, 0, anyTime, func(o *schedule.Op) { o.Earliest, o.Pinned = at(5), at(2) })
		}, schedule.Least{Pins: 300}},
		{"two units of 4 h on one station, due at 4: one is 4 h late", func(w *world) {
			s := w.alone()
			w.unit(w.op(s, 0, 4, 0, anyTime), 4, 24)
			w.unit(w.op(s, 0, 4, 0, anyTime), 4, 24)
		}, schedule.Least{Lateness: 400}},
		{"their crew is one person, their stations two", func(w *world) {
			crew := w.pool(0, 1)
			w.unit(w.op(w.alone(), 0, 4, 0, anyTime, needs(crew, 1, schedule.OnRun)), 4, 24)
			w.unit(w.op(w.alone(), 0, 4, 0, anyTime, needs(crew, 1, schedule.OnRun)), 4, 24)
		}, schedule.Least{Lateness: 400}},
	})
}

func testLeast(t *testing.T, cases []leastCase) {
	for _, tt := range cases {
		w := newWorld()
		w.Weights.Setup, w.Weights.Pin = 100, 100
		tt.make(w)
		tt.want.Total = tt.want.Lateness + tt.want.Waiting + tt.want.Setups + tt.want.Moved + tt.want.Pins
		got := schedule.LeastCost(&w.Problem)
		if tt.want.Lateness > 0 { // time is cut into quarters of an hour: nearly
			if got.Lateness > tt.want.Lateness || float64(got.Lateness) < 0.8*float64(tt.want.Lateness) {
				t.Errorf("%s: lateness %s, want nearly %s", tt.name, got.Lateness, tt.want.Lateness)
			}
			continue
		}
		if got != tt.want {
			t.Errorf("%s: %+v, want %+v", tt.name, got, tt.want)
		}
	}
}

// TestLatenessAgainstEveryOrder: units of one operation each on one station with closed time, against the cheapest of all
// orders (total weighted tardiness).
func TestLatenessAgainstEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := newWorld()
		s := w.station(daily(0, float64(rapid.IntRange(6, 24).Draw(t, "until"))), schedule.Station{})
		n := rapid.IntRange(2, 6).Draw(t, "n")
		for range n {
			o := w.op(s, 0, float64(rapid.IntRange(1, 5).Draw(t, "hours")), 0, [5]float64{})
			w.Ops[o].Earliest = at(float64(rapid.IntRange(0, 10).Draw(t, "from")))
			w.unit(o, float64(rapid.IntRange(0, 30).Draw(t, "due")), 24*float64(rapid.IntRange(1, 5).Draw(t, "weight")))
		}
		got, least := schedule.LeastCost(&w.Problem).Lateness, cheapest(w, w.Stations[s].Open, plant.Time(0), make([]bool, n))
		if float64(got) > least+0.5 {
			t.Fatalf("the bound is %s, the cheapest order costs %.2f", got, least/100)
		}
	})
}

// cheapest gives the cents of the cheapest order of what is not done.
func cheapest(w *world, open calendar.Open, t plant.Time, done []bool) float64 {
	best, all := math.Inf(1), true
	for i := range done {
		if done[i] {
			continue
		}
		all = false
		done[i] = true
		end := open.Add(open.Next(max(t, w.Ops[i].Earliest)), w.Ops[i].Can[0].Run)
		cost := float64(w.Units[i].LateDay) / 24 * max(0, end.Sub(w.Units[i].Due).Hours())
		best = min(best, cost+cheapest(w, open, end, done))
		done[i] = false
	}
	if all {
		return 0
	}
	return best
}

// TestGap: the share of the cost above the bound.
func TestGap(t *testing.T) {
	for _, tt := range []struct {
		total, bound plant.Money
		want         float64
	}{{400, 300, 0.25}, {300, 300, 0}, {0, 0, 0}, {100, 0, 1}, {99, 100, 0}} {
		s := schedule.Score{Total: tt.total, Bound: tt.bound}
		if got := s.Gap(); got != tt.want {
			t.Errorf("cost %s, bound %s: gap %g, want %g", tt.total, tt.bound, got, tt.want)
		}
	}
}
