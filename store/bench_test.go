package store_test

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"

	"tackline/book"
	"tackline/demo"
	"tackline/plant"
	"tackline/stock"
	"tackline/store"
)

// BenchmarkLoadBook loads the whole demo plant. Aim: below 300 ms.
func BenchmarkLoadBook(b *testing.B) {
	ctx := context.Background()
	full, err := demo.Plant(14, 1_795_586_400)
	if err != nil {
		b.Fatal(err)
	}
	s, err := store.Open(ctx, filepath.Join(b.TempDir(), "shop.db"))
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	var names []string
	for _, t := range book.Tables() {
		names = append(names, t.Name)
	}
	if _, err := s.SaveBook(ctx, 0, store.Act{}, full, names, nil); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, _, err := s.Book(ctx); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSaveRows saves 30,000 rows, and as many changes, in one transaction. Aim: a couple of seconds.
func BenchmarkSaveRows(b *testing.B) {
	ctx := context.Background()
	full := &book.Book{}
	var changes []store.Change
	for i := range 30_000 {
		id := fmt.Sprint("L-", i)
		full.Lots = append(full.Lots, stock.Lot{ID: plant.LotID(id), Item: "bar-80", Plant: "brackwater", Quantity: plant.Qty(i), Heat: "H-1", Place: "rack"})
		changes = append(changes, store.Change{Table: "lots", Key: id, After: []string{id, "bar-80", "brackwater", "1", "H-1", "rack", ""}})
	}
	s, err := store.Open(ctx, filepath.Join(b.TempDir(), "shop.db"))
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	for rev := int64(0); b.Loop(); rev++ {
		if _, err := s.SaveBook(ctx, rev, store.Act{}, full, []string{"lots"}, changes); err != nil {
			b.Fatal(err)
		}
	}
}
