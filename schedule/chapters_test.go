package schedule_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

// TestChapters: operation 0 waits for a bench that is open from 8 to 16, behind 1 and 2, works over a night, and dries.
//
//	    day 1      day 2      day 3       day 4         day 5
//	0   8    16    32   40    56 60  64   80  84  88    104 106       114
//	    |R1  |     |R1  |     |R1|R2 |    |R2 |R0 |     |R0 |D3       |
//
//	waiting, 0 to 84: closed 8 h; the station is 1's from 8 to 60 and 2's from 60 to 84, nights included: 52 + 24 = 76 h
//	working, 84 to 106: 4 h, closed 16 h, 2 h
//	drying, 106 to 114: 8 h
func TestChapters(t *testing.T) {
	w := newWorld()
	bench := w.station(daily(8, 16), schedule.Station{})
	rack := w.station(daily(0, 24), schedule.Station{Takes: schedule.Places, Capacity: plant.Pieces(1)})
	w.op(bench, 0, 6, 0, running(84, 106))
	w.op(bench, 0, 20, 0, running(8, 60))
	w.op(bench, 0, 8, 0, running(60, 84))
	w.op(rack, 0, 8, 0, running(106, 114), closed(schedule.Through))
	w.link(0, 3, schedule.Link{})
	w.unit(3, 120, 1)
	if v := schedule.Check(&w.Problem, &w.plan); v != nil {
		t.Fatal(v)
	}
	e := schedule.Explain(&w.Problem, &w.plan)[0]
	want := []schedule.Chapter{
		{From: 0, To: at(84), Op: 0, Behind: 1, Shares: []schedule.Share{{Reason: schedule.ShopClosed, Time: span(8)}, {Reason: schedule.StationWait, Time: span(76)}},
			What: "mostly behind job 1/part on Station 0", Text: "shop closed 8 h, waits for the station 3.2 days: mostly behind job 1/part on Station 0"},
		{From: at(84), To: at(106), Op: 0, Behind: none, Shares: []schedule.Share{{Reason: schedule.Working, Time: span(6)}, {Reason: schedule.ShopClosed, Time: span(16)}},
			What: "work of job 0/part", Text: "working 6 h, shop closed 16 h: work of job 0/part"},
		{From: at(106), To: at(114), Op: 3, Behind: none, Shares: []schedule.Share{{Reason: schedule.Drying, Time: span(8)}},
			What: "work of job 3/part on Station 1", Text: "drying 8 h: work of job 3/part on Station 1"},
	}
	got := schedule.Chapters(&e)
	for i := range got {
		got[i].First, got[i].N = 0, 0 // proved below
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// TestChaptersFold: closed time belongs to what it interrupts, and before anything else to what follows.
func TestChaptersFold(t *testing.T) {
	e := &schedule.Explanation{}
	add := func(to float64, op int, r schedule.Reason, text string) {
		from := plant.Time(0)
		if n := len(e.Segments); n > 0 {
			from = e.Segments[n-1].To
		}
		e.Segments = append(e.Segments, schedule.Segment{From: from, To: at(to), Reason: r, Op: op, Behind: none, Text: text})
	}
	add(2, none, schedule.ShopClosed, "closed") // [0
	add(3, 4, schedule.ShopClosed, "closed")    // [1 to work
	add(5, 4, schedule.Working, "tack")         //
	add(6, 4, schedule.ShopClosed, "closed")    // still of the work]
	add(7, 4, schedule.CrewWait, "crew away")   // [2
	add(9, 4, schedule.ShopClosed, "closed")
	add(9.5, 4, schedule.CrewWait, "crew away")
	add(12, 4, schedule.Material, "plate") // ]
	add(13, 4, schedule.Working, "tack")   // [3
	add(15, 5, schedule.Working, "weld")   // [4
	type fold struct {
		first, n int
		text     string
	}
	var got []fold
	for _, c := range schedule.Chapters(e) {
		got = append(got, fold{c.First, c.N, c.Text})
	}
	want := []fold{{0, 1, "shop closed 2 h"}, {1, 3, "shop closed 2 h, working 2 h: tack"},
		{4, 4, "waits for crew 1.5 h, shop closed 2 h, waits for material 2.5 h: mostly plate"}, {8, 1, "working 1 h: tack"}, {9, 1, "working 2 h: weld"}}
	if d := cmp.Diff(want, got, cmp.AllowUnexported(fold{})); d != "" {
		t.Error(d)
	}
	if c := schedule.Chapters(&schedule.Explanation{}); c != nil {
		t.Errorf("nothing to explain: %+v", c)
	}
}

// TestChaptersAddUp: chapters hold every segment once and in order, their shares add up to the second, and neighbours differ.
func TestChaptersAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Plant(t)
		for _, e := range schedule.Explain(p, planned(t, p)) {
			next, total := 0, map[schedule.Reason]plant.Seconds{}
			for i, c := range schedule.Chapters(&e) {
				if c.First != next || c.N == 0 || c.From != e.Segments[c.First].From || c.To != e.Segments[c.First+c.N-1].To || c.Text == "" {
					t.Fatalf("unit %d, chapter %d: %+v", e.Unit, i, c)
				}
				next += c.N
				var sum plant.Seconds
				for _, s := range c.Shares {
					sum += s.Time
					total[s.Reason] += s.Time
				}
				if sum != c.To.Sub(c.From) {
					t.Fatalf("unit %d, chapter %d: shares %v are %d s of %d", e.Unit, i, c.Shares, sum, c.To.Sub(c.From))
				}
			}
			if next != len(e.Segments) {
				t.Fatalf("unit %d: %d of %d segments in chapters", e.Unit, next, len(e.Segments))
			}
			for _, s := range e.Segments {
				total[s.Reason] -= s.To.Sub(s.From)
			}
			for r, d := range total {
				if d != 0 {
					t.Fatalf("unit %d: %s differs by %d s", e.Unit, r, d)
				}
			}
		}
	})
}
