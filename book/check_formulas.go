package book

import (
	"strings"

	"tackline/fault"
	"tackline/formula"
	"tackline/plant"
	"tackline/product"
)

// form is one formula of the book with the cell that it stands in. expr is nil if it does not compile.
type form struct {
	at     at
	source string
	expr   *formula.Expr
}

// reads tells which options some forms read, each once.
func reads(forms ...*form) []string {
	set := map[string]bool{}
	for _, f := range forms {
		if f != nil && f.expr != nil {
			for _, n := range f.expr.Options() {
				set[n] = true
			}
		}
	}
	return sorted(set)
}

// opForms are the formulas of one operation.
type opForms struct {
	op      *product.Op
	when    *form
	minutes []*form // setup, load, run, unload
	size    *form
	texts   []*form
}

// partForms are the formulas of one parts-list line.
type partForms struct {
	i         int
	part      *product.Part
	when      *form
	component *form
	quantity  *form
}

func (p *partForms) good() bool { return p.when.expr != nil && p.component.expr != nil }

// forms are all formulas of the book, compiled.
type forms struct {
	ops   map[plant.ItemID][]*opForms
	parts map[plant.ItemID][]*partForms
	rules map[plant.ItemID][]*form // by product
	says  map[*form]string
}

// formulas compiles every formula and checks the names it reads, then works each out for every configuration it
// depends on.
func (c *checker) formulas() {
	f := &forms{ops: map[plant.ItemID][]*opForms{}, parts: map[plant.ItemID][]*partForms{},
		rules: map[plant.ItemID][]*form{}, says: map[*form]string{}}
	for i := range c.b.Ops {
		op := &c.b.Ops[i]
		f.ops[op.Item] = append(f.ops[op.Item], c.compileOp(i, op))
	}
	for i := range c.b.Parts {
		p := &c.b.Parts[i]
		at := func(column string) at { return at{"parts", i, column} }
		f.parts[p.Parent] = append(f.parts[p.Parent], &partForms{i: i, part: p,
			when: c.condition(at("when"), p.Parent, p.When), component: c.pattern(at("component"), p.Parent, p.Component),
			quantity: c.number(at("quantity"), p.Parent, p.Quantity)})
	}
	for i, r := range c.b.Rules {
		x := c.condition(at{"rules", i, "must"}, r.Product, r.Must)
		f.says[x] = r.Says
		f.rules[r.Product] = append(f.rules[r.Product], x)
		if it := c.ix.Items[r.Product]; it != nil && !it.Product {
			c.say(at{"rules", i, "product"}, string(r.Product), "an item whose product column is yes", "", "nobody can order this item")
		}
	}
	c.configurations(f)
}

func (c *checker) compileOp(i int, op *product.Op) *opForms {
	at := func(column string) at { return at{"operations", i, column} }
	o := &opForms{op: op, when: c.condition(at("when"), op.Item, op.When), size: c.number(at("size"), op.Item, op.Size)}
	for _, m := range []struct {
		column string
		f      plant.Formula
	}{{"setup", op.Setup}, {"load", op.Load}, {"run", op.Run}, {"unload", op.Unload}} {
		o.minutes = append(o.minutes, c.number(at(m.column), op.Item, m.f))
	}
	for _, t := range []struct {
		column string
		p      plant.Pattern
	}{{"setup_family", op.Family}, {"batch_key", op.Key}, {"program", op.Program}, {"fixture", op.Fixture}, {"drawing", op.Drawing}} {
		if t.p != "" {
			o.texts = append(o.texts, c.pattern(at(t.column), op.Item, t.p))
		}
	}
	return o
}

func (c *checker) number(p at, item plant.ItemID, f plant.Formula) *form {
	if f == "" {
		return &form{at: p} // an empty cell, reported as such
	}
	x, err := c.ix.Formulas.Number(f)
	return c.compiled(p, item, string(f), x, err)
}

func (c *checker) condition(p at, item plant.ItemID, f plant.Formula) *form {
	x, err := c.ix.Formulas.Condition(f)
	return c.compiled(p, item, string(f), x, err)
}

func (c *checker) pattern(p at, item plant.ItemID, f plant.Pattern) *form {
	x, err := c.ix.Formulas.Text(f)
	return c.compiled(p, item, string(f), x, err)
}

// compiled reports a formula that does not compile, and names in it that are unknown.
func (c *checker) compiled(p at, item plant.ItemID, source string, x *formula.Expr, err error) *form {
	if err != nil {
		for _, f := range fault.All(err) {
			c.say(p, source, f.Expected, f.Near, "%s", f.Text)
		}
		return &form{at: p, source: source}
	}
	if c.ix.Items[item] != nil {
		for _, name := range x.Attributes() {
			if _, known := c.ix.Attributes[item][name]; !known {
				near := Nearest(name, sorted(c.ix.Attributes[item]))
				c.say(p, source, "attributes of "+string(item), near, "item.%s: %s has no attribute %s", name, item, name)
			}
		}
	}
	for _, name := range x.Options() {
		if all := c.allOptions(); !all[name] {
			near := c.nearest("option", name, func() []string { return sorted(all) })
			c.say(p, source, "options of a product", near, "opt.%s: no product has an option %s", name, name)
		}
	}
	return &form{at: p, source: source, expr: x}
}

// allOptions gives the names of all options of all products.
func (c *checker) allOptions() map[string]bool {
	if c.options == nil {
		c.options = map[string]bool{}
		for _, o := range c.b.Options {
			c.options[string(o.Option)] = true
		}
	}
	return c.options
}

// optionsText writes a configuration for people.
func optionsText(opt map[string]any) string {
	if len(opt) == 0 {
		return "any configuration"
	}
	var parts []string
	for _, n := range sorted(opt) {
		parts = append(parts, n+"="+OptionText(opt[n]))
	}
	return strings.Join(parts, "; ")
}
