package needs_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

var now = at("2026-11-25T06:00")

func at(s string) plant.Time {
	t, err := time.ParseInLocation("2006-01-02T15:04", s, time.UTC)
	if err != nil {
		panic(err)
	}
	return plant.At(t)
}

// grabs is a small invented plant: a grab of opt.jaws jaws as a set, a head, an optional rotator, pins made to stock
// from bar, all painted; a sister plant cuts the plate kits.
func grabs() *book.Book {
	item := func(id, kind, policy, at string) product.Item {
		return product.Item{ID: plant.ItemID(id), Name: "the " + id, Kind: kind, Unit: "ea", Plant: plant.ID(at), Policy: policy, Lead: 10, Lot: "as needed"}
	}
	op := func(id string, seq int, centre, nature, run string) product.Op {
		return product.Op{Item: plant.ItemID(id), Seq: seq, Name: fmt.Sprintf("work %d", seq), Centre: plant.CentreID(centre), Nature: nature, Closed: "pause", Run: plant.Formula(run)}
	}
	b := &book.Book{
		Plants:   []plant.Plant{{ID: "main", Name: "Main works", TimeZone: "UTC"}, {ID: "cuts", Name: "Plate shop", TimeZone: "UTC"}},
		Transits: []plant.Transit{{From: "cuts", To: "main", Days: "all", Departs: 900, Hours: 4}},
		Centres: []plant.Centre{{ID: "bench", Name: "Benches", Plant: "main", Takes: "one"},
			{ID: "rack", Name: "Racks", Plant: "main", Takes: "places", Capacity: "places"},
			{ID: "cutter", Name: "Cutters", Plant: "cuts", Takes: "one"}},
		Stations: []plant.Station{{ID: "bench-1", Centre: "bench", Capacity: 1000}, {ID: "rack-1", Centre: "rack", Capacity: 6000},
			{ID: "cutter-1", Centre: "cutter", Capacity: 1000}},
		Items: []product.Item{item("grab", "made", "unit", "main"), item("jaw-3", "made", "unit", "main"),
			item("jaw-4", "made", "unit", "main"), item("head", "made", "unit", "main"), item("rotator", "bought", "unit", "main"),
			item("pin", "made", "stock", "main"), item("bar", "bar", "unit", "main"), item("kit", "made", "stock", "cuts"), item("plate", "bought", "unit", "cuts")},
		Options: []product.Option{{Product: "grab", Option: "jaws", Kind: "number", Values: "3|4", Default: "4"},
			{Product: "grab", Option: "rotator", Kind: "yes-no", Default: "no"},
			{Product: "grab", Option: "colour", Kind: "choice", Values: "red|blue", Default: "red"}},
		Rules:      []product.Rule{{Product: "grab", Rule: "blue-three", Must: "opt.colour != 'blue' || opt.jaws == 3", Says: "Blue is for three jaws only."}},
		Attributes: []product.Attribute{{Item: "jaw-3", Name: "weld_m", Value: "5"}, {Item: "jaw-4", Name: "weld_m", Value: "4"}},
		Ops: []product.Op{op("grab", 10, "bench", "attended", "60 + 30 * opt.jaws"), op("grab", 20, "bench", "attended", "45"),
			op("jaw-3", 10, "bench", "attended", "item.weld_m * 6"), op("jaw-4", 10, "bench", "attended", "item.weld_m * 6"),
			op("jaw-3", 20, "rack", "dwell", "240"), op("jaw-4", 20, "rack", "dwell", "240"),
			op("head", 10, "bench", "attended", "90"), op("pin", 10, "bench", "tended", "12"), op("kit", 10, "cutter", "tended", "20")},
		Parts: []product.Part{{Parent: "grab", Line: 10, Component: "jaw-{opt.jaws}", Quantity: "opt.jaws", Op: 10, Set: true},
			{Parent: "grab", Line: 20, Component: "head", Quantity: "1", Op: 10},
			{Parent: "grab", Line: 30, Component: "pin", Quantity: "2 * opt.jaws", Op: 10},
			{Parent: "grab", Line: 40, Component: "rotator", Quantity: "1", Op: 20, When: "opt.rotator"},
			{Parent: "jaw-3", Line: 10, Component: "kit", Quantity: "1", Op: 10}, {Parent: "jaw-4", Line: 10, Component: "kit", Quantity: "1", Op: 10},
			{Parent: "pin", Line: 10, Component: "bar", Quantity: "0.25"}, {Parent: "kit", Line: 10, Component: "plate", Quantity: "0.5"}},
		Classes: []order.Class{{ID: "standard", Late: 40000}, {ID: "rush", Late: 90000}},
		Orders:  []order.Order{{ID: "1042", Customer: "Harbour yard", Plant: "main", Class: "standard"}, {ID: "1043", Customer: "Quarry", Plant: "main", Class: "rush"}},
		Lines: []order.Line{{Order: "1042", Line: 1, Product: "grab", Quantity: 1, Due: "2026-12-14T16:00", Options: "jaws=4; rotator=yes"},
			{Order: "1043", Line: 1, Product: "grab", Quantity: 2, Due: "2026-12-10T16:00", Options: "jaws=3"}},
	}
	return b
}

func index(t rapid.TB, b *book.Book) *book.Index {
	t.Helper()
	ix, err := book.NewIndex(b)
	if err != nil {
		t.Fatal(err)
	}
	return ix
}

func run(t testing.TB, b *book.Book) *needs.Result {
	t.Helper()
	return explodeAt(t, b, now)
}

// jobs lists every job as "id x pieces".
func jobs(r *needs.Result) []string {
	var out []string
	for _, j := range r.Jobs {
		out = append(out, fmt.Sprintf("%s x%d", j.ID, j.Pieces))
	}
	return out
}

// covers lists the covers of every demand as "job: item qty = cover, cover".
func covers(r *needs.Result) []string {
	var out []string
	for _, d := range r.Demands {
		var cs []string
		for _, c := range d.Covers {
			source := string(c.Lot) + string(c.Receipt)
			if c.Job != needs.None {
				source = string(r.Jobs[c.Job].ID)
			}
			cs = append(cs, strings.TrimSpace(fmt.Sprintf("%s %s %s", c.Kind, c.Qty, source)))
		}
		out = append(out, fmt.Sprintf("%s: %s %s = %s", r.Jobs[d.Job].ID, d.Item, d.Qty, strings.Join(cs, ", ")))
	}
	return out
}

func same(t *testing.T, what string, want, got any) {
	t.Helper()
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s (-want +got):\n%s", what, d)
	}
}

// Worked by hand from the book above. 1043 is due first. Pins: 6 + 6 for 1043, wanted on the same day, and 8 for 1042
// later. Kits: 3 + 3 and 4. Bar: 12 x 0.25 = 3 and 8 x 0.25 = 2.
func TestUnitTrees(t *testing.T) {
	r := run(t, grabs())
	same(t, "jobs", []string{
		"1043-1-1/grab x1", "1043-1-1/jaw-3 x3", "1043-1-1/head x1",
		"1043-1-2/grab x1", "1043-1-2/jaw-3 x3", "1043-1-2/head x1",
		"1042-1-1/grab x1", "1042-1-1/jaw-4 x4", "1042-1-1/head x1",
		"stock/pin/1 x12", "stock/pin/2 x8", "stock/kit/1 x6", "stock/kit/2 x4"}, sorted(jobs(r)))
	same(t, "covers of 1042", []string{
		"1042-1-1/grab: jaw-4 4 = job 4 1042-1-1/jaw-4", "1042-1-1/grab: head 1 = job 1 1042-1-1/head",
		"1042-1-1/grab: pin 8 = job 8 stock/pin/2", "1042-1-1/grab: rotator 1 = purchase 1",
		"1042-1-1/jaw-4: kit 4 = job 4 stock/kit/2"}, having(covers(r), "1042-"))
	same(t, "bar", []string{"stock/pin/1: bar 3 = purchase 3", "stock/pin/2: bar 2 = purchase 2"}, having(covers(r), "stock/pin"))

	top := r.Jobs[r.Units[2].Top]
	// 60 + 30 x 4 = 180 min; jaws weld 4 m at 6 min = 24 min a piece, and need 4 places on the rack.
	if op := r.Ops[top.Ops[0]]; op.Run != 180*60 || len(op.Demands) != 3 {
		t.Errorf("assembly of 1042: run %v, %d parts at operation 10; want 180 min, 3 parts", op.Run, len(op.Demands))
	}
	jaw := r.Jobs[1+r.Units[2].Top]
	if weld, dry := r.Ops[jaw.Ops[0]], r.Ops[jaw.Ops[1]]; weld.Run != 24*60 || dry.Size != plant.Pieces(4) || !jaw.Set {
		t.Errorf("jaws of 1042: run %v, size %v, set %v", weld.Run, dry.Size, jaw.Set)
	}
	same(t, "options", map[plant.OptionID]string{"jaws": "4", "rotator": "yes", "colour": "red"}, r.Units[2].Options)
}

// sorted puts jobs made to stock last, as they were made, and items of one kind together: kits are netted before pins
// or after, as their low-level codes are equal.
func sorted(ids []string) []string {
	var units, pins, rest []string
	for _, id := range ids {
		switch {
		case strings.HasPrefix(id, "stock/pin"):
			pins = append(pins, id)
		case strings.HasPrefix(id, "stock/"):
			rest = append(rest, id)
		default:
			units = append(units, id)
		}
	}
	return append(append(units, pins...), rest...)
}

func having(lines []string, part string) []string {
	var out []string
	for _, l := range lines {
		if strings.HasPrefix(l, part) {
			out = append(out, l)
		}
	}
	return out
}

// Two lots of pins, the older first; a receipt that comes late; safety stock of 2 in the first lot. 12 pins for 1043:
// lot L-1 has 5, 2 of them kept, so 3 come from it, 4 from L-2, 5 from the receipt of 6; the last of it goes to 1042.
func TestStockAndReceipts(t *testing.T) {
	b := grabs()
	b.Items[5].Safety = plant.Pieces(2)
	b.Lots = []stock.Lot{{ID: "L-2", Item: "pin", Plant: "main", Quantity: plant.Pieces(4), Received: "2026-11-10"},
		{ID: "L-1", Item: "pin", Plant: "main", Quantity: plant.Pieces(5), Received: "2026-11-02", Heat: "H-9"}}
	b.Receipts = []stock.Receipt{{ID: "PO-7", Item: "pin", Plant: "main", Quantity: plant.Pieces(6), Expected: "2026-12-20T10:00"},
		{ID: "PO-8", Item: "rotator", Plant: "main", Quantity: plant.Pieces(1), Expected: "2026-11-26T10:00"},
		{ID: "PO-9", Item: "rotator", Plant: "main", Quantity: plant.Pieces(1), Expected: "2026-11-27T10:00"}}
	r := run(t, b)
	same(t, "pins", []string{
		"1043-1-1/grab: pin 6 = stock 3 L-1, stock 3 L-2", "1043-1-2/grab: pin 6 = stock 1 L-2, receipt 5 PO-7",
		"1042-1-1/grab: pin 8 = receipt 1 PO-7, job 7 stock/pin/1"}, only(covers(r), ": pin "))
	kinds := map[plant.ReceiptID]string{}
	for _, a := range r.Actions {
		if a.Receipt != "" {
			kinds[a.Receipt] = a.Kind + " " + fmt.Sprint(a.For)
		}
	}
	// PO-8 comes two weeks before the rotator is wanted, PO-9 is wanted by nobody.
	same(t, "receipts to move", map[plant.ReceiptID]string{"PO-7": "expedite [1043-1-2 1042-1-1]", "PO-8": "defer [1042-1-1]", "PO-9": "defer []"}, kinds)
}

// A receipt that should have come already is asked for, however early it was.
func TestOverdueReceiptIsAskedFor(t *testing.T) {
	b := grabs()
	b.Receipts = []stock.Receipt{{ID: "PO-8", Item: "rotator", Plant: "main", Quantity: plant.Pieces(1), Expected: "2020-11-26T10:00"}}
	for _, a := range run(t, b).Actions {
		if a.Receipt == "PO-8" {
			same(t, "PO-8", []string{a.Kind, a.Reason}, []string{needs.Expedite, "PO-8 was expected Thu 26 Nov 2020 and has not come: ask for a new date"})
			return
		}
	}
	t.Error("nothing is done about PO-8")
}

func only(lines []string, part string) []string {
	var out []string
	for _, l := range lines {
		if strings.Contains(l, part) {
			out = append(out, l)
		}
	}
	return out
}

// A released job keeps its number and pieces and covers the first needs; new ones are numbered after it.
func TestReleasedJobs(t *testing.T) {
	b := grabs()
	b.Items[5].Scrap = 10 // 10 pins started give 9 good ones; 11 more are short: 3 for 1043 and 8 for 1042
	b.Releases = []stock.Release{{Job: "stock/pin/7", Item: "pin", Pieces: 10}}
	r := run(t, b)
	same(t, "jobs", []string{"stock/pin/7 x10", "stock/pin/8 x4", "stock/pin/9 x9"}, having(jobs(r), "stock/pin"))
	same(t, "pins", []string{"1043-1-1/grab: pin 6 = job 6 stock/pin/7", "1043-1-2/grab: pin 6 = job 3 stock/pin/7, job 3 stock/pin/8",
		"1042-1-1/grab: pin 8 = job 8 stock/pin/9"}, only(covers(r), ": pin "))
}

// What the floor has begun has taken its parts, and jobs below that the floor knows nothing of are over.
func TestWorkOnTheFloor(t *testing.T) {
	b := grabs()
	b.Work = []stock.Work{{Job: "1042-1-1/grab", Seq: 10, State: "running", Station: "bench-1", Start: "2026-11-25T05:00", End: "2026-11-25T09:00"},
		{Job: "1042-1-1/head", Seq: 10, State: "done", Station: "bench-1", Start: "2026-11-24T05:00", End: "2026-11-24T09:00"}}
	r := run(t, b)
	same(t, "jobs", []string{"1042-1-1/grab x1", "1042-1-1/head x1"}, having(jobs(r), "1042"))
	same(t, "covers", []string{"1042-1-1/grab: jaw-4 4 = issued 4", "1042-1-1/grab: head 1 = issued 1", "1042-1-1/grab: pin 8 = issued 8",
		"1042-1-1/grab: rotator 1 = purchase 1"}, having(covers(r), "1042"))
	if got := having(jobs(r), "stock/pin"); len(got) != 1 {
		t.Errorf("pins are made for 1042 although it has them: %v", got)
	}
}

// A rack holds 6: 14 heads dry in three jobs. A set of 4 jaws cannot be split over a rack of 3.
func TestBatchLimits(t *testing.T) {
	b := grabs()
	b.Parts[1].Quantity = "14"
	b.Ops = append(b.Ops, product.Op{Item: "head", Seq: 20, Name: "dry", Centre: "rack", Nature: "dwell", Run: "60"})
	b.Lines = b.Lines[:1]
	r := run(t, b)
	same(t, "heads", []string{"1042-1-1/head x5", "1042-1-1/head+2 x5", "1042-1-1/head+3 x4"}, having(jobs(r), "1042-1-1/head"))
	same(t, "cover", []string{"1042-1-1/grab: head 14 = job 5 1042-1-1/head, job 5 1042-1-1/head+2, job 4 1042-1-1/head+3"}, only(covers(r), ": head "))

	b.Stations[1].Capacity = plant.Pieces(3)
	_, err := needs.Explode(index(t, b), now)
	want := "operations row 7, size: the set of 4 jaw-4 needs 4 places at operation 20 (work 20), the largest station of Racks takes 3"
	if err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v\nwant %s ...", err, want)
	}
}

// Finished stock of an item that no option changes is drawn before anything is made; of one that options change it is not.
func TestFinishedStock(t *testing.T) {
	b := grabs()
	b.Lots = []stock.Lot{{ID: "L-1", Item: "head", Plant: "main", Quantity: plant.Pieces(2)}, {ID: "L-2", Item: "grab", Plant: "main", Quantity: plant.Pieces(1)}}
	r := run(t, b)
	same(t, "heads", []string{"1043-1-1/grab: head 1 = stock 1 L-1", "1043-1-2/grab: head 1 = stock 1 L-1", "1042-1-1/grab: head 1 = job 1 1042-1-1/head"}, only(covers(r), ": head "))
	b.Ops[6].Run = "90 + opt.jaws"
	if got := only(covers(run(t, b)), "stock 1 L-1"); got != nil {
		t.Errorf("heads that depend on options came from stock: %v", got)
	}
}

func TestTransfers(t *testing.T) {
	b := grabs()
	b.Lots = []stock.Lot{{ID: "K-1", Item: "kit", Plant: "main", Quantity: plant.Pieces(1)}, {ID: "K-2", Item: "kit", Plant: "cuts", Quantity: plant.Pieces(2)}}
	r := run(t, b)
	same(t, "kits", []string{"1043-1-1/jaw-3: kit 3 = stock 1 K-1, stock 2 K-2", "1043-1-2/jaw-3: kit 3 = job 3 stock/kit/1", "1042-1-1/jaw-4: kit 4 = job 4 stock/kit/2"}, only(covers(r), ": kit "))
	var sent plant.Qty
	for _, a := range r.Actions {
		if a.Kind == needs.Transfer {
			sent += a.Qty
			if a.From != "cuts" || a.Plant != "main" || len(a.For) == 0 {
				t.Errorf("transfer %+v", a)
			}
		}
	}
	if sent != plant.Pieces(9) { // 10 kits less the one that lies here
		t.Errorf("sent %v; want 9", sent)
	}
}

// All faults come at once, each with its row.
func TestFaults(t *testing.T) {
	b := grabs()
	b.Lines[0].Options = "colour=blue"
	b.Lines = append(b.Lines, order.Line{Order: "1043", Line: 2, Product: "grab", Quantity: 1, Due: "2026-12-10T16:00", Options: "jaws=5"})
	b.Ops[2].Run = "item.weld_mm * 6"
	b.Parts[6].Component = "bar-{opt.jaws}"
	_, err := needs.Explode(index(t, b), now)
	if err == nil {
		t.Fatal("no fault")
	}
	for _, want := range []string{"lines row 2, options: Blue is for three jaws only.", "lines row 4, options", "operations row 4, run", "parts row 8, component"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("no fault says %q in:\n%v", want, err)
		}
	}
}

func TestArithmetic(t *testing.T) {
	b := grabs()
	ix := index(t, b)
	r := run(t, b)
	jaw := r.Jobs[1+r.Units[2].Top]
	x, err := needs.Arithmetic(ix, r, jaw.Ops[0], "run")
	if err != nil || x.Number != 24 || x.Formula != "item.weld_m * 6" {
		t.Errorf("run of the jaws: %+v, %v; want 24", x, err)
	}
	if x, err := needs.Arithmetic(ix, r, jaw.Ops[0], "size"); err != nil || x.Number != 1 {
		t.Errorf("size of the jaws: %+v, %v; want 1", x, err)
	}
	top := r.Jobs[r.Units[2].Top]
	if x, err := needs.PartArithmetic(ix, r, top.Demands[2]); err != nil || x.Number != 8 {
		t.Errorf("pins: %+v, %v; want 8", x, err)
	}
	if _, err := needs.Arithmetic(ix, r, len(r.Ops), "run"); err == nil {
		t.Error("no fault for an operation that is not there")
	}
	if _, err := needs.Arithmetic(ix, r, 0, "colour"); err == nil {
		t.Error("no fault for an unknown column")
	}
}
