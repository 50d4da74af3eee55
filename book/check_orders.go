package book

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
	"time"

	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// mostUnits bounds the quantity of one order line.
const mostUnits = 10000

// orders checks classes, orders and their lines.
func (c *checker) orders() {
	for i, k := range c.b.Classes {
		if k.Late < 0 {
			c.say(at{"classes", i, "late_per_day"}, k.Late.String(), "an amount not below 0", "", "")
		}
	}
	for i, o := range c.b.Orders {
		if strings.Contains(string(o.ID), "/") {
			c.say(at{"orders", i, "order"}, string(o.ID), "an order number without /, which jobs use", "", "")
		}
	}
	for i := range c.b.Lines {
		c.line(i, &c.b.Lines[i])
	}
}

func (c *checker) line(i int, l *order.Line) {
	p := func(column string) at { return at{"lines", i, column} }
	if l.Line <= 0 {
		c.say(p("line"), strconv.Itoa(l.Line), "a whole number above 0", "", "")
	}
	if l.Quantity < 1 || l.Quantity > mostUnits {
		c.say(p("quantity"), strconv.Itoa(l.Quantity), fmt.Sprintf("a whole number from 1 to %d", mostUnits), "", "")
	}
	if l.State == order.Shipped && l.ShippedAt == "" {
		c.say(p("shipped_at"), "", "the time at which it left", "", "the line is shipped")
	}
	it := c.ix.Items[l.Product]
	if it == nil || l.State != order.Open {
		return
	}
	if !it.Product {
		near := c.nearest("product", string(l.Product), c.productNames)
		c.say(p("product"), string(l.Product), "an item whose product column is yes", near, "customers cannot order this item")
		return
	}
	if o := c.ix.Orders[l.Order]; o != nil && !c.way(it.Plant, o.Plant) {
		c.say(p("product"), string(l.Product), fmt.Sprintf("a row in transits from %s to %s", it.Plant, o.Plant), "",
			"the product is made in %s and ships from %s, with no way between", it.Plant, o.Plant)
	}
	c.lineOptions(i, l)
}

// lineOptions checks the options of a line, then the rules of its product in the rules' own words.
func (c *checker) lineOptions(i int, l *order.Line) {
	values, faults := c.ix.configure(l)
	for _, f := range faults {
		c.say(at{"lines", i, f.Column}, f.Value, f.Expected, f.Near, "%s", f.Text)
	}
	if len(faults) > 0 {
		return
	}
	for _, r := range c.ix.RulesOf[l.Product] {
		x, err := c.ix.Formulas.Condition(r.Must)
		if err != nil {
			continue // reported with the rule
		}
		if on, err := x.True(c.env(l.Product, values)); err == nil && !on {
			c.say(at{"lines", i, "options"}, string(l.Options), "", "", "%s (rule %s)", r.Says, r.Rule)
		}
	}
}

func (c *checker) productNames() []string {
	var out []string
	for i := range c.b.Items {
		if c.b.Items[i].Product {
			out = append(out, string(c.b.Items[i].ID))
		}
	}
	return out
}

// stock checks lots, receipts, work on the floor and finished work.
func (c *checker) stock() {
	for i, l := range c.b.Lots {
		if l.Quantity < 0 {
			c.say(at{"lots", i, "quantity"}, l.Quantity.String(), "a quantity not below 0", "", "")
		}
	}
	for i, r := range c.b.Receipts {
		if r.Quantity <= 0 {
			c.say(at{"receipts", i, "quantity"}, r.Quantity.String(), "a quantity above 0", "", "")
		}
	}
	for i := range c.b.Releases {
		c.release(i, &c.b.Releases[i])
	}
	for i := range c.b.Work {
		c.floorWork(i, &c.b.Work[i])
	}
	c.oneAtATime()
	for i, f := range c.b.Finished {
		c.notBefore(at{"finished", i, "end"}, f.Start, f.End, c.ix.StationZone(f.Station))
		if f.Pieces < 0 {
			c.say(at{"finished", i, "pieces"}, strconv.Itoa(f.Pieces), "a whole number not below 0", "", "")
		}
		if f.Planned < 0 {
			c.say(at{"finished", i, "planned"}, OptionText(f.Planned), "a number of minutes not below 0", "", "")
		}
		if f.Actual < 0 {
			c.say(at{"finished", i, "actual"}, OptionText(f.Actual), "a number of minutes not below 0", "", "")
		}
	}
}

// release checks a job to stock that was let go to the floor.
func (c *checker) release(i int, r *stock.Release) {
	if r.Pieces < 1 || r.Pieces > mostUnits {
		c.say(at{"releases", i, "pieces"}, strconv.Itoa(r.Pieces), fmt.Sprintf("a whole number from 1 to %d", mostUnits), "", "")
	}
	if it := c.ix.Items[r.Item]; it != nil && (it.Kind != product.Made || it.Policy != "stock") {
		c.say(at{"releases", i, "item"}, string(r.Item), "an item that is made, of policy stock", "", "")
	}
	no, ok := strings.CutPrefix(string(r.Job), "stock/"+string(r.Item)+"/")
	no, _, _ = strings.Cut(no, "+") // a lot split over several jobs: stock/pin/12+2
	if n, err := strconv.Atoi(no); !ok || err != nil || n < 1 {
		c.say(at{"releases", i, "job"}, string(r.Job), fmt.Sprintf("stock/%s/ and a number, such as stock/%s/12", r.Item, r.Item), "", "")
	}
}

// ItemOfJob reads the item out of a job's ID: "1042-1-1/jaw-4c#2", "stock/pin-80/3", "stock/pin-80/3/blank"; nil if the ID
// names no known item.
func (ix *Index) ItemOfJob(id plant.JobID) *product.Item {
	parts := strings.Split(string(id), "/")
	if len(parts) < 2 {
		return nil
	}
	name := parts[len(parts)-1]
	if parts[0] == "stock" && len(parts) <= 3 {
		name = parts[1]
	}
	if end := strings.IndexAny(name, "#+"); end >= 0 {
		name = name[:end]
	}
	return ix.Items[plant.ItemID(name)]
}

func (c *checker) floorWork(i int, w *stock.Work) {
	p := func(column string) at { return at{"work", i, column} }
	var op *product.Op
	if it := c.ix.ItemOfJob(w.Job); it != nil {
		op = c.opNamed(p("op"), OpKey{it.ID, w.Seq})
	} else if w.Job != "" {
		c.say(p("job"), string(w.Job), "a job as the plan names it, such as 1042-1-1/jaw-4c", c.nearJob(w.Job), "the job names no known item")
	}
	if s := c.ix.Stations[w.Station]; s != nil && op != nil && s.Centre != op.Centre {
		c.say(p("station"), string(w.Station), "a station of work centre "+string(op.Centre), "", "operation %d is done there, and this station belongs to %s", w.Seq, s.Centre)
	}
	if w.State == stock.Held {
		return
	}
	for _, need := range []struct{ column, value, what string }{{"station", string(w.Station), "a station"},
		{"start", string(w.Start), "a date and time"}, {"end", string(w.End), "a date and time"}} {
		if need.value == "" {
			c.say(p(need.column), "", need.what, "", "this cell must not be empty unless the state is held; it is %s", w.State)
		}
	}
	loc := c.ix.StationZone(w.Station)
	c.notBefore(p("end"), w.Start, w.End, loc)
	c.notBefore(p("start"), w.Setup, w.Start, loc)
}

// nearJob suggests a job where the item in it is misspelt.
func (c *checker) nearJob(id plant.JobID) string {
	root, rest, ok := strings.Cut(string(id), "/")
	if !ok {
		return ""
	}
	if near := c.nearest("items", rest, func() []string { return itemNames(c.ix) }); near != "" {
		return root + "/" + near
	}
	return ""
}

// notBefore checks that a time does not lie before another one; they may be equal.
func (c *checker) notBefore(p at, from, to plant.Wall, loc *time.Location) {
	f, ok1 := from.Time(loc)
	t, ok2 := to.Time(loc)
	if ok1 && ok2 && t < f {
		c.say(p, string(to), "a time not before "+string(from), "", "")
	}
}

// oneAtATime checks that no two operations which run or are frozen are at one station at the same time, where it takes one
// thing at a time and nothing is loaded beside it.
func (c *checker) oneAtATime() {
	type stay struct {
		i        int
		from, to plant.Time
	}
	stays := map[plant.StationID][]stay{}
	for i := range c.b.Work {
		w := &c.b.Work[i]
		s := c.ix.Stations[w.Station]
		if s == nil || s.Pallets > 1 || w.State != stock.Running && w.State != stock.Frozen {
			continue
		}
		loc := c.ix.StationZone(w.Station)
		from, ok1 := w.Start.Time(loc)
		if setup, given := w.Setup.Time(loc); given {
			from = setup
		}
		to, ok2 := w.End.Time(loc)
		if centre := c.ix.Centres[s.Centre]; ok1 && ok2 && centre != nil && centre.Takes == TakesOne {
			stays[w.Station] = append(stays[w.Station], stay{i, from, to})
		}
	}
	for _, id := range sortedStations(stays) {
		list := stays[id]
		sort.SliceStable(list, func(i, j int) bool { return list[i].from < list[j].from })
		for k := 1; k < len(list); k++ {
			if before := list[k-1]; list[k].from < before.to {
				c.say(at{"work", list[k].i, "start"}, string(c.b.Work[list[k].i].Start), "a time not before "+string(c.b.Work[before.i].End), "",
					"%s takes one thing at a time, and row %d is there until then", id, c.origin.Row("work", before.i))
			}
		}
	}
}

func sortedStations[V any](m map[plant.StationID]V) []plant.StationID {
	out := make([]plant.StationID, 0, len(m))
	for id := range m {
		out = append(out, id)
	}
	sort.Slice(out, func(i, j int) bool { return out[i] < out[j] })
	return out
}
