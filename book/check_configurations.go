package book

import (
	"fmt"

	"tackline/formula"
	"tackline/plant"
	"tackline/product"
)

// Bounds on the configurations tried. A formula is worked out for every combination of the options that it reads; where
// these are too many, for a sample spread evenly over them. needs.Explode works out every configuration ordered anyway.
const (
	mostCombinations = 2000    // of one formula for one product
	mostWork         = 600_000 // evaluations of one check; after that, samples are small
	smallSample      = 8
)

// context is one way in which items are made: for units of a product, with its options, or to stock, with none.
type context struct {
	root    plant.ItemID
	product bool
	loose   bool // no product and no stock asks for it: only formulas without options are worked out
	names   []string
	values  map[string][]any // of each option; nil: not known
	rules   []*form
	into    map[plant.ItemID][]*edge
	order   []plant.ItemID // items reached, root first
	path    map[plant.ItemID][]string
	doubts  []*doubt
}

// edge is a parts-list line that can give an item.
type edge struct {
	parent, item plant.ItemID
	forms        *partForms
}

// doubt is a fault found for some choice of options; it is one only if a configuration with that choice obeys the rules
// and really needs the item.
type doubt struct {
	item   plant.ItemID
	choice map[string]any
	about  string // the same cell and matter are reported once
	tell   func(with string)
}

// configurations works out the formulas of every product, of every item made to stock, and of what is left.
func (c *checker) configurations(f *forms) {
	var all []*context
	reached := map[plant.ItemID]bool{}
	walk := func(x *context) {
		c.walk(f, x)
		for _, id := range x.order {
			reached[id] = true
		}
		all = append(all, x)
	}
	ordered := map[plant.ItemID]bool{}
	for _, l := range c.b.Lines {
		ordered[l.Product] = true
	}
	for i := range c.b.Items {
		it := &c.b.Items[i]
		if c.ix.Items[it.ID] != it || it.Kind != product.Made {
			continue
		}
		if it.Product || ordered[it.ID] {
			walk(c.productContext(f, it))
		}
		if it.Policy == "stock" {
			walk(&context{root: it.ID})
		}
	}
	for i := range c.b.Items {
		if it := &c.b.Items[i]; !reached[it.ID] && it.Kind == product.Made && c.ix.Items[it.ID] == it {
			walk(&context{root: it.ID, loose: true})
		}
	}
	c.cycles(all)
	for _, x := range all {
		c.rulesHold(f, x)
		for _, id := range x.order {
			c.itemForms(f, x, id)
		}
		c.settle(x)
	}
}

// productContext gives the context of units of a product: its options with the values allowed, or, for numbers without a
// list, those that the default and the order lines name.
func (c *checker) productContext(f *forms, it *product.Item) *context {
	x := &context{root: it.ID, product: true, values: map[string][]any{}, rules: f.rules[it.ID]}
	for _, o := range c.ix.OptionsOf[it.ID] {
		name := string(o.Option)
		if _, twice := x.values[name]; twice {
			continue
		}
		x.names = append(x.names, name)
		x.values[name] = OptionValues(o)
		if v, ok := OptionValue(o, o.Default); ok && len(split(o.Values)) == 0 && o.Kind == NumberOption {
			x.values[name] = append(x.values[name], v)
		}
	}
	for i := range c.b.Lines {
		l := &c.b.Lines[i]
		if l.Product != it.ID {
			continue
		}
		values, _ := c.ix.configure(l)
		for _, o := range c.ix.OptionsOf[it.ID] {
			if v, ok := values[string(o.Option)]; ok && o.Kind == NumberOption && len(split(o.Values)) == 0 {
				x.values[string(o.Option)] = addValue(x.values[string(o.Option)], v)
			}
		}
	}
	return x
}

// addValue adds v to a list of values seen, up to 50.
func addValue(list []any, v any) []any {
	for _, w := range list {
		if w == v {
			return list
		}
	}
	if len(list) >= 50 {
		return list
	}
	return append(list, v)
}

// each calls do with every combination of the values of the options named that the context has, until do says no.
// complete is false if only a sample was tried, or an option has no known value.
func (c *checker) each(x *context, names []string, do func(choice map[string]any) bool) (complete bool) {
	var used []string
	total := 1
	for _, n := range names {
		values, declared := x.values[n]
		if !declared {
			if x.loose {
				return false
			}
			continue
		}
		if len(values) == 0 {
			return false
		}
		used = append(used, n)
		total = min(total*len(values), 1<<40)
	}
	most := mostCombinations
	if c.work > mostWork {
		most = smallSample
	}
	tries, stride := total, 1
	if total > most {
		tries, stride = most, total/most|1
		for gcd(stride, total) != 1 {
			stride += 2
		}
	}
	for k, at := 0, 0; k < tries; k, at = k+1, (at+stride)%total {
		choice := make(map[string]any, len(used))
		rest := at
		for _, n := range used {
			choice[n] = x.values[n][rest%len(x.values[n])]
			rest /= len(x.values[n])
		}
		c.work++
		if !do(choice) {
			return true
		}
	}
	return tries == total
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func (c *checker) env(item plant.ItemID, choice map[string]any) formula.Env {
	return formula.Env{Opt: choice, Item: c.ix.Attributes[item], Qty: 1}
}

// walk finds every item that the parts lists can reach from the root of a context, and doubts components that are
// unknown, do not convert, or come from a plant without a way.
func (c *checker) walk(f *forms, x *context) {
	x.into, x.path = map[plant.ItemID][]*edge{}, map[plant.ItemID][]string{}
	seen := map[plant.ItemID]bool{x.root: true}
	x.order = []plant.ItemID{x.root}
	for k := 0; k < len(x.order); k++ {
		parent := x.order[k]
		for _, p := range f.parts[parent] {
			if !p.good() {
				continue
			}
			for _, id := range c.components(x, p) {
				x.into[id] = append(x.into[id], &edge{parent, id, p})
				it := c.ix.Items[id]
				c.setsFit(f, x, p, it)
				if it.Kind == product.Made && it.Policy != "stock" && !seen[id] {
					seen[id] = true
					x.order = append(x.order, id)
				}
			}
		}
	}
}

// components gives the items that a parts-list line can give, in order of discovery.
func (c *checker) components(x *context, p *partForms) []plant.ItemID {
	var out []plant.ItemID
	seen := map[plant.ItemID]bool{}
	parent := p.part.Parent
	c.each(x, reads(p.when, p.component), func(choice map[string]any) bool {
		env := c.env(parent, choice)
		if on, err := p.when.expr.True(env); err != nil || !on {
			return true // an error of when is found with the item's formulas
		}
		text, err := p.component.expr.Text(env)
		if err != nil {
			c.doubtForm(x, parent, choice, p.component, err)
			return true
		}
		id := plant.ItemID(text)
		if it := c.ix.Items[id]; it == nil {
			c.doubtComponent(x, p, choice, text)
		} else if !seen[id] {
			seen[id] = true
			out = append(out, id)
			c.partFits(p, it)
		}
		return true
	})
	return out
}

func (c *checker) doubtComponent(x *context, p *partForms, choice map[string]any, text string) {
	x.doubts = append(x.doubts, &doubt{p.part.Parent, choice, fmt.Sprint(p.component.at, text), func(with string) {
		near := c.nearest("items", text, func() []string { return itemNames(c.ix) })
		if text == p.component.source {
			c.say(p.component.at, text, "an item", near, "unknown item")
			return
		}
		c.say(p.component.at, p.component.source, "an item", near, "gives %q with %s, which is no item", text, with)
	}})
}

func itemNames(ix *Index) []string {
	out := make([]string, 0, len(ix.Items))
	for i := range ix.Book.Items {
		out = append(out, string(ix.Book.Items[i].ID))
	}
	return out
}

// partFits checks the unit of a parts-list line against its component, and the way between their plants.
func (c *checker) partFits(p *partForms, it *product.Item) {
	if _, ok := UnitFactor(p.part.Unit, it.Unit); !ok && contains(units(), string(p.part.Unit)) {
		c.say(at{"parts", p.i, "unit"}, string(p.part.Unit), "a unit that converts to "+string(it.Unit), "", "%s is stocked in %s", it.ID, it.Unit)
	}
	if parent := c.ix.Items[p.part.Parent]; parent != nil && !c.way(it.Plant, parent.Plant) {
		c.say(p.component.at, p.component.source, fmt.Sprintf("a row in transits from %s to %s", it.Plant, parent.Plant), "",
			"%s comes from %s and %s is made in %s, with no way between", it.ID, it.Plant, parent.ID, parent.Plant)
	}
}

// way tells whether things can get from one plant to another; yes if either is unknown, which is reported elsewhere.
func (c *checker) way(from, to plant.ID) bool {
	return from == to || c.ix.Plants[from] == nil || c.ix.Plants[to] == nil || c.ix.Transits[Way{from, to}] != nil
}
