package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"tackline/dispatch"
	"tackline/fault"
	"tackline/floor"
	"tackline/plant"
)

// stationsView lists the stations with what each does now and next.
type stationsView struct {
	frame
	Walls  []navItem // screens on the wall, by plant
	Filter *filter
	List   table
}

// stationRow is one station of the list.
type stationRow struct {
	station *plant.Station
	runs    []dispatch.Run
	state   hatching
	down    *plant.Exception
}

func (s *Server) stationsPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Stations", err)
	}
	f := newFilter(r)
	rows := s.filterStations(ix, f)
	l := ix.stationList()
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &stationsView{frame: s.frame(r, ix, "Stations", running, canStart, waits, planned, stopped), Filter: f, List: l.table(r, rows).filteredBy(f)}
	for _, p := range ix.view.Book.Plants {
		page.Walls = append(page.Walls, navItem{Title: p.Name, Href: wallHref(p.ID)})
	}
	return s.render(w, r, http.StatusOK, "stations", page)
}

func (s *Server) filterStations(ix *index, f *filter) []stationRow {
	q := f.search("station, job, operation")
	site := f.choose("plant", "Plant", "all plants", choicesOf(ix.view.Book.Plants, func(p plant.Plant) (string, string) { return string(p.ID), p.Name }))
	centre := f.choose("centre", "Work centre", "all work centres", choicesOf(ix.view.Book.Centres, func(c plant.Centre) (string, string) { return string(c.ID), c.Name }))
	state := f.choose("state", "State", "all states", words(running, canStart, waits, planned, stopped))
	var rows []stationRow
	for _, rw := range s.stationRows(ix) {
		c := ix.book.Centres[rw.station.Centre]
		if site != "" && (c == nil || string(c.Plant) != site) || centre != "" && string(rw.station.Centre) != centre || state != "" && rw.state.Word != state {
			continue
		}
		texts := []string{rw.station.Name, string(rw.station.ID), ix.centreName(rw.station.Centre)}
		for i, run := range rw.runs {
			if i < 3 {
				texts = append(texts, string(ix.job(run.Op).ID), ix.op(run.Op).Name)
			}
		}
		if within(q, texts...) {
			rows = append(rows, rw)
		}
	}
	return rows
}

// stationRows gives every station with its state now.
func (s *Server) stationRows(ix *index) []stationRow {
	now := ix.now(s.clock())
	rows := make([]stationRow, len(ix.view.Book.Stations))
	for i := range rows {
		st := &ix.view.Book.Stations[i]
		rows[i] = stationRow{station: st, runs: ix.runsOf(st.ID), state: planned, down: ix.downAt(st.ID, now)}
		switch runs := rows[i].runs; {
		case rows[i].down != nil:
			rows[i].state = stopped
		case len(runs) == 0:
			rows[i].state = hatching{"none", "nothing to do"}
		default:
			rows[i].state = ix.runState(runs[0], now)
		}
	}
	return rows
}

// runState says in one word what an entry of a run list is waiting for.
func (ix *index) runState(run dispatch.Run, now plant.Time) hatching {
	switch st := ix.opState(run.Op); {
	case st == running || st == paused || st == drying || st == awayState || st == held:
		return st
	case len(run.Blocks) > 0:
		return waits
	case run.Ready:
		return canStart
	}
	return planned
}

// runsOf gives the run list of a station.
func (ix *index) runsOf(id plant.StationID) []dispatch.Run {
	for i := range ix.view.Runs {
		if ix.view.Runs[i].Station == id {
			return ix.notOver(ix.view.Runs[i].Runs)
		}
	}
	return nil
}

// notOver leaves out what was finished on the floor since the plan was made.
func (ix *index) notOver(runs []dispatch.Run) []dispatch.Run {
	over := func(r dispatch.Run) bool {
		o, ok := ix.liveOp(r.Op)
		return ok && o.Phase == floor.Done
	}
	if !slices.ContainsFunc(runs, over) {
		return runs
	}
	return slices.DeleteFunc(slices.Clone(runs), over)
}

// downAt gives the exception that closes a station at t, or nil.
func (ix *index) downAt(id plant.StationID, t plant.Time) *plant.Exception {
	loc := ix.book.StationZone(id)
	closures := ix.book.Closures[id]
	for i := len(closures) - 1; i >= 0; i-- { // later rows win
		from, ok1 := closures[i].From.Time(loc)
		to, ok2 := closures[i].To.Time(loc)
		if ok1 && ok2 && from <= t && t < to {
			if closures[i].Kind == "overtime" {
				return nil
			}
			return &closures[i]
		}
	}
	return nil
}

func (ix *index) stationList() *list[stationRow] {
	return &list[stationRow]{
		name: "stations", one: "station", many: "stations", unpaged: true,
		empty: "No station matches. Widen the filter, or add stations in the shop book.",
		columns: []column[stationRow]{
			{key: "station", title: "Station", cell: func(r stationRow) cell {
				c := link(r.station.Name, stationHref(r.station.ID))
				if centre := ix.centreName(r.station.Centre); centre != r.station.Name {
					c.Under = centre
				}
				return c
			}},
			{key: "state", title: "State", cell: func(r stationRow) cell {
				c := lining(r.state)
				if r.state == waits {
					c.Under = r.runs[0].Blocks[0].What
				}
				if r.down != nil {
					if to, ok := r.down.To.Time(ix.book.StationZone(r.station.ID)); ok {
						c.Under = strings.TrimPrefix(r.down.Reason+", until "+momentOf(to, ix.book.StationZone(r.station.ID)).Text, ", ")
					}
				}
				return c
			}},
			{key: "now", title: "Now or next", wide: true, cell: func(r stationRow) cell { return ix.runCell(r, 0) }},
			{key: "after", title: "After that", wide: true, cell: func(r stationRow) cell { return ix.runCell(r, 1) }},
			{key: "waiting", title: "In its list", number: true, cell: func(r stationRow) cell { return whole(len(r.runs)) }},
			{key: "free", title: "Busy until", number: true, cell: func(r stationRow) cell {
				var last plant.Time
				for _, run := range r.runs {
					last = max(last, run.End)
				}
				return at(last, ix.book.StationZone(r.station.ID))
			}},
		},
	}
}

// runCell shows entry i of a run list in two lines.
func (ix *index) runCell(r stationRow, i int) cell {
	if i >= len(r.runs) {
		return text("")
	}
	run := r.runs[i]
	loc := ix.book.StationZone(r.station.ID)
	when := momentOf(run.Start, loc).Text + " to " + momentOf(run.End, loc).Text
	return link(ix.op(run.Op).Name+", "+string(ix.job(run.Op).ID), ix.opHref(run.Op)).under(when)
}

// now is the time at which the sheets look: the clock, but not before the plan begins; where the shop book names the time
// to plan from, as a demo does, that time, so that sheets and plan speak of the same morning.
func (ix *index) now(clock time.Time) plant.Time {
	if _, set := ix.book.PlanFrom(); set {
		return ix.view.Needs.Now
	}
	return max(plant.At(clock), ix.view.Needs.Now)
}

// stationView is the run list of one station.
type stationView struct {
	frame
	Head     string
	Terminal string
	Down     string
	Facts    []fact
	Filter   *filter
	First    []runCard
	List     table
	Caution  []string
}

// runCard is an entry of the run list in full.
type runCard struct {
	Title, Job, Href string
	State            hatching
	Facts            []fact
	Blocks           []block
	Note             string
}

// block is what keeps an operation from starting and who clears it.
type block struct {
	What, Clears string
	Until        moment
}

func (s *Server) stationPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Station", err)
	}
	st := ix.book.Stations[plant.StationID(r.PathValue("station"))]
	if st == nil {
		return fault.New(fault.NotFound, "There is no station %s in the shop book.", r.PathValue("station"))
	}
	now := ix.now(s.clock())
	f := newFilter(r)
	runs := ix.filterRuns(f, st.ID, now)
	l := ix.runList(st.ID, now)
	if done, err := l.exported(w, r, runs); done {
		return err
	}
	page := &stationView{frame: s.frame(r, ix, st.Name, running, canStart, waits, planned, held), Head: st.Name, Terminal: floorHref(st.ID), Filter: f, List: l.table(r, runs).filteredBy(f)}
	loc := ix.book.StationZone(st.ID)
	if e := ix.downAt(st.ID, now); e != nil {
		to, _ := e.To.Time(loc)
		page.Down = e.Kind + ", until " + momentOf(to, loc).Text + ": " + e.Reason
	}
	page.Facts = []fact{{"Work centre", text(ix.centreName(st.Centre))}, {"Calendar", text(string(st.Calendar))}, {"Speed", text(plainNumber(st.Speed))},
		{"Pallets", text(strconv.Itoa(max(st.Pallets, 1)))}, {"In its list", text(count(len(ix.runsOf(st.ID)), "job", "jobs"))}}
	if !f.Set {
		page.First, page.Caution = ix.firstCards(runs, now)
	}
	return s.render(w, r, http.StatusOK, "station", page)
}
