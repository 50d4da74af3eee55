package book_test

import (
	"testing"

	"tackline/book"
	"tackline/book/booktest"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// What nothing uses is a fault like any other, but marked; as soon as something may use it, the mark is gone.
func TestUnfinished(t *testing.T) {
	ghost := product.Item{ID: "ghost", Name: "Ghost", Kind: "made", Unit: "ea", Plant: "north", Policy: "stock", Lot: "as needed"}
	spare := plant.Calendar{ID: "spare", Plant: "north"}
	cases := []struct {
		name string
		use  func(*book.Book)
		want bool // the mark of the fault of the ghost, and of the spare calendar
	}{
		{"nothing uses them", func(*book.Book) {}, true},
		{"stocked for safety, followed by a pool", func(b *book.Book) { b.Items[len(b.Items)-1].Safety = 1000; b.Pools[0].Calendar = "spare" }, false},
		{"a part, followed by a person", func(b *book.Book) { b.Parts[0].Component = "ghost"; b.People[0].Calendar = "spare" }, false},
		{"a part by a pattern, followed by a station", func(b *book.Book) { b.Parts[0].Component = "gh{'o'}st"; b.Stations[0].Calendar = "spare" }, false},
		{"ordered, followed", func(b *book.Book) { b.Lines[0].Product = "ghost"; b.Stations[0].Calendar = "spare" }, false},
		{"released, followed", func(b *book.Book) {
			b.Releases = append(b.Releases, stock.Release{Job: "stock/ghost/1", Item: "ghost", Pieces: 1})
			b.Stations[0].Calendar = "spare"
		}, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := booktest.Small()
			b.Items, b.Calendars = append(b.Items, ghost), append(b.Calendars, spare)
			c.use(b)
			marks := map[string]bool{}
			for _, f := range book.Check(b, nil) {
				if f.Value == "ghost" && f.Table == "items" || f.Value == "spare" && f.Table == "calendars" {
					marks[f.Value] = f.Unfinished
				} else if f.Unfinished {
					t.Errorf("marked: %v", f)
				}
			}
			if len(marks) != 2 || marks["ghost"] != c.want || marks["spare"] != c.want {
				t.Errorf("marks %v, want %t for both", marks, c.want)
			}
		})
	}
}
