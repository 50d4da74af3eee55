package needs_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// drawBook makes an odd plant out of grabs: other lines, stock, receipts, lot rules, scrap, work on the floor.
func drawBook(t *rapid.T) *book.Book {
	b := grabs()
	b.Parts[1].Quantity = "3"
	b.Ops = append(b.Ops, product.Op{Item: "head", Seq: 20, Name: "dry", Centre: "rack", Nature: "dwell", Run: "60", Size: "2"})
	b.Lines = nil
	for i := rapid.IntRange(1, 5).Draw(t, "lines"); i > 0; i-- {
		b.Lines = append(b.Lines, order.Line{Order: rapid.SampledFrom([]plant.OrderID{"1042", "1043"}).Draw(t, "order"), Line: i, Product: "grab",
			Quantity: rapid.IntRange(1, 3).Draw(t, "quantity"), Due: plant.Wall(fmt.Sprintf("2026-12-%02dT16:00", rapid.IntRange(1, 28).Draw(t, "day"))),
			Options:  order.Choices(fmt.Sprintf("jaws=%d; rotator=%s", rapid.IntRange(3, 4).Draw(t, "jaws"), rapid.SampledFrom([]string{"yes", "no"}).Draw(t, "rotator"))),
			Priority: rapid.IntRange(0, 1).Draw(t, "priority")})
	}
	for i := range b.Items {
		it := &b.Items[i]
		it.Scrap = rapid.SampledFrom([]float64{0, 0, 5, 30}).Draw(t, "scrap")
		if it.Product || it.Kind == "made" && it.Policy == "unit" {
			it.Scrap = 0
			if it.ID == "head" {
				it.Scrap = 25
			}
			continue
		}
		it.Lot = rapid.SampledFrom([]string{"as needed", "fixed", "minimum"}).Draw(t, "rule")
		it.LotQty = plant.Pieces(rapid.IntRange(0, 9).Draw(t, "lot"))
		it.Multiple = plant.Pieces(rapid.IntRange(0, 4).Draw(t, "multiple"))
		it.Safety = plant.Pieces(rapid.IntRange(0, 4).Draw(t, "safety"))
	}
	id := func() plant.ItemID {
		return rapid.SampledFrom([]plant.ItemID{"pin", "bar", "kit", "plate", "rotator", "head"}).Draw(t, "item")
	}
	works := rapid.SampledFrom([]plant.ID{"main", "cuts"})
	for i := rapid.IntRange(0, 5).Draw(t, "lots"); i > 0; i-- {
		b.Lots = append(b.Lots, stock.Lot{ID: plant.LotID(fmt.Sprint("L-", i)), Item: id(), Plant: works.Draw(t, "plant"),
			Quantity: plant.Pieces(rapid.IntRange(0, 9).Draw(t, "quantity")), Received: plant.Date(fmt.Sprintf("2026-11-%02d", rapid.IntRange(1, 9).Draw(t, "received")))})
	}
	for i := rapid.IntRange(0, 4).Draw(t, "receipts"); i > 0; i-- {
		b.Receipts = append(b.Receipts, stock.Receipt{ID: plant.ReceiptID(fmt.Sprint("R-", i)), Item: id(), Plant: works.Draw(t, "plant"),
			Quantity: plant.Pieces(rapid.IntRange(1, 9).Draw(t, "quantity")), Expected: plant.Wall(fmt.Sprintf("2026-12-%02dT10:00", rapid.IntRange(1, 28).Draw(t, "expected")))})
	}
	if rapid.Bool().Draw(t, "released") {
		b.Releases = []stock.Release{{Job: "stock/pin/4", Item: "pin", Pieces: rapid.IntRange(1, 20).Draw(t, "pieces")}}
	}
	for i := rapid.IntRange(0, 3).Draw(t, "work"); i > 0; i-- {
		l := rapid.SampledFrom(b.Lines).Draw(t, "line")
		job := fmt.Sprintf("%s-%d-1/%s", l.Order, l.Line, rapid.SampledFrom([]string{"grab", "head", "jaw-4"}).Draw(t, "job"))
		b.Work = append(b.Work, stock.Work{Job: plant.JobID(job), Seq: 10, State: rapid.SampledFrom([]string{"done", "running", "held"}).Draw(t, "state")})
	}
	return b
}

func explodeAt(t rapid.TB, b *book.Book, now plant.Time) *needs.Result {
	t.Helper()
	r, err := needs.Explode(index(t, b), now)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Every demand is covered exactly; no lot, receipt or job gives more than it has; IDs are unique; references hold.
func TestCoversBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBook(t)
		r := explodeAt(t, b, now)
		checkBalance(t, b, r)
	})
}

func checkBalance(t *rapid.T, b *book.Book, r *needs.Result) {
	left := map[string]plant.Qty{}
	for _, l := range b.Lots {
		left["lot "+string(l.ID)] = l.Quantity
	}
	for _, rc := range b.Receipts {
		left["receipt "+string(rc.ID)] = rc.Quantity
	}
	seen := map[plant.JobID]bool{}
	for i, j := range r.Jobs {
		if left[fmt.Sprint("job ", i)] = plant.Pieces(j.Need); seen[j.ID] {
			t.Fatalf("job %s twice", j.ID)
		}
		seen[j.ID] = true
		if j.Parent >= i || j.Pieces < j.Need || len(j.Ops) == 0 {
			t.Fatalf("job %+v", j)
		}
	}
	for i, d := range r.Demands {
		if r.Ops[d.Op].Job != d.Job {
			t.Fatalf("demand %d stands at an operation of another job", i)
		}
		sum := plant.Qty(0)
		for _, c := range d.Covers {
			sum += c.Qty
			key := map[string]string{needs.FromStock: "lot " + string(c.Lot), needs.FromReceipt: "receipt " + string(c.Receipt), needs.FromJob: fmt.Sprint("job ", c.Job)}[c.Kind]
			if key != "" {
				if left[key] -= c.Qty; left[key] < 0 {
					t.Fatalf("%s is overdrawn", key)
				}
			}
			if c.Kind == needs.FromJob && r.Jobs[c.Job].Item != d.Item {
				t.Fatalf("demand %+v is covered by a job of another item", d)
			}
		}
		if sum != d.Qty {
			t.Fatalf("demand %d of %s: %v covered of %v", i, d.Item, sum, d.Qty)
		}
	}
}

// IDs, quantities and covers do not depend on the date of planning.
func TestStableWhenTimePasses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBook(t)
		a, c := explodeAt(t, b, now), explodeAt(t, b, now.Add(plant.Seconds(rapid.IntRange(1, 40*24*3600).Draw(t, "later"))))
		if d := cmp.Diff(jobs(a), jobs(c)); d != "" {
			t.Fatalf("jobs changed:\n%s", d)
		}
		if d := cmp.Diff(covers(a), covers(c)); d != "" {
			t.Fatalf("covers changed:\n%s", d)
		}
	})
}

// The order of the rows plays no part.
func TestRowOrderPlaysNoPart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBook(t)
		a := explodeAt(t, b, now)
		c := b.Clone()
		c.Lots = rapid.Permutation(c.Lots).Draw(t, "lots")
		c.Receipts = rapid.Permutation(c.Receipts).Draw(t, "receipts")
		c.Items = rapid.Permutation(c.Items).Draw(t, "items")
		c.Lines = rapid.Permutation(c.Lines).Draw(t, "lines")
		c.Stations = rapid.Permutation(c.Stations).Draw(t, "stations")
		c.Parts = rapid.Permutation(c.Parts).Draw(t, "parts")
		c.Ops = rapid.Permutation(c.Ops).Draw(t, "operations")
		rows := cmp.Options{cmpopts.IgnoreFields(needs.Op{}, "Row"), cmpopts.IgnoreFields(needs.Demand{}, "Part")}
		if d := cmp.Diff(a, explodeAt(t, c, now), rows); d != "" {
			t.Fatalf("the result changed:\n%s", d)
		}
	})
}
