package dispatch

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
	"tackline/setout"
	"tackline/stock"
)

// The plants of these tests stand in Dublin, where the clock shows UTC in winter. Now is Wednesday 25 November 2026, 06:00.
var now = at("2026-11-25T06:00")

func at(s string) plant.Time {
	w, err := time.Parse("2006-01-02T15:04", s)
	if err != nil {
		panic(err)
	}
	return plant.At(w)
}

const (
	minute plant.Seconds = 60
	hour   plant.Seconds = 3600
)

// works is a small book: a bench from 06:00 to 14:00 on weekdays, one that is always open, a rack and a booth, and a saw in
// the sister plant, from which a truck leaves on Tuesday and Friday at 15:00 and takes 3.5 h.
func works() *book.Book {
	return &book.Book{
		Plants:    []plant.Plant{{ID: "brackwater", Name: "Brackwater", TimeZone: "Europe/Dublin"}, {ID: "fellgate", Name: "Fellgate", TimeZone: "Europe/Dublin"}},
		Calendars: []plant.Calendar{{ID: "early", Plant: "brackwater"}, {ID: "always", Plant: "brackwater"}},
		Shifts: []plant.Shift{
			{Calendar: "early", Name: "early", Days: "mon-fri", From: 6 * 60, To: 14 * 60},
			{Calendar: "always", Name: "always", Days: "all", From: 0, To: 24 * 60},
		},
		Centres: []plant.Centre{
			{ID: "bench", Plant: "brackwater", Name: "Benches", Takes: "one"},
			{ID: "night", Plant: "brackwater", Name: "Night benches", Takes: "one"},
			{ID: "booth", Plant: "brackwater", Name: "Booths", Takes: "batch", Capacity: "places"},
			{ID: "rack", Plant: "brackwater", Name: "Racks", Takes: "places", Capacity: "places"},
			{ID: "plating", Plant: "brackwater", Name: "Plating works", Takes: "away"},
			{ID: "saw", Plant: "fellgate", Name: "Saws", Takes: "one"},
		},
		Stations: []plant.Station{
			{ID: "bench-1", Centre: "bench", Name: "Bench 1", Calendar: "early", Speed: 1, Pallets: 1, Capacity: 1000},
			{ID: "night-1", Centre: "night", Name: "Night bench", Calendar: "always", Speed: 1, Pallets: 1, Capacity: 1000},
			{ID: "booth-1", Centre: "booth", Name: "Booth", Calendar: "always", Speed: 1, Pallets: 1, Capacity: 4000},
			{ID: "rack-1", Centre: "rack", Name: "Rack", Calendar: "always", Speed: 1, Pallets: 1, Capacity: 6000},
			{ID: "plater", Centre: "plating", Name: "Plater", Calendar: "always", Speed: 1, Pallets: 1, Capacity: 1000},
			{ID: "saw-1", Centre: "saw", Name: "Saw", Calendar: "always", Speed: 1, Pallets: 1, Capacity: 1000},
		},
		Transits: []plant.Transit{{From: "fellgate", To: "brackwater", Days: "tue,fri", Departs: 15 * 60, Hours: 3.5}},
		Items: []product.Item{{ID: "grab", Name: "Grab", Unit: "ea"}, {ID: "hose", Name: "Hose 1/2", Unit: "ea"}, {ID: "pin", Name: "Pin 80", Unit: "ea"},
			{ID: "plate", Name: "Plate 20", Unit: "ea"}},
		Lots: []stock.Lot{{ID: "L-1", Item: "hose", Plant: "brackwater", Place: "rack B4"}, {ID: "L-2", Item: "plate", Plant: "fellgate"}},
		Receipts: []stock.Receipt{
			{ID: "PO-1", Item: "hose", Plant: "brackwater", Promised: "2026-11-27T10:00", Expected: "2026-11-30T10:00"},
			{ID: "PO-2", Item: "hose", Plant: "brackwater", Promised: "2026-11-26T10:00", Expected: "2026-11-26T10:00"}},
		Classes: []order.Class{{ID: "standard", Late: 40000}},
	}
}

// asked gives a result of one unit, due Friday 4 December 16:00, made by one job of the operations given.
func asked(ops ...needs.Op) *needs.Result {
	r := &needs.Result{Now: now, Units: []needs.Unit{{ID: "1-1-1", Class: "standard", Plant: "brackwater", Due: at("2026-12-04T16:00")}}}
	add(r, needs.Job{ID: "1-1-1/grab", Unit: 0, Item: "grab", Plant: "brackwater", Pieces: 1, Parent: needs.None}, ops...)
	return r
}

// add appends a job with its operations, numbered 10, 20, ..., and gives its index.
func add(r *needs.Result, j needs.Job, ops ...needs.Op) int {
	for i, o := range ops {
		o.Job, o.Seq = len(r.Jobs), 10*(i+1)
		if o.Nature == "" {
			o.Nature = product.Attended
		}
		if o.Centre == "" {
			o.Centre = "bench"
		}
		if o.Closed == "" {
			o.Closed = product.Pause
		}
		j.Ops = append(j.Ops, len(r.Ops))
		r.Ops = append(r.Ops, o)
	}
	r.Jobs = append(r.Jobs, j)
	return len(r.Jobs) - 1
}

// consume adds a demand of operation op, with its covers.
func consume(r *needs.Result, op int, item plant.ItemID, covers ...needs.Cover) {
	job := r.Ops[op].Job
	d := needs.Demand{Job: job, Op: op, Item: item, Plant: r.Jobs[job].Plant, Covers: covers}
	for i := range covers {
		if covers[i].Kind != needs.FromJob {
			covers[i].Job = needs.None
		}
		d.Qty += covers[i].Qty
	}
	r.Ops[op].Demands = append(r.Ops[op].Demands, len(r.Demands))
	r.Jobs[job].Demands = append(r.Jobs[job].Demands, len(r.Demands))
	r.Demands = append(r.Demands, d)
}

// shopfloor is a book set out as a problem with a plan by hand.
type shopfloor struct {
	ix   *book.Index
	r    *needs.Result
	p    *schedule.Problem
	plan *schedule.Plan
}

// lay sets r out in b and gives each operation the slot whose begin and end it names; "" leaves it out.
func lay(t testing.TB, b *book.Book, r *needs.Result, slots ...[3]string) *shopfloor {
	t.Helper()
	ix, err := book.NewIndex(b)
	if err != nil {
		t.Fatal(err)
	}
	p, err := setout.Problem(ix, r)
	if err != nil {
		t.Fatal(err)
	}
	plan := &schedule.Plan{Slots: make([]schedule.Slot, len(p.Ops))}
	for i := range plan.Slots {
		plan.Slots[i].Station = schedule.None
		if p.Ops[i].State != schedule.ToPlan {
			plan.Slots[i] = p.Ops[i].Fixed
		} else if i < len(slots) && slots[i][0] != "" {
			from, to := at("2026-"+slots[i][1]), at("2026-"+slots[i][2])
			station := slices.IndexFunc(p.Stations, func(s schedule.Station) bool { return string(s.ID) == slots[i][0] })
			plan.Slots[i] = schedule.Slot{Station: station, Setup: from, Load: from, Run: from, Unload: to, End: to}
		}
	}
	return &shopfloor{ix, r, p, plan}
}

// sound fails unless the plan keeps every rule.
func (s *shopfloor) sound(t testing.TB) *shopfloor {
	t.Helper()
	if v := schedule.Check(s.p, s.plan); v != nil {
		t.Fatalf("%d rules broken: %+v", len(v), v)
	}
	return s
}

func (s *shopfloor) kits() []Kit     { return Kits(s.ix, s.r, s.p, s.plan) }
func (s *shopfloor) shorts() []Short { return Shorts(s.ix, s.r, s.p, s.plan) }
func (s *shopfloor) loads() []Load   { return Loads(s.ix, s.r, s.p, s.plan) }

// runs gives the run list of a station.
func (s *shopfloor) runs(station plant.StationID) []Run {
	for _, l := range RunLists(s.ix, s.r, s.p, s.plan, s.kits()) {
		if l.Station == station {
			return l.Runs
		}
	}
	return nil
}

func same(t testing.TB, what string, got, want any) {
	t.Helper()
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s (- want, + got):\n%s", what, d)
	}
}
