package needs

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"tackline/book"
	"tackline/fault"
	"tackline/formula"
	"tackline/plant"
	"tackline/product"
)

// config is one configuration: the options of an order line, typed for formulas and as text.
type config struct {
	who  string // for people: "order 1042 line 1"
	opt  map[string]any
	text map[plant.OptionID]string
	keys map[plant.ItemID]string // the options that an item reads, as a cache key
}

func newConfig(who string, values map[string]any) *config {
	return &config{who: who, opt: values, text: book.OptionTexts(values), keys: map[plant.ItemID]string{}}
}

// String names the configuration: "order 1042 line 1 (form=closed; jaws=4)".
func (c *config) String() string {
	if len(c.text) == 0 {
		return c.who
	}
	return fmt.Sprintf("%s (%s)", c.who, c.list())
}

func (c *config) list() string {
	names := make([]string, 0, len(c.text))
	for n := range c.text {
		names = append(names, string(n))
	}
	sort.Strings(names)
	for i, n := range names {
		names[i] = n + "=" + c.text[plant.OptionID(n)]
	}
	return strings.Join(names, "; ")
}

func (c *config) plain() map[string]string {
	m := make(map[string]string, len(c.text))
	for k, v := range c.text {
		m[string(k)] = v
	}
	return m
}

// shape is what the route and the parts list of an item come to for one configuration and quantity. Shapes are shared by
// all jobs of the same item, pieces and values of the options that the item's formulas read.
type shape struct {
	ops   []Op // without Job and Demands
	parts []component
}

// component is a parts-list line, computed.
type component struct {
	row  int // in the book's parts
	item *product.Item
	qty  float64 // for all pieces, in the item's unit
	op   int     // place in shape.ops
	set  bool
}

type shapeKey struct {
	item   plant.ItemID
	pieces int
	opts   string
}

// env is what formulas of an item see.
func (e *explosion) env(item plant.ItemID, c *config, pieces int) formula.Env {
	return envOf(e.ix, item, c.opt, pieces)
}

func envOf(ix *book.Index, item plant.ItemID, opt map[string]any, pieces int) formula.Env {
	attributes := ix.Attributes[item]
	if attributes == nil {
		attributes = map[string]any{}
	}
	return formula.Env{Opt: opt, Item: attributes, Qty: float64(pieces)}
}

// shape computes the route and parts list of an item once for each configuration that makes a difference.
func (e *explosion) shape(it *product.Item, pieces int, c *config) *shape {
	key := shapeKey{it.ID, pieces, e.key(it.ID, c)}
	if s := e.shapes[key]; s != nil {
		return s
	}
	w := &worker{e: e, it: it, c: c, env: e.env(it.ID, c, pieces)}
	s := &shape{}
	for _, row := range e.ix.OpsOf[it.ID] {
		if w.when("operations", e.rows.op(row), row.When) {
			s.ops = append(s.ops, w.op(row, pieces))
		}
	}
	if len(s.ops) == 0 {
		e.fail(&fault.Fault{Table: "operations", Text: fmt.Sprintf("item %s has no operation for %s", it.ID, c),
			Expected: "a route with at least one operation"})
	}
	for _, row := range e.ix.PartsOf[it.ID] {
		if !w.when("parts", e.rows.part(row), row.When) {
			continue
		}
		if p, ok := w.part(row, pieces, s.ops); ok {
			s.parts = append(s.parts, p)
		}
	}
	e.shapes[key] = s
	return s
}

// key writes the values of the options that an item's formulas read.
func (e *explosion) key(item plant.ItemID, c *config) string {
	if k, ok := c.keys[item]; ok {
		return k
	}
	var b strings.Builder
	for _, name := range e.optionsRead(item) {
		fmt.Fprintf(&b, "%s=%s;", name, c.text[plant.OptionID(name)])
	}
	c.keys[item] = b.String()
	return c.keys[item]
}

// optionsRead gives the options that any formula of the item's route and parts list reads, in alphabetical order.
// Formulas that do not compile are reported when they are computed.
func (e *explosion) optionsRead(item plant.ItemID) []string {
	if names, ok := e.reads[item]; ok {
		return names
	}
	set := map[string]bool{}
	add := func(x *formula.Expr, err error) {
		if err == nil {
			for _, n := range x.Options() {
				set[n] = true
			}
		}
	}
	f := e.ix.Formulas
	for _, o := range e.ix.OpsOf[item] {
		for _, s := range []plant.Formula{o.Setup, o.Load, o.Run, o.Unload, o.Size} {
			add(f.Number(orZero(s)))
		}
		for _, s := range []plant.Pattern{o.Family, o.Key, o.Program, o.Fixture, o.Drawing} {
			add(f.Text(s))
		}
		add(f.Condition(orTrue(o.When)))
	}
	for _, p := range e.ix.PartsOf[item] {
		add(f.Text(p.Component))
		add(f.Number(orZero(p.Quantity)))
		add(f.Condition(orTrue(p.When)))
	}
	names := make([]string, 0, len(set))
	for n := range set {
		names = append(names, n)
	}
	sort.Strings(names)
	e.reads[item] = names
	return names
}

func orZero(f plant.Formula) plant.Formula { return or(f, "0") }
func orTrue(f plant.Formula) plant.Formula { return or(f, "true") }

func or(f, empty plant.Formula) plant.Formula {
	if strings.TrimSpace(string(f)) == "" {
		return empty
	}
	return f
}

// worker computes the formulas of one item for one configuration and reports those that fail.
type worker struct {
	e   *explosion
	it  *product.Item
	c   *config
	env formula.Env
}

func (w *worker) fail(table string, row int, column, source, text string) {
	w.e.fail(&fault.Fault{Table: table, Row: row + 2, Column: column, Value: source,
		Text: fmt.Sprintf("item %s, for %s: %s", w.it.ID, w.c, text)})
}

// number computes a formula that must give a finite number not below 0.
func (w *worker) number(table string, row int, column string, source plant.Formula) float64 {
	x, err := w.e.ix.Formulas.Number(source)
	v := 0.0
	if err == nil {
		v, err = x.Number(w.env)
	}
	switch {
	case err != nil:
		w.fail(table, row, column, string(source), err.Error())
	case v < 0 || math.IsNaN(v) || v > 1e9:
		w.fail(table, row, column, string(source), fmt.Sprintf("gives %g; expected a number from 0 to 1e9", v))
	default:
		return v
	}
	return 0
}

func (w *worker) text(table string, row int, column string, source plant.Pattern) string {
	if source == "" {
		return ""
	}
	x, err := w.e.ix.Formulas.Text(source)
	s := ""
	if err == nil {
		s, err = x.Text(w.env)
	}
	if err != nil {
		w.fail(table, row, column, string(source), err.Error())
	}
	return s
}

func (w *worker) when(table string, row int, source plant.Formula) bool {
	if orTrue(source) == "true" {
		return true
	}
	x, err := w.e.ix.Formulas.Condition(source)
	ok := false
	if err == nil {
		ok, err = x.True(w.env)
	}
	if err != nil {
		w.fail(table, row, "when", string(source), err.Error())
	}
	return ok
}

// op computes one operation.
func (w *worker) op(o *product.Op, pieces int) Op {
	row := w.e.rows.op(o)
	minutes := func(column string, f plant.Formula) plant.Seconds {
		return plant.MinutesToSeconds(w.number("operations", row, column, orZero(f)))
	}
	text := func(column string, p plant.Pattern) string { return w.text("operations", row, column, p) }
	out := Op{Row: row, Seq: o.Seq, Name: o.Name, Centre: o.Centre, Nature: o.Nature, Closed: string(or(plant.Formula(o.Closed), product.Pause)),
		Setup: minutes("setup", o.Setup), Load: minutes("load", o.Load), Run: minutes("run", o.Run), Unload: minutes("unload", o.Unload),
		Family: plant.Family(text("setup_family", o.Family)), Key: text("batch_key", o.Key),
		Size:     plant.QtyOf(w.number("operations", row, "size", or(o.Size, "1")) * float64(pieces)),
		Transfer: o.Transfer, Program: plant.ProgramID(text("program", o.Program)), Fixture: text("fixture", o.Fixture),
		Drawing: plant.DrawingID(text("drawing", o.Drawing)), Hold: o.Hold, Note: o.Note}
	key := book.OpKey{Item: o.Item, Seq: o.Seq}
	for _, c := range w.e.ix.CrewsOf[key] {
		out.Crew = append(out.Crew, Crew{Pool: c.Pool, Heads: c.Heads, For: c.For})
	}
	for _, a := range w.e.ix.AblesOf[key] {
		out.Able = append(out.Able, Able{Station: a.Station, Speed: a.Speed})
	}
	return out
}

// part computes one parts-list line. ok is false if it comes to nothing.
func (w *worker) part(p *product.Part, pieces int, ops []Op) (component, bool) {
	row := w.e.rows.part(p)
	id := plant.ItemID(w.text("parts", row, "component", p.Component))
	it := w.e.ix.Items[id]
	if it == nil {
		w.fail("parts", row, "component", string(p.Component), fmt.Sprintf("gives %q, which is no item", id))
		return component{}, false
	}
	per := w.number("parts", row, "quantity", orZero(p.Quantity))
	factor, ok := book.UnitFactor(p.Unit, it.Unit)
	if !ok {
		w.fail("parts", row, "unit", string(p.Unit), fmt.Sprintf("does not convert to the unit of %s, %s", it.ID, it.Unit))
		return component{}, false
	}
	qty := per * factor * float64(pieces)
	return component{row: row, item: it, qty: qty, op: place(ops, p.Op), set: p.Set}, plant.QtyOf(qty) > 0 && len(ops) > 0
}

// place finds the operation at which a line is consumed: 0 is the first; where the operation is left out for this
// configuration it is the next one, or the last.
func place(ops []Op, seq int) int {
	for i := range ops {
		if ops[i].Seq >= seq {
			return i
		}
	}
	return max(len(ops)-1, 0)
}
