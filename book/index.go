package book

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"
	_ "time/tzdata" // time zones must be known on machines without a zone database

	"tackline/fault"
	"tackline/formula"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// OpKey names an operation of an item's route.
type OpKey struct {
	Item plant.ItemID
	Seq  int
}

// JobOp names an operation of a job.
type JobOp struct {
	Job plant.JobID
	Seq int
}

// Way names a way between two plants.
type Way struct{ From, To plant.ID }

// Index finds the rows of a Book by what they are about. Pointers lead into the Book's own slices, which must not change
// while the Index is in use. Of rows with the same key the first is found. It is read-only, so it can be shared.
type Index struct {
	Book     *Book
	Formulas *formula.Engine

	Plants     map[plant.ID]*plant.Plant
	Zones      map[plant.ID]*time.Location // of each plant
	Calendars  map[plant.CalendarID]*plant.Calendar
	Shifts     map[plant.CalendarID][]plant.Shift
	Exceptions map[plant.CalendarID][]plant.Exception // of a calendar, in the order of the book
	Closures   map[plant.StationID][]plant.Exception  // of a station, in the order of the book

	Centres    map[plant.CentreID]*plant.Centre
	Stations   map[plant.StationID]*plant.Station
	StationsOf map[plant.CentreID][]*plant.Station // in the order of the book
	SetupsOf   map[plant.CentreID][]plant.Setup

	Pools          map[plant.PoolID]*plant.Pool
	People         map[plant.PersonID]*plant.Person
	PeopleOf       map[plant.PoolID][]*plant.Person
	Qualifications map[plant.PersonID][]plant.Qualification
	Absences       map[plant.PersonID][]plant.Absence
	Transits       map[Way]*plant.Transit

	Items      map[plant.ItemID]*product.Item
	Attributes map[plant.ItemID]map[string]any // float64 or string, as formulas read them
	OptionsOf  map[plant.ItemID][]*product.Option
	RulesOf    map[plant.ItemID][]*product.Rule
	PartsOf    map[plant.ItemID][]*product.Part // by parent, in order of line
	OpsOf      map[plant.ItemID][]*product.Op   // in order of seq
	CrewsOf    map[OpKey][]product.Crew
	AblesOf    map[OpKey][]product.Able
	Programs   map[plant.ProgramID]*product.Program
	Drawings   map[plant.DrawingID]*product.Drawing

	LotsOf     map[plant.ItemID][]*stock.Lot     // in the order of the book
	ReceiptsOf map[plant.ItemID][]*stock.Receipt // in the order of the book
	Work       map[JobOp]*stock.Work
	Classes    map[plant.ClassID]*order.Class
	Orders     map[plant.OrderID]*order.Order
	LinesOf    map[plant.OrderID][]*order.Line // in order of line

	Pins       map[JobOp]*order.Pin
	ForbidsOf  map[JobOp][]*order.Forbid      // in the order of the book
	SplitsOf   map[plant.JobID][]*order.Split // in order of part
	Priorities map[Prior]*order.Priority
}

// Prior names what a priority is given to.
type Prior struct{ Of, Name string }

// NewIndex indexes b. It returns a fault for each plant whose time zone is unknown, and an error if the formula engine
// cannot be made; nothing else of the book is checked here (see Check).
func NewIndex(b *Book) (*Index, error) {
	ix, err := newIndex(b)
	if err != nil {
		return nil, err
	}
	var faults fault.List
	for i := range b.Plants {
		if p := &b.Plants[i]; ix.Zones[p.ID] == nil {
			faults = append(faults, &fault.Fault{Kind: fault.Invalid, Table: "plants", Row: i + 2, Column: "time_zone",
				Value: p.TimeZone, Expected: "an IANA time zone, such as Europe/Dublin"})
		}
	}
	if len(faults) > 0 {
		return nil, faults
	}
	return ix, nil
}

// newIndex indexes any book, however broken.
func newIndex(b *Book) (*Index, error) {
	engine, err := formula.New()
	if err != nil {
		return nil, err
	}
	ix := &Index{Book: b, Formulas: engine}
	ix.indexPlant()
	ix.indexPeople()
	ix.indexProducts()
	ix.indexStock()
	return ix, nil
}

// byKey maps each row by its key; the first row of a key wins.
func byKey[K comparable, T any](rows []T, key func(*T) K) map[K]*T {
	m := make(map[K]*T, len(rows))
	for i := range rows {
		k := key(&rows[i])
		if m[k] == nil {
			m[k] = &rows[i]
		}
	}
	return m
}

// group collects rows by a key, in the order of the book.
func group[K comparable, T any](rows []T, key func(*T) K) map[K][]T {
	m := map[K][]T{}
	for i := range rows {
		k := key(&rows[i])
		m[k] = append(m[k], rows[i])
	}
	return m
}

// pointers collects pointers to rows by a key, in the order of the book.
func pointers[K comparable, T any](rows []T, key func(*T) K) map[K][]*T {
	m := map[K][]*T{}
	for i := range rows {
		k := key(&rows[i])
		m[k] = append(m[k], &rows[i])
	}
	return m
}

func (ix *Index) indexPlant() {
	b := ix.Book
	ix.Plants = byKey(b.Plants, func(p *plant.Plant) plant.ID { return p.ID })
	ix.Zones = map[plant.ID]*time.Location{}
	for id, p := range ix.Plants {
		if loc, ok := zone(p.TimeZone); ok {
			ix.Zones[id] = loc
		}
	}
	ix.Calendars = byKey(b.Calendars, func(c *plant.Calendar) plant.CalendarID { return c.ID })
	ix.Shifts = group(b.Shifts, func(s *plant.Shift) plant.CalendarID { return s.Calendar })
	ix.Exceptions = group(b.Exceptions, func(e *plant.Exception) plant.CalendarID { return e.Calendar })
	delete(ix.Exceptions, "")
	ix.Closures = group(b.Exceptions, func(e *plant.Exception) plant.StationID { return e.Station })
	delete(ix.Closures, "")
	ix.Centres = byKey(b.Centres, func(c *plant.Centre) plant.CentreID { return c.ID })
	ix.Stations = byKey(b.Stations, func(s *plant.Station) plant.StationID { return s.ID })
	ix.StationsOf = pointers(b.Stations, func(s *plant.Station) plant.CentreID { return s.Centre })
	ix.SetupsOf = group(b.Setups, func(s *plant.Setup) plant.CentreID { return s.Centre })
	ix.Transits = byKey(b.Transits, func(t *plant.Transit) Way { return Way{t.From, t.To} })
}

func (ix *Index) indexPeople() {
	b := ix.Book
	ix.Pools = byKey(b.Pools, func(p *plant.Pool) plant.PoolID { return p.ID })
	ix.People = byKey(b.People, func(p *plant.Person) plant.PersonID { return p.ID })
	ix.PeopleOf = pointers(b.People, func(p *plant.Person) plant.PoolID { return p.Pool })
	ix.Qualifications = group(b.Qualifications, func(q *plant.Qualification) plant.PersonID { return q.Person })
	ix.Absences = group(b.Absences, func(a *plant.Absence) plant.PersonID { return a.Person })
}

func (ix *Index) indexProducts() {
	b := ix.Book
	ix.Items = byKey(b.Items, func(i *product.Item) plant.ItemID { return i.ID })
	ix.Attributes = map[plant.ItemID]map[string]any{}
	for _, a := range b.Attributes {
		if ix.Attributes[a.Item] == nil {
			ix.Attributes[a.Item] = map[string]any{}
		}
		ix.Attributes[a.Item][a.Name] = attributeValue(a.Value)
	}
	ix.OptionsOf = pointers(b.Options, func(o *product.Option) plant.ItemID { return o.Product })
	ix.RulesOf = pointers(b.Rules, func(r *product.Rule) plant.ItemID { return r.Product })
	ix.PartsOf = pointers(b.Parts, func(p *product.Part) plant.ItemID { return p.Parent })
	for _, parts := range ix.PartsOf {
		sort.SliceStable(parts, func(i, j int) bool { return parts[i].Line < parts[j].Line })
	}
	ix.OpsOf = pointers(b.Ops, func(o *product.Op) plant.ItemID { return o.Item })
	for _, ops := range ix.OpsOf {
		sort.SliceStable(ops, func(i, j int) bool { return ops[i].Seq < ops[j].Seq })
	}
	ix.CrewsOf = group(b.Crews, func(c *product.Crew) OpKey { return OpKey{c.Item, c.Seq} })
	ix.AblesOf = group(b.Ables, func(a *product.Able) OpKey { return OpKey{a.Item, a.Seq} })
	ix.Programs = byKey(b.Programs, func(p *product.Program) plant.ProgramID { return p.ID })
	ix.Drawings = byKey(b.Drawings, func(d *product.Drawing) plant.DrawingID { return d.ID })
}

// Report puts what the floor has recorded in the place of the rows of the work table about the same operations, and closes stations
// that are out of order. The book itself stays as it is.
func (ix *Index) Report(work []stock.Work, down []plant.Exception) {
	for i := range work {
		ix.Work[JobOp{work[i].Job, work[i].Seq}] = &work[i]
	}
	for _, e := range down {
		ix.Closures[e.Station] = append(slices.Clip(ix.Closures[e.Station]), e)
	}
}

func (ix *Index) indexStock() {
	b := ix.Book
	ix.LotsOf = pointers(b.Lots, func(l *stock.Lot) plant.ItemID { return l.Item })
	ix.ReceiptsOf = pointers(b.Receipts, func(r *stock.Receipt) plant.ItemID { return r.Item })
	ix.Work = byKey(b.Work, func(w *stock.Work) JobOp { return JobOp{w.Job, w.Seq} })
	ix.Classes = byKey(b.Classes, func(c *order.Class) plant.ClassID { return c.ID })
	ix.Orders = byKey(b.Orders, func(o *order.Order) plant.OrderID { return o.ID })
	ix.LinesOf = pointers(b.Lines, func(l *order.Line) plant.OrderID { return l.Order })
	for _, lines := range ix.LinesOf {
		sort.SliceStable(lines, func(i, j int) bool { return lines[i].Line < lines[j].Line })
	}
	ix.Pins = byKey(b.Pins, func(p *order.Pin) JobOp { return JobOp{p.Job, p.Seq} })
	ix.ForbidsOf = pointers(b.Forbids, func(f *order.Forbid) JobOp { return JobOp{f.Job, f.Seq} })
	ix.SplitsOf = pointers(b.Splits, func(s *order.Split) plant.JobID { return s.Job })
	for _, parts := range ix.SplitsOf {
		sort.SliceStable(parts, func(i, j int) bool { return parts[i].Part < parts[j].Part })
	}
	ix.Priorities = byKey(b.Priorities, func(p *order.Priority) Prior { return Prior{p.Of, p.Name} })
}

// Zone gives the time zone of a plant, UTC if it is unknown.
func (ix *Index) Zone(id plant.ID) *time.Location {
	if loc := ix.Zones[id]; loc != nil {
		return loc
	}
	return time.UTC
}

// CalendarZone gives the time zone that a calendar is read in.
func (ix *Index) CalendarZone(id plant.CalendarID) *time.Location {
	if c := ix.Calendars[id]; c != nil {
		return ix.Zone(c.Plant)
	}
	return time.UTC
}

// CentreZone gives the time zone of the plant that a work centre stands in.
func (ix *Index) CentreZone(id plant.CentreID) *time.Location {
	if c := ix.Centres[id]; c != nil {
		return ix.Zone(c.Plant)
	}
	return time.UTC
}

// StationZone gives the time zone of the plant that a station stands in.
func (ix *Index) StationZone(id plant.StationID) *time.Location {
	if s := ix.Stations[id]; s != nil {
		return ix.CentreZone(s.Centre)
	}
	return time.UTC
}

// zone loads a time zone. The empty name and "Local" are refused: they would depend on the machine.
func zone(name string) (*time.Location, bool) {
	if name == "" || strings.EqualFold(name, "local") {
		return nil, false
	}
	loc, err := time.LoadLocation(name)
	return loc, err == nil
}

// attributeValue gives a number for text that is a finite decimal number, else the text.
func attributeValue(s string) any {
	if f, err := strconv.ParseFloat(s, 64); err == nil && !math.IsNaN(f) && !math.IsInf(f, 0) {
		return f
	}
	return s
}
