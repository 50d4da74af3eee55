package dispatch_test

import (
	"testing"
	"time"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
	"tackline/setout"
	"tackline/stock"
)

// These tests go the whole way from a book: exploded, set out, planned by hand, read for the floor. The plants keep UTC.
// Now is Wednesday 25 November 2026, 06:00, the begin of the only shift.
var now = at("2026-11-25T06:00")

func at(s string) plant.Time {
	w, err := time.Parse("2006-01-02T15:04", s)
	if err != nil {
		panic(err)
	}
	return plant.At(w)
}

// shop is a small invented plant with one order: a grab, assembled from a head that is welded here from a plate kit of
// the sister plant, a seal that is expected late, bolts from stock and a hose that is still to be bought.
func shop() *book.Book {
	op := func(item string, seq int, name, centre, run string) product.Op {
		return product.Op{Item: plant.ItemID(item), Seq: seq, Name: name, Centre: plant.CentreID(centre), Nature: "attended", Closed: "pause", Run: plant.Formula(run)}
	}
	station := func(id, centre, name, calendar string) plant.Station {
		return plant.Station{ID: plant.StationID(id), Centre: plant.CentreID(centre), Name: name, Calendar: plant.CalendarID(calendar), Speed: 1, Pallets: 1, Capacity: 1000}
	}
	item := func(id, kind, policy, at string) product.Item {
		return product.Item{ID: plant.ItemID(id), Name: "the " + id, Kind: kind, Unit: "ea", Plant: plant.ID(at), Policy: policy, Lead: 3}
	}
	part := func(parent string, line int, component string, qty string, op int) product.Part {
		return product.Part{Parent: plant.ItemID(parent), Line: line, Component: plant.Pattern(component), Quantity: plant.Formula(qty), Op: op}
	}
	b := &book.Book{
		Plants:    []plant.Plant{{ID: "main", Name: "Main works", TimeZone: "UTC"}, {ID: "cuts", Name: "Plate shop", TimeZone: "UTC"}},
		Calendars: []plant.Calendar{{ID: "early", Plant: "main"}, {ID: "cuts", Plant: "cuts"}},
		Shifts: []plant.Shift{{Calendar: "early", Name: "early", Days: "mon-fri", From: 360, To: 840},
			{Calendar: "cuts", Name: "early", Days: "mon-fri", From: 360, To: 840}},
		Centres: []plant.Centre{{ID: "bench", Plant: "main", Name: "Benches", Takes: "one"}, {ID: "weld", Plant: "main", Name: "Welding", Takes: "one"},
			{ID: "cut", Plant: "cuts", Name: "Cutting", Takes: "one"}},
		Stations: []plant.Station{station("bench-1", "bench", "Bench 1", "early"), station("weld-1", "weld", "Weld bay 1", "early"),
			station("cutter-1", "cut", "Cutter 1", "cuts")},
		Pools:    []plant.Pool{{ID: "cutters", Plant: "cuts", Name: "Cutters"}},
		People:   []plant.Person{{ID: "p-1", Name: "A", Pool: "cutters", Calendar: "cuts"}},
		Transits: []plant.Transit{{From: "cuts", To: "main", Days: "all", Departs: 900, Hours: 4}},
		Items: []product.Item{item("grab", "made", "unit", "main"), item("head", "made", "unit", "main"), item("plates", "made", "stock", "cuts"),
			item("seal", "bought", "unit", "main"), item("bolt", "bought", "unit", "main"), item("hose", "bought", "unit", "main")},
		Ops: []product.Op{op("grab", 10, "assembly", "bench", "120"), op("grab", 20, "test", "bench", "60"), op("head", 10, "weld", "weld", "60"), op("plates", 10, "cut", "cut", "30")},
		Parts: []product.Part{part("grab", 10, "head", "1", 10), part("grab", 20, "seal", "4", 10), part("grab", 30, "bolt", "8", 10), part("grab", 40, "hose", "2", 10),
			part("head", 10, "plates", "1", 10)},
		Crews:    []product.Crew{{Item: "plates", Seq: 10, Pool: "cutters", Heads: 1, For: "both"}},
		Programs: []product.Program{{ID: "WH-1", Revision: "A", Due: "2026-11-25"}},
		Lots:     []stock.Lot{{ID: "L-1", Item: "bolt", Plant: "main", Quantity: plant.Pieces(20), Place: "rack B4"}},
		Receipts: []stock.Receipt{{ID: "PO-1", Item: "seal", Plant: "main", Quantity: plant.Pieces(4), Promised: "2026-11-27T10:00", Expected: "2026-11-30T10:00"}},
		Classes:  []order.Class{{ID: "standard", Late: 40000}},
		Orders:   []order.Order{{ID: "1", Customer: "Harbour yard", Plant: "main", Class: "standard"}},
		Lines:    []order.Line{{Order: "1", Line: 1, Product: "grab", Quantity: 1, Due: "2026-11-30T13:30"}},
	}
	b.Ops[2].Program = "WH-1"
	return b
}

// world is a book set out, with a plan made by hand.
type world struct {
	ix   *book.Index
	r    *needs.Result
	p    *schedule.Problem
	plan *schedule.Plan
}

// laid sets a book out, with a plan that is still empty but for what the floor has begun.
func laid(t *testing.T, b *book.Book) *world {
	t.Helper()
	ix, err := book.NewIndex(b)
	if err != nil {
		t.Fatal(err)
	}
	r, err := needs.Explode(ix, now)
	if err != nil {
		t.Fatal(err)
	}
	p, err := setout.Problem(ix, r)
	if err != nil {
		t.Fatal(err)
	}
	w := &world{ix: ix, r: r, p: p, plan: &schedule.Plan{Slots: make([]schedule.Slot, len(p.Ops)), Status: schedule.Complete}}
	for op := range p.Ops {
		w.plan.Slots[op].Station = schedule.None
		if p.Ops[op].State != schedule.ToPlan {
			w.plan.Slots[op] = p.Ops[op].Fixed
		}
	}
	return w
}

// put plans an operation on a station without setup, load or unload.
func (w *world) put(op, station int, from, to string) {
	f, t := at(from), at(to)
	w.plan.Slots[op] = schedule.Slot{Station: station, Setup: f, Load: f, Run: f, Unload: t, End: t}
}

// planned sets a book out and gives each operation, by its name, its times: "begin end".
func planned(t *testing.T, b *book.Book, slots map[string]string) *world {
	t.Helper()
	w := laid(t, b)
	for op := range w.p.Ops {
		times, ok := slots[w.r.Ops[op].Name]
		if !ok {
			t.Fatalf("no slot for %s of %s", w.r.Ops[op].Name, w.r.Jobs[w.r.Ops[op].Job].ID)
		}
		if w.p.Ops[op].State == schedule.ToPlan {
			w.put(op, w.p.Ops[op].Can[0].Station, times[:16], times[17:])
		}
	}
	w.sound(t)
	return w
}

// sound fails unless the plan made by hand keeps every rule.
func (w *world) sound(t *testing.T) {
	t.Helper()
	if broken := schedule.Check(w.p, w.plan); len(broken) > 0 {
		t.Fatalf("the plan made by hand breaks a rule: %v", broken)
	}
}

// The plan of these tests, on its way to the due time of Monday 13:30:
//
//	Wed 06:00 cut 06:30 ... truck 15:00, there 19:00 | Thu 06:00 weld 07:00 | Mon 10:00 assembly 12:00 test 13:00
var plan = map[string]string{"cut": "2026-11-25T06:00 2026-11-25T06:30", "weld": "2026-11-26T06:00 2026-11-26T07:00",
	"assembly": "2026-11-30T10:00 2026-11-30T12:00", "test": "2026-11-30T12:00 2026-11-30T13:00"}

// op finds an operation by its name.
func (w *world) op(name string) int {
	for i := range w.r.Ops {
		if w.r.Ops[i].Name == name {
			return i
		}
	}
	return schedule.None
}

// of finds the first operation of a job.
func (w *world) of(job plant.JobID) int {
	for i := range w.r.Ops {
		if w.r.Jobs[w.r.Ops[i].Job].ID == job {
			return i
		}
	}
	return schedule.None
}
