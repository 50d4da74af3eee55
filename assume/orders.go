package assume

import (
	"fmt"

	"tackline/book"
	"tackline/fault"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// addOrder adds a line to an order, and the order if it is new.
func (e *edit) addOrder(a *Assumption) fault.List {
	item := find(e.b.Items, func(i *product.Item) bool { return i.ID == a.Item })
	if !item.Product {
		return say("item", string(a.Item), "an item that customers can order", "its product column in the items of the shop book says no")
	}
	n := a.Quantity.Ceil()
	if a.Quantity == 0 {
		n = 1
	}
	if plant.Pieces(n) != a.Quantity && a.Quantity != 0 || n > 1000 {
		return say("quantity", a.Quantity.String(), "a whole number of units from 1 to 1000", "")
	}
	if _, err := order.Choices(a.Options).Parse(); err != nil {
		return say("options", a.Options, "option=value, separated by ;", err.Error())
	}
	line := 1
	if old := find(e.b.Orders, func(o *order.Order) bool { return o.ID == a.Order }); old == nil {
		if faults := e.newOrder(a, item.Plant); faults != nil {
			return faults
		}
	} else if a.Class != "" && a.Class != old.Class {
		return say("class", string(a.Class), "nothing, or "+string(old.Class), "the order is there already, of another class; give the new order a number of its own")
	}
	for i := range e.b.Lines {
		if l := &e.b.Lines[i]; l.Order == a.Order {
			line = max(line, l.Line+1)
		}
	}
	rows := own(e, &e.b.Lines)
	*rows = append(*rows, order.Line{Order: a.Order, Line: line, Product: a.Item, Quantity: n, Due: a.At, Options: order.Choices(a.Options), State: order.Open})
	return nil
}

func (e *edit) newOrder(a *Assumption, at plant.ID) fault.List {
	x := order.Order{ID: a.Order, Customer: a.Customer, Plant: at, Class: a.Class, Note: a.Reason}
	if x.Customer == "" {
		x.Customer = "not known yet"
	}
	if x.Class == "" {
		if len(e.b.Classes) == 0 {
			return say("class", "", "an order class", "the shop book has none; add one to its classes")
		}
		x.Class = usualClass(e.b)
	}
	rows := own(e, &e.b.Orders)
	*rows = append(*rows, x)
	return nil
}

// usualClass gives the class that most orders have; of equal ones the first in the book.
func usualClass(b *book.Book) (class plant.ClassID) {
	count := map[plant.ClassID]int{}
	for i := range b.Orders {
		count[b.Orders[i].Class]++
	}
	for i := range b.Classes {
		if id := b.Classes[i].ID; class == "" || count[id] > count[class] {
			class = id
		}
	}
	return class
}

// openLines gives the places of the open lines that an assumption is about.
func openLines(b *book.Book, a *Assumption) (at []int, faults fault.List) {
	there := false
	for i := range b.Lines {
		l := &b.Lines[i]
		if l.Order != a.Order || a.Line != 0 && l.Line != a.Line {
			continue
		}
		there = true
		if l.State == order.Open || l.State == "" {
			at = append(at, i)
		}
	}
	switch {
	case !there && a.Line != 0:
		return nil, say("line", itoa(a.Line), "a line of the order, or nothing for all of them", "the order has no such line")
	case len(at) == 0 && a.Line != 0:
		return nil, say("line", itoa(a.Line), "an open line", "the line is shipped or cancelled")
	case len(at) == 0:
		return nil, say("order", string(a.Order), "an order with open lines", "every line of the order is shipped or cancelled")
	}
	return at, nil
}

// eachOpenLine changes the open lines that an assumption is about.
func (e *edit) eachOpenLine(a *Assumption, change func(*order.Line)) fault.List {
	at, faults := openLines(e.b, a)
	rows := own(e, &e.b.Lines)
	for _, i := range at {
		change(&(*rows)[i])
	}
	return faults
}

func (e *edit) moveReceipt(a *Assumption) fault.List {
	rows := own(e, &e.b.Receipts)
	find(*rows, func(r *stock.Receipt) bool { return r.ID == a.Receipt }).Expected = a.At
	return nil
}

func (e *edit) addDelivery(a *Assumption) fault.List {
	item := find(e.b.Items, func(i *product.Item) bool { return i.ID == a.Item })
	rows := own(e, &e.b.Receipts)
	taken := func(s string) bool {
		return find(*rows, func(r *stock.Receipt) bool { return r.ID == plant.ReceiptID(s) }) != nil
	}
	*rows = append(*rows, stock.Receipt{ID: plant.ReceiptID(free("extra", taken)), Item: a.Item, Plant: item.Plant, Quantity: a.Quantity,
		Promised: a.At, Expected: a.At, From: a.Reason})
	return nil
}

// hold holds an operation that has not begun. A frozen one loses its place.
func (e *edit) hold(a *Assumption) fault.List {
	rows := own(e, &e.b.Work)
	x := stock.Work{Job: a.Job, Seq: a.Op, State: stock.Held, End: a.At, Note: a.Reason}
	old := find(*rows, func(w *stock.Work) bool { return w.Job == a.Job && w.Seq == a.Op })
	later := find(*rows, func(w *stock.Work) bool {
		return w.Job == a.Job && w.Seq > a.Op && (w.State == stock.Done || w.State == stock.Running)
	})
	switch {
	case later != nil:
		return say("op", itoa(a.Op), "an operation that has not begun", fmt.Sprintf("operation %d of the job, which comes after it, is %s", later.Seq, later.State))
	case old == nil:
		*rows = append(*rows, x)
	case old.State == stock.Done || old.State == stock.Running:
		return say("op", itoa(a.Op), "an operation that has not begun", fmt.Sprintf("the operation is %s", old.State))
	default:
		*old = x
	}
	return nil
}
