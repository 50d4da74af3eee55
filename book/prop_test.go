package book_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tackline/book"
	"tackline/book/booktest"
)

// TestOddBooksDoNotPanic changes cells of the small book at random: the check comes to an end, and comes to the same end
// when asked again.
func TestOddBooksDoNotPanic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := booktest.Small()
		for n := rapid.IntRange(1, 6).Draw(t, "changes"); n > 0; n-- {
			spoil(t, b)
		}
		first := book.Check(b, nil)
		second := book.Check(b, nil)
		if d := cmp.Diff(first, second); d != "" {
			t.Fatalf("a second check says otherwise:\n%s", d)
		}
		if len(first) == 0 {
			if _, err := book.NewIndex(b); err != nil {
				t.Fatalf("the check passes, the index does not: %v", err)
			}
		}
	})
}

// spoil changes one cell, doubles one row or takes one away.
func spoil(t *rapid.T, b *book.Book) {
	tables := book.Tables()
	table := &tables[rapid.IntRange(0, len(tables)-1).Draw(t, "table")]
	if table.Len(b) == 0 {
		return
	}
	i := rapid.IntRange(0, table.Len(b)-1).Draw(t, "row")
	cells := table.Cells(b, i)
	switch rapid.IntRange(0, 9).Draw(t, "how") {
	case 0:
		table.Remove(b, i)
	case 1:
		table.Append(b, 0, cells)
	default:
		j := rapid.IntRange(0, len(cells)-1).Draw(t, "column")
		if rapid.Bool().Draw(t, "foreign") {
			other := table.Cells(b, rapid.IntRange(0, table.Len(b)-1).Draw(t, "other row"))
			cells[j] = other[rapid.IntRange(0, len(other)-1).Draw(t, "other column")]
		} else {
			cells[j] = booktest.RandomCell(t, &table.Columns[j])
		}
		table.Mend(b, 0, cells)
		table.Replace(b, i)
	}
}

func TestRandomBooksDoNotPanic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { book.Check(booktest.Random(t), nil) })
}

// TestAppendReadsCells: what Cells writes, Append reads back.
func TestAppendReadsCells(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := booktest.Random(t)
		c := &book.Book{}
		for _, table := range book.Tables() {
			for i := 0; i < table.Len(b); i++ {
				if faults := table.Append(c, i+2, table.Cells(b, i)); len(faults) > 0 {
					t.Fatal(faults)
				}
			}
		}
		if d := cmp.Diff(b, c); d != "" {
			t.Fatal(d)
		}
		if d := cmp.Diff(b, b.Clone()); d != "" {
			t.Fatal(d)
		}
	})
}
