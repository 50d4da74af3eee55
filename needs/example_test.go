package needs_test

import (
	"fmt"
	"log"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// A bench is ordered twice; each takes four legs, six of which are in stock, and a top that is bought.
func ExampleExplode() {
	b := &book.Book{
		Plants:  []plant.Plant{{ID: "main", Name: "Main works", TimeZone: "UTC"}},
		Centres: []plant.Centre{{ID: "shop", Name: "Shop", Plant: "main", Takes: "one"}},
		Items: []product.Item{
			{ID: "bench", Name: "Bench", Kind: product.Made, Unit: "ea", Plant: "main", Policy: "unit", Product: true},
			{ID: "leg", Name: "Leg", Kind: product.Made, Unit: "ea", Plant: "main", Policy: "stock"},
			{ID: "top", Name: "Top", Kind: product.Bought, Unit: "ea", Plant: "main", Lead: 5}},
		Ops: []product.Op{
			{Item: "bench", Seq: 10, Name: "assemble", Centre: "shop", Nature: product.Attended, Run: "30"},
			{Item: "leg", Seq: 10, Name: "turn", Centre: "shop", Nature: product.Attended, Run: "12"}},
		Parts: []product.Part{
			{Parent: "bench", Line: 10, Component: "leg", Quantity: "4"},
			{Parent: "bench", Line: 20, Component: "top", Quantity: "1"}},
		Lots:    []stock.Lot{{ID: "L-7", Item: "leg", Plant: "main", Quantity: plant.Pieces(6)}},
		Classes: []order.Class{{ID: "standard"}},
		Orders:  []order.Order{{ID: "1", Customer: "School", Plant: "main", Class: "standard"}},
		Lines:   []order.Line{{Order: "1", Line: 1, Product: "bench", Quantity: 2, Due: "2026-12-11T16:00"}},
	}
	ix, err := book.NewIndex(b)
	if err != nil {
		log.Fatal(err)
	}
	r, err := needs.Explode(ix, now)
	if err != nil {
		log.Fatal(err)
	}
	for _, j := range r.Jobs {
		fmt.Printf("job %s: %d\n", j.ID, j.Pieces)
	}
	for _, a := range r.Actions {
		fmt.Printf("%s %s %s: %s, for %v\n", a.Kind, a.Qty, a.Item, a.Reason, a.For)
	}
	// Output:
	// job 1-1-1/bench: 1
	// job 1-1-2/bench: 1
	// job stock/leg/1: 2
	// buy 2 top: 2 ea short by Fri 11 Dec, for [1-1-1 1-1-2]
	// make 2 leg: 2 wanted by Fri 11 Dec, for [1-1-2]
}

// Stock and a receipt cover the first needs; what is short is ordered ten at a time.
func ExampleNet() {
	n := needs.Net(needs.Record{
		Lots:     []needs.Supply{{Qty: plant.Pieces(5)}},
		Receipts: []needs.Supply{{At: 2, Qty: plant.Pieces(4)}},
		Wants:    []needs.Want{{At: 1, Qty: plant.Pieces(6)}, {At: 3, Qty: plant.Pieces(7)}},
		Rule:     needs.LotRule{Kind: needs.FixedLot, Qty: plant.Pieces(10)},
	})
	for _, o := range n.Orders {
		fmt.Printf("order %s for week %d\n", o.Qty, o.At)
	}
	// Output: order 10 for week 3
}
