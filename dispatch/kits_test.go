package dispatch

import (
	"context"
	"testing"

	"tackline/needs"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule/search"
	"tackline/stock"
)

// assembly is two operations of 6 h on the bench, which works 06:00 to 14:00, planned on the last two days before the unit is
// due on Friday 16:00:
//
//	Thu 3 Dec        Fri 4 Dec
//	06:00   14:00    06:00   14:00   16:00 due
//	|10   | |        |20   |
//
// The latest begin of 20 is Friday 08:00, 6 h before the bench closes; that of 10 is Thursday 10:00: 4 h until 14:00, and 2 h
// on Friday until 08:00.
func assembly(b func(*needs.Result)) *needs.Result {
	r := asked(needs.Op{Name: "assemble", Run: 6 * hour}, needs.Op{Name: "fit hoses", Run: 6 * hour})
	b(r)
	return r
}

var assemblySlots = [][3]string{{"bench-1", "12-03T06:00", "12-03T12:00"}, {"bench-1", "12-04T06:00", "12-04T12:00"}}

func one(kind string, at plant.Time) needs.Cover {
	return needs.Cover{Kind: kind, At: at, Qty: plant.Pieces(1), Plant: "brackwater"}
}

func TestKits(t *testing.T) {
	receipt := func(id plant.ReceiptID, s string) needs.Cover {
		c := one(needs.FromReceipt, at("2026-"+s))
		c.Receipt = id
		return c
	}
	lot := func(id plant.LotID, from plant.ID) needs.Cover {
		c := one(needs.FromStock, now)
		c.Lot, c.Plant = id, from
		return c
	}
	tests := []struct {
		name   string
		op     int
		covers []needs.Cover
		state  string
		comes  string
		source string
	}{
		{"in stock", 0, []needs.Cover{lot("L-1", "brackwater")}, KitComplete, "11-25T06:00", "lot L-1, rack B4"},
		{"a lot without a place", 0, []needs.Cover{lot("L-9", "brackwater")}, KitComplete, "11-25T06:00", "lot L-9"},
		{"taken by the floor", 0, []needs.Cover{one(needs.Issued, at("2026-12-24T06:00"))}, KitComplete, "11-25T06:00", "issued"},
		// Friday 27 November 15:00 is the next truck; + 3.5 h.
		{"in the sister plant", 0, []needs.Cover{lot("L-2", "fellgate")}, KitPlanned, "11-27T18:30", "lot L-2, from fellgate Fri 27 Nov 18:30"},
		{"expected in time", 0, []needs.Cover{receipt("PO-2", "11-26T10:00")}, KitPlanned, "11-26T10:00", "PO-2, expected Thu 26 Nov 10:00"},
		{"expected in time, late by 3 days", 0, []needs.Cover{receipt("PO-1", "11-30T10:00")}, KitPlanned, "11-30T10:00", "PO-1, expected Mon 30 Nov 10:00, late by 3 days"},
		{"at the latest begin", 0, []needs.Cover{receipt("PO-7", "12-03T10:00")}, KitPlanned, "12-03T10:00", "PO-7, expected Thu 3 Dec 10:00"},
		{"a minute after it", 0, []needs.Cover{receipt("PO-7", "12-03T10:01")}, KitShort, "12-03T10:01", "PO-7, expected Thu 3 Dec 10:01"},
		{"the later operation may wait for it", 1, []needs.Cover{receipt("PO-7", "12-03T10:01")}, KitPlanned, "12-03T10:01", "PO-7, expected Thu 3 Dec 10:01"},
		{"too late for both", 1, []needs.Cover{receipt("PO-7", "12-04T08:01")}, KitShort, "12-04T08:01", "PO-7, expected Fri 4 Dec 08:01"},
		{"to be bought in time", 1, []needs.Cover{one(needs.FromPurchase, at("2026-12-02T06:00"))}, KitPlanned, "12-02T06:00", "to be bought, there Wed 2 Dec 06:00 if ordered now"},
		{"to be bought too late", 1, []needs.Cover{one(needs.FromPurchase, at("2026-12-09T06:00"))}, KitShort, "12-09T06:00", "to be bought, there Wed 9 Dec 06:00 if ordered now"},
		{"the worst of two counts", 0, []needs.Cover{lot("L-1", "brackwater"), receipt("PO-1", "11-30T10:00")}, KitPlanned, "11-30T10:00",
			"lot L-1, rack B4; PO-1, expected Mon 30 Nov 10:00, late by 3 days"},
	}
	for _, tt := range tests {
		r := assembly(func(r *needs.Result) { consume(r, tt.op, "hose", tt.covers...) })
		s := lay(t, works(), r, assemblySlots...)
		kits := s.kits()
		if len(kits) != 1 || len(kits[0].Lines) != 1 {
			t.Fatalf("%s: kits %+v", tt.name, kits)
		}
		k, l := kits[0], kits[0].Lines[0]
		if k.Op != tt.op || k.Due != s.plan.Slots[tt.op].Load || k.State != tt.state || l.State != tt.state || k.Comes != at("2026-"+tt.comes) || l.Comes != k.Comes || l.Source != tt.source {
			t.Errorf("%s: operation %d, due %v: %s, there %v, %q; want %s, %s, %q", tt.name, k.Op, k.Due.In(s.ix.Zone("brackwater")), k.State, l.Comes.In(s.ix.Zone("brackwater")), l.Source, tt.state, tt.comes, tt.source)
		}
		if l.Name != "Hose 1/2" || l.Unit != "ea" || l.Qty != plant.Pieces(len(tt.covers)) {
			t.Errorf("%s: %+v", tt.name, l)
		}
		if short := len(s.shorts()) > 0; short != (tt.state == KitShort) {
			t.Errorf("%s: on the list of shorts: %v", tt.name, short)
		}
	}
}

// A part that another job makes is planned, never short: the plan answers for it. One made is complete; one that no plan makes
// is short.
func TestKitsFromJobs(t *testing.T) {
	pins := func(centre plant.CentreID) *needs.Result {
		return assembly(func(r *needs.Result) {
			j := add(r, needs.Job{ID: "1-1-1/pin", Unit: 0, Item: "pin", Plant: "brackwater", Pieces: 1, Parent: 0}, needs.Op{Name: "turn", Centre: centre, Run: 2 * hour})
			c := one(needs.FromJob, 0)
			c.Job = j
			consume(r, 0, "pin", c)
		})
	}
	work := []stock.Work{{Job: "1-1-1/pin", Seq: 10, State: stock.Done, Station: "night-1", Start: "2026-11-24T06:00", End: "2026-11-24T08:00"}}
	tests := []struct {
		name   string
		centre plant.CentreID
		slot   [3]string
		work   []stock.Work
		state  string
		source string
	}{
		{"planned", "night", [3]string{"night-1", "12-02T06:00", "12-02T08:00"}, nil, KitPlanned, "job 1-1-1/pin, there Wed 2 Dec 08:00"},
		{"planned, too late for the due date", "night", [3]string{"night-1", "12-08T06:00", "12-08T08:00"}, nil, KitPlanned, "job 1-1-1/pin, there Tue 8 Dec 08:00"},
		{"made", "night", [3]string{}, work, KitComplete, "job 1-1-1/pin, made"},
		// ends on Wednesday 2 December: the truck of Friday 4 December 15:00 + 3.5 h.
		{"sawn in the sister plant", "saw", [3]string{"saw-1", "12-02T06:00", "12-02T08:00"}, nil, KitPlanned, "job 1-1-1/pin, there Fri 4 Dec 18:30"},
		{"not planned", "night", [3]string{}, nil, KitShort, "job 1-1-1/pin, there not known"},
	}
	for _, tt := range tests {
		b := works()
		b.Work = tt.work
		kits := lay(t, b, pins(tt.centre), append(assemblySlots[:2:2], tt.slot)...).kits()
		if len(kits) != 1 || kits[0].State != tt.state || kits[0].Lines[0].Source != tt.source {
			t.Errorf("%s: %+v, want %s, %q", tt.name, kits, tt.state, tt.source)
		}
	}
}

// A kit is ready when the last of its parts is: of days 12, 14, 16, 13 and 15 that is day 16, and assembly begins then at the
// earliest (common practice).
func TestKitReady(t *testing.T) {
	r := asked(needs.Op{Name: "assemble", Run: 4 * hour, Centre: "night"})
	r.Units[0].Due = at("2026-12-31T16:00")
	for _, day := range []plant.Time{12, 14, 16, 13, 15} {
		consume(r, 0, "hose", one(needs.FromReceipt, now+day*24*3600))
	}
	s := lay(t, works(), r)
	plan, err := search.Run(context.Background(), s.p, search.Options{Seed: 1, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	s.plan = plan
	kit := s.sound(t).kits()[0]
	if want := now + 16*24*3600; kit.Comes != want || kit.Due != want || kit.State != KitPlanned {
		t.Errorf("ready on day %d, begins on day %d, %s", (kit.Comes-now)/24/3600, (kit.Due-now)/24/3600, kit.State)
	}
}

// What is over has no kit; kits come in the order in which they are due.
func TestKitsInOrder(t *testing.T) {
	r := asked(needs.Op{Run: hour}, needs.Op{Run: hour}, needs.Op{Run: hour}, needs.Op{Run: hour})
	for _, op := range []int{0, 1, 2} {
		consume(r, op, "hose", one(needs.FromStock, now))
	}
	b := works()
	b.Work = []stock.Work{{Job: "1-1-1/grab", Seq: 10, State: stock.Done, Station: "bench-1", Start: "2026-11-24T06:00", End: "2026-11-24T07:00"}}
	s := lay(t, b, r, [3]string{}, [3]string{"bench-1", "11-26T08:00", "11-26T09:00"}, [3]string{"bench-1", "11-26T06:00", "11-26T07:00"})
	var ops []int
	for _, k := range s.kits() {
		ops = append(ops, k.Op)
	}
	same(t, "operations", ops, []int{2, 1})
}

// Shorts of a job made to stock name the units that its pieces go into, through other jobs made to stock too.
func TestShorts(t *testing.T) {
	r := asked(needs.Op{Name: "assemble", Run: 8 * hour})
	r.Units = append(r.Units, needs.Unit{ID: "2-1-1", Class: "standard", Plant: "brackwater", Due: at("2026-12-03T16:00")})
	add(r, needs.Job{ID: "2-1-1/grab", Unit: 1, Item: "grab", Plant: "brackwater", Pieces: 1, Parent: needs.None}, needs.Op{Name: "assemble", Run: 8 * hour})
	r.Units[1].Top = 1
	cyl := add(r, needs.Job{ID: "stock/cyl/1", Unit: needs.None, Item: "cyl", Plant: "brackwater", Pieces: 2, Parent: needs.None}, needs.Op{Name: "fit", Centre: "night", Run: 4 * hour})
	rod := add(r, needs.Job{ID: "stock/rod/1", Unit: needs.None, Item: "rod", Plant: "brackwater", Pieces: 2, Parent: cyl}, needs.Op{Name: "turn", Centre: "night", Run: 2 * hour, Nature: product.Attended})
	from := func(job int) needs.Cover { return needs.Cover{Kind: needs.FromJob, Job: job, Qty: plant.Pieces(1)} }
	consume(r, 0, "cyl", from(cyl))
	consume(r, 1, "cyl", from(cyl))
	consume(r, 2, "rod", from(rod))
	late := one(needs.FromPurchase, at("2026-12-05T06:00"))
	late.Qty = plant.Pieces(3)
	consume(r, 3, "plate", one(needs.FromStock, now), late)
	consume(r, 0, "hose", one(needs.FromPurchase, at("2026-12-04T09:00")))

	//	Wed 2 Dec                        Thu 3 Dec            Fri 4 Dec
	//	06 |rod| 08 |cyl        | 12     06 |2-1-1     | 14    06 |1-1-1     | 14
	s := lay(t, works(), r, [3]string{"bench-1", "12-04T06:00", "12-04T14:00"}, [3]string{"bench-1", "12-03T06:00", "12-03T14:00"},
		[3]string{"night-1", "12-02T08:00", "12-02T12:00"}, [3]string{"night-1", "12-02T06:00", "12-02T08:00"})
	// Latest begins: unit 2 is due Thursday 16:00, the bench closes at 14:00: assembly 06:00; cylinders 06:00 - 4 h = 02:00 at
	// night; rods 02:00 - 2 h = midnight. Unit 1 could take them a day later. Its own assembly: Friday 06:00.
	want := []Short{
		{Item: "plate", Plant: "brackwater", Qty: plant.Pieces(3), Op: 3, Wanted: at("2026-12-03T00:00"), Comes: at("2026-12-05T06:00"),
			Source: "; to be bought, there Sat 5 Dec 06:00 if ordered now", Units: []plant.UnitID{"1-1-1", "2-1-1"}},
		{Item: "hose", Plant: "brackwater", Qty: plant.Pieces(1), Op: 0, Wanted: at("2026-12-04T06:00"), Comes: at("2026-12-04T09:00"),
			Source: "to be bought, there Fri 4 Dec 09:00 if ordered now", Units: []plant.UnitID{"1-1-1"}},
	}
	want[0].Source = "lot " + want[0].Source
	same(t, "shorts", s.shorts(), want)
}
