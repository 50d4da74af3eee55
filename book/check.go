package book

import (
	"fmt"
	"sort"

	"tackline/fault"
)

// Origin gives the sheet row of each row of each table, the header being row 1. A table it does not hold has its rows
// from row 2 on without a gap.
type Origin map[string][]int

// Row gives the sheet row of row i of a table; 0 if i is negative.
func (o Origin) Row(table string, i int) int {
	if i < 0 {
		return 0
	}
	if rows := o[table]; i < len(rows) {
		return rows[i]
	}
	return i + 2
}

// Check finds every fault of a book at once: cells that are not allowed, doubled keys, unknown names, times that never
// come, operations that nobody can run, formulas that do not compile or fail for some configuration, and orders that
// break a rule. An empty list means that the book can be planned. The faults come in the order of the sheets and rows.
func Check(b *Book, origin Origin) fault.List {
	ix, err := newIndex(b)
	if err != nil {
		return fault.All(err)
	}
	c := &checker{b: b, ix: ix, origin: origin, nears: map[string]string{}, told: map[string]bool{},
		plain: map[*form]bool{}, settled: map[string]bool{}}
	c.cells()
	c.references()
	c.settings()
	c.times()
	c.stations()
	c.products()
	c.people()
	c.routes()
	c.formulas()
	c.orders()
	c.stock()
	c.hands()
	Sort(c.faults)
	return c.faults
}

// checker collects the faults of one book.
type checker struct {
	b      *Book
	ix     *Index
	origin Origin
	faults fault.List
	nears  map[string]string // nearest names found so far
	told   map[string]bool   // places and texts reported: the same fault is not reported twice
	window window

	options map[string]bool // names of all options
	plain   map[*form]bool  // formulas without options, worked out
	settled map[string]bool // cells of which a doubt was reported
	work    int             // evaluations so far
}

// at names a cell: row i of a table, counted from 0, and a column.
type at struct {
	table  string
	i      int
	column string
}

// say reports a fault at a cell. value, expected and near may be empty.
func (c *checker) say(p at, value, expected, near, format string, args ...any) {
	f := &fault.Fault{Kind: fault.Invalid, Table: p.table, Row: c.origin.Row(p.table, p.i), Column: p.column,
		Value: value, Expected: expected, Near: near}
	if format != "" {
		f.Text = fmt.Sprintf(format, args...)
	}
	key := fmt.Sprint(p, f.Value, f.Expected, f.Text)
	if !c.told[key] {
		c.told[key] = true
		c.faults = append(c.faults, f)
	}
}

// nearest finds the nearest name once for each kind of name and value. Only so many are looked for: a book of nothing
// but unknown names must not take long.
func (c *checker) nearest(kind, value string, names func() []string) string {
	const most = 200
	key := kind + "\x00" + value
	near, known := c.nears[key]
	if !known && len(c.nears) < most {
		near = Nearest(value, names())
		c.nears[key] = near
	}
	return near
}

// Sort puts faults in the order of the sheets and rows, keeping the order of discovery within a row.
func Sort(faults fault.List) {
	place := map[string]int{}
	for i := range tables {
		place[tables[i].Name] = i + 1
	}
	sort.SliceStable(faults, func(i, j int) bool {
		a, b := faults[i], faults[j]
		if place[a.Table] != place[b.Table] {
			return place[a.Table] < place[b.Table]
		}
		return a.Row < b.Row
	})
}
