package dispatch_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tackline/book"
	"tackline/dispatch"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

func same(t *testing.T, what string, want, got any) {
	t.Helper()
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s (-want +got):\n%s", what, d)
	}
}

func (w *world) kits() []dispatch.Kit { return dispatch.Kits(w.ix, w.r, w.p, w.plan) }

// lines shows the kit of an operation, a part a line.
func (w *world) lines(op string) (out []string) {
	for _, k := range w.kits() {
		if k.Op != w.op(op) {
			continue
		}
		out = append(out, fmt.Sprint("kit ", k.State))
		for _, l := range k.Lines {
			out = append(out, fmt.Sprintf("%s %s %s: %s, %s", l.Qty, l.Unit, l.Name, l.State, l.Source))
		}
	}
	return out
}

// The test must begin by 12:30 to be over at 13:30, so assembly by 10:30: the seal of 10:00 is in time, if later than
// promised. The hose ordered today comes in 3 days, on Saturday 06:00.
func TestKitsOfABook(t *testing.T) {
	w := planned(t, shop(), plan)
	same(t, "assembly", []string{"kit planned", "1 ea the head: planned, job 1-1-1/head, there Thu 26 Nov 07:00",
		"4 ea the seal: planned, PO-1, expected Mon 30 Nov 10:00, late by 3 days", "8 ea the bolt: complete, lot L-1, rack B4",
		"2 ea the hose: planned, to be bought, there Sat 28 Nov 06:00 if ordered now"}, w.lines("assembly"))
	same(t, "weld", []string{"kit planned", "1 ea the plates: planned, job stock/plates/1, there Wed 25 Nov 19:00"}, w.lines("weld"))
	same(t, "nothing is consumed at the test", []string(nil), w.lines("test"))
	same(t, "nothing is short", []dispatch.Short(nil), dispatch.Shorts(w.ix, w.r, w.p, w.plan))
}

// Due at 12:00 instead, assembly must begin by 9:00 and the seal of 10:00 is short; the hose of Saturday is not.
func TestShortsOfABook(t *testing.T) {
	b := shop()
	b.Lines[0].Due = "2026-11-30T12:00"
	w := planned(t, b, plan)
	same(t, "shorts", []dispatch.Short{{Item: "seal", Plant: "main", Qty: plant.Pieces(4), Op: w.op("assembly"), Wanted: at("2026-11-30T09:00"),
		Comes: at("2026-11-30T10:00"), Source: "PO-1, expected Mon 30 Nov 10:00, late by 3 days", Units: []plant.UnitID{"1-1-1"}}},
		dispatch.Shorts(w.ix, w.r, w.p, w.plan))
	same(t, "kit", "kit short", w.lines("assembly")[0])
}

// A late receipt that covers half of a need leaves only that half short.
func TestShortQuantityOfABook(t *testing.T) {
	b := shop()
	b.Lines[0].Due = "2026-11-30T12:00"
	b.Lots = append(b.Lots, stock.Lot{ID: "L-2", Item: "seal", Plant: "main", Quantity: plant.Pieces(1)})
	w := planned(t, b, plan)
	shorts := dispatch.Shorts(w.ix, w.r, w.p, w.plan)
	if len(shorts) != 1 || shorts[0].Qty != plant.Pieces(3) {
		t.Errorf("shorts %+v; want 3 seals", shorts)
	}
}

// An assembly can begin at the latest of its parts, not at their mean: parts of days 12, 14, 16, 13, 15 make it begin on
// day 16 (arithmetic from the definition).
func TestKitComesWithItsLastPart(t *testing.T) {
	b := shop()
	b.Parts, b.Receipts = b.Parts[4:], nil
	for i, day := range []int{12, 14, 16, 13, 15} {
		id := fmt.Sprint("part-", i)
		b.Items = append(b.Items, product.Item{ID: plant.ItemID(id), Name: id, Kind: "bought", Unit: "ea", Plant: "main"})
		b.Parts = append(b.Parts, product.Part{Parent: "grab", Line: i, Component: plant.Pattern(id), Quantity: "1", Op: 10})
		b.Receipts = append(b.Receipts, stock.Receipt{ID: plant.ReceiptID(id), Item: plant.ItemID(id), Plant: "main", Quantity: 1000,
			Expected: plant.Wall(fmt.Sprintf("2026-12-%02dT06:00", day))})
	}
	b.Lines[0].Due = "2026-12-16T09:00"
	w := planned(t, b, map[string]string{"cut": plan["cut"], "weld": plan["weld"], "assembly": "2026-12-16T06:00 2026-12-16T08:00", "test": "2026-12-16T08:00 2026-12-16T09:00"})
	latest := plant.Time(0)
	for _, k := range w.kits() {
		for _, l := range k.Lines {
			latest = max(latest, l.Comes)
		}
	}
	same(t, "the last part", at("2026-12-16T06:00"), latest)
	same(t, "begin for material", w.p.Ops[w.op("assembly")].Earliest, latest)
	same(t, "shorts", 0, len(dispatch.Shorts(w.ix, w.r, w.p, w.plan)))
}

// blocks lists what keeps an operation from starting: "what | who clears it | until".
func (w *world) blocks(op string) (out []string, ready bool) {
	for _, list := range dispatch.RunLists(w.ix, w.r, w.p, w.plan, w.kits()) {
		for _, run := range list.Runs {
			if run.Op != w.op(op) {
				continue
			}
			ready = run.Ready
			for _, b := range run.Blocks {
				until := "?"
				if b.Until != 0 {
					until = b.Until.In(w.ix.Zone("main")).Format("Mon 15:04")
				}
				out = append(out, b.What+" | "+b.Clears+" | "+until)
			}
		}
	}
	return out, ready
}

func (w *world) checkBlocks(t *testing.T, op string, want ...string) {
	t.Helper()
	got, ready := w.blocks(op)
	same(t, "what blocks "+op, want, got)
	if ready != (len(want) == 0) {
		t.Errorf("%s: ready %v with blocks %q", op, ready, got)
	}
}

func TestRunListsOfABook(t *testing.T) {
	b := shop()
	b.Ops[0].Hold = true
	w := planned(t, b, plan)
	w.checkBlocks(t, "cut")
	w.checkBlocks(t, "weld", "waits for cut of job stock/plates/1 on Cutter 1 | Cutter 1 | Wed 19:00", "program WH-1 not approved | programming | Thu 00:00")
	w.checkBlocks(t, "assembly", "waits for weld of job 1-1-1/head on Weld bay 1 | Weld bay 1 | Thu 07:00",
		"waits for the seal (PO-1, expected Mon 30 Nov 10:00, late by 3 days) | materials | Mon 10:00",
		"waits for the hose (to be bought, there Sat 28 Nov 06:00 if ordered now) | materials | Sat 06:00")
	w.checkBlocks(t, "test", "waits for assembly on Bench 1 | Bench 1 | Mon 12:00",
		"hold point: assembly of job 1-1-1/grab must be signed | quality | Mon 12:00")

	var order []string
	for _, list := range dispatch.RunLists(w.ix, w.r, w.p, w.plan, w.kits()) {
		for i, run := range list.Runs {
			if run.Slot != i {
				t.Errorf("%s: entry %d has slot %d", list.Station, i, run.Slot)
			}
			order = append(order, string(list.Station)+": "+w.r.Ops[run.Op].Name+", "+run.Kit)
		}
	}
	same(t, "run lists", []string{"bench-1: assembly, planned", "bench-1: test, no kit", "weld-1: weld, planned", "cutter-1: cut, no kit"}, order)
}

// Stations down, people away, holds and drawings: each with who clears it.
func TestBlocksOfABook(t *testing.T) {
	later := map[string]string{"cut": "2026-11-25T09:00 2026-11-25T09:30", "weld": plan["weld"], "assembly": plan["assembly"], "test": plan["test"]}
	cases := []struct {
		name   string
		change func(*book.Book)
		want   string
	}{
		{"down", func(b *book.Book) {
			b.Exceptions = []plant.Exception{{Station: "cutter-1", From: "2026-11-24T12:00", To: "2026-11-25T08:00", Kind: "down", Reason: "torch"}}
		}, "Cutter 1 is down: torch | maintenance | Wed 08:00"},
		{"maintenance", func(b *book.Book) {
			b.Exceptions = []plant.Exception{{Station: "cutter-1", From: "2026-11-25T06:00", To: "2026-11-25T08:00", Kind: "maintenance"}}
		}, "Cutter 1 is in maintenance | maintenance | Wed 08:00"},
		{"overtime given after it was down", func(b *book.Book) {
			b.Exceptions = []plant.Exception{{Station: "cutter-1", From: "2026-11-24T12:00", To: "2026-11-25T08:00", Kind: "down"},
				{Station: "cutter-1", From: "2026-11-25T06:00", To: "2026-11-25T09:00", Kind: "overtime"}}
		}, ""},
		{"nobody there", func(b *book.Book) {
			b.Absences = []plant.Absence{{Person: "p-1", From: "2026-11-25T00:00", To: "2026-11-25T09:00"}}
		}, "waits for crew: 0 of 1 of Cutters are free | manager | Wed 09:00"},
		{"two needed, one there", func(b *book.Book) {
			b.People = append(b.People, plant.Person{ID: "p-2", Name: "B", Pool: "cutters", Calendar: "cuts"})
			b.Absences = []plant.Absence{{Person: "p-1", From: "2026-11-25T00:00", To: "2026-11-25T07:30"}}
			b.Crews[0].Heads = 2
		}, "waits for crew: 1 of 2 of Cutters are free | manager | Wed 07:30"},
		{"held", func(b *book.Book) {
			b.Work = []stock.Work{{Job: "stock/plates/1", Seq: 10, State: "held", End: "2026-11-25T08:30", Note: "wrong plate"}}
		}, "held: wrong plate | quality | Wed 08:30"},
		{"drawing", func(b *book.Book) {
			b.Ops[3].Drawing = "D-1"
			b.Drawings = []product.Drawing{{ID: "D-1", Revision: "B"}}
		}, "drawing D-1 not approved | drawing office | ?"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := shop()
			c.change(b)
			w := planned(t, b, later)
			if c.want == "" {
				w.checkBlocks(t, "cut")
			} else {
				w.checkBlocks(t, "cut", c.want)
			}
		})
	}
}

// What runs keeps its crew and has no blocks; what needs the same man waits for him.
func TestRunningWorkOfABook(t *testing.T) {
	b := shop()
	b.Lines[0].Quantity = 2
	b.Items[2].Lot, b.Items[2].LotQty = "fixed", plant.Pieces(1) // two jobs of plates
	b.Stations = append(b.Stations, b.Stations[2])
	b.Stations[3].ID, b.Stations[3].Name = "cutter-2", "Cutter 2"
	b.Work = []stock.Work{{Job: "stock/plates/1", Seq: 10, State: "running", Station: "cutter-2", Start: "2026-11-25T05:45", End: "2026-11-25T06:15"}}
	w := laid(t, b)
	first, second := w.of("stock/plates/1"), w.of("stock/plates/2")
	w.put(second, 2, "2026-11-25T06:15", "2026-11-25T06:45")
	for _, list := range dispatch.RunLists(w.ix, w.r, w.p, w.plan, w.kits()) {
		for _, run := range list.Runs {
			switch run.Op {
			case first:
				if run.Blocks != nil || run.End != at("2026-11-25T06:15") || list.Station != "cutter-2" {
					t.Errorf("running: %+v on %s", run, list.Station)
				}
			case second:
				same(t, "the second", []dispatch.Block{{What: "waits for crew: 0 of 1 of Cutters are free", Clears: "Cutters", Until: at("2026-11-25T06:15")}}, run.Blocks)
			}
		}
	}
}
