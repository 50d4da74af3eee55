package scheduletest

import (
	"fmt"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// maker builds one problem.
type maker struct {
	s        Shape
	d        dice
	p        *schedule.Problem
	works    []*works
	byCentre [][]int // stations by centre
	first    []int   // first operation by job
	last     []int   // last operation by job
	roots    []int   // first operations of root jobs
}

// Make builds the problem of a shape.
func Make(s Shape) *schedule.Problem {
	m := &maker{s: s, d: dice{s.Seed}}
	m.p = &schedule.Problem{Now: Now, Horizon: Now + plant.Time(max(s.Days, 30))*day, Freeze: Now + day,
		Families: []plant.Family{"", "jaw-s", "jaw-l", "tine", "head"},
		Weights:  schedule.Weights{Wait: 0.0005, Setup: 9000, Overtime: 6000, Move: 5000}}
	m.works = append(m.works, m.addWorks("brackwater", "Europe/Dublin"))
	if s.TwoPlants {
		m.works = append(m.works, m.addWorks("orrin", "America/Chicago"))
		m.addCarriers()
	}
	for n := 0; len(m.p.Ops) < s.Ops; n++ {
		m.addUnit(n, s.Ops-len(m.p.Ops))
	}
	if s.Fixed {
		m.fix()
	}
	return m.p
}

func (m *maker) addCarriers() {
	for _, days := range []string{"tue,fri", "mon-fri"} {
		at, err := calendar.Departures(days, 15*60, m.works[1].zone, Now, m.p.Horizon)
		if err != nil {
			panic(err) // the days above are wrong: a programmer's fault
		}
		m.p.Carriers = append(m.p.Carriers, schedule.Carrier{Name: "truck " + days, Departures: at,
			Transit: plant.Seconds(m.d.between(2, 30)) * hour})
	}
}

// addUnit makes a unit of at most budget operations: a root job and the branches that join it.
func (m *maker) addUnit(n, budget int) {
	u := len(m.p.Units)
	spread := 20 + len(m.p.Ops)*m.s.Days/2/max(m.s.Ops, 1)
	m.p.Units = append(m.p.Units, schedule.Unit{
		ID:      plant.UnitID(fmt.Sprintf("%d", 1000+n)),
		Due:     Now + plant.Time(m.d.between(2, spread))*day + plant.Time(m.d.below(24))*plant.Time(hour),
		LateDay: plant.MoneyOf(float64(m.d.between(1, 8) * 50))})
	route := []kind{assembly, assembly, blast, paint, rack, assembly}[:min(budget, m.d.between(2, 6))]
	root := m.addJob(u, schedule.None, m.works[0], route, 1)
	m.roots = append(m.roots, m.first[root])
	m.p.Units[u].Last = m.last[root]
	budget -= len(route)
	for branches := m.d.between(1, 5); branches > 0 && budget > 0; branches-- {
		budget -= m.addBranch(u, root, budget, 0)
	}
}

// addBranch makes a job that joins parent, and sometimes one that joins it in turn. It gives the operations made.
func (m *maker) addBranch(u, parent, budget, depth int) int {
	w := m.works[m.d.below(len(m.works))]
	n := min(budget, m.d.between(1, 5))
	route := make([]kind, n)
	for i := range route {
		route[i] = []kind{tack, tack, robot, mill, mill, blast, rack, away}[m.d.below(8)]
	}
	made := n
	unit := u
	shared := m.s.Shared && m.d.chance(10)
	if shared {
		unit = schedule.None
	}
	j := m.addJob(unit, parent, w, route, m.d.between(1, 8))
	m.join(j, m.first[parent])
	if shared && len(m.roots) > 1 {
		if other := m.roots[m.d.below(len(m.roots))]; other != m.first[parent] && m.p.Ops[other].Job != parent {
			m.join(j, other)
		}
	}
	if depth < 2 && made < budget && m.d.chance(30) {
		made += m.addBranch(u, j, budget-made, depth+1)
	}
	return made
}

// join links the end of job j to the operation that consumes it.
func (m *maker) join(j, to int) {
	l := schedule.Link{From: m.last[j], To: to, Carrier: schedule.None, Meeting: true}
	if len(m.p.Carriers) > 0 && m.d.chance(40) {
		l.Carrier = m.d.below(len(m.p.Carriers))
	}
	m.p.Links = append(m.p.Links, l)
}

// addJob makes a job with a route whose operations follow each other.
func (m *maker) addJob(u, parent int, w *works, route []kind, pieces int) int {
	j := len(m.p.Jobs)
	m.p.Jobs = append(m.p.Jobs, schedule.Job{ID: plant.JobID(fmt.Sprintf("%d/part-%d", 1000+u, j)), Unit: u, Pieces: pieces,
		Value: plant.MoneyOf(float64(m.d.between(1, 40) * 100)), Parent: parent, Item: plant.ItemID(fmt.Sprintf("part-%d", m.d.below(50)))})
	m.first = append(m.first, len(m.p.Ops))
	for i, k := range route {
		m.addOp(j, (i+1)*10, w, k, pieces)
		if i > 0 {
			m.follow(len(m.p.Ops)-1, pieces)
		}
	}
	m.last = append(m.last, len(m.p.Ops)-1)
	return j
}

// follow links the operation before to op.
func (m *maker) follow(op, pieces int) {
	l := schedule.Link{From: op - 1, To: op, Carrier: schedule.None}
	if m.d.chance(10) {
		l.Lag = plant.Seconds(m.d.between(1, 6)) * hour
	}
	if m.s.Overlap && pieces > 1 && m.d.chance(40) {
		l.Pieces, l.Transfer = pieces, m.d.between(1, pieces-1)
	}
	m.p.Links = append(m.p.Links, l)
}

func (m *maker) addOp(j, seq int, w *works, k kind, pieces int) {
	centre := w.centres[k][m.d.below(len(w.centres[k]))]
	if m.s.OneStation {
		k, centre = assembly, m.works[0].centres[assembly][0]
		w = m.works[0]
	}
	op := schedule.Op{Job: j, Seq: seq, Name: kindNames[k], Priority: m.d.below(3), Size: plant.Pieces(1)}
	if m.s.Material && m.d.chance(8) {
		op.Earliest = Now + plant.Time(m.d.below(15*24))*plant.Time(hour)
		op.Why = []string{"plate 20 mm, expected", "hold: leak test"}[m.d.below(2)]
	}
	if m.s.Setups && (k == robot || k == mill || k == paint) && m.d.chance(80) {
		op.Family = m.d.between(1, len(m.p.Families)-1)
	}
	stations := m.byCentre[centre]
	if m.s.OneStation {
		stations = stations[:1]
	}
	m.natures(&op, k, w, m.p.Stations[stations[0]])
	load, run, unload := m.times(k, pieces)
	for _, s := range stations {
		a := schedule.Alternative{Station: s, Load: load, Run: run, Unload: unload}
		if m.p.Stations[s].Pallets >= 2 && pieces > 1 {
			a.Load, a.Beside = load/plant.Seconds(pieces), load-load/plant.Seconds(pieces)
		}
		if op.Closed != schedule.Whole {
			a.Run = a.Run * plant.Seconds(m.d.between(90, 120)) / 100
		}
		op.Can = append(op.Can, a)
	}
	m.p.Ops = append(m.p.Ops, op)
}

// natures sets what depends on the kind: closed rule, crew, batch key and size.
func (m *maker) natures(op *schedule.Op, k kind, w *works, s schedule.Station) {
	when := schedule.OnLoad
	switch k {
	case robot, mill:
		op.Closed = []schedule.Closed{schedule.Pause, schedule.Whole, schedule.Through}[m.d.below(3)]
	case blast, paint:
		op.Closed, when = schedule.Whole, schedule.OnLoad|schedule.OnRun
		if s.Takes == schedule.Batch {
			op.Size = min(s.Capacity, plant.Pieces(m.d.between(1, 3)))
		}
	case rack:
		op.Closed = schedule.Through
	case tack, assembly:
		when = schedule.OnLoad | schedule.OnRun
		if m.d.chance(50) {
			op.Setup = plant.Seconds(m.d.between(1, 20)) * 60
		}
	}
	if k == paint {
		op.Key = []string{"yellow", "grey", "red"}[m.d.below(3)]
	}
	if w.pool[k] != schedule.None {
		op.Needs = []schedule.Need{{Pool: w.pool[k], Heads: 1 + m.d.below(5)/4, When: when}}
	}
}

// times gives load, run and unload of a lot. Runs that may be Whole stay under two hours, so that they fit into any shift.
func (m *maker) times(k kind, pieces int) (load, run, unload plant.Seconds) {
	min60 := func(a, b int) plant.Seconds { return plant.Seconds(m.d.between(a, b)) * 60 }
	if m.s.Zero && m.d.chance(5) {
		return 0, 0, 0
	}
	switch k {
	case robot, mill:
		return min60(0, 3) * plant.Seconds(pieces), min60(2, 14) * plant.Seconds(pieces), min60(0, 2) * plant.Seconds(pieces)
	case blast, paint:
		return min60(0, 15), min60(20, 60), min60(0, 10)
	case rack:
		return 0, min60(4*60, 20*60), 0
	case away:
		return 0, min60(8*60, 60*60), 0
	}
	return 0, min60(10, 180), 0
}
