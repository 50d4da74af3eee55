package storetest

import (
	"context"
	"fmt"
	"math"
	"testing"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
	"tackline/product"
	"tackline/store"
)

func bookComesBack(t *testing.T, s *store.Store) {
	want := sample(t, 3)
	rev := save(t, s, 0, want)
	got, at := load(t, s)
	same(t, "book", got, want)
	same(t, "revision", at, rev)

	less := want.Clone()
	less.Lots, less.Finished = nil, less.Finished[:1]
	save(t, s, rev, less)
	got, _ = load(t, s)
	same(t, "book after rows were left out", got, less)
}

func rowsKeepOrder(t *testing.T, s *store.Store) {
	b := &book.Book{}
	for i := range 300 {
		b.Pools = append(b.Pools, plant.Pool{ID: plant.PoolID(fmt.Sprint("p", (i*7919)%300)), Plant: "p", Name: "x"})
	}
	save(t, s, 0, b)
	got, _ := load(t, s)
	same(t, "pools", got.Pools, b.Pools)
}

func oddValues(t *testing.T, s *store.Store) {
	b := &book.Book{
		Settings: []plant.Setting{{Name: "it's \"quoted\"; DROP TABLE users", Value: "a,b\nc"}, {Name: "Größe", Value: "Ω ≤ 5 µm 焊接 🛠"}, {Name: "empty", Value: "x"}},
		Shifts:   []plant.Shift{{Calendar: "", Name: "", Days: "all", From: 0, To: 1440}},
		Centres:  []plant.Centre{{ID: "c", Plant: "p", Name: "C", Takes: "one", Capacity: "places", Setup: 0.1, Order: -5}},
		Items: []product.Item{
			{ID: "a", Name: "A", Kind: "made", Unit: "ea", Plant: "p", Policy: "unit", Product: true, Mass: 1e-9, Cost: -1, Lot: "as needed", LotQty: 1},
			{ID: "b", Name: "B", Kind: "bar", Unit: "mm", Plant: "p", Policy: "stock", Mass: 123456.789012345, Cost: math.MaxInt32, Lot: "fixed", LotQty: 999_999_999_999_999, Lead: 1.0 / 3},
		},
	}
	save(t, s, 0, b)
	got, _ := load(t, s)
	same(t, "book", got, b)
}

func keysAreUnique(t *testing.T, s *store.Store) {
	b := &book.Book{Pools: []plant.Pool{{ID: "a", Plant: "p", Name: "A"}, {ID: "a", Plant: "p", Name: "B"}}}
	if _, err := s.SaveBook(context.Background(), 0, act, b, []string{"pools"}, nil); err == nil {
		t.Error("two rows with one key were stored")
	}
	got, rev := load(t, s)
	same(t, "book after the refusal", got, &book.Book{})
	same(t, "revision after the refusal", rev, int64(0))
	acts, err := s.Acts(context.Background(), 10)
	if err != nil || len(acts) != 0 {
		t.Errorf("acts after the refusal: %v, %v", acts, err)
	}
}

func revisionConflict(t *testing.T, s *store.Store) {
	first := sample(t, 1)
	rev := save(t, s, 0, first)
	_, err := s.SaveBook(context.Background(), rev-1, act, sample(t, 2), allTables(), nil)
	isKind(t, err, fault.Conflict)
	got, at := load(t, s)
	same(t, "book", got, first)
	same(t, "revision", at, rev)
}

func rowsChange(t *testing.T, s *store.Store) {
	ctx := context.Background()
	b := sample(t, 3)
	rev := save(t, s, 0, b)

	changed := b.Clone()
	changed.Stations[1].Name = "renamed"
	changed.Stations[1].ID = "other key"
	rev, err := s.SaveRow(ctx, rev, act, store.RowChange{Table: "stations", Old: b, OldRow: 1, New: changed, NewRow: 1}, []store.Change{{Table: "stations"}})
	if err != nil {
		t.Fatal(err)
	}
	got, at := load(t, s)
	same(t, "book after a change", got, changed)
	same(t, "revision", at, rev)

	added := changed.Clone()
	added.Stations = append(added.Stations, plant.Station{ID: "new", Centre: "c", Name: "New", Calendar: "x", Speed: 0.5, Pallets: 2, Capacity: 1500})
	if rev, err = s.SaveRow(ctx, rev, act, store.RowChange{Table: "stations", Old: changed, OldRow: -1, New: added, NewRow: 3}, []store.Change{{Table: "stations"}}); err != nil {
		t.Fatal(err)
	}
	got, _ = load(t, s)
	same(t, "book after an addition", got, added)

	less := added.Clone()
	less.Stations = append(less.Stations[:0:0], added.Stations[1:]...)
	if rev, err = s.SaveRow(ctx, rev, act, store.RowChange{Table: "stations", Old: added, OldRow: 0, New: less, NewRow: -1}, []store.Change{{Table: "stations"}}); err != nil {
		t.Fatal(err)
	}
	got, _ = load(t, s)
	same(t, "book after a removal", got, less)

	if _, err := s.SaveRow(ctx, rev, act, store.RowChange{Table: "stations", Old: added, OldRow: 0, New: less, NewRow: -1}, []store.Change{{Table: "stations"}}); err == nil {
		t.Error("a row that is not there was removed")
	}
	if _, err := s.SaveRow(ctx, rev-1, act, store.RowChange{Table: "stations", Old: less, OldRow: 0, New: changed, NewRow: 1}, []store.Change{{Table: "stations"}}); fault.KindOf(err) != fault.Conflict {
		t.Errorf("a change on an old revision: %v", err)
	}
	if _, err := s.SaveRow(ctx, rev, act, store.RowChange{Table: "nonsense", Old: less, OldRow: 0, New: changed, NewRow: 1}, []store.Change{{Table: "nonsense"}}); fault.KindOf(err) != fault.NotFound {
		t.Errorf("a change of no table: %v", err)
	}
	got, at = load(t, s)
	same(t, "book after the refusals", got, less)
	same(t, "revision after the refusals", at, rev)
}

func history(t *testing.T, s *store.Store) {
	ctx := context.Background()
	changes := []store.Change{
		{Table: "pools", Key: "a", After: []string{"a", "né, \"q\""}},
		{Table: "pools", Key: "b", Before: []string{"b", ""}, After: []string{"b", "2"}},
		{Table: "items", Key: "b", Before: []string{}, After: nil},
	}
	rev, err := s.SaveBook(ctx, 0, act, &book.Book{}, nil, changes)
	if err != nil {
		t.Fatal(err)
	}
	later := store.Act{At: act.At + 5, Who: "Ben", Kind: "edit"}
	if _, err := s.SaveBook(ctx, rev, later, &book.Book{}, nil, changes[1:2]); err != nil {
		t.Fatal(err)
	}
	find := func(f store.ChangeFilter) (keys string) {
		f.Limit = max(f.Limit, 2)
		list, err := s.Changes(ctx, f)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range list {
			keys += fmt.Sprintf("%s/%s/%s ", c.Who, c.Table, c.Key)
		}
		return keys
	}
	same(t, "the newest two", find(store.ChangeFilter{}), "Ben/pools/b Ana/items/b ")
	same(t, "the page after", find(store.ChangeFilter{Before: 3}), "Ana/pools/b Ana/pools/a ")
	same(t, "by row", find(store.ChangeFilter{Table: "pools", Key: "b"}), "Ben/pools/b Ana/pools/b ")
	same(t, "by person", find(store.ChangeFilter{Who: "Ben"}), "Ben/pools/b ")
	same(t, "after a revision", find(store.ChangeFilter{After: rev}), "Ben/pools/b ")
	same(t, "by act", find(store.ChangeFilter{Act: 1, Limit: 9}), "Ana/items/b Ana/pools/b Ana/pools/a ")

	list, err := s.Changes(ctx, store.ChangeFilter{Key: "a", Limit: 1})
	if err != nil || len(list) != 1 {
		t.Fatal(list, err)
	}
	want := changes[0]
	want.ID, want.Act, want.Revision, want.At, want.Who = 1, 1, rev, act.At, "Ana"
	same(t, "change", list[0], want)

	acts, err := s.Acts(ctx, 10)
	if err != nil {
		t.Fatal(err)
	}
	first := act
	first.ID, later.ID = 1, 2
	same(t, "acts", acts, []store.Act{later, first})
}
