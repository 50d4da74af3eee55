package web

import (
	"strconv"
	"testing"
	"time"

	"tackline/book"
	"tackline/flow"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
)

// The story is a plan made by hand with the worst that a sheet must show: late units, long names, held work, a unit
// without a date, programs not approved, stations down, kits short. It is Thursday 26 November 2026, 06:02.
type story struct {
	v   *flow.View
	b   *book.Book
	now plant.Time
	loc *time.Location
}

// step is one operation of a story: hours count from now; state is schedule.ToPlan unless said.
type step struct {
	seq            int
	name, station  string
	setup, from    float64 // hours from now at which setup and run begin
	to             float64
	state          schedule.State
	nature         string
	program, draws string
	hold           bool
}

func storyNow(t testing.TB) (plant.Time, *time.Location) {
	t.Helper()
	loc, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	return plant.At(time.Date(2026, 11, 26, 6, 2, 0, 0, loc)), loc
}

func newStory(t testing.TB) *story {
	now, loc := storyNow(t)
	s := &story{b: storyBook(), now: now, loc: loc}
	s.v = &flow.View{PlanID: 118, Revision: 7, State: flow.Adopted, Name: "after the late kit", By: "planner", Made: now, Book: s.b,
		Needs: &needs.Result{Now: now}, Problem: &schedule.Problem{Now: now, Horizon: now.Add(90 * 24 * 3600)}, Plan: &schedule.Plan{Status: schedule.Complete}}
	for _, st := range s.b.Stations {
		s.v.Problem.Stations = append(s.v.Problem.Stations, schedule.Station{ID: st.ID, Name: st.Name, Pallets: st.Pallets, Capacity: st.Capacity})
	}
	return s
}

// in gives the instant some hours from now.
func (s *story) in(hours float64) plant.Time { return s.now.Add(plant.HoursToSeconds(hours)) }

func (s *story) wall(hours float64) plant.Wall { return plant.WallAt(s.in(hours), s.loc) }

func storyBook() *book.Book {
	b := &book.Book{}
	b.Plants = []plant.Plant{{ID: "brackwater", Name: "Brackwater", TimeZone: "Europe/Dublin", Units: "metric"},
		{ID: "fellgate", Name: "Fellgate", TimeZone: "Europe/Dublin", Units: "metric"}}
	b.Calendars = []plant.Calendar{{ID: "two-shift", Plant: "brackwater", Name: "Two shifts, weekdays"}}
	b.Shifts = []plant.Shift{{Calendar: "two-shift", Name: "early", Days: "mon-fri", From: 360, To: 840}, {Calendar: "two-shift", Name: "late", Days: "mon-fri", From: 840, To: 1320}}
	for i, c := range []struct{ id, name string }{{"tack", "Tack stations"}, {"weld-robot", "Weld robots"}, {"pallet-mill", "Pallet mills"}, {"cylinder", "Cylinder line"},
		{"paint", "Paint booth"}, {"rack", "Drying racks"}, {"assembly", "Assembly bays"}} {
		b.Centres = append(b.Centres, plant.Centre{ID: plant.CentreID(c.id), Plant: "brackwater", Name: c.name, Takes: "one", Capacity: "places", Order: i * 10})
		for n := 1; n <= 2; n++ {
			no := strconv.Itoa(n)
			b.Stations = append(b.Stations, plant.Station{ID: plant.StationID(c.id + "-" + no), Centre: plant.CentreID(c.id), Name: c.name[:len(c.name)-1] + " " + no,
				Calendar: "two-shift", Speed: 1, Pallets: 1, Capacity: plant.Pieces(1)})
		}
	}
	b.Items = []product.Item{{ID: "tine-grab", Name: "Tine grab, 4 jaws, closed", Kind: "made", Unit: "ea", Plant: "brackwater", Product: true, Mass: 1650},
		{ID: "log-grapple", Name: "Log grapple with saw and rotator, wide jaw, heavy duty, special colour RAL 2011", Kind: "made", Unit: "ea", Plant: "brackwater", Product: true},
		{ID: "jaw-4c", Name: "Jaw, closed, 4-jaw grab", Kind: "made", Unit: "ea", Plant: "brackwater"}, {ID: "head-4", Name: "Head, 4 arms", Kind: "made", Unit: "ea", Plant: "brackwater"},
		{ID: "cyl-110", Name: "Cylinder 110/70 x 420", Kind: "made", Unit: "ea", Plant: "brackwater"}, {ID: "pin-80", Name: "Pin 80 x 210", Kind: "made", Unit: "ea", Plant: "brackwater"},
		{ID: "bar-80", Name: "Bar 80 mm, C45, chromed", Kind: "bar", Unit: "m", Plant: "brackwater"}, {ID: "kit-head-4", Name: "Plate kit, head, 4 arms", Kind: "bought", Unit: "ea", Plant: "brackwater"}}
	b.Options = []product.Option{{Product: "tine-grab", Option: "jaws", Name: "Number of jaws", Kind: "number", Values: "3|4|5"}, {Product: "tine-grab", Option: "form", Kind: "choice", Values: "open|closed"},
		{Product: "tine-grab", Option: "rotator", Name: "Rotator", Kind: "yes-no"}, {Product: "tine-grab", Option: "saw", Kind: "yes-no"}}
	b.Pools = []plant.Pool{{ID: "welders", Plant: "brackwater", Name: "Welders", Qualification: "weld-fillet"}}
	b.People = []plant.Person{{ID: "p-101", Name: "M. Adair", Pool: "welders", Calendar: "two-shift"}, {ID: "p-102", Name: "S. Whitcombe-Featherstone", Pool: "welders", Calendar: "two-shift"}}
	b.Qualifications = []plant.Qualification{{Person: "p-101", Name: "weld-fillet", Expires: "2026-11-20"}, {Person: "p-102", Name: "weld-fillet"}}
	b.Programs = []product.Program{{ID: "WJ-310", Revision: "C", Approved: true}, {ID: "WG-77", Revision: "A", Due: "2026-11-30", Note: "fixture clash at joint 12"}}
	b.Drawings = []product.Drawing{{ID: "D-310", Revision: "B", Approved: true}, {ID: "D-455", Revision: "C"}}
	b.Classes = []order.Class{{ID: "standard", Name: "Standard", Late: 40000}, {ID: "rush", Name: "Rush", Late: 120000}}
	b.Orders = []order.Order{{ID: "1042", Customer: "Harbour yard, Westhaven", Plant: "brackwater", Class: "rush"},
		{ID: "1043", Customer: "Upper Marsh municipal recycling and aggregates cooperative, northern depot", Plant: "brackwater", Class: "standard", Note: "call before shipping"}}
	return b
}

// unit adds a unit due some hours from now.
func (s *story) unit(id, order, item string, due float64, class plant.ClassID) int {
	n := s.v.Needs
	customer := s.b.Orders[0].Customer
	if order != "1042" {
		customer = s.b.Orders[1].Customer
	}
	n.Units = append(n.Units, needs.Unit{ID: plant.UnitID(id), Order: plant.OrderID(order), Line: 1, No: len(n.Units) + 1, Product: plant.ItemID(item),
		Customer: customer, Class: class, Plant: "brackwater", Due: s.in(due), Top: needs.None,
		Options: map[plant.OptionID]string{"jaws": "4", "form": "closed", "colour": "orange", "rotator": "yes"}})
	return len(n.Units) - 1
}

// job adds a job with its operations to a unit (needs.None: to stock), consumed by operation op of the job parent.
func (s *story) job(unit, parent, op int, item string, pieces int, steps ...step) int {
	n, p := s.v.Needs, s.v.Problem
	id := "stock/" + item + "-" + strconv.Itoa(len(n.Jobs))
	if unit != needs.None {
		id = string(n.Units[unit].ID) + "/" + item
	}
	name := item
	for _, it := range s.b.Items {
		if string(it.ID) == item {
			name = it.Name
		}
	}
	at := len(n.Jobs)
	j := needs.Job{ID: plant.JobID(id), Unit: unit, Item: plant.ItemID(item), Name: name, Plant: "brackwater", Pieces: pieces, Need: pieces, Parent: parent, Set: pieces > 1}
	for _, st := range steps {
		j.Ops = append(j.Ops, s.op(at, st))
	}
	n.Jobs = append(n.Jobs, j)
	if parent == needs.None && unit != needs.None {
		n.Units[unit].Top = at
	}
	for i := 1; i < len(j.Ops); i++ {
		p.Links = append(p.Links, schedule.Link{From: j.Ops[i-1], To: j.Ops[i], Carrier: schedule.None})
	}
	if parent != needs.None {
		s.join(at, parent, op)
	}
	return at
}

// join makes the operation with number seq of the job parent consume the pieces of job.
func (s *story) join(job, parent, seq int) {
	n := s.v.Needs
	for _, op := range n.Jobs[parent].Ops {
		if n.Ops[op].Seq != seq {
			continue
		}
		n.Demands = append(n.Demands, needs.Demand{Job: parent, Op: op, Item: n.Jobs[job].Item, Plant: "brackwater", Qty: plant.Pieces(n.Jobs[job].Pieces),
			Covers: []needs.Cover{{Kind: needs.FromJob, Job: job, Qty: plant.Pieces(n.Jobs[job].Pieces), Plant: "brackwater"}}})
		d := len(n.Demands) - 1
		n.Ops[op].Demands, n.Jobs[parent].Demands = append(n.Ops[op].Demands, d), append(n.Jobs[parent].Demands, d)
		ops := n.Jobs[job].Ops
		if len(ops) > 0 {
			s.v.Problem.Links = append(s.v.Problem.Links, schedule.Link{From: ops[len(ops)-1], To: op, Carrier: schedule.None, Meeting: true})
		}
	}
}

func (s *story) op(job int, st step) int {
	n, p := s.v.Needs, s.v.Problem
	station, centre := schedule.None, plant.CentreID("")
	for i := range s.b.Stations {
		if string(s.b.Stations[i].ID) == st.station {
			station, centre = i, s.b.Stations[i].Centre
		}
	}
	nature := st.nature
	if nature == "" {
		nature = product.Attended
	}
	n.Ops = append(n.Ops, needs.Op{Job: job, Seq: st.seq, Name: st.name, Centre: centre, Nature: nature, Closed: product.Pause,
		Setup: plant.HoursToSeconds(st.from - st.setup), Run: plant.HoursToSeconds(st.to - st.from), Program: plant.ProgramID(st.program),
		Fixture: "F-12", Drawing: plant.DrawingID(st.draws), Hold: st.hold, Size: 1000})
	p.Ops = append(p.Ops, schedule.Op{Job: job, Seq: st.seq, Name: st.name, State: st.state})
	slot := schedule.Slot{Station: schedule.None}
	if station != schedule.None {
		slot = schedule.Slot{Station: station, Setup: s.in(st.setup), Load: s.in(st.from), Run: s.in(st.from), Unload: s.in(st.to), End: s.in(st.to)}
	}
	s.v.Plan.Slots = append(s.v.Plan.Slots, slot)
	return len(n.Ops) - 1
}
