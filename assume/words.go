package assume

import (
	"strings"
	"time"

	"tackline/book"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// Sentence says an assumption in plain words, with the names that b has, for people who live at now. What b does not know is
// called by its short name.
func Sentence(b *book.Book, a Assumption, now plant.Time) string {
	a = normal(a)
	w := words{b: b, a: &a, now: now, loc: zoneOf(b, &a)}
	s := w.whole()
	if a.Reason != "" && a.Kind != OrderAdded && a.Kind != DeliveryAdded {
		s += " (" + a.Reason + ")"
	}
	return s + "."
}

type words struct {
	b   *book.Book
	a   *Assumption
	now plant.Time
	loc *time.Location
}

func (w *words) whole() string {
	a := w.a
	switch a.Kind {
	case StationDown:
		return w.station() + " is down" + w.window()
	case Overtime:
		return w.overtime()
	case ExtraShift:
		s := w.calendar(a.Calendar) + ": an extra shift " + a.Hours + " on " + a.Days
		if a.From == "" {
			return s + ", for good"
		}
		return s + "," + w.window()
	case Away:
		if a.Person != "" {
			return w.person() + " is away" + w.window()
		}
		return w.heads(max(1, a.Heads), "is", "are") + " away" + w.window()
	case ExtraPeople:
		return w.extra()
	case OrderAdded:
		return w.added()
	case OrderDropped:
		return w.order() + " is dropped"
	case DueMoved:
		return w.order() + " is due " + w.time(a.At)
	case ReceiptMoved:
		return w.receipt() + " comes " + w.time(a.At)
	case DeliveryAdded:
		verb := " come "
		if a.Quantity == plant.Pieces(1) {
			verb = " comes "
		}
		s := a.Quantity.String() + " " + w.item() + verb + w.time(a.At)
		if a.Reason != "" {
			s += " from " + a.Reason
		}
		return s
	case WorkHeld:
		return "Operation " + itoa(a.Op) + " of job " + string(a.Job) + " is held until " + w.time(a.At)
	}
	return "An assumption of the unknown kind " + string(a.Kind)
}

func (w *words) overtime() string {
	a := w.a
	if a.Calendar != "" {
		return w.calendar(a.Calendar) + ": overtime" + w.window()
	}
	s := w.station() + " works overtime" + w.window()
	switch {
	case a.Heads > 0 && a.Pool != "":
		return s + ", with " + itoa(a.Heads) + " of " + w.pool(a.Pool)
	case a.Heads > 0:
		var crews []string
		list, _ := overtimeCrews(w.b, a)
		for _, c := range list {
			crews = append(crews, itoa(c.Heads)+" of "+w.pool(c.Pool))
		}
		if len(crews) > 0 {
			return s + ", with " + strings.Join(crews, " and ")
		}
	}
	return s
}

func (w *words) extra() string {
	s := w.heads(w.a.Heads, "comes", "come")
	s = strings.Replace(s, " of ", " more of ", 1)
	if w.a.Calendar != "" {
		s += " and work by the calendar " + w.calendar(w.a.Calendar)
	}
	if w.a.From == "" {
		return s + ", for good"
	}
	return s + "," + w.window()
}

// heads says "2 of Welders are".
func (w *words) heads(n int, one, many string) string {
	verb := many
	if n == 1 {
		verb = one
	}
	return itoa(n) + " of " + w.pool(w.a.Pool) + " " + verb
}

func (w *words) added() string {
	a := w.a
	n := max(1, a.Quantity.Ceil())
	s := "Order " + string(a.Order) + " comes: " + itoa(n) + " " + w.item()
	if c, err := order.Choices(a.Options).Parse(); err == nil && len(c) > 0 {
		s += " (" + string(order.ChoicesOf(c)) + ")"
	}
	if a.Customer != "" {
		s += " for " + a.Customer
	}
	return s + ", due " + w.time(a.At)
}

func (w *words) window() string { return " from " + w.time(w.a.From) + " to " + w.time(w.a.To) }

// time says a wall time as screens do: "Mon 30 Nov 06:00".
func (w *words) time(x plant.Wall) string {
	t, ok := x.Time(w.loc)
	if !ok {
		return "an unknown time"
	}
	return t.Day(w.loc, w.now) + t.In(w.loc).Format(" 15:04")
}

func (w *words) station() string {
	if s := find(w.b.Stations, func(s *plant.Station) bool { return s.ID == w.a.Station }); s != nil {
		return s.Name
	}
	return string(w.a.Station)
}

func (w *words) calendar(id plant.CalendarID) string {
	if c := find(w.b.Calendars, func(c *plant.Calendar) bool { return c.ID == id }); c != nil && c.Name != "" {
		return c.Name
	}
	return string(id)
}

func (w *words) pool(id plant.PoolID) string {
	if p := find(w.b.Pools, func(p *plant.Pool) bool { return p.ID == id }); p != nil {
		return p.Name
	}
	return string(id)
}

func (w *words) person() string {
	if p := find(w.b.People, func(p *plant.Person) bool { return p.ID == w.a.Person }); p != nil {
		return p.Name
	}
	return string(w.a.Person)
}

func (w *words) item() string {
	if i := find(w.b.Items, func(i *product.Item) bool { return i.ID == w.a.Item }); i != nil {
		return i.Name
	}
	return string(w.a.Item)
}

func (w *words) order() string {
	s := "Order " + string(w.a.Order)
	if w.a.Line != 0 {
		s += ", line " + itoa(w.a.Line)
	}
	if o := find(w.b.Orders, func(o *order.Order) bool { return o.ID == w.a.Order }); o != nil {
		s += " for " + o.Customer
	}
	return s
}

func (w *words) receipt() string {
	s := "Receipt " + string(w.a.Receipt)
	if r := find(w.b.Receipts, func(r *stock.Receipt) bool { return r.ID == w.a.Receipt }); r != nil {
		if i := find(w.b.Items, func(i *product.Item) bool { return i.ID == r.Item }); i != nil {
			s += " (" + r.Quantity.String() + " " + i.Name + ")"
		}
	}
	return s
}
