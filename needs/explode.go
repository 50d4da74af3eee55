package needs

import (
	"fmt"
	"slices"
	"sort"

	"tackline/book"
	"tackline/fault"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// Explode turns the open order lines of a book into units, jobs, operations and parts, nets the parts over the plants, and
// says what to make, buy, transfer, expedite or defer. The error is a fault.List of everything that is wrong.
//
// Units come most urgent first: due date, then priority, then the class's cost of a late day, then order, line and number.
// Lots, receipts and jobs made to stock go to the most urgent need first.
//
// When a part is wanted is estimated backward from the due date, as the plan is not made yet: the job's remaining
// operations take their work times three (a shift is about a third of the day); dwell, away and run-through operations
// take their own time. The estimate orders needs, gathers lots and judges receipts; the plan dates nothing by it.
//
// Work on the floor: an operation that is done or running, or that comes before such a one in its job, has taken its
// parts: its demands are Issued in full. A job made for such a demand that the floor knows nothing of is over and is left
// out of the Result, with everything below it.
func Explode(ix *book.Index, now plant.Time) (*Result, error) { return ExplodeLike(ix, now, nil) }

// ExplodeLike explodes a book that has changed since the pegs of an earlier explosion, and leaves what those settled as it
// is wherever that still holds. Who is planned keeps his cover: a more urgent order that comes later does not silently
// take it, and gets what is left.
//
//   - A need keeps the lot, the receipt or the job that covered it, as far as that is there and has the quantity.
//   - A proposed job made to stock keeps its number and size. It shrinks, or goes, only as far as the lot rule would make
//     less for those who still draw on it, and goes if it no longer fits a station of its route. It never grows: further
//     needs take its spare pieces, then new lots, which are numbered after all that were proposed or released.
//   - What is to be bought is not settled: such needs take what has come free or was ordered since. A receipt that now
//     comes later than it did is not settled either: those who wait for it take what is free first.
//   - Safety stock keeps its cover like a need. Needs known before come before new ones, in order of urgency, wherever
//     something is shared out anew.
//
// No pegs explode the book anew. With the pegs of its own result the same book gives the same result.
func ExplodeLike(ix *book.Index, now plant.Time, before []Peg) (*Result, error) {
	e := newExplosion(ix, now)
	e.mem = remember(before)
	e.units()
	e.tops()
	e.netAll()
	if err := e.faults.Err(); err != nil {
		return nil, err
	}
	e.transfers()
	e.sortActions()
	return e.r, nil
}

// explosion is one run of Explode.
type explosion struct {
	ix       *book.Index
	now      plant.Time
	r        *Result
	faults   fault.List
	seen     map[string]bool // faults reported
	rows     rows
	configs  []*config // by unit
	reads    map[plant.ItemID][]string
	shapes   map[shapeKey]*shape
	free     map[plant.ItemID]int8      // 1: no option plays a part in it, 2: some does
	count    map[string]int             // jobs made of an item under a root
	floor    map[plant.JobID]int        // highest operation done or running; -1: none, but the floor knows the job
	finished map[plant.ItemID][]lotLeft // stock of items made for units
	allotted []allotment                // draws on finished, so that they can be taken back
	pending  map[plant.ItemID][]int     // demands to be netted
	mem      *memory                    // nil: nothing was settled before
	plain    *config                    // of jobs made to stock
	demanded int                        // demands looked at for pending
}

func newExplosion(ix *book.Index, now plant.Time) *explosion {
	e := &explosion{ix: ix, now: now, r: &Result{Now: now}, seen: map[string]bool{}, rows: rowsOf(ix.Book),
		reads: map[plant.ItemID][]string{}, shapes: map[shapeKey]*shape{}, free: map[plant.ItemID]int8{},
		count: map[string]int{}, floor: map[plant.JobID]int{}, finished: map[plant.ItemID][]lotLeft{},
		pending: map[plant.ItemID][]int{}, plain: newConfig("stock", map[string]any{})}
	for _, w := range ix.Work {
		at, known := e.floor[w.Job]
		if !known {
			at = -1
		}
		if w.State == stock.Done || w.State == stock.Running {
			at = max(at, w.Seq)
		}
		e.floor[w.Job] = at
	}
	return e
}

// fail reports a fault once.
func (e *explosion) fail(f *fault.Fault) {
	f.Kind = fault.Invalid
	if text := f.Error(); !e.seen[text] {
		e.seen[text] = true
		e.faults = append(e.faults, f)
	}
}

// units lists the units of all open lines, most urgent first.
func (e *explosion) units() {
	type entry struct {
		unit Unit
		conf *config
	}
	var all []entry
	for i := range e.ix.Book.Lines {
		l := &e.ix.Book.Lines[i]
		if l.State != order.Open && l.State != "" {
			continue
		}
		u, conf, ok := e.line(l, i+2)
		for n := 1; ok && n <= l.Quantity; n++ {
			u.No, u.ID = n, plant.UnitID(fmt.Sprintf("%s-%d-%d", l.Order, l.Line, n))
			all = append(all, entry{u, conf})
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return e.before(&all[i].unit, &all[j].unit) })
	for _, x := range all {
		e.r.Units = append(e.r.Units, x.unit)
		e.configs = append(e.configs, x.conf)
	}
}

// before orders units by urgency.
func (e *explosion) before(a, b *Unit) bool {
	if a.Due != b.Due {
		return a.Due < b.Due
	}
	if a.Priority != b.Priority {
		return a.Priority > b.Priority
	}
	if x, y := e.lateCost(a.Class), e.lateCost(b.Class); x != y {
		return x > y
	}
	if a.Order != b.Order {
		return a.Order < b.Order
	}
	if a.Line != b.Line {
		return a.Line < b.Line
	}
	return a.No < b.No
}

func (e *explosion) lateCost(c plant.ClassID) plant.Money {
	if class := e.ix.Classes[c]; class != nil {
		return class.Late
	}
	return 0
}

// line reads one order line: its options, its rules, its dates.
func (e *explosion) line(l *order.Line, row int) (Unit, *config, bool) {
	bad := func(column, value, expected, text string) {
		e.fail(&fault.Fault{Table: "lines", Row: row, Column: column, Value: value, Expected: expected, Text: text})
	}
	o := e.ix.Orders[l.Order]
	if o == nil {
		bad("order", string(l.Order), "an order of the orders table", "unknown order")
		return Unit{}, nil, false
	}
	if it := e.ix.Items[l.Product]; it == nil || it.Kind != product.Made {
		bad("product", string(l.Product), "an item of kind made", "this cannot be built")
		return Unit{}, nil, false
	}
	zone := e.ix.Zone(o.Plant)
	u := Unit{Order: l.Order, Line: l.Line, Product: l.Product, Customer: o.Customer, Class: o.Class, Plant: o.Plant,
		Priority: l.Priority, Top: None}
	var ok bool
	if u.Due, ok = l.Due.Time(zone); !ok {
		bad("due", string(l.Due), "a date and time", "the line has no due date")
		return Unit{}, nil, false
	}
	if at, given := l.Release.Time(zone); given {
		u.Release = at
	}
	values, err := e.ix.Configure(l)
	for _, f := range fault.All(err) {
		f.Row = row
		e.fail(f)
	}
	if err != nil {
		return Unit{}, nil, false
	}
	conf := newConfig(fmt.Sprintf("order %s line %d", l.Order, l.Line), values)
	u.Options = conf.text
	return u, conf, e.rules(l, row, conf)
}

// rules refuses a configuration in the words of the rule that forbids it.
func (e *explosion) rules(l *order.Line, row int, conf *config) bool {
	ok := true
	for _, rule := range e.ix.RulesOf[l.Product] {
		x, err := e.ix.Formulas.Condition(rule.Must)
		holds := false
		if err == nil {
			holds, err = x.True(e.env(l.Product, conf, 1))
		}
		if err != nil {
			e.fail(&fault.Fault{Table: "rules", Row: e.rows.rule(rule), Column: "must", Value: string(rule.Must),
				Text: fmt.Sprintf("rule %s does not compute for %s: %v", rule.Rule, conf, err)})
			ok = false
		} else if !holds {
			e.fail(&fault.Fault{Table: "lines", Row: row, Column: "options", Value: string(order.ChoicesOf(conf.plain())),
				Text: fmt.Sprintf("%s (rule %s)", rule.Says, rule.Rule)})
			ok = false
		}
	}
	return ok
}

// tops makes the trees of all units: first of those planned before, then of those that are new and take what is left.
func (e *explosion) tops() {
	e.memorise(e.r.Units)
	for u := range e.r.Units {
		if e.mem == nil || e.mem.units[string(e.r.Units[u].ID)] {
			e.top(u)
		}
		if u == sample {
			e.reserve(len(e.r.Units) - u)
		}
	}
	if e.mem == nil {
		return
	}
	e.memorise(nil)
	for u := range e.r.Units {
		if !e.mem.units[string(e.r.Units[u].ID)] {
			e.top(u)
		}
	}
}

// sample is the number of units from which the room for all is estimated.
const sample = 16

// reserve makes room for further units like those so far, so that large slices need not be copied again and again.
func (e *explosion) reserve(units int) {
	r := e.r
	r.Jobs = slices.Grow(r.Jobs, len(r.Jobs)/sample*units)
	r.Ops = slices.Grow(r.Ops, len(r.Ops)/sample*units)
	r.Demands = slices.Grow(r.Demands, len(r.Demands)/sample*units)
}

// top makes the tree of jobs of one unit.
func (e *explosion) top(u int) {
	unit := &e.r.Units[u]
	jobs := e.make(spec{root: string(unit.ID), unit: u, item: e.ix.Items[unit.Product], need: 1, parent: None,
		want: unit.Due, conf: e.configs[u]})
	if len(jobs) > 0 {
		e.r.Units[u].Top = jobs[0]
	}
}
