// Package booktest has books for tests: a small valid one, one of any size, and odd ones drawn at random.
package booktest

import (
	_ "embed"
	"fmt"
	"strings"

	"tackline/book"
	"tackline/order"
	"tackline/plant"
	"tackline/stock"
)

//go:embed small.txt
var small string

// Small gives a valid book: two plants, eight stations, one product with four options, three order lines.
func Small() *book.Book {
	b, err := Parse(small)
	if err != nil {
		panic(err) // the text is part of this package
	}
	return b
}

// Parse reads a book from text: "= table", a header, then rows, with cells separated by " | ".
func Parse(text string) (*book.Book, error) {
	b := &book.Book{}
	var t *book.Table
	var places []int
	for n, line := range strings.Split(text, "\n") {
		name, starts := strings.CutPrefix(line, "= ")
		switch {
		case starts:
			var known bool
			if t, known = book.TableNamed(name); !known {
				return nil, fmt.Errorf("line %d: no table %q", n+1, name)
			}
			places = nil
		case strings.TrimSpace(line) == "" || strings.HasPrefix(line, "#"):
		case places == nil:
			for _, h := range strings.Split(line, " | ") {
				j, _, known := t.Column(strings.TrimSpace(h))
				if !known {
					return nil, fmt.Errorf("line %d: no column %q in %s", n+1, h, t.Name)
				}
				places = append(places, j)
			}
		default:
			cells := make([]string, len(t.Columns))
			for i, cell := range strings.Split(line+" ", " | ") {
				if i < len(places) {
					cells[places[i]] = strings.TrimSpace(cell)
				}
			}
			if faults := t.Append(b, n+1, cells); len(faults) > 0 {
				return nil, faults
			}
		}
	}
	return b, nil
}

// Large gives a valid book with many order lines, and rows of finished work.
func Large(lines, finished int) *book.Book {
	b := Small()
	forms, jaws := []string{"open", "closed"}, []string{"3", "4"}
	b.Orders, b.Lines, b.Finished = nil, nil, nil
	for i := 0; i < lines; i++ {
		id := plant.OrderID(fmt.Sprint(2000 + i))
		b.Orders = append(b.Orders, order.Order{ID: id, Customer: "Harbour yard", Plant: "north", Class: "standard", Received: "2026-10-05"})
		b.Lines = append(b.Lines, order.Line{Order: id, Line: 1, Product: "grab", Quantity: 1,
			Due:     plant.Wall(fmt.Sprintf("2027-%02d-%02dT16:00", 1+i%12, 1+i%28)),
			Options: order.Choices("jaws=" + jaws[i%2] + "; form=" + forms[i/2%2]), State: order.Open})
	}
	for i := 0; i < finished; i++ {
		day := fmt.Sprintf("2026-%02d-%02d", 1+i%10, 1+i%28)
		b.Finished = append(b.Finished, stock.Finished{Unit: plant.UnitID(fmt.Sprintf("%d-1-1", i)), Item: "jaw-open", Seq: 10,
			Station: "robot-1", Pieces: 1 + i%4, Due: plant.Wall(day + "T12:00"), Start: plant.Wall(day + "T08:00"),
			End: plant.Wall(day + "T12:30"), Planned: 230, Actual: 200 + float64(i%100)/4, Result: "good"})
	}
	b.Work = b.Work[:0]
	return b
}
