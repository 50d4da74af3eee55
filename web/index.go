package web

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"tackline/book"
	"tackline/floor"
	"tackline/flow"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/stock"
)

// keptViews is how many views stay indexed: the adopted plan and the drafts that people compare with it.
const keptViews = 6

// indexes keeps what the sheets look up in a view, made once for each view.
type indexes struct {
	mu   sync.Mutex
	made []*index // the latest used last
}

// index is what the sheets look up in one view. It is not changed after it is made.
type index struct {
	view    *flow.View
	book    *book.Index
	first   *time.Location // of the first plant
	units   map[plant.UnitID]int
	jobs    map[plant.JobID]int
	jobsOf  [][]int // jobs by unit, in the order of needs
	kits    map[int]int
	heldOps []int
	held    map[int]string // note of an operation held
	left    map[int]string // why an operation has no slot
	rows    []unitRow      // by unit
	links   map[int][]int  // links of the problem by the operation they lead from

	live func(floor.OpKey) (floor.Op, bool) // the floor as it is now; nil for plans that are not in force
}

// look gives the index of the current view; nil if there is no plan yet.
func (s *Server) look(ctx context.Context) (*index, error) {
	v, err := s.current(ctx)
	if err != nil || v == nil {
		return nil, err
	}
	ix, err := s.index(v)
	if err != nil || v.State != flow.Adopted {
		return ix, err
	}
	now := *ix
	now.live = s.floorOp
	return &now, nil
}

// liveOp gives the state of an operation on the floor now, if anything was recorded about it and the plan is in force.
func (ix *index) liveOp(op int) (floor.Op, bool) {
	if ix.live == nil {
		return floor.Op{}, false
	}
	o := &ix.view.Needs.Ops[op]
	return ix.live(floor.OpKey{Job: ix.view.Needs.Jobs[o.Job].ID, Seq: o.Seq})
}

// index gives the index of a view, making it at the first request for it.
func (s *Server) index(v *flow.View) (*index, error) {
	c := &s.indexes
	c.mu.Lock()
	defer c.mu.Unlock()
	for i, ix := range c.made {
		if ix.view == v {
			copy(c.made[i:], c.made[i+1:])
			c.made[len(c.made)-1] = ix
			return ix, nil
		}
	}
	ix, err := newIndex(v)
	if err != nil {
		return nil, err
	}
	if c.made = append(c.made, ix); len(c.made) > keptViews {
		c.made = append(c.made[:0:0], c.made[1:]...)
	}
	return ix, nil
}

func newIndex(v *flow.View) (*index, error) {
	b, err := book.NewIndex(v.Book)
	if err != nil {
		return nil, err
	}
	b.Report(v.Facts.Work, v.Facts.Down)
	ix := &index{view: v, book: b, first: time.UTC, units: map[plant.UnitID]int{}, jobs: map[plant.JobID]int{},
		jobsOf: make([][]int, len(v.Needs.Units)), kits: map[int]int{}, held: map[int]string{}, left: map[int]string{},
		links: map[int][]int{}}
	if len(v.Book.Plants) > 0 {
		ix.first = b.Zone(v.Book.Plants[0].ID)
	}
	for i := range v.Needs.Units {
		ix.units[v.Needs.Units[i].ID] = i
	}
	for i := range v.Needs.Jobs {
		j := &v.Needs.Jobs[i]
		ix.jobs[j.ID] = i
		if j.Unit != needs.None {
			ix.jobsOf[j.Unit] = append(ix.jobsOf[j.Unit], i)
		}
	}
	for i := range v.Kits {
		ix.kits[v.Kits[i].Op] = i
	}
	for i, l := range v.Problem.Links {
		ix.links[l.From] = append(ix.links[l.From], i)
	}
	for _, l := range v.Plan.Left {
		ix.left[l.Op] = l.Why
	}
	for _, w := range b.Work {
		if op := ix.opAt(w.Job, w.Seq); w.State == stock.Held && op != needs.None {
			ix.heldOps, ix.held[op] = append(ix.heldOps, op), w.Note
		}
	}
	slices.Sort(ix.heldOps)
	ix.rows = unitRows(ix)
	return ix, nil
}

// opAt finds an operation by its job and number; None if there is none.
func (ix *index) opAt(job plant.JobID, seq int) int {
	j, ok := ix.jobs[job]
	if !ok {
		return needs.None
	}
	for _, op := range ix.view.Needs.Jobs[j].Ops {
		if ix.view.Needs.Ops[op].Seq == seq {
			return op
		}
	}
	return needs.None
}

// op gives an operation, job gives its job.
func (ix *index) op(op int) *needs.Op   { return &ix.view.Needs.Ops[op] }
func (ix *index) job(op int) *needs.Job { return &ix.view.Needs.Jobs[ix.view.Needs.Ops[op].Job] }

// zone gives the time zone of a plant, that of the first plant if it is not known.
func (ix *index) zone(p plant.ID) *time.Location {
	if ix.book.Plants[p] == nil {
		return ix.first
	}
	return ix.book.Zone(p)
}

// opZone gives the time zone of the plant where an operation is done.
func (ix *index) opZone(op int) *time.Location {
	if c := ix.book.Centres[ix.op(op).Centre]; c != nil {
		return ix.zone(c.Plant)
	}
	return ix.first
}

// slot gives the slot of an operation, and whether it has one.
func (ix *index) slot(op int) (schedule.Slot, bool) {
	if op < 0 || op >= len(ix.view.Plan.Slots) {
		return schedule.Slot{}, false
	}
	sl := ix.view.Plan.Slots[op]
	return sl, sl.Station != schedule.None
}

// station gives the station of a slot; the zero station if it has none.
func (ix *index) station(sl schedule.Slot) schedule.Station {
	if sl.Station < 0 || sl.Station >= len(ix.view.Problem.Stations) {
		return schedule.Station{}
	}
	return ix.view.Problem.Stations[sl.Station]
}

func (ix *index) itemName(id plant.ItemID) string {
	if it := ix.book.Items[id]; it != nil {
		return it.Name
	}
	return string(id)
}

func (ix *index) plantName(id plant.ID) string {
	if p := ix.book.Plants[id]; p != nil {
		return p.Name
	}
	return string(id)
}

func (ix *index) centreName(id plant.CentreID) string {
	if c := ix.book.Centres[id]; c != nil {
		return c.Name
	}
	return string(id)
}

// className gives the name of an order class, its short name if it has none.
func (ix *index) className(id plant.ClassID) string {
	if c := ix.book.Classes[id]; c != nil && c.Name != "" {
		return c.Name
	}
	return string(id)
}

// opHref is where an operation is shown: in its unit, or, for a job to stock, on its own page.
func (ix *index) opHref(op int) string {
	if u := ix.job(op).Unit; u != needs.None {
		return ix.unitAt(ix.view.Needs.Units[u].ID) + "#" + opAnchor(op)
	}
	return ix.timesHref(op)
}

// timesHref is where the arithmetic of an operation's times is shown.
func (ix *index) timesHref(op int) string {
	return "/times?" + query("job", string(ix.job(op).ID), "op", strconv.Itoa(ix.op(op).Seq), "plan", ix.aside())
}

// kitHref is where the parts of an operation are shown.
func (ix *index) kitHref(op int) string {
	return "/kit?" + query("job", string(ix.job(op).ID), "op", strconv.Itoa(ix.op(op).Seq))
}

// aside is the number of a plan that is not in force, for addresses of what it shows; "" for the plan in force.
func (ix *index) aside() string {
	if ix.view.State == flow.Adopted {
		return ""
	}
	return planParam(ix.view)
}

// unitAt is where a unit is shown by this plan.
func (ix *index) unitAt(id plant.UnitID) string {
	if n := ix.aside(); n != "" {
		return unitHref(id) + "?" + query("plan", n)
	}
	return unitHref(id)
}

// unitHref is where a unit is shown by the plan in force.
func unitHref(id plant.UnitID) string { return "/units/" + pathPart(string(id)) }

func stationHref(id plant.StationID) string { return "/stations/" + pathPart(string(id)) }

// opAnchor names an operation within the page of its unit.
func opAnchor(op int) string { return "op-" + strconv.Itoa(op) }

// opOfRequest finds the operation that the address names by job and op.
func (ix *index) opOfRequest(r *http.Request) int {
	seq, err := strconv.Atoi(r.URL.Query().Get("op"))
	if err != nil {
		return needs.None
	}
	return ix.opAt(plant.JobID(r.URL.Query().Get("job")), seq)
}

// within says whether any of the texts holds q, letters of either case; q is in lower case.
func within(q string, texts ...string) bool {
	if q == "" {
		return true
	}
	for _, t := range texts {
		if strings.Contains(strings.ToLower(t), q) {
			return true
		}
	}
	return false
}

// zoneOfCentre gives the time zone of the plant where a work centre stands.
func (ix *index) zoneOfCentre(id plant.CentreID) *time.Location {
	if c := ix.book.Centres[id]; c != nil {
		return ix.zone(c.Plant)
	}
	return ix.first
}
