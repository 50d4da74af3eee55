package web

import (
	"net/http"
	"strconv"

	"tackline/flow"
	"tackline/plant"
)

// draftOrders lists the units of the plan that the address names beside the dates of the current plan, so that a draft can be
// judged unit by unit before it is adopted.
func (s *Server) draftOrders(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.planAsked(r)
	if err != nil {
		return err
	}
	now, err := s.look(r.Context())
	if err != nil {
		return err
	}
	f := newFilter(r)
	rows := ix.filterUnits(f)
	l := ix.ordersBeside(now)
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &ordersView{frame: s.frame(r, ix, "Orders", running, waits, planned, held, done), Filter: f}
	page.Head = "Orders by plan " + planName(ix.view)
	if ix.view.Name != "" {
		page.Head += ": " + ix.view.Name
	}
	page.Sentence = unitsSentence(ix.rows)
	page.Back = "/plan?" + query("plan", planParam(ix.view))
	page.List = l.table(r, rows).filteredBy(f)
	return s.render(w, r, http.StatusOK, "orders", page)
}

// ordersBeside is the columns of Orders with the ship dates of the plan in force and the move from it; a unit leads to the board
// of its own plan.
func (ix *index) ordersBeside(now *index) *list[*unitRow] {
	all := ix.orderList().only("unit", "customer", "due", "ships", "slack", "why", "product", "class", "options")
	all.order = "slack"
	ships, units := shipDates(now), ix.view.Needs.Units
	all.columns[0].cell = func(u *unitRow) cell {
		c := ix.unitCell(u)
		c.Href = "/plan?" + query("plan", planParam(ix.view), "unit", string(units[u.unit].ID))
		return c
	}
	before := column[*unitRow]{key: "before", title: "Ships by " + planWord(now), number: true, cell: func(u *unitRow) cell {
		return at(ships[units[u.unit].ID], ix.zone(units[u.unit].Plant))
	}}
	move := column[*unitRow]{key: "move", title: "Moves", number: true, cell: func(u *unitRow) cell { return moveCell(ships[units[u.unit].ID], u) }}
	all.columns = append(all.columns[:4:4], append([]column[*unitRow]{before, move}, all.columns[4:]...)...)
	return all
}

// shipDates gives the date of each unit that has one.
func shipDates(ix *index) map[plant.UnitID]plant.Time {
	out := map[plant.UnitID]plant.Time{}
	if ix == nil {
		return out
	}
	for i := range ix.rows {
		if u := &ix.rows[i]; u.planned {
			out[ix.view.Needs.Units[u.unit].ID] = u.ship
		}
	}
	return out
}

func planWord(ix *index) string {
	if ix == nil {
		return "no plan"
	}
	return "plan " + strconv.FormatInt(ix.view.PlanID, 10)
}

// moveCell says how much later or earlier a unit ships than before.
func moveCell(before plant.Time, u *unitRow) cell {
	switch {
	case !u.planned && before == 0:
		return text("")
	case !u.planned:
		return number(1e18, "has no date").late(true)
	case before == 0:
		return number(0, "new")
	}
	d := plant.Seconds(u.ship - before)
	switch {
	case d > 0:
		return number(d.Hours(), roughly(d)+" later")
	case d < 0:
		return number(d.Hours(), roughly(-d)+" earlier")
	}
	return number(0, "same")
}

// isOther says that the address names a plan that is not the one in force.
func isOther(asked string, now *flow.View) bool {
	return asked != "" && (now == nil || asked != strconv.FormatInt(now.PlanID, 10))
}
