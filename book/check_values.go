package book

import (
	"fmt"
	"math"
	"strings"

	"tackline/calendar"
	"tackline/fault"
	"tackline/plant"
	"tackline/product"
)

// mostValue is the largest time in minutes, quantity or size that a formula may give.
const mostValue = 1e9

// itemForms works out the formulas of one item for every configuration of a context.
func (c *checker) itemForms(f *forms, x *context, id plant.ItemID) {
	c.hasRoute(f, x, id)
	for _, o := range f.ops[id] {
		c.conditions(x, id, o.when)
		if o.when.expr == nil {
			continue
		}
		for _, m := range o.minutes {
			c.value(x, id, o.when, m, "minutes", c.runFits(o, m))
		}
		c.value(x, id, o.when, o.size, "", c.sizeFits(o))
		for _, t := range o.texts {
			c.text(x, id, o.when, t)
		}
	}
	for _, p := range f.parts[id] {
		c.conditions(x, id, p.when)
		if p.when.expr != nil {
			c.value(x, id, p.when, p.quantity, "", nil)
		}
	}
}

// once tells whether a form has yet to be worked out in this context: one that reads no options gives the same in all.
func (c *checker) once(when, f *form) bool {
	if f.expr == nil {
		return false
	}
	if len(reads(when, f)) > 0 {
		return true
	}
	if c.plain[f] {
		return false
	}
	c.plain[f] = true
	return true
}

// value works out a formula that must give a number from 0 to mostValue. more, if not nil, says what is wrong with a
// value beyond that.
func (c *checker) value(x *context, id plant.ItemID, when, f *form, unit string, more func(v float64) string) {
	if !c.once(when, f) {
		return
	}
	c.each(x, reads(when, f), func(choice map[string]any) bool {
		env := c.env(id, choice)
		if on, err := when.expr.True(env); err != nil || !on {
			return true
		}
		v, err := f.expr.Number(env)
		wrong := ""
		switch {
		case err != nil:
			c.doubtForm(x, id, choice, f, err)
			return true
		case v < 0 || v > mostValue:
			wrong = strings.TrimSpace(fmt.Sprintf("gives %s %s", OptionText(v), unit))
		case more != nil:
			wrong = more(v)
		}
		if wrong != "" {
			x.doubts = append(x.doubts, &doubt{id, choice, fmt.Sprint(f.at), func(with string) {
				c.say(f.at, f.source, "a number from 0 to 1e9 that fits", "", "%s, with %s", wrong, with)
			}})
		}
		return true
	})
}

func (c *checker) text(x *context, id plant.ItemID, when, f *form) {
	if !c.once(when, f) {
		return
	}
	c.each(x, reads(when, f), func(choice map[string]any) bool {
		env := c.env(id, choice)
		if on, err := when.expr.True(env); err != nil || !on {
			return true
		}
		if _, err := f.expr.Text(env); err != nil {
			c.doubtForm(x, id, choice, f, err)
		}
		return true
	})
}

func (c *checker) conditions(x *context, id plant.ItemID, f *form) {
	if !c.once(f, f) {
		return
	}
	c.each(x, reads(f), func(choice map[string]any) bool {
		if _, err := f.expr.True(c.env(id, choice)); err != nil {
			c.doubtForm(x, id, choice, f, err)
		}
		return true
	})
}

// doubtForm notes that a formula fails for a choice of options.
func (c *checker) doubtForm(x *context, id plant.ItemID, choice map[string]any, f *form, err error) {
	x.doubts = append(x.doubts, &doubt{id, choice, fmt.Sprint(f.at), func(with string) {
		for _, e := range fault.All(err) {
			near := e.Near
			if near == "" {
				near = c.missing(x, f)
			}
			where := "with " + with
			if !x.product {
				where = fmt.Sprintf("%s is made to stock, so no option is chosen for it", x.root)
			}
			c.say(f.at, f.source, "a formula that works for every configuration of "+string(x.root), near, "%s (%s)", e.Text, where)
		}
	}})
}

// missing suggests an option where a form reads one that the product does not have.
func (c *checker) missing(x *context, f *form) string {
	for _, n := range f.expr.Options() {
		if _, declared := x.values[n]; !declared {
			return Nearest(n, x.names)
		}
	}
	return ""
}

// hasRoute doubts configurations in which an item has no operation at all.
func (c *checker) hasRoute(f *forms, x *context, id plant.ItemID) {
	ops := f.ops[id]
	var whens []*form
	for _, o := range ops {
		if o.when.expr == nil || o.when.source == "" {
			return // an operation that is always there, or one that is reported
		}
		whens = append(whens, o.when)
	}
	if len(whens) == 0 {
		return // reported with the item
	}
	c.each(x, reads(whens...), func(choice map[string]any) bool {
		for _, w := range whens {
			if on, err := w.expr.True(c.env(id, choice)); on || err != nil {
				return true
			}
		}
		x.doubts = append(x.doubts, &doubt{id, choice, "route of " + string(id), func(with string) {
			c.say(whens[0].at, whens[0].source, "at least one operation in every configuration", "", "%s has no operation with %s", id, with)
		}})
		return true
	})
}

// runFits gives a check of a run that must lie in one span of open time; nil for any other time.
func (c *checker) runFits(o *opForms, m *form) func(v float64) string {
	if m.at.column != "run" || o.op.Closed != product.Whole {
		return nil
	}
	stations := c.stationsFor(o.op)
	speed := map[plant.StationID]float64{}
	for _, a := range c.ix.AblesOf[OpKey{o.op.Item, o.op.Seq}] {
		speed[a.Station] = a.Speed
	}
	longest := 0.0 // minutes of run that fit, at speed 1
	for _, s := range stations {
		factor := s.Speed
		if f, given := speed[s.ID]; given {
			factor *= f
		}
		longest = max(longest, longestSpan(c.stationTime(s)).Minutes()*factor)
	}
	return func(v float64) string {
		if len(stations) > 0 && longest > 0 && v > longest {
			return fmt.Sprintf("gives %s minutes, which must be run without a break, and no station of %s is open longer than %s at a time",
				OptionText(v), o.op.Centre, OptionText(longest))
		}
		return ""
	}
}

func longestSpan(o calendar.Open) plant.Seconds {
	var most plant.Seconds
	for _, s := range o.Spans() {
		most = max(most, s.To.Sub(s.From))
	}
	return most
}

// sizeFits gives a check of a size against the largest station; nil where size does not matter.
func (c *checker) sizeFits(o *opForms) func(v float64) string {
	w := c.ix.Centres[o.op.Centre]
	if w == nil || w.Takes != TakesBatch && w.Takes != TakesPlaces {
		return nil
	}
	stations := c.stationsFor(o.op)
	var most plant.Qty
	for _, s := range stations {
		most = max(most, s.Capacity)
	}
	return func(v float64) string {
		if len(stations) > 0 && plant.QtyOf(v) > most {
			return fmt.Sprintf("one piece takes %s %s and the largest station of %s takes %s", OptionText(v), w.Capacity, w.ID, most)
		}
		return ""
	}
}

// setsFit doubts parts-list lines whose pieces travel together and do not fit together into a batch or a rack of their
// route. The pieces started are those needed / (1 - scrap), for one piece of the parent.
func (c *checker) setsFit(f *forms, x *context, p *partForms, it *product.Item) {
	if !p.part.Set || p.quantity.expr == nil {
		return
	}
	factor, ok := UnitFactor(p.part.Unit, it.Unit)
	for _, o := range f.ops[it.ID] {
		fits := c.sizeFits(o)
		if !ok || fits == nil || o.when.expr == nil || o.size.expr == nil {
			continue
		}
		c.each(x, reads(p.when, p.component, p.quantity, o.when, o.size), func(choice map[string]any) bool {
			parent, own := c.env(p.part.Parent, choice), c.env(it.ID, choice)
			size, err := o.size.expr.Number(own)
			needs, err2 := p.quantity.expr.Number(parent)
			if on, err3 := o.when.expr.True(own); err != nil || err2 != nil || err3 != nil || !on || !c.gives(&edge{p.part.Parent, it.ID, p}, choice) {
				return true
			}
			pieces := math.Ceil(math.Ceil(needs*factor)/(1-min(max(it.Scrap, 0), 99)/100) - 1e-9)
			if pieces > 1 && fits(size) == "" && fits(size*pieces) != "" {
				x.doubts = append(x.doubts, &doubt{p.part.Parent, choice, fmt.Sprint(o.size.at, "set"), func(with string) {
					c.say(o.size.at, o.size.source, "a size of which the whole set fits", "",
						"the %s pieces of %s travel together and take %s, more than any station of %s holds, with %s",
						OptionText(pieces), it.ID, OptionText(size*pieces), o.op.Centre, with)
				}})
			}
			return true
		})
	}
}
