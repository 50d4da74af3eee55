package book

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"tackline/plant"
	"tackline/product"
)

// name is how attributes, options and their like are called, so that formulas can read them.
var name = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_]*$`)

// products checks items, attributes and options.
func (c *checker) products() {
	for i := range c.b.Items {
		c.item(i, &c.b.Items[i])
	}
	for i, a := range c.b.Attributes {
		if a.Name != "" && !name.MatchString(a.Name) {
			c.say(at{"attributes", i, "attribute"}, a.Name, "letters, digits and _, so that formulas can read item."+simplified(a.Name), "", "")
		}
	}
	for i := range c.b.Options {
		c.option(i, &c.b.Options[i])
	}
	for i, p := range c.b.Parts {
		if it := c.ix.Items[p.Parent]; it != nil && it.Kind != product.Made {
			c.say(at{"parts", i, "parent"}, string(p.Parent), "an item of kind made", "", "the item is %s, so it has no parts list", it.Kind)
		}
		if p.Op != 0 {
			c.opNamed(at{"parts", i, "op"}, OpKey{p.Parent, p.Op})
		}
		if p.Unit != "" && !contains(units(), string(p.Unit)) {
			c.say(at{"parts", i, "unit"}, string(p.Unit), "one of "+strings.Join(units(), ", "), Nearest(string(p.Unit), units()), "")
		}
	}
}

// units gives the units of measure that items are stocked in.
func units() []string {
	t, _ := TableNamed("items")
	_, col, _ := t.Column("unit")
	return col.Enum
}

func simplified(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			return r
		}
		return '_'
	}, s)
}

func (c *checker) item(i int, it *product.Item) {
	p := func(column string) at { return at{"items", i, column} }
	if strings.ContainsAny(string(it.ID), "/#+{}") {
		c.say(p("item"), string(it.ID), "an item number without / # + { }, which jobs and patterns use", "", "")
	}
	if it.Product && it.Kind != product.Made {
		c.say(p("product"), "yes", "no, or kind made", "", "customers can only order what is made; this item is %s", it.Kind)
	}
	if it.Kind == product.Made && len(c.ix.OpsOf[it.ID]) == 0 {
		before := len(c.faults)
		c.say(p("item"), string(it.ID), "at least one row in operations", "", "the item is made but has no operations")
		if !c.asked(it.ID) {
			c.unfinished(before)
		}
	}
	if it.Kind == product.Made && it.Unit != "ea" && it.Unit != "" {
		c.say(p("unit"), string(it.Unit), "ea", "", "what is made is counted in pieces")
	}
	if !(it.Scrap >= 0 && it.Scrap < 100) {
		c.say(p("scrap"), OptionText(it.Scrap), "a percentage from 0 to below 100", "", "")
	}
	if len(c.ix.OptionsOf[it.ID]) > 0 && it.Policy == "stock" {
		c.say(p("policy"), it.Policy, "unit", "", "an item with options is made for its unit, not to stock")
	}
	c.itemNumbers(i, it)
}

// itemNumbers checks the numbers of an item that must not be below zero.
func (c *checker) itemNumbers(i int, it *product.Item) {
	numbers := map[string]float64{"lead_days": it.Lead, "cost": it.Cost.Float(),
		"lot_quantity": it.LotQty.Float(), "lot_multiple": it.Multiple.Float(), "safety_stock": it.Safety.Float()}
	for _, column := range sorted(numbers) {
		if f := numbers[column]; f < 0 {
			c.say(at{"items", i, column}, OptionText(f), "a number not below 0", "", "")
		}
	}
	if it.Lot == "fixed" && it.LotQty <= 0 {
		c.say(at{"items", i, "lot_quantity"}, it.LotQty.String(), "a quantity above 0", "", "the lot rule is %s", it.Lot)
	}
}

func (c *checker) option(i int, o *product.Option) {
	p := func(column string) at { return at{"options", i, column} }
	if o.Option != "" && !name.MatchString(string(o.Option)) {
		c.say(p("option"), string(o.Option), "letters, digits and _, so that formulas can read opt."+simplified(string(o.Option)), "", "")
	}
	if it := c.ix.Items[o.Product]; it != nil && !it.Product {
		c.say(p("product"), string(o.Product), "an item whose product column is yes", "", "nobody can order this item, so its options are never chosen")
	}
	list := split(o.Values)
	if o.Kind == ChoiceOption && len(list) == 0 {
		c.say(p("values"), "", "values separated by |, such as open|closed", "", "a choice needs values")
	}
	seen := map[any]bool{}
	for _, s := range list {
		v, ok := optionAny(o.Kind, s)
		switch {
		case !ok:
			c.say(p("values"), s, map[string]string{NumberOption: "a number", YesNoOption: "yes or no"}[o.Kind], "", "a value of an option of kind %s", o.Kind)
		case strings.ContainsAny(s, ";="):
			c.say(p("values"), s, "text without ; and =, which order lines use", "", "")
		case seen[v]:
			c.say(p("values"), s, "each value once", "", "")
		}
		seen[v] = true
	}
	if _, ok := OptionValue(o, o.Default); !ok && o.Default != "" {
		c.say(p("default"), o.Default, allowed(o), Nearest(o.Default, list), "")
	}
}

// opNamed finds an operation, or reports that it is unknown with those that the item has.
func (c *checker) opNamed(p at, key OpKey) *product.Op {
	var seqs []string
	for _, op := range c.ix.OpsOf[key.Item] {
		if op.Seq == key.Seq {
			return op
		}
		seqs = append(seqs, strconv.Itoa(op.Seq))
	}
	if c.ix.Items[key.Item] != nil { // an unknown item is reported as such
		value := strconv.Itoa(key.Seq)
		expected := "an operation of " + string(key.Item)
		if len(seqs) > 0 {
			expected += ": " + strings.Join(seqs, ", ")
		}
		c.say(p, value, expected, Nearest(value, seqs), "unknown operation")
	}
	return nil
}

// stationsFor gives the stations that can do an operation: those of its able rows, or all of its work centre.
func (c *checker) stationsFor(op *product.Op) []*plant.Station {
	rows := c.ix.AblesOf[OpKey{op.Item, op.Seq}]
	if len(rows) == 0 {
		return c.ix.StationsOf[op.Centre]
	}
	var out []*plant.Station
	for _, a := range rows {
		if s := c.ix.Stations[a.Station]; s != nil && s.Centre == op.Centre {
			out = append(out, s)
		}
	}
	return out
}

// routes checks operations, crews, able rows, programs and drawings.
func (c *checker) routes() {
	for i := range c.b.Ops {
		c.op(i, &c.b.Ops[i])
	}
	c.crews()
	for i, a := range c.b.Ables {
		op := c.opNamed(at{"able", i, "op"}, OpKey{a.Item, a.Seq})
		s := c.ix.Stations[a.Station]
		if op != nil && s != nil && s.Centre != op.Centre {
			var own []string
			for _, s := range c.ix.StationsOf[op.Centre] {
				own = append(own, string(s.ID))
			}
			c.say(at{"able", i, "station"}, string(a.Station), "a station of work centre "+string(op.Centre), Nearest(string(a.Station), own),
				"it belongs to work centre %s", s.Centre)
		}
		if !(a.Speed > 0) || a.Speed > 1000 {
			c.say(at{"able", i, "speed"}, OptionText(a.Speed), "a number above 0 and up to 1000; 1 is normal", "", "")
		}
	}
}

func (c *checker) op(i int, op *product.Op) {
	p := func(column string) at { return at{"operations", i, column} }
	it, w := c.ix.Items[op.Item], c.ix.Centres[op.Centre]
	if it != nil && it.Kind != product.Made {
		c.say(p("item"), string(op.Item), "an item of kind made", "", "the item is %s, so it has no operations", it.Kind)
	}
	if op.Seq <= 0 {
		c.say(p("op"), strconv.Itoa(op.Seq), "a whole number above 0", "", "")
	}
	if w != nil {
		if fit := natures[w.Takes]; len(fit) > 0 && op.Nature != "" && !contains(fit, op.Nature) {
			c.say(p("nature"), op.Nature, strings.Join(fit, " or "), "", "work centre %s takes %s", w.ID, w.Takes)
		}
		if it != nil && w.Plant != it.Plant && op.Nature != product.Away {
			c.say(p("centre"), string(op.Centre), "a work centre of the plant "+string(it.Plant), "", "it stands in %s, the item is made in %s", w.Plant, it.Plant)
		}
		if len(c.ix.StationsOf[op.Centre]) == 0 {
			c.say(p("centre"), string(op.Centre), "a work centre with stations", "", "the work centre has no station, so nobody can do this operation")
		} else if len(c.stationsFor(op)) == 0 {
			c.say(p("centre"), string(op.Centre), "able rows that name a station of "+string(op.Centre), "", "the able rows leave no station, so nobody can do this operation")
		}
	}
	if op.Transfer < 0 {
		c.say(p("transfer_quantity"), strconv.Itoa(op.Transfer), "a whole number not below 0", "", "")
	}
	if !(op.Repair >= 0 && op.Repair <= 100) {
		c.say(p("repair"), OptionText(op.Repair), "a percentage from 0 to 100", "", "")
	}
	c.loop(p("repair_ops"), op)
}

// loop checks the operations of a repair loop.
func (c *checker) loop(p at, op *product.Op) {
	if op.Loop == "" {
		return
	}
	for _, s := range strings.Split(op.Loop, ",") {
		seq, err := strconv.Atoi(strings.TrimSpace(s))
		if err != nil {
			c.say(p, s, "numbers of operations separated by commas, such as 20,30", "", "")
			continue
		}
		if c.opNamed(p, OpKey{op.Item, seq}) != nil && seq > op.Seq {
			c.say(p, strconv.Itoa(seq), fmt.Sprintf("operations up to %d", op.Seq), "", "a repair goes back, not on")
		}
	}
}
