package web

import (
	"strconv"
	"strings"
	"sync"
	"time"

	"tackline/flow"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
)

// keptViews is how many views stay indexed: the adopted plan and the drafts that people compare with it.
const keptViews = 6

// indexes keeps what the sheets look up in a view, made once for each view.
type indexes struct {
	mu   sync.Mutex
	made []*index // the latest used last
}

// index is what the sheets look up in one view. It is not changed after it is made, except where a sync.Once says so.
type index struct {
	view     *flow.View
	zones    map[plant.ID]*time.Location
	first    *time.Location
	items    map[plant.ItemID]*product.Item
	centres  map[plant.CentreID]*plant.Centre
	stations map[plant.StationID]int // index into Book.Stations
	plants   map[plant.ID]*plant.Plant
	orders   map[plant.OrderID]*order.Order
	classes  map[plant.ClassID]*order.Class
	programs map[plant.ProgramID]*product.Program
	drawings map[plant.DrawingID]*product.Drawing
	units    map[plant.UnitID]int
	jobs     map[plant.JobID]int
	jobsOf   [][]int // jobs by unit, in the order of needs
	kits     map[int]int
	notes    map[int]string // why an operation is held, by operation
	heldOps  []int          // operations held
	heldOp   map[int]bool
	left     map[int]string // why an operation has no slot

}

// index gives the index of a view, making it at the first request for it.
func (s *Server) index(v *flow.View) *index {
	c := &s.indexes
	c.mu.Lock()
	defer c.mu.Unlock()
	for i, ix := range c.made {
		if ix.view == v {
			copy(c.made[i:], c.made[i+1:])
			c.made[len(c.made)-1] = ix
			return ix
		}
	}
	ix := newIndex(v)
	if c.made = append(c.made, ix); len(c.made) > keptViews {
		c.made = c.made[1:]
	}
	return ix
}

func newIndex(v *flow.View) *index {
	b := v.Book
	ix := &index{view: v, zones: map[plant.ID]*time.Location{}, first: time.UTC,
		items: map[plant.ItemID]*product.Item{}, centres: map[plant.CentreID]*plant.Centre{},
		stations: map[plant.StationID]int{}, plants: map[plant.ID]*plant.Plant{}, orders: map[plant.OrderID]*order.Order{},
		classes: map[plant.ClassID]*order.Class{}, programs: map[plant.ProgramID]*product.Program{},
		drawings: map[plant.DrawingID]*product.Drawing{}, units: map[plant.UnitID]int{}, jobs: map[plant.JobID]int{},
		kits: map[int]int{}, notes: map[int]string{}, heldOp: map[int]bool{}, left: map[int]string{}}
	for i := range b.Plants {
		p := &b.Plants[i]
		ix.plants[p.ID] = p
		if loc, err := time.LoadLocation(p.TimeZone); err == nil {
			ix.zones[p.ID] = loc
			if i == 0 {
				ix.first = loc
			}
		}
	}
	byKey(ix.items, b.Items, func(x *product.Item) plant.ItemID { return x.ID })
	byKey(ix.centres, b.Centres, func(x *plant.Centre) plant.CentreID { return x.ID })
	byKey(ix.orders, b.Orders, func(x *order.Order) plant.OrderID { return x.ID })
	byKey(ix.classes, b.Classes, func(x *order.Class) plant.ClassID { return x.ID })
	byKey(ix.programs, b.Programs, func(x *product.Program) plant.ProgramID { return x.ID })
	byKey(ix.drawings, b.Drawings, func(x *product.Drawing) plant.DrawingID { return x.ID })
	for i := range b.Stations {
		ix.stations[b.Stations[i].ID] = i
	}
	ix.indexNeeds()
	return ix
}

func byKey[K comparable, T any](m map[K]*T, rows []T, key func(*T) K) {
	for i := range rows {
		m[key(&rows[i])] = &rows[i]
	}
}

func (ix *index) indexNeeds() {
	v := ix.view
	ix.jobsOf = make([][]int, len(v.Needs.Units))
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
	for _, l := range v.Plan.Left {
		ix.left[l.Op] = l.Why
	}
	for _, w := range v.Book.Work {
		if w.State != "held" {
			continue
		}
		if op := ix.opAt(w.Job, w.Seq); op >= 0 {
			ix.heldOps, ix.heldOp[op], ix.notes[op] = append(ix.heldOps, op), true, w.Note
		}
	}
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

// zone gives the time zone of a plant, that of the first plant if it is not known.
func (ix *index) zone(p plant.ID) *time.Location {
	if loc := ix.zones[p]; loc != nil {
		return loc
	}
	return ix.first
}

// opZone gives the time zone of the plant where an operation is done.
func (ix *index) opZone(op int) *time.Location {
	if c := ix.centres[ix.view.Needs.Ops[op].Centre]; c != nil {
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

// stationName gives the name of the station of a slot.
func (ix *index) stationName(sl schedule.Slot) string {
	if sl.Station < 0 || sl.Station >= len(ix.view.Problem.Stations) {
		return ""
	}
	return ix.view.Problem.Stations[sl.Station].Name
}

func (ix *index) itemName(id plant.ItemID) string {
	if it := ix.items[id]; it != nil {
		return it.Name
	}
	return string(id)
}

func (ix *index) plantName(id plant.ID) string {
	if p := ix.plants[id]; p != nil {
		return p.Name
	}
	return string(id)
}

func (ix *index) centreName(id plant.CentreID) string {
	if c := ix.centres[id]; c != nil {
		return c.Name
	}
	return string(id)
}

// className gives the name of an order class, its short name if it has none.
func (ix *index) className(id plant.ClassID) string {
	if c := ix.classes[id]; c != nil && c.Name != "" {
		return c.Name
	}
	return string(id)
}

// unitOf gives the unit of an operation, or None.
func (ix *index) unitOf(op int) int { return ix.view.Needs.Jobs[ix.view.Needs.Ops[op].Job].Unit }

// opHref is where an operation is shown: in its unit, or, for stock, on the run list of its station.
func (ix *index) opHref(op int) string {
	n := ix.view.Needs
	if u := ix.unitOf(op); u != needs.None {
		return "/units/" + string(n.Units[u].ID) + "#" + opAnchor(op)
	}
	if sl, ok := ix.slot(op); ok {
		return "/stations/" + string(ix.view.Problem.Stations[sl.Station].ID) + "?" + query("q", string(n.Jobs[n.Ops[op].Job].ID))
	}
	return "/kits?" + query("q", string(n.Jobs[n.Ops[op].Job].ID))
}

// within says whether any of the texts holds q, letters of either case.
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

// opAnchor names an operation within the page of its unit.
func opAnchor(op int) string { return "op-" + strconv.Itoa(op) }
