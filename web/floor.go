package web

import (
	"context"
	"crypto/rand"
	"net/http"
	"strconv"
	"strings"
	"time"

	"tackline/dispatch"
	"tackline/fault"
	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
)

// floorHands may report something that happened on the floor. Which kinds of it each role may report, flow decides.
var floorHands = roles{flow.Manager, flow.Planner, flow.Materials, flow.Operator, flow.Inspector, flow.Maintenance}

// States of operations and stations that only the floor has.
var (
	idle     = hatching{"none", "free"}
	troubled = hatching{"wait", "trouble"}
	over     = hatching{"done", "done"}
)

// floorView lets people choose the station that a terminal stands at.
type floorView struct {
	frame
	Plants []floorPlant
}

type floorPlant struct {
	Name  string
	Tiles []floorTile
}

// floorTile is one station: what runs there and what is wrong.
type floorTile struct {
	Name, Href string
	Centre     string // where it is called otherwise
	State      hatching
	Doing, Job string
	Wrong      string
}

func floorHref(id plant.StationID) string { return "/floor/" + pathPart(string(id)) }

// floorPage lists the stations by plant and work centre.
func (s *Server) floorPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Floor", err)
	}
	page := &floorView{frame: s.frame(r, ix, "Floor", running, paused, troubled, stopped, idle)}
	now := ix.now(s.clock())
	s.shop.Floor(func(state *floor.State) {
		for i := range ix.view.Book.Plants {
			p := &ix.view.Book.Plants[i]
			out := floorPlant{Name: p.Name}
			for j := range ix.view.Book.Centres {
				if c := &ix.view.Book.Centres[j]; c.Plant == p.ID {
					out.Tiles = append(out.Tiles, ix.floorTiles(c, state, now)...)
				}
			}
			if len(out.Tiles) > 0 {
				page.Plants = append(page.Plants, out)
			}
		}
	})
	return s.render(w, r, http.StatusOK, "floor", page)
}

// floorTiles gives the stations of a work centre.
func (ix *index) floorTiles(centre *plant.Centre, state *floor.State, now plant.Time) (tiles []floorTile) {
	for i := range ix.view.Book.Stations {
		st := &ix.view.Book.Stations[i]
		if st.Centre != centre.ID {
			continue
		}
		t := floorTile{Name: st.Name, Href: floorHref(st.ID), State: ix.floorState(st.ID, state, now)}
		if centre.Name != st.Name {
			t.Centre = centre.Name
		}
		for n, k := range state.At(st.ID) {
			if op := ix.opAt(k.Job, k.Seq); op >= 0 && n == 0 {
				t.Doing, t.Job = ix.job(op).Name+": "+ix.op(op).Name, string(k.Job)
			} else if n == 1 {
				t.Job += " and " + strconv.Itoa(len(state.At(st.ID))-1) + " more"
			}
		}
		here := state.Stations[st.ID]
		if here.Down != nil {
			t.Wrong = here.Down.Reason
		} else if n := len(here.Troubles); n > 0 {
			t.Wrong = here.Troubles[n-1].Reason
		}
		tiles = append(tiles, t)
	}
	return tiles
}

// floorState says in one word how a station is.
func (ix *index) floorState(id plant.StationID, state *floor.State, now plant.Time) hatching {
	here := state.Stations[id]
	switch {
	case here.Down != nil || ix.downAt(id, now) != nil:
		return stopped
	case len(here.Troubles) > 0:
		return troubled
	}
	out := idle
	for _, k := range state.At(id) {
		if state.Ops[k].Phase == floor.Running {
			return running
		}
		out = paused
	}
	return out
}

// floorAt is the place of a request: a station, with the plan in force.
type floorAt struct {
	ix    *index
	desk  *dispatch.Desk
	st    *plant.Station
	plant plant.ID
	loc   *time.Location
	now   plant.Time // by which the desk looks: not before the plan begins
	clock plant.Time // by the clock
}

// floorAt finds the station of a request. It gives nil without an error if there is no plan.
func (s *Server) floorAt(ctx context.Context, id string) (*floorAt, error) {
	desk, v, err := s.shop.Desk(ctx)
	if err != nil || v == nil {
		return nil, err
	}
	ix, err := s.index(v)
	if err != nil {
		return nil, err
	}
	st := ix.book.Stations[plant.StationID(id)]
	if st == nil {
		return nil, fault.New(fault.NotFound, "There is no station %s in the shop book. Choose one from the list of the floor.", id)
	}
	now, err := s.shop.Now(ctx)
	if err != nil {
		return nil, err
	}
	at := &floorAt{ix: ix, desk: desk, st: st, loc: ix.book.StationZone(st.ID), now: now, clock: plant.At(s.clock())}
	if c := ix.book.Centres[st.Centre]; c != nil {
		at.plant = c.Plant
	}
	return at, nil
}

// person gives the name of a person for people.
func (at *floorAt) person(id plant.PersonID) string {
	if p := at.ix.book.People[id]; p != nil {
		return p.Name
	}
	return string(id)
}

// since shows an instant of the floor: its time of day, with the day if it was another one.
func (at *floorAt) since(t plant.Time) moment {
	m := momentOf(t, at.loc)
	if t.In(at.loc).Format(time.DateOnly) == at.clock.In(at.loc).Format(time.DateOnly) {
		m.Text = clockTime(t, at.loc)
	}
	return m
}

// opText names an operation for people.
func (at *floorAt) opText(op int) string {
	o := at.ix.op(op)
	return "operation " + strconv.Itoa(o.Seq) + " " + o.Name + " of job " + string(at.ix.job(op).ID)
}

// able says whether an operation can be done at the station.
func (at *floorAt) able(op int) bool {
	if op >= len(at.ix.view.Problem.Ops) {
		return false
	}
	for _, c := range at.ix.view.Problem.Ops[op].Can {
		if at.ix.view.Problem.Stations[c.Station].ID == at.st.ID {
			return true
		}
	}
	return false
}

// plannedAt gives the name of the station that the plan gives an operation to.
func (at *floorAt) plannedAt(op int) (id plant.StationID, name string) {
	sl, ok := at.ix.slot(op)
	if !ok {
		return "", "no station"
	}
	st := at.ix.station(sl)
	return st.ID, st.Name
}

// stationNamed gives the name of a station for people.
func (at *floorAt) stationNamed(id plant.StationID) string {
	if st := at.ix.book.Stations[id]; st != nil {
		return st.Name
	}
	return string(id)
}

// floorKey writes an operation as travellers do: its job, a blank, its number.
func floorKey(k floor.OpKey) string { return string(k.Job) + " " + strconv.Itoa(k.Seq) }

// readFloorKey reads what floorKey writes.
func readFloorKey(s string) (k floor.OpKey, ok bool) {
	i := strings.LastIndexByte(s, ' ')
	if i <= 0 {
		return k, false
	}
	n, err := strconv.Atoi(s[i+1:])
	return floor.OpKey{Job: plant.JobID(s[:i]), Seq: n}, err == nil && n > 0
}

// newID makes an identifier for the event that a form reports, so that a form sent twice is recorded once.
func (at *floorAt) newID() string {
	var random [10]byte
	_, _ = rand.Read(random[:]) // never fails
	return floor.NewID(int64(at.clock)*1000, random)
}
