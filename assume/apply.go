package assume

import (
	"slices"
	"strings"
	"time"

	"tackline/book"
	"tackline/fault"
	"tackline/order"
	"tackline/plant"
)

// Apply gives a copy of b in which the list holds, in its order: a later assumption sees what an earlier one changed. It is
// all or nothing: if any assumption does not fit b, every fault of the list is given, with Row as its place in the list from 1
// on and Column as the field concerned. b is not changed; tables that stay as they are are shared with it.
//
// The copy is as sound as b, but for the options of orders added: see book.Check.
func Apply(b *book.Book, list []Assumption) (*book.Book, error) {
	c, unfit := Fitting(b, list)
	if err := unfit.Err(); err != nil {
		return nil, err
	}
	return c, nil
}

// Fitting gives a copy of b in which those of the list hold that fit it, and the faults of the others.
func Fitting(b *book.Book, list []Assumption) (*book.Book, fault.List) {
	var faults fault.List
	copied := *b
	e := &edit{b: &copied, owned: map[any]bool{}}
	for i := range list {
		a := normal(list[i])
		found := check(e.b, &a)
		if len(found) == 0 {
			found = e.apply(&a)
		}
		for _, f := range found {
			f.Table, f.Row = "assumptions", i+1
			faults = append(faults, f)
		}
	}
	return e.b, faults
}

// edit is a book being changed. Its tables are those of the book it began from until they are owned.
type edit struct {
	b     *book.Book
	owned map[any]bool
}

// own gives the rows of a table for changing: a copy, made at the first time.
func own[T any](e *edit, rows *[]T) *[]T {
	if !e.owned[rows] {
		*rows = slices.Clone(*rows)
		e.owned[rows] = true
	}
	return rows
}

// apply makes the change, or gives the faults for which it makes none.
func (e *edit) apply(a *Assumption) fault.List {
	switch a.Kind {
	case StationDown:
		return e.except(a, plant.Exception{Station: a.Station, Kind: "down"})
	case Overtime:
		return e.overtime(a)
	case ExtraShift:
		return e.shift(a)
	case Away:
		return e.away(a)
	case ExtraPeople:
		return e.people(a)
	case OrderAdded:
		return e.addOrder(a)
	case OrderDropped:
		return e.eachOpenLine(a, func(l *order.Line) { l.State = order.Cancelled })
	case DueMoved:
		return e.eachOpenLine(a, func(l *order.Line) { l.Due = a.At })
	case ReceiptMoved:
		return e.moveReceipt(a)
	case DeliveryAdded:
		return e.addDelivery(a)
	}
	return e.hold(a)
}

// normal writes times as the rows of a book hold them, and texts without blanks around them.
func normal(a Assumption) Assumption {
	for _, w := range []*plant.Wall{&a.From, &a.To, &a.At} {
		if x, err := plant.ParseWall(strings.TrimSpace(string(*w))); err == nil {
			*w = x
		}
	}
	a.Reason = strings.TrimSpace(a.Reason)
	return a
}

// say makes a fault at a field.
func say(column, value, expected, text string) fault.List {
	return fault.List{{Kind: fault.Invalid, Column: column, Value: value, Expected: expected, Text: text}}
}

// window gives the fault of a window that ends before it begins.
func window(a *Assumption, loc *time.Location) fault.List {
	from, ok1 := a.From.Time(loc)
	to, ok2 := a.To.Time(loc)
	if ok1 && ok2 && to <= from {
		return say("to", string(a.To), "a time after "+string(a.From), "it ends before it begins")
	}
	return nil
}

// both gives the fault of a window of which one end is missing.
func both(a *Assumption) fault.List {
	switch {
	case a.From == "" && a.To != "":
		return say("from", "", "a date and time, or no end either", "the begin is missing")
	case a.From != "" && a.To == "":
		return say("to", "", "a date and time, or no begin either", "the end is missing")
	}
	return nil
}

// free gives the first of name-1, name-2, ... that is not taken.
func free(name string, taken func(string) bool) string {
	for n := 1; ; n++ {
		if s := name + "-" + itoa(n); !taken(s) {
			return s
		}
	}
}
