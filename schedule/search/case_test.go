package search

import (
	"testing"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// Each case is a plant small enough to plan by hand; times are in minutes. The bars of the answer stand beside it.

// bench makes a problem of stations that are open for 100 hours, with one job for each operation.
func bench(stations []schedule.Station, ops []schedule.Op, links ...schedule.Link) *schedule.Problem {
	p := &schedule.Problem{Horizon: 6000 * 60, Centres: []schedule.Centre{{}}, Stations: stations, Ops: ops, Links: links,
		Families: []plant.Family{"", "a", "b"}}
	for i := range p.Stations {
		s := &p.Stations[i]
		s.Pallets = max(1, s.Pallets)
		if s.Open.Total() == 0 {
			s.Open = open(0, 6000)
		}
	}
	for i := range p.Ops {
		p.Ops[i].Job = i
		p.Jobs = append(p.Jobs, schedule.Job{Unit: i, Pieces: 1, Parent: schedule.None, Value: 1000_00})
		p.Units = append(p.Units, schedule.Unit{LateDay: 100_00, Last: i})
	}
	return p
}

// open makes spans of minutes: from, to, from, to.
func open(minutes ...plant.Time) calendar.Open {
	var spans []calendar.Span
	for i := 0; i < len(minutes); i += 2 {
		spans = append(spans, calendar.Span{From: minutes[i] * 60, To: minutes[i+1] * 60})
	}
	return calendar.Make(spans)
}

// on is an operation on one station; minutes are load, run, unload.
func on(station int, load, run, unload plant.Seconds) schedule.Op {
	return schedule.Op{Size: plant.Pieces(1), Can: []schedule.Alternative{{Station: station, Load: load * 60, Run: run * 60, Unload: unload * 60}}}
}

func with(o schedule.Op, change func(o *schedule.Op)) schedule.Op {
	change(&o)
	return o
}

func link(from, to int) schedule.Link {
	return schedule.Link{From: from, To: to, Carrier: schedule.None}
}

var cases = []struct {
	name string
	p    func() *schedule.Problem
	want []schedule.Slot // minutes; batches as numbered
}{
	{"a gap before material that is late", func() *schedule.Problem {
		// station: 0 [op 1] 60 ... 100 [op 0] 200
		return bench([]schedule.Station{{}}, []schedule.Op{
			with(on(0, 0, 100, 0), func(o *schedule.Op) { o.Earliest = 100 * 60 }), on(0, 0, 60, 0)})
	}, []schedule.Slot{slot(0, 100, 100, 100, 200, 200), slot(0, 0, 0, 0, 60, 60)}},

	{"setup while the piece is on its way", func() *schedule.Problem {
		// 70 [setup 30] 100 [run 50] 150
		return bench([]schedule.Station{{}}, []schedule.Op{
			with(on(0, 0, 50, 0), func(o *schedule.Op) { o.Earliest, o.Setup = 100*60, 30*60 })})
	}, []schedule.Slot{slot(0, 70, 100, 100, 150, 150)}},

	{"loading beside the run on two pallets", func() *schedule.Problem {
		// machine: 10 [op 0] 110 [op 1] 210; op 1 is loaded at once on the second pallet
		return bench([]schedule.Station{{Pallets: 2}}, []schedule.Op{on(0, 10, 100, 5), on(0, 10, 100, 5)})
	}, []schedule.Slot{slot(0, 0, 0, 10, 110, 115), slot(0, 0, 0, 110, 210, 215)}},

	{"pause, whole and through over a break from 60 to 90", func() *schedule.Problem {
		breaks := func() schedule.Station { return schedule.Station{Open: open(0, 60, 90, 300)} }
		closed := func(station int, c schedule.Closed) schedule.Op {
			return with(on(station, 0, 100, 0), func(o *schedule.Op) { o.Closed = c })
		}
		return bench([]schedule.Station{breaks(), breaks(), breaks()},
			[]schedule.Op{closed(0, schedule.Pause), closed(1, schedule.Whole), closed(2, schedule.Through)})
	}, []schedule.Slot{slot(0, 0, 0, 0, 130, 130), slot(1, 90, 90, 90, 190, 190), slot(2, 0, 0, 0, 100, 100)}},

	{"a rack of two places", func() *schedule.Problem {
		rack := schedule.Station{Takes: schedule.Places, Capacity: plant.Pieces(2)}
		// op 0 and op 2 go in at once; op 1, which may wait at least cost, takes the place of op 2
		p := bench([]schedule.Station{rack}, []schedule.Op{on(0, 0, 100, 0), on(0, 0, 60, 0), on(0, 0, 50, 0)})
		p.Units[1].LateDay = 90_00
		return p
	}, []schedule.Slot{slot(0, 0, 0, 0, 100, 100), slot(0, 50, 50, 50, 110, 110), slot(0, 0, 0, 0, 50, 50)}},

	{"lots of one piece passed on", func() *schedule.Problem {
		// op 0: 0 [4 pieces, 40 each] 160; op 1, 10 each, ends 10 after the last piece: begins at 130
		p := bench([]schedule.Station{{}, {}}, []schedule.Op{on(0, 0, 160, 0), on(1, 0, 40, 0)},
			schedule.Link{From: 0, To: 1, Carrier: schedule.None, Transfer: 1, Pieces: 4})
		p.Units = p.Units[1:]
		return p
	}, []schedule.Slot{slot(0, 0, 0, 0, 160, 160), slot(1, 130, 130, 130, 170, 170)}},

	{"a truck that leaves at 100 and 200", func() *schedule.Problem {
		p := bench([]schedule.Station{{}, {}}, []schedule.Op{on(0, 0, 101, 0), on(1, 0, 10, 0)}, schedule.Link{From: 0, To: 1})
		p.Carriers = []schedule.Carrier{{Departures: []plant.Time{100 * 60, 200 * 60}, Transit: 30 * 60}}
		return p
	}, []schedule.Slot{slot(0, 0, 0, 0, 101, 101), slot(1, 230, 230, 230, 240, 240)}},

	{"one welder for two benches", func() *schedule.Problem {
		welder := []schedule.Need{{Heads: 1, When: schedule.OnRun}}
		p := bench([]schedule.Station{{}, {}}, []schedule.Op{
			with(on(0, 0, 60, 0), func(o *schedule.Op) { o.Needs = welder }),
			with(on(1, 0, 30, 0), func(o *schedule.Op) { o.Needs = welder })})
		p.Pools = []schedule.Pool{{Heads: []schedule.Step{{At: 0, N: 1}}}}
		return p
	}, []schedule.Slot{slot(0, 30, 30, 30, 90, 90), slot(1, 0, 0, 0, 30, 30)}},

	{"frozen work keeps its setup and what it waits for", func() *schedule.Problem {
		// op 1 (frozen, family b, 10 of setup from 200) stands set up from family b; op 0 of family a would need 60 before it,
		// so it goes after; op 2, which the frozen one waits for, is done before 210.
		p := bench([]schedule.Station{{Family: 2}, {}}, []schedule.Op{
			with(on(0, 0, 60, 0), func(o *schedule.Op) { o.Family = 1 }),
			with(on(0, 0, 40, 0), func(o *schedule.Op) {
				o.Family, o.State, o.Setup, o.Fixed = 2, schedule.Frozen, 10*60, slot(0, 200, 210, 210, 250, 250)
			}),
			on(1, 0, 150, 0), on(1, 0, 100, 0)}, link(2, 1))
		p.Centres[0].Changeover = [][]plant.Seconds{{0, 0, 0}, {0, 0, 3600}, {0, 3600, 0}}
		p.Units[3].LateDay = 9000_00
		return p
	}, []schedule.Slot{slot(0, 250, 310, 310, 370, 370), slot(0, 200, 210, 210, 250, 250), slot(1, 0, 0, 0, 150, 150), slot(1, 150, 150, 150, 250, 250)}},

	{"a batch waits a little for its second piece", func() *schedule.Problem {
		// op 1 comes at 20: together at 20 both end at 120; apart op 0 ends at 100, op 1 at 200
		booth := schedule.Station{Takes: schedule.Batch, Capacity: plant.Pieces(2)}
		return bench([]schedule.Station{booth}, []schedule.Op{on(0, 0, 100, 0),
			with(on(0, 0, 100, 0), func(o *schedule.Op) { o.Earliest = 20 * 60 })})
	}, []schedule.Slot{inBatch(slot(0, 20, 20, 20, 120, 120), 1), inBatch(slot(0, 20, 20, 20, 120, 120), 1)}},

	{"different colours do not mix", func() *schedule.Problem {
		booth := schedule.Station{Takes: schedule.Batch, Capacity: plant.Pieces(2)}
		return bench([]schedule.Station{booth}, []schedule.Op{
			with(on(0, 0, 100, 0), func(o *schedule.Op) { o.Key = "red" }), with(on(0, 0, 50, 0), func(o *schedule.Op) { o.Key = "grey" })})
	}, []schedule.Slot{inBatch(slot(0, 50, 50, 50, 150, 150), 1), inBatch(slot(0, 0, 0, 0, 50, 50), 2)}},

	{"branches meet instead of waiting", func() *schedule.Problem {
		// op 0 takes 200, op 1 takes 50; both join op 2 at 200: op 1 begins at 150
		p := bench([]schedule.Station{{}, {}, {}}, []schedule.Op{on(0, 0, 200, 0), on(1, 0, 50, 0), on(2, 0, 10, 0)}, link(0, 2), link(1, 2))
		p.Units = p.Units[2:]
		p.Links[0].Meeting, p.Links[1].Meeting = true, true
		p.Weights.Wait = 0.001
		return p
	}, []schedule.Slot{slot(0, 0, 0, 0, 200, 200), slot(1, 150, 150, 150, 200, 200), slot(2, 200, 200, 200, 210, 210)}},

	{"a part that assembly has begun without", func() *schedule.Problem {
		// assembly runs until 90, the part comes to it whenever it is made: at once, not at the end of the horizon
		p := bench([]schedule.Station{{}, {}}, []schedule.Op{on(0, 0, 60, 0), with(on(1, 0, 100, 0), func(o *schedule.Op) {
			o.State, o.Fixed = schedule.Running, slot(1, -10, -10, -10, 90, 90)
		})}, schedule.Link{From: 0, To: 1, Carrier: schedule.None, Meeting: true})
		p.Units, p.Weights.Wait = p.Units[1:], 0.0005
		return p
	}, []schedule.Slot{slot(0, 0, 0, 0, 60, 60), slot(1, -10, -10, -10, 90, 90)}},

	{"paint before a rack that is said to be taken already", func() *schedule.Problem {
		p := bench([]schedule.Station{{}, {Takes: schedule.Places, Capacity: plant.Pieces(2)}}, []schedule.Op{on(0, 0, 60, 0), with(on(1, 0, 100, 0), func(o *schedule.Op) {
			o.State, o.Fixed, o.Closed = schedule.Running, slot(1, -10, -10, -10, 90, 90), schedule.Through
		})}, link(0, 1))
		p.Units = p.Units[1:]
		return p
	}, []schedule.Slot{slot(0, 0, 0, 0, 60, 60), slot(1, -10, -10, -10, 90, 90)}},

	{"overtime left alone while there is time", func() *schedule.Problem {
		// overtime from 0 to 60, due at 1000
		p := bench([]schedule.Station{{Overtime: open(0, 60)}}, []schedule.Op{on(0, 0, 30, 0)})
		p.Units[0].Due = 1000 * 60
		p.Weights.Overtime = 60_00
		return p
	}, []schedule.Slot{slot(0, 60, 60, 60, 90, 90)}},
}

// slot gives the slot of minutes.
func slot(station int, setup, load, run, unload, end plant.Time) schedule.Slot {
	return schedule.Slot{Station: station, Setup: setup * 60, Load: load * 60, Run: run * 60, Unload: unload * 60, End: end * 60}
}

func inBatch(s schedule.Slot, n int) schedule.Slot {
	s.Batch = n
	return s
}

func TestByHand(t *testing.T) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := c.p()
			plan := run(t, p, Options{Seed: 1, Work: int64(len(p.Ops)) * 80})
			for o, got := range plan.Slots {
				if got != c.want[o] {
					t.Errorf("operation %d: %v, want %v (%s)", o, minutes(got), minutes(c.want[o]), plan.Rule)
				}
			}
		})
	}
}

func minutes(s schedule.Slot) schedule.Slot {
	s.Setup, s.Load, s.Run, s.Unload, s.End = s.Setup/60, s.Load/60, s.Run/60, s.Unload/60, s.End/60
	return s
}
