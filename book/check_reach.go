package book

import (
	"fmt"
	"sort"
	"strings"

	"tackline/plant"
)

// rulesHold checks that each rule of a product can be worked out and met, alone and together with the others.
func (c *checker) rulesHold(f *forms, x *context) {
	good, alone := true, true
	for _, r := range x.rules {
		if r.expr == nil {
			return
		}
		met := false
		complete := c.each(x, reads(r), func(choice map[string]any) bool {
			on, err := r.expr.True(c.env(x.root, choice))
			if err != nil {
				good = false
				c.say(r.at, r.source, "a condition that works for every configuration", c.missing(x, r), "%s (with %s)", err, optionsText(choice))
				return false
			}
			met = met || on
			return true
		})
		if good && complete && !met {
			alone = false
			c.say(r.at, r.source, "a condition that some configuration meets", "", "no value of the options meets this rule, so %s cannot be ordered", x.root)
		}
	}
	if len(x.rules) < 2 || !good || !alone {
		return
	}
	met := false
	complete := c.each(x, reads(x.rules...), func(choice map[string]any) bool {
		met = c.obeys(x, choice)
		return !met
	})
	if complete && !met {
		c.say(x.rules[0].at, x.rules[0].source, "rules that some configuration meets together", "", "no configuration meets all rules of %s", x.root)
	}
}

func (c *checker) obeys(x *context, choice map[string]any) bool {
	for _, r := range x.rules {
		if r.expr == nil {
			continue
		}
		if on, err := r.expr.True(c.env(x.root, choice)); err != nil || !on {
			return false
		}
	}
	return true
}

// settle reports each doubt of a context for which there is a configuration that obeys the rules and needs the item, once
// for each cell.
func (c *checker) settle(x *context) {
	for _, d := range x.doubts {
		if c.settled[d.about] {
			continue
		}
		if with, ok := c.confirm(x, d.item, d.choice); ok {
			c.settled[d.about] = true
			d.tell(optionsText(c.telling(x, d, with)))
		}
	}
}

// telling leaves out of a configuration the options that only the rules read: they do not explain a doubt.
func (c *checker) telling(x *context, d *doubt, with map[string]any) map[string]any {
	out := map[string]any{}
	for n, v := range d.choice {
		out[n] = v
	}
	for _, n := range c.pathOptions(x, d.item) {
		if v, chosen := with[n]; chosen {
			out[n] = v
		}
	}
	return out
}

// confirm looks for a configuration that contains a choice, obeys the rules and reaches the item. It varies only the
// options that rules and the ways to the item read.
func (c *checker) confirm(x *context, item plant.ItemID, choice map[string]any) (map[string]any, bool) {
	set := map[string]bool{}
	for _, n := range append(reads(x.rules...), c.pathOptions(x, item)...) {
		if _, chosen := choice[n]; !chosen {
			set[n] = true
		}
	}
	var found map[string]any
	c.each(x, sorted(set), func(more map[string]any) bool {
		for k, v := range choice {
			more[k] = v
		}
		if c.obeys(x, more) && c.reaches(x, item, more, map[plant.ItemID]bool{}) {
			found = more
		}
		return found == nil
	})
	return found, found != nil
}

// pathOptions gives the options that decide whether an item is needed at all.
func (c *checker) pathOptions(x *context, item plant.ItemID) []string {
	if names, known := x.path[item]; known {
		return names
	}
	set := map[string]bool{}
	seen := map[plant.ItemID]bool{item: true}
	for queue := []plant.ItemID{item}; len(queue) > 0; queue = queue[1:] {
		for _, e := range x.into[queue[0]] {
			for _, n := range reads(e.forms.when, e.forms.component) {
				set[n] = true
			}
			if !seen[e.parent] {
				seen[e.parent] = true
				queue = append(queue, e.parent)
			}
		}
	}
	x.path[item] = sorted(set)
	return x.path[item]
}

// reaches tells whether a configuration needs an item.
func (c *checker) reaches(x *context, item plant.ItemID, choice map[string]any, under map[plant.ItemID]bool) bool {
	if item == x.root {
		return true
	}
	under[item] = true
	for _, e := range x.into[item] {
		if !under[e.parent] && c.gives(e, choice) && c.reaches(x, e.parent, choice, under) {
			return true
		}
	}
	return false
}

// gives tells whether a parts-list line gives the item of an edge in a configuration.
func (c *checker) gives(e *edge, choice map[string]any) bool {
	env := c.env(e.parent, choice)
	if on, err := e.forms.when.expr.True(env); err != nil || !on {
		return false
	}
	text, err := e.forms.component.expr.Text(env)
	return err == nil && text == string(e.item)
}

// cycles reports parts lists that run in a circle, each once. Circles that depend on options are looked for product by
// product; then those that pass through items made to stock, where the ways of a product end.
func (c *checker) cycles(all []*context) {
	told := map[string]bool{}
	var stock []*context
	for _, x := range all {
		if !x.product {
			stock = append(stock, x)
			continue
		}
		for _, loop := range loops(x.order, outOf(x)) {
			c.circle(x, loop, told)
		}
	}
	var order []plant.ItemID
	for _, x := range stock {
		order = append(order, x.order...)
	}
	for _, loop := range loops(order, outOf(stock...)) {
		c.circle(nil, loop, told)
	}
}

// outOf gives the edges of contexts by parent, in the order of the parts table.
func outOf(all ...*context) map[plant.ItemID][]*edge {
	out := map[plant.ItemID][]*edge{}
	seen := map[edge]bool{}
	for _, x := range all {
		for _, edges := range x.into {
			for _, e := range edges {
				if !seen[*e] {
					seen[*e] = true
					out[e.parent] = append(out[e.parent], e)
				}
			}
		}
	}
	for _, edges := range out {
		sort.Slice(edges, func(i, j int) bool {
			if edges[i].forms.i != edges[j].forms.i {
				return edges[i].forms.i < edges[j].forms.i
			}
			return edges[i].item < edges[j].item
		})
	}
	return out
}

// circle reports one loop of edges if some configuration goes all the way round; x is nil where no options are read.
func (c *checker) circle(x *context, loop []*edge, told map[string]bool) {
	names := []string{string(loop[0].parent)}
	least := names[0]
	var readers []*form
	for _, e := range loop {
		names = append(names, string(e.item))
		least = min(least, string(e.item))
		readers = append(readers, e.forms.when, e.forms.component)
	}
	around := false
	if x == nil || len(reads(readers...)) == 0 {
		around = true
	} else {
		c.each(x, reads(readers...), func(choice map[string]any) bool {
			all := true
			for _, e := range loop {
				all = all && c.gives(e, choice)
			}
			if all {
				_, around = c.confirm(x, loop[0].parent, choice)
			}
			return !around
		})
	}
	key := fmt.Sprint(least, len(loop))
	if !around || told[key] {
		return
	}
	told[key] = true
	last := loop[len(loop)-1].forms
	c.say(last.component.at, last.component.source, "an item that does not contain "+names[0], "",
		"the parts list runs in a circle: %s", strings.Join(names, " -> "))
}

// loops finds circles in a graph by depth-first search: for each edge that leads back into the path, the path from there.
func loops(order []plant.ItemID, out map[plant.ItemID][]*edge) [][]*edge {
	const (
		fresh = iota
		open
		done
	)
	state := map[plant.ItemID]int{}
	var found [][]*edge
	var path []*edge
	var visit func(id plant.ItemID)
	visit = func(id plant.ItemID) {
		state[id] = open
		for _, e := range out[id] {
			switch state[e.item] {
			case open:
				loop := []*edge{e}
				for k := len(path) - 1; k >= 0 && loop[0].parent != e.item; k-- {
					loop = append([]*edge{path[k]}, loop...)
				}
				found = append(found, loop)
			case fresh:
				path = append(path, e)
				visit(e.item)
				path = path[:len(path)-1]
			}
		}
		state[id] = done
	}
	for _, id := range order {
		if state[id] == fresh {
			visit(id)
		}
	}
	return found
}
