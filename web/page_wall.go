package web

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"time"

	"tackline/dispatch"
	"tackline/fault"
	"tackline/floor"
	"tackline/plant"
)

// wallView is a screen on the wall of a plant, read from six metres: how each station stands against the plan, what ships, which trucks go.
type wallView struct {
	frame
	Self     string
	Head     string
	Clock    string
	Sentence string
	Rows     []wallRow
	Ships    []wallLine
	Trucks   []wallLine
}

// wallRow is one station.
type wallRow struct {
	Station string
	State   hatching
	Doing   string // operation and job, or what is wrong
	Pace    string // "behind 1 h 20 min"
	Late    bool
	order   plant.Seconds // worst first
}

// wallLine is something at a time.
type wallLine struct {
	When, What, Note string
	Late             bool
}

// inTime is how far from the plan a station may be and still count as in time; common practice: a quarter of an hour.
const inTime plant.Seconds = 15 * 60

func (s *Server) wallPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Wall", err)
	}
	p := ix.book.Plants[plant.ID(r.PathValue("plant"))]
	if p == nil {
		return fault.New(fault.NotFound, "The shop book has no plant %q.", r.PathValue("plant"))
	}
	desk, v, err := s.shop.Desk(r.Context())
	if err != nil || desk == nil || v != ix.view {
		return s.noPlan(w, r, "Wall", err)
	}
	loc, now := ix.book.Zone(p.ID), ix.now(s.clock())
	page := &wallView{frame: s.frame(r, ix, "Wall"), Self: wallHref(p.ID), Head: p.Name, Clock: now.In(loc).Format("Monday 2 January, 15:04")}
	s.shop.Floor(func(state *floor.State) { page.Rows = ix.wallRows(desk, p.ID, now, state) })
	page.Sentence = wallSentence(page.Rows)
	page.Ships = ix.wallShips(p.ID, now, loc)
	for _, t := range desk.Trucks(now, 3) {
		page.Trucks = append(page.Trucks, wallLine{When: dayClock(t.Leaves, now, loc), What: t.Name})
	}
	return s.render(w, r, http.StatusOK, "wall", page)
}

func wallHref(id plant.ID) string { return "/floor/" + pathPart(string(id)) + "/wall" }

// wallRows gives the stations of a plant that have something to do or are stopped: first what is down, in trouble or most behind, then
// what runs, then what waits, in the order of the work centres.
func (ix *index) wallRows(desk *dispatch.Desk, id plant.ID, now plant.Time, state *floor.State) (rows []wallRow) {
	for i := range ix.view.Book.Centres {
		c := &ix.view.Book.Centres[i]
		if c.Plant != id || c.Takes == "away" {
			continue
		}
		for j := range ix.view.Book.Stations {
			st := &ix.view.Book.Stations[j]
			if st.Centre != c.ID {
				continue
			}
			if row, ok := ix.wallRow(desk, st, now, state); ok {
				rows = append(rows, row)
			}
		}
	}
	slices.SortStableFunc(rows, func(a, b wallRow) int { return cmp.Compare(a.order, b.order) })
	return rows
}

func (ix *index) wallRow(desk *dispatch.Desk, st *plant.Station, now plant.Time, state *floor.State) (wallRow, bool) {
	pace := desk.Pace(ix.runsOf(st.ID), now, state)
	row := wallRow{Station: st.Name, State: ix.floorState(st.ID, state, now)}
	if pace.Op >= 0 {
		row.Doing = ix.op(pace.Op).Name + ", " + string(ix.job(pace.Op).ID)
		if !pace.Begun {
			row.Doing = "next: " + row.Doing
		} else if row.State == idle {
			row.State = running
		}
		row.Pace, row.Late = paceText(pace.Behind)
		row.order = -max(0, pace.Behind)
	}
	here := state.Stations[st.ID]
	switch {
	case here.Down != nil:
		row.Doing = here.Down.Reason
	case row.State == stopped:
		if e := ix.downAt(st.ID, now); e != nil {
			row.Doing = e.Reason
		}
	case len(here.Troubles) > 0:
		row.Doing = here.Troubles[len(here.Troubles)-1].Reason
	}
	switch {
	case row.State == stopped:
		row.Pace, row.Late, row.order = "", true, -plant.Seconds(plant.Never)
	case row.State == troubled:
		row.order -= 1 << 40
	case !row.Late && row.State == idle:
		row.order = 1
	case !row.Late:
		row.order = 0
	}
	return row, pace.Op >= 0 || row.State == stopped || row.State == troubled
}

// paceText says how far from the plan something is.
func paceText(behind plant.Seconds) (text string, late bool) {
	switch {
	case behind > inTime:
		return "behind " + roughly(behind), true
	case behind < -inTime:
		return "ahead " + roughly(-behind), false
	}
	return "in time", false
}

func wallSentence(rows []wallRow) string {
	behind, stoppedNow := 0, 0
	for _, r := range rows {
		if r.State == stopped {
			stoppedNow++
		} else if r.Late {
			behind++
		}
	}
	s := strconv.Itoa(len(rows)-behind-stoppedNow) + " in time, " + strconv.Itoa(behind) + " behind"
	if stoppedNow > 0 {
		s += ", " + strconv.Itoa(stoppedNow) + " down"
	}
	return s
}

// wallShipments bounds the units on the wall.
const wallShipments = 6

// wallShips gives the next units to ship from a plant.
func (ix *index) wallShips(id plant.ID, now plant.Time, loc *time.Location) (out []wallLine) {
	var next []*unitRow
	for i := range ix.rows {
		u := &ix.rows[i]
		unit := &ix.view.Needs.Units[u.unit]
		if unit.Plant != id || !u.planned || u.ship < now {
			continue
		}
		next = append(next, u)
	}
	slices.SortStableFunc(next, func(a, b *unitRow) int { return cmp.Compare(a.ship, b.ship) })
	for _, u := range next[:min(len(next), wallShipments)] {
		unit := &ix.view.Needs.Units[u.unit]
		out = append(out, wallLine{When: dayClock(u.ship, now, loc), What: string(unit.ID), Note: unit.Customer, Late: u.isLate()})
	}
	return out
}

// dayClock shows an instant of today as a clock time, else with its day.
func dayClock(t, now plant.Time, loc *time.Location) string {
	if t.In(loc).Format("2006-01-02") == now.In(loc).Format("2006-01-02") {
		return t.In(loc).Format("15:04")
	}
	return t.In(loc).Format("Mon 2 Jan 15:04")
}
