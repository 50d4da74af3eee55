package needs_test

import (
	"fmt"
	"testing"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// Heizer and Render, Operations Management, ch. on material requirements planning: the speaker kit, 50 wanted, 10 of them
// in stock, so 40 are built: A = 2B + 3C; B = 2D + 2E; C = 2E + 2F; F = 2D + 1G; on hand B 15, C 20, D 10, E 10, F 5.
// The net quantities are the book's: B 65, C 100, E 120 + 200, F 195, D 380 + 130, G 195. D stands under B and under F,
// so it may be netted only after both.
func TestSpeakerKitFromABook(t *testing.T) {
	b := &book.Book{Plants: []plant.Plant{{ID: "main", Name: "Main works", TimeZone: "UTC"}},
		Centres: []plant.Centre{{ID: "bench", Name: "Benches", Plant: "main", Takes: "one"}},
		Classes: []order.Class{{ID: "standard"}}, Orders: []order.Order{{ID: "1", Plant: "main", Class: "standard"}},
		Lines: []order.Line{{Order: "1", Line: 1, Product: "A", Quantity: 40, Due: "2027-02-01T12:00"}}}
	onHand := map[string]int{"B": 15, "C": 20, "D": 10, "E": 10, "F": 5, "G": 0}
	for _, id := range []string{"A", "B", "C", "D", "E", "F", "G"} {
		policy := "stock"
		if id == "A" {
			policy = "unit"
		}
		b.Items = append(b.Items, product.Item{ID: plant.ItemID(id), Name: id, Kind: "made", Unit: "ea", Plant: "main", Policy: policy})
		b.Ops = append(b.Ops, product.Op{Item: plant.ItemID(id), Seq: 10, Name: "make", Centre: "bench", Nature: "attended", Run: "1"})
		b.Lots = append(b.Lots, stock.Lot{ID: plant.LotID("L-" + id), Item: plant.ItemID(id), Plant: "main", Quantity: plant.Pieces(onHand[id])})
	}
	for i, p := range []struct{ parent, child, per string }{{"A", "B", "2"}, {"A", "C", "3"}, {"B", "D", "2"}, {"B", "E", "2"},
		{"C", "E", "2"}, {"C", "F", "2"}, {"F", "D", "2"}, {"F", "G", "1"}} {
		b.Parts = append(b.Parts, product.Part{Parent: plant.ItemID(p.parent), Line: i, Component: plant.Pattern(p.child), Quantity: plant.Formula(p.per)})
	}
	made := map[plant.ItemID]int{}
	for _, j := range run(t, b).Jobs {
		made[j.Item] += j.Pieces
	}
	same(t, "made", map[plant.ItemID]int{"A": 40, "B": 65, "C": 100, "E": 320, "F": 195, "D": 510, "G": 195}, made)
}

// Of two needs for the last pins the earlier due date gets them, then the higher priority, then the dearer class, then
// the lower order number.
func TestUrgency(t *testing.T) {
	cases := []struct {
		name   string
		change func(first, second *order.Line)
		gets   string
	}{
		{"due date", func(a, b *order.Line) { b.Due = "2026-12-09T16:00"; a.Priority = 9 }, "1043"},
		{"priority", func(a, b *order.Line) { a.Priority = 1 }, "1042"},
		{"class", func(a, b *order.Line) {}, "1043"}, // rush
		{"number", func(a, b *order.Line) { b.Order, b.Line = "1042", 2 }, "1042-1"},
	}
	for _, c := range cases {
		b := grabs()
		b.Lines = []order.Line{{Order: "1042", Line: 1, Product: "grab", Quantity: 1, Due: "2026-12-10T16:00"}, {Order: "1043", Line: 1, Product: "grab", Quantity: 1, Due: "2026-12-10T16:00"}}
		c.change(&b.Lines[0], &b.Lines[1])
		b.Lots = []stock.Lot{{ID: "L-1", Item: "pin", Plant: "main", Quantity: plant.Pieces(8)}}
		if got := having(covers(run(t, b)), c.gets); len(only(got, "pin 8 = stock 8 L-1")) != 1 {
			t.Errorf("%s: %s does not get the lot: %q", c.name, c.gets, got)
		}
	}
}

// A parts list that runs in a circle is a fault, not an endless loop.
func TestCircle(t *testing.T) {
	for _, item := range []string{"head", "pin"} {
		b := grabs()
		b.Parts = append(b.Parts, product.Part{Parent: plant.ItemID(item), Line: 99, Component: plant.Pattern(item), Quantity: "1"})
		_, err := needs.Explode(index(t, b), now)
		if want := fmt.Sprintf("the parts list of %s runs in a circle", item); err == nil || len(only([]string{err.Error()}, want)) != 1 {
			t.Errorf("got %v; want %s", err, want)
		}
	}
}

// Bar wanted in millimetres is drawn in metres: 20 pins of 250 mm are 5 m.
func TestUnitsConvert(t *testing.T) {
	b := grabs()
	b.Items[6].Unit = "m"
	b.Parts[6].Quantity, b.Parts[6].Unit = "250", "mm"
	sum := plant.Qty(0)
	for _, d := range run(t, b).Demands {
		if d.Item == "bar" {
			sum += d.Qty
		}
	}
	if sum != plant.QtyOf(5) {
		t.Errorf("bar wanted: %v m; want 5", sum)
	}
}
