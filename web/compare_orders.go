package web

import (
	"math"
	"net/http"
	"strconv"
	"strings"

	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// What a draft does to a unit.
const (
	shipsEarlier = "earlier"
	shipsLater   = "later"
	shipsSame    = "same"
	isNew        = "new"
	isGone       = "gone"
	losesDate    = "has no date"
)

// unitPair is one unit in two plans. In either it may be missing.
type unitPair struct {
	id       plant.UnitID
	new, old *unitRow // nil: not in that plan
	change   string
	cost     plant.Money // of lateness: new less old
	moved    int         // operations whose begin is another
	swapped  int         // of them on another station
	ops      int         // operations in both plans
	most     string      // the operation that moves most, in words
}

// units pairs the units of both plans: those of the new plan in its order, then those that it lacks.
func (p *pair) units() []*unitPair {
	var out []*unitPair
	before := p.old.byKey()
	for i := range p.new.rows {
		u := &unitPair{id: p.new.view.Needs.Units[i].ID, new: &p.new.rows[i]}
		if j, ok := p.old.units[u.id]; ok {
			u.old = &p.old.rows[j]
		}
		p.judge(u, before)
		out = append(out, u)
	}
	for j := range p.old.rows {
		id := p.old.view.Needs.Units[j].ID
		if _, ok := p.new.units[id]; !ok {
			u := &unitPair{id: id, old: &p.old.rows[j]}
			p.judge(u, before)
			out = append(out, u)
		}
	}
	return out
}

// of gives the index in which a unit is shown: the new plan's if it has it.
func (p *pair) of(u *unitPair) (*index, *unitRow) {
	if u.new != nil {
		return p.new, u.new
	}
	return p.old, u.old
}

func (p *pair) need(u *unitPair) *needs.Unit {
	ix, row := p.of(u)
	return &ix.view.Needs.Units[row.unit]
}

func (p *pair) judge(u *unitPair, before map[jobOp]int) {
	u.cost = p.new.lateCost(u.new) - p.old.lateCost(u.old)
	switch {
	case u.new == nil:
		u.change = isGone
		return
	case u.old == nil || !u.old.planned && u.new.planned: // a book that moved on knows units that the old plan has no slots for
		u.change, u.cost = isNew, p.new.lateCost(u.new)
		return
	case !u.new.planned && u.old.planned:
		u.change = losesDate
	case !u.new.planned || u.new.ship == u.old.ship:
		u.change = shipsSame
	case u.new.ship < u.old.ship:
		u.change = shipsEarlier
	default:
		u.change = shipsLater
	}
	p.moves(u, before)
}

// lateCost is what the lateness of a unit costs, as schedule.Measure counts it.
func (ix *index) lateCost(u *unitRow) plant.Money {
	if u == nil {
		return 0
	}
	n := &ix.view.Problem.Units[u.unit]
	end := u.ship
	if !u.planned {
		end = ix.view.Problem.Horizon
	}
	late := end.Sub(n.Due)
	if late <= 0 {
		return 0
	}
	return plant.Money(math.Round(float64(n.LateDay) * late.Hours() / 24))
}

// jobOp names an operation across plans.
type jobOp struct {
	job plant.JobID
	seq int
}

// byKey finds the operations of a plan by job and number.
func (ix *index) byKey() map[jobOp]int {
	out := make(map[jobOp]int, len(ix.view.Needs.Ops))
	for op := range ix.view.Needs.Ops {
		out[jobOp{ix.job(op).ID, ix.op(op).Seq}] = op
	}
	return out
}

// moves counts what changes for the operations of a unit, and names the one that moves most.
func (p *pair) moves(u *unitPair, before map[jobOp]int) {
	var most plant.Seconds
	for _, j := range p.new.jobsOf[u.new.unit] {
		for _, op := range p.new.view.Needs.Jobs[j].Ops {
			was, ok := before[jobOp{p.new.job(op).ID, p.new.op(op).Seq}]
			if !ok {
				continue
			}
			x, ok1 := p.new.slot(op)
			y, ok2 := p.old.slot(was)
			if !ok1 || !ok2 {
				continue
			}
			u.ops++
			at, before := p.new.view.Problem.Stations[x.Station], p.old.view.Problem.Stations[y.Station]
			elsewhere := at.ID != before.ID
			if x.Load == y.Load && !elsewhere {
				continue
			}
			u.moved++
			d := x.Load.Sub(y.Load)
			if elsewhere {
				u.swapped++
			}
			if size := max(d, -d); size > most || most == 0 && elsewhere {
				most, u.most = size, p.moveText(op, d, elsewhere, at.Name)
			}
		}
	}
}

// moveText says how an operation moves: "robot weld of jaw 9 h later, on Weld robot 2".
func (p *pair) moveText(op int, d plant.Seconds, elsewhere bool, station string) string {
	s := p.new.op(op).Name + " of " + p.new.itemName(p.new.job(op).Item)
	switch {
	case d > 0:
		s += " " + roughly(d) + " later"
	case d < 0:
		s += " " + roughly(d) + " earlier"
	}
	if elsewhere {
		s += ", on " + station
	}
	return s
}

// changed says what changes for a unit.
func (u *unitPair) changed() string {
	switch {
	case u.change == isNew:
		return "only in this plan"
	case u.change == isGone:
		return "not in this plan"
	case u.moved == 0:
		return "nothing moves"
	}
	s := strconv.Itoa(u.moved) + " of " + count(u.ops, "operation moves", "operations move")
	if u.swapped > 0 {
		s += ", " + strconv.Itoa(u.swapped) + " to another station"
	}
	return s + "; most: " + u.most
}

func (p *pair) ordersPart(w http.ResponseWriter, r *http.Request, f *filter) (table, bool, error) {
	return p.orderList().part(w, r, p.filterUnits(f), f)
}

func (p *pair) filterUnits(f *filter) []*unitPair {
	all := p.units()
	q := f.search("unit, customer, product")
	change := f.choose("change", "Change", "all units", []choice{{Value: "any", Title: "any change"}, {Value: shipsLater, Title: "ships later"},
		{Value: shipsEarlier, Title: "ships earlier"}, {Value: shipsSame, Title: "ships at the same time"}, {Value: isNew, Title: "only in this plan"}, {Value: isGone, Title: "not in this plan"}})
	slip := f.choose("slack", "Late", "late or not", []choice{{Value: "late", Title: "late in this plan"}, {Value: "saved", Title: "late before, in time now"}, {Value: "lost", Title: "in time before, late now"}})
	class := f.choose("class", "Class", "all classes", choicesOf(all, func(u *unitPair) (string, string) {
		_, row := p.of(u)
		return string(p.need(u).Class), row.class
	}))
	var rows []*unitPair
	for _, u := range all {
		n := p.need(u)
		if class != "" && class != string(n.Class) || !u.is(change) || !u.slips(slip) {
			continue
		}
		if _, row := p.of(u); within(q, string(n.ID), n.Customer, row.name, row.choice, string(n.Order)) {
			rows = append(rows, u)
		}
	}
	return rows
}

func (u *unitPair) is(change string) bool {
	switch change {
	case "":
		return true
	case "any":
		return u.change != shipsSame
	case shipsLater:
		return u.change == shipsLater || u.change == losesDate
	}
	return u.change == change
}

func (u *unitPair) slips(how string) bool {
	now, before := u.new != nil && !u.new.inTime(), u.old != nil && u.change != isNew && !u.old.inTime()
	switch how {
	case "late":
		return now
	case "saved":
		return before && !now && u.new != nil
	case "lost":
		return now && !before && u.old != nil
	}
	return true
}

func (u *unitRow) inTime() bool { return u.planned && !u.isLate() }

// orderList is the columns of the comparison order by order.
func (p *pair) orderList() *list[*unitPair] {
	ships := func(ix *index, row func(*unitPair) *unitRow) func(*unitPair) cell {
		return func(u *unitPair) cell {
			if row(u) == nil {
				return at(0, ix.first)
			}
			return ix.shipCell(row(u))
		}
	}
	now, before := func(u *unitPair) *unitRow { return u.new }, func(u *unitPair) *unitRow { return u.old }
	a, b := "plan "+planParam(p.new.view), "plan "+planParam(p.old.view)
	return &list[*unitPair]{
		name: "orders-compared", one: "unit", many: "units", order: "-cost",
		empty: "No unit matches. Widen the filter.",
		columns: []column[*unitPair]{
			{key: "unit", title: "Unit", cell: func(u *unitPair) cell {
				ix, row := p.of(u)
				return ix.unitCell(row).to(ix.unitAt(u.id))
			}},
			{key: "customer", title: "Customer", cell: func(u *unitPair) cell {
				_, row := p.of(u)
				return text(p.need(u).Customer).under(row.class)
			}},
			{key: "due", title: "Due", number: true, cell: p.dueCell},
			{key: "ships", title: "Ships, " + a, number: true, cell: ships(p.new, now)},
			{key: "before", title: "Ships, " + b, number: true, cell: ships(p.old, before)},
			{key: "move", title: "Moves", number: true, cell: moveCell},
			{key: "late", title: "Days late", number: true, cell: func(u *unitPair) cell {
				c := lateCell(u.new)
				if was := lateCell(u.old); u.old != nil && u.new != nil && was.Text != c.Text {
					c.Under = "was " + was.Text
				}
				return c
			}},
			{key: "waslate", title: "Days late, " + b, fileOnly: true, cell: func(u *unitPair) cell { return lateCell(u.old) }},
			{key: "cost", title: "Lateness, " + p.currency, number: true, cell: func(u *unitPair) cell {
				return number(u.cost.Float(), signed(u.cost)).late(u.cost > 0)
			}},
			{key: "what", title: "What changes", wide: true, cell: func(u *unitPair) cell { return text(u.changed()) }},
			{key: "why", title: "What decides it", fileOnly: true, cell: func(u *unitPair) cell {
				_, row := p.of(u)
				return text(schedule.LocalTimes(row.why(), p.new.first))
			}},
			{key: "product", title: "Product", fileOnly: true, cell: func(u *unitPair) cell { _, row := p.of(u); return text(row.name) }},
			{key: "class", title: "Class", fileOnly: true, cell: func(u *unitPair) cell { _, row := p.of(u); return text(row.class) }},
		},
	}
}

// dueCell shows when a unit is due, and when it was if that is another time.
func (p *pair) dueCell(u *unitPair) cell {
	ix, row := p.of(u)
	loc := ix.zone(p.need(u).Plant)
	c := at(p.need(u).Due, loc)
	if u.new != nil && u.old != nil {
		if was := p.old.view.Needs.Units[u.old.unit].Due; was != ix.view.Needs.Units[row.unit].Due {
			c.Under = "was " + momentOf(was, loc).Text
		}
	}
	return c
}

func lateCell(u *unitRow) cell {
	switch {
	case u == nil:
		return number(0, "")
	case !u.planned:
		return number(1e9, "no date").late(true)
	case u.slack >= 0:
		return number(0, "0")
	}
	days := -u.slack.Hours() / 24
	return number(days, strconv.FormatFloat(days, 'f', 1, 64)).late(true)
}

// moveCell says how much later or earlier a unit ships than before.
func moveCell(u *unitPair) cell {
	switch u.change {
	case isNew, isGone:
		return number(0, u.change)
	case losesDate:
		return number(1e9, losesDate).late(true)
	case shipsSame:
		return number(0, "same")
	}
	d := u.new.ship.Sub(u.old.ship)
	if d > 0 {
		return number(d.Hours(), roughly(d)+" later")
	}
	return number(d.Hours(), strings.TrimPrefix(roughly(d), "-")+" earlier")
}
