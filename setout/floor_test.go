package setout

import (
	"testing"
	"time"

	"tackline/needs"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
	"tackline/stock"
)

// The latest of all that an operation waits for decides, and says why.
func TestEarliest(t *testing.T) {
	tests := []struct {
		name string
		edit func(*needs.Result)
		work []stock.Work
		want string
		why  string
	}{
		{"nothing", func(*needs.Result) {}, nil, "2026-11-25T06:00", ""},
		{"a release that is past", func(r *needs.Result) { r.Units[0].Release = at("2026-11-20T06:00") }, nil, "2026-11-25T06:00", ""},
		{"a release", func(r *needs.Result) { r.Units[0].Release = at("2026-11-26T09:00") }, nil, "2026-11-26T09:00",
			"order line not to be begun before 2026-11-26 09:00"},
		{"the later of a purchase and a receipt", func(r *needs.Result) {
			consume(r, 0, "hose", needs.Cover{Kind: needs.FromPurchase, At: at("2026-12-02T10:00")}, needs.Cover{Kind: needs.FromReceipt, Receipt: "PO-5512", At: at("2026-12-03T10:00")})
		}, nil, "2026-12-03T10:00", "hose, receipt PO-5512, expected 2026-12-03 10:00"},
		{"a purchase", func(r *needs.Result) {
			consume(r, 0, "hose", needs.Cover{Kind: needs.FromPurchase, At: at("2026-12-02T10:00")})
		}, nil, "2026-12-02T10:00", "hose is still to be bought; there by 2026-12-02 10:00"},
		{"parts the floor has taken", func(r *needs.Result) {
			consume(r, 0, "hose", needs.Cover{Kind: needs.Issued, At: at("2026-12-02T10:00")})
		}, nil, "2026-11-25T06:00", ""},
		// The truck leaves on Friday 27 November 15:00 and takes 3.5 h.
		{"stock in the other plant", func(r *needs.Result) {
			consume(r, 0, "plate", needs.Cover{Kind: needs.FromStock, Lot: "L-7", At: now, Plant: "fellgate"})
		}, nil, "2026-11-27T18:30", "plate, lot L-7, on its way from fellgate until 2026-11-27 18:30"},
		{"a program with a day", func(r *needs.Result) { r.Ops[0].Program = "WJ-4" }, nil, "2026-12-02T00:00",
			"program WJ-4 is not approved; expected by 2026-12-02 00:00"},
		{"a program without a day", func(r *needs.Result) { r.Ops[0].Program = "WJ-5" }, nil, "2026-11-25T06:00", ""},
		{"an approved program", func(r *needs.Result) { r.Ops[0].Program = "WJ-6" }, nil, "2026-11-25T06:00", ""},
		{"a drawing with a day", func(r *needs.Result) { r.Ops[0].Drawing = "D-310" }, nil, "2026-11-28T00:00",
			"drawing D-310 is not approved; expected by 2026-11-28 00:00"},
		{"a hold with an end", func(*needs.Result) {}, []stock.Work{{State: stock.Held, End: "2026-11-30T12:00", Note: "crack in weld"}}, "2026-11-30T12:00",
			"held (crack in weld); expected to go on 2026-11-30 12:00"},
		{"a hold without an end lasts 24 h", func(*needs.Result) {}, []stock.Work{{State: stock.Held}}, "2026-11-26T06:00", "held; expected to go on 2026-11-26 06:00"},
		{"a hold that should be over lasts on", func(*needs.Result) {}, []stock.Work{{State: stock.Held, End: "2026-11-25T05:00"}}, "2026-11-26T06:00",
			"held; expected to go on 2026-11-26 06:00"},
		{"work of a job that is not known", func(*needs.Result) {}, []stock.Work{{Job: "9-9-9/x", State: stock.Running}}, "2026-11-25T06:00", ""},
	}
	for _, tt := range tests {
		b := shop()
		b.Programs = []product.Program{{ID: "WJ-4", Due: "2026-12-01"}, {ID: "WJ-5"}, {ID: "WJ-6", Approved: true, Due: "2026-12-01"}}
		b.Drawings = []product.Drawing{{ID: "D-310", Due: "2026-11-27"}}
		for _, w := range tt.work {
			if w.Job == "" {
				w.Job = "1-1-1/grab"
			}
			w.Seq = 10
			b.Work = append(b.Work, w)
		}
		r := one(1, needs.Op{Run: 60})
		tt.edit(r)
		op := problem(t, b, r).Ops[0]
		if op.Earliest != at(tt.want) || op.Why != tt.why || op.State != schedule.ToPlan {
			t.Errorf("%s: got %v, %q, state %d; want %s, %q, to plan", tt.name, op.Earliest.In(time.UTC), op.Why, op.State, tt.want, tt.why)
		}
	}
}

// A tended operation of 2 pieces: load 10 min, run 60 min, unload 15 min each, so 20, 120 and 30 min on robot 1. Robot 2 has
// two pallets and speed 0.8: 10, 150 and 15 min. Both work 06:00 to 14:00; now is Wednesday 06:00.
func TestFixed(t *testing.T) {
	tests := []struct {
		name, state, station, setup, start, end string
		want                                    [5]string // setup, load, run, unload, end
	}{
		{"done", "done", "weld-1", "24T07:40", "24T08:00", "24T11:00", [5]string{"24T07:40", "24T08:00", "24T08:20", "24T10:30", "24T11:00"}},
		{"done on a Sunday, when the station is closed: all is run", "done", "weld-1", "", "01T08:00", "01T11:00", [5]string{"01T08:00", "01T08:00", "01T08:00", "01T11:00", "01T11:00"}},
		{"done without an end: as its times say, not after now", "done", "weld-1", "", "24T13:00", "", [5]string{"24T13:00", "24T13:00", "24T13:20", "24T13:30", "25T06:00"}},
		{"done faster than load and unload take: all is run", "done", "weld-1", "", "24T08:00", "24T08:40", [5]string{"24T08:00", "24T08:00", "24T08:00", "24T08:40", "24T08:40"}},
		// 13:00 + 20 min load, 40 min run; on Wednesday 80 min run to 07:20, 30 min unload.
		{"running without an end", "running", "weld-1", "", "24T13:00", "", [5]string{"24T13:00", "24T13:00", "24T13:20", "25T07:20", "25T07:50"}},
		{"running, expected", "running", "weld-2", "24T12:50", "24T13:00", "25T09:00", [5]string{"24T12:50", "24T13:00", "24T13:10", "25T08:45", "25T09:00"}},
		{"running, should have ended: ends now", "running", "weld-1", "", "24T09:00", "24T12:00", [5]string{"24T09:00", "24T09:00", "24T09:20", "24T13:30", "25T06:00"}},
		{"frozen", "frozen", "weld-1", "26T06:00", "26T06:30", "26T09:20", [5]string{"26T06:00", "26T06:30", "26T06:50", "26T08:50", "26T09:20"}},
		{"frozen without an end, on two pallets", "frozen", "weld-2", "", "26T06:00", "", [5]string{"26T06:00", "26T06:00", "26T06:10", "26T08:40", "26T08:55"}},
		// 20 min of setup and 170 min of work move from Tuesday to Wednesday 06:00.
		{"frozen, should have begun: begins now", "frozen", "weld-1", "24T10:40", "24T11:00", "24T13:50", [5]string{"25T06:00", "25T06:20", "25T06:40", "25T08:40", "25T09:10"}},
	}
	wall := func(s string) plant.Wall {
		if s == "" {
			return ""
		}
		return plant.Wall("2026-11-" + s)
	}
	for _, tt := range tests {
		b := shop()
		b.Work = []stock.Work{{Job: "1-1-1/grab", Seq: 10, State: tt.state, Station: plant.StationID(tt.station), Setup: wall(tt.setup), Start: wall(tt.start), End: wall(tt.end)}}
		r := one(2, needs.Op{Nature: product.Tended, Load: 10 * minute, Run: 60 * minute, Unload: 15 * minute})
		r.Units[0].Release = at("2026-12-01T06:00") // is past for what has begun
		op := problem(t, b, r).Ops[0]
		f := op.Fixed
		got := [5]string{}
		for i, x := range []plant.Time{f.Setup, f.Load, f.Run, f.Unload, f.End} {
			got[i] = x.In(time.UTC).Format("02T15:04")
		}
		state := map[string]schedule.State{"done": schedule.Done, "running": schedule.Running, "frozen": schedule.Frozen}[tt.state]
		if got != tt.want || op.State != state || f.Station != map[string]int{"weld-1": 0, "weld-2": 1}[tt.station] || f.Batch != 0 || op.Earliest != now || op.Why != "" {
			t.Errorf("%s: got %v, %+v; want %v", tt.name, got, op, tt.want)
		}
	}
}

// Two jobs in the booth at the same times are one batch: it is loaded for 10 + 20 min, runs for the longer of 60 and 90 min
// and is unloaded for 5 + 5 min. A third job there later is a batch of its own.
func TestFixedBatch(t *testing.T) {
	b := shop()
	paint := func(load, run plant.Seconds) needs.Op {
		return needs.Op{Centre: "paint", Nature: product.Batch, Load: load * minute, Run: run * minute, Unload: 5 * minute, Size: 1000}
	}
	r := one(1, paint(10, 60))
	add(r, needs.Job{ID: "a", Unit: 0, Item: "jaw", Plant: "brackwater", Pieces: 1}, paint(20, 90))
	add(r, needs.Job{ID: "b", Unit: 0, Item: "jaw", Plant: "brackwater", Pieces: 1}, paint(20, 90))
	for job, start := range map[plant.JobID]plant.Wall{"1-1-1/grab": "2026-11-26T06:00", "a": "2026-11-26T06:00", "b": "2026-11-26T10:00"} {
		b.Work = append(b.Work, stock.Work{Job: job, Seq: 10, State: stock.Frozen, Station: "booth", Start: start})
	}
	p := problem(t, b, r)
	slot := schedule.Slot{Station: 2, Setup: at("2026-11-26T06:00"), Load: at("2026-11-26T06:00"), Run: at("2026-11-26T06:30"),
		Unload: at("2026-11-26T08:00"), End: at("2026-11-26T08:10"), Batch: 1}
	same(t, "first", p.Ops[0].Fixed, slot)
	same(t, "second", p.Ops[1].Fixed, slot)
	if got := p.Ops[2].Fixed; got.Batch != 2 || got.End != at("2026-11-26T11:55") { // 20 + 90 + 5 min
		t.Errorf("third: %+v", got)
	}
}

// Work that began long ago makes calendars reach back to it.
func TestCalendarsReachBackToWork(t *testing.T) {
	b := shop()
	b.Work = []stock.Work{{Job: "1-1-1/grab", Seq: 10, State: stock.Running, Station: "weld-1", Start: "2026-08-03T08:00", End: "2026-11-25T12:00"}}
	p := problem(t, b, one(1, needs.Op{Run: 60}))
	if !p.Stations[0].Open.IsOpen(at("2026-08-03T08:00")) {
		t.Error("the station is not open when its running work began")
	}
}

// What nobody reported before an operation that is done or running is done all the same, and takes no time; what comes after it,
// what is held, and what comes before a frozen operation is still to do.
func TestUnreportedWorkIsDone(t *testing.T) {
	const done, running, todo, frozen = schedule.Done, schedule.Running, schedule.ToPlan, schedule.Frozen
	for _, tt := range []struct {
		name string
		work map[int]string
		want []schedule.State
	}{
		{"nothing reported", nil, []schedule.State{todo, todo, todo, todo}},
		{"the third is done", map[int]string{30: stock.Done}, []schedule.State{done, done, done, todo}},
		{"the first is done, the third runs", map[int]string{10: stock.Done, 30: stock.Running}, []schedule.State{done, done, running, todo}},
		{"the first is held", map[int]string{10: stock.Held, 30: stock.Running}, []schedule.State{todo, done, running, todo}},
		{"the third is frozen", map[int]string{10: stock.Done, 30: stock.Frozen}, []schedule.State{done, todo, frozen, todo}},
	} {
		b := shop()
		for seq, state := range tt.work {
			w := stock.Work{Job: "1-1-1/grab", Seq: seq, State: state, Station: "weld-1", Start: "2026-11-25T05:30", End: "2026-11-25T06:30"}
			if state == stock.Done {
				w.Start, w.End = "2026-11-24T08:00", "2026-11-24T09:00"
			}
			b.Work = append(b.Work, w)
		}
		op := needs.Op{Centre: "weld", Run: 60, Family: "a"}
		p := problem(t, b, one(1, op, op, op, op))
		var got []schedule.State
		for i := range p.Ops {
			got = append(got, p.Ops[i].State)
		}
		same(t, tt.name, got, tt.want)
		if o := &p.Ops[1]; o.State == done && (o.Fixed.Setup != o.Fixed.End || o.Fixed.End > p.Ops[2].Fixed.Setup || o.Family != 0) {
			t.Errorf("%s: %+v", tt.name, o.Fixed)
		}
	}
}
