package schedule_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tackline/plant"
	"tackline/schedule"
)

// why is a segment in hours, to compare.
type why struct {
	From, To float64
	Reason   schedule.Reason
	Op       int
	Behind   int
	Text     string
}

const none = schedule.None

// queue: operation 1 follows 0 and waits on its bench, which is open from 8 to 16, behind 2.
//
//	now 6   8    10        14   16            32   34   36
//	        |R0  |                                           station 0
//	........|R2                 |.............|R2  |R1  |    station 1, 2 takes 10 h
func queue() *world {
	w := newWorld()
	w.Now = at(6)
	a, b := w.station(daily(8, 16), schedule.Station{}), w.station(daily(8, 16), schedule.Station{})
	w.op(a, 0, 2, 0, running(8, 10))
	w.op(b, 0, 2, 0, running(34, 36))
	w.op(b, 0, 10, 0, running(8, 34))
	w.link(0, 1, schedule.Link{})
	w.unit(1, 40, 1)
	return w
}

// crewed: a run of 2 h that must not be broken and needs one of two people, who are there from 6 to 12.
//
//	0     6    8    9    11 12        24   30   32
//	      |R1, R2   |                               two others take both
//	                     ,,,|.............. |R0 |    from 10 on it does not fit before 12
func crewed() *world {
	w := newWorld()
	s := []int{w.station(daily(0, 24), schedule.Station{}), w.station(daily(0, 24), schedule.Station{}), w.station(daily(0, 24), schedule.Station{})}
	c := w.pool(0, 0, 6, 2, 12, 0, 30, 2, 36, 0)
	w.op(s[0], 0, 2, 0, running(30, 32), needs(c, 1, schedule.OnRun), closed(schedule.Whole))
	w.op(s[1], 0, 3, 0, running(6, 9), needs(c, 1, schedule.OnRun))
	w.op(s[2], 0, 3, 0, running(6, 9), needs(c, 1, schedule.OnRun))
	w.unit(0, 30, 1)
	return w
}

// overlapping: 1 works faster than 0 passes on, so it waits for the rest; 0 waits for plate, is set up and goes by truck.
//
//	0          3  4         8                  lots at 5, 6, 7, 8
//	|plate     |S |R0       |
//	                             12   15       the first lot leaves at 5, on the truck at 6, there at 12
//	                             |    |R1   |
func overlapping() *world {
	w := newWorld()
	a, b := w.station(daily(0, 24), schedule.Station{}), w.station(daily(0, 24), schedule.Station{})
	w.Carriers = []schedule.Carrier{{}, {Name: "truck", Departures: []plant.Time{at(6), at(9)}, Transit: span(6)}}
	w.op(a, 0, 4, 0, [5]float64{3, 4, 4, 8, 8}, setup(1, 0), func(o *schedule.Op) { o.Earliest, o.Why = at(4), "plate 20 mm, receipt 5" })
	w.op(b, 0, 2, 0, running(14.5, 16.5))
	w.link(0, 1, schedule.Link{Carrier: 1, Transfer: 1, Pieces: 4})
	w.unit(1, 16.5, 1)
	return w
}

// mill: two pallets; 1 is loaded beside the run of 0, waits for it, and dries on a rack that is full until 9.
//
//	0   1            6       8   9          13
//	|L0 |R0          |                            mill
//	    |L1 |        |R1     |                    mill
//	                         |   |D2        |     rack, closed rules do not matter
func mill() *world {
	w := newWorld()
	m := w.station(daily(0, 24), schedule.Station{Pallets: 2})
	r := w.station(daily(0, 24), schedule.Station{Takes: schedule.Places, Capacity: plant.Pieces(1)})
	w.op(m, 1, 5, 0, [5]float64{0, 0, 1, 6, 6})
	w.op(m, 1, 2, 0, [5]float64{1, 1, 6, 8, 8})
	w.op(r, 0, 4, 0, running(9, 13), closed(schedule.Through))
	w.op(r, 0, 4, 0, running(5, 9), closed(schedule.Through))
	w.link(1, 2, schedule.Link{})
	w.unit(2, 10, 1)
	return w
}

var explanations = []struct {
	name string
	make func() *world
	want []why
	says string
}{
	{"behind other work", queue, []why{
		{6, 8, schedule.ShopClosed, 0, none, "Station 0 closed"},
		{8, 10, schedule.Working, 0, none, "work of job 0/part"},
		{10, 34, schedule.StationWait, 1, 2, "behind job 2/part on Station 1"},
		{34, 36, schedule.Working, 1, none, "work of job 1/part"},
	}, "Ships Fri 2 Jan 12:00, 4 h before it is due: 24 h behind other work (the longest behind job 2/part on Station 1), 4 h working, 2 h shop closed."},
	{"crew", crewed, []why{
		{0, 6, schedule.CrewWait, 0, none, "crew not there"},
		{6, 9, schedule.CrewWait, 0, none, "Crew 0 busy elsewhere"},
		{9, 10 + 1.0/3600, schedule.Waiting, 0, none, "the plan leaves it for later"}, // at 10:00:00 it could still begin
		{10 + 1.0/3600, 12, schedule.ShopClosed, 0, none, "does not fit before closing time"},
		{12, 30, schedule.CrewWait, 0, none, "crew not there"},
		{30, 32, schedule.Working, 0, none, "work of job 0/part"},
	}, "Ships Fri 2 Jan 08:00, 2 h late: 27 h waiting for crew, 2 h working, 2 h shop closed, 1 h left for later."},
	{"material, setup, truck and lots", overlapping, []why{
		{0, 4, schedule.Material, 0, none, "plate 20 mm, receipt 5"},
		{4, 5, schedule.Working, 0, none, "work of job 0/part"},
		{5, 12, schedule.Carrying, 0, none, "on the way, truck"},
		{12, 14.5, schedule.SetWait, 1, none, "waits for the rest of job 0/part"},
		{14.5, 16.5, schedule.Working, 1, none, "work of job 1/part"},
	}, "Ships Thu 1 Jan 16:30, just when it is due: 7 h on the way between plants, 4 h waiting for material, 3 h working, 2.5 h waiting for the rest."},
	{"pallets and rack", mill, []why{
		{0, 1, schedule.Waiting, 1, none, "the plan leaves it for later"},
		{1, 2, schedule.Working, 1, none, "work of job 1/part"},
		{2, 6, schedule.StationWait, 1, 0, "behind job 0/part on Station 0"},
		{6, 8, schedule.Working, 1, none, "work of job 1/part"},
		{8, 9, schedule.StationWait, 2, none, "no free place on Station 1"},
		{9, 13, schedule.Drying, 2, none, "work of job 2/part on Station 1"},
	}, "Ships Thu 1 Jan 13:00, 3 h late: 5 h behind other work (the longest behind job 0/part on Station 0), 4 h drying, 3 h working, 1 h left for later."},
}

func TestExplainCases(t *testing.T) {
	for _, tt := range explanations {
		t.Run(tt.name, func(t *testing.T) {
			w := tt.make()
			if v := schedule.Check(&w.Problem, &w.plan); v != nil {
				t.Fatal(v)
			}
			e := schedule.Explain(&w.Problem, &w.plan)[0]
			var got []why
			for _, s := range e.Segments {
				got = append(got, why{float64(s.From) / 3600, float64(s.To) / 3600, s.Reason, s.Op, s.Behind, s.Text})
			}
			if d := cmp.Diff(tt.want, got); d != "" {
				t.Error(d)
			}
			if d := cmp.Diff(tt.says, schedule.Sentence(&w.Problem, &e, time.UTC)); d != "" {
				t.Error(d)
			}
		})
	}
}

// TestExplainTakesSides: a unit that has shipped, one without a slot, one that is held.
func TestExplainTakesSides(t *testing.T) {
	w := newWorld()
	w.Now = at(10)
	s := w.station(daily(0, 24), schedule.Station{})
	w.op(s, 0, 1, 0, running(4, 5), state(schedule.Done))
	w.op(s, 0, 1, 0, running(20, 21), func(o *schedule.Op) { o.Earliest, o.Why = at(20), "held (leak test); expected to go on" })
	w.op(s, 0, 1, 0, running(30, 31))
	w.plan.Slots[2], w.plan.Status = schedule.Slot{Station: none}, schedule.Incomplete
	w.plan.Left = []schedule.Left{{Op: 2, Why: "no truck before the horizon"}}
	for i := range 3 {
		w.unit(i, 24, 1)
	}
	e := schedule.Explain(&w.Problem, &w.plan)
	if len(e[0].Segments) > 0 || e[0].Ship != at(5) || e[0].Slack != span(19) {
		t.Errorf("shipped: %+v", e[0])
	}
	if len(e[1].Segments) != 2 || e[1].Segments[0].Reason != schedule.Held || e[1].Segments[0].To != at(20) {
		t.Errorf("held: %+v", e[1])
	}
	if want := "Has no ship date: work of job 2/part found no place, no truck before the horizon."; e[2].Ship < plant.Never || e[2].Sentence != want {
		t.Errorf("left: %+v", e[2])
	}
}

// TestBranches: the unit's own job (2, 3) is joined by 0 at its first operation and by 1, which 4 joins, at its second.
//
//	0    2    4    6    8    10   12
//	|R0  |                            arrives at 2, needed at 4: 2 h of slack
//	          |R2  |                  own job
//	     |R4  |R1       |             4 arrives at 4, needed at 4; 1 arrives at 8 + 1 h of lag, needed at 10
//	                         |R3  |   the operation before is there at 6: 1 decides
func TestBranches(t *testing.T) {
	w := newWorld()
	for range 5 {
		w.station(daily(0, 24), schedule.Station{})
	}
	w.op(0, 0, 2, 0, running(0, 2))
	w.op(1, 0, 4, 0, running(4, 8))
	w.op(2, 0, 2, 0, running(4, 6))
	w.op(3, 0, 2, 0, running(10, 12), func(o *schedule.Op) { o.Seq = 20 })
	w.op(4, 0, 2, 0, running(2, 4))
	w.Ops[3].Job = 2
	w.link(2, 3, schedule.Link{})
	w.link(0, 2, schedule.Link{Meeting: true})
	w.link(1, 3, schedule.Link{Meeting: true, Lag: span(1)})
	w.link(4, 1, schedule.Link{Meeting: true})
	u := w.unit(3, 15, 1)
	if v := schedule.Check(&w.Problem, &w.plan); v != nil {
		t.Fatal(v)
	}
	want := []schedule.Branch{
		{Job: 2, Parent: none, Ops: []int{2, 3}, Meets: none, Arrives: at(12), Slack: span(3), Decides: true},
		{Job: 0, Parent: 2, Ops: []int{0}, Meets: 2, Arrives: at(2), Slack: span(2), Decides: true},
		{Job: 1, Parent: 2, Ops: []int{1}, Meets: 3, Arrives: at(9), Slack: span(1), Decides: true},
		{Job: 4, Parent: 1, Ops: []int{4}, Meets: 1, Arrives: at(4), Slack: 0, Decides: true},
	}
	if d := cmp.Diff(want, schedule.Branches(&w.Problem, &w.plan, u)); d != "" {
		t.Error(d)
	}
	w.plan.Slots[3].Load += at(3)
	w.Links[0].Lag = span(4) // now the operation before is there at 10, after branch 1
	if b := schedule.Branches(&w.Problem, &w.plan, u); b[2].Decides || !b[1].Decides {
		t.Errorf("branch 1 decides: %+v", b)
	}
}
