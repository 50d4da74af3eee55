// Package storetest is one suite of tests for every database that a store can stand on: what the database must keep is
// said once, and each database proves it.
package storetest

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
	"tackline/store"
)

// Open gives an empty store; the test that it is made for closes it.
type Open func(t *testing.T) *store.Store

// Run runs the suite on the stores that open gives.
func Run(t *testing.T, open Open) {
	tests := []struct {
		name string
		test func(*testing.T, *store.Store)
	}{
		{"new store", newStore},
		{"book comes back", bookComesBack},
		{"rows keep their order", rowsKeepOrder},
		{"odd values", oddValues},
		{"keys are unique", keysAreUnique},
		{"revision conflict", revisionConflict},
		{"rows change one by one", rowsChange},
		{"history", history},
		{"plans", plans},
		{"adoptions", adoptions},
		{"large numbers", largeNumbers},
		{"planning runs", runs},
		{"users", users},
		{"sessions", sessions},
		{"events of the floor", onTheFloor},
		{"PINs", pins},
		{"wrong tries of PINs", tries},
		{"devices", devices},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) { c.test(t, open(t)) })
	}
}

var act = store.Act{At: 1_795_600_000, Who: "Ana", Kind: "import", Note: "from a workbook"}

func allTables() (names []string) {
	for _, t := range book.Tables() {
		names = append(names, t.Name)
	}
	return names
}

// save stores b over revision base and fails the test if that fails.
func save(t *testing.T, s *store.Store, base int64, b *book.Book) int64 {
	t.Helper()
	rev, err := s.SaveBook(context.Background(), base, act, b, allTables(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return rev
}

func load(t *testing.T, s *store.Store) (*book.Book, int64) {
	t.Helper()
	b, rev, err := s.Book(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return b, rev
}

func same(t *testing.T, what string, got, want any) {
	t.Helper()
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s (-want +got):\n%s", what, d)
	}
}

func isKind(t *testing.T, err error, want fault.Kind) {
	t.Helper()
	if fault.KindOf(err) != want {
		t.Errorf("error of kind %d, want %d: %v", fault.KindOf(err), want, err)
	}
}

func newStore(t *testing.T, s *store.Store) {
	b, rev := load(t, s)
	same(t, "the book of a new store", b, &book.Book{})
	same(t, "its revision", rev, int64(0))
	id, _, err := s.CurrentPlan(context.Background())
	if err != nil || id != 0 {
		t.Errorf("current plan %d, %v", id, err)
	}
}

// sample fills every table with n rows made from the examples of its columns, each with keys of its own.
func sample(t *testing.T, n int) *book.Book {
	t.Helper()
	b := &book.Book{}
	all := book.Tables()
	for i := range all {
		for k := range n {
			if faults := all[i].Append(b, k+2, sampleRow(&all[i], k)); len(faults) > 0 {
				t.Fatal(faults)
			}
		}
	}
	return b
}

func sampleRow(t *book.Table, k int) []string {
	cells := make([]string, len(t.Columns))
	told := false
	for j := range t.Columns {
		c := &t.Columns[j]
		cells[j] = c.Example
		if c.Example == "" && c.Need {
			cells[j] = "x"
		}
		if c.Key && !told && len(c.Enum) == 0 {
			told = true
			cells[j] = numbered(c, k)
		}
	}
	return cells
}

// numbered gives the k-th of a run of different values of a column.
func numbered(c *book.Column, k int) string {
	n := string(rune('0'+k/100%10)) + string(rune('0'+k/10%10)) + string(rune('0'+k%10))
	switch c.Kind {
	case book.Whole, book.Number, book.Quantity, book.Money:
		return n
	case book.Clock:
		return plant.Clock(k % 1440).String()
	case book.Wall:
		return "2026-12-01T00:00"
	}
	return "k" + n
}
