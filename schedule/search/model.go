package search

import (
	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// model is a Problem made ready for many passes: flat, with open time of each phase intersected once. It is not changed
// after it is made, so that workers share it.
type model struct {
	p          *schedule.Problem
	hours      []hours
	teams      []team       // different sets of needs; team 0 is nobody
	ops        []work       // by Op index
	choices    []choice     // alternatives of all operations
	in, out    fan          // links by operation
	ends       fan          // units by the operation that they end with
	dwells     []float64    // by Op index: cost of a second of waiting before a dwell that ends a branch
	kin        []int32      // by operation; see addKin
	kinOps     fan          // operations to be planned by kin
	jobOps     fan          // and by job
	homes      []int32      // operations that have a home
	order      []int32      // operations, each after those before it
	groups     [][]int32    // different sets of stations that do an operation
	classes    int          // classes of operations that may share a batch
	heads      []steps      // free heads of each pool from Now on, before any work
	aims       []aim        // by Op index
	move       float64      // cost of an operation moved inside the freeze window
	meanLength float64      // seconds: average length of an operation
	meanSetup  float64      // seconds: average changeover that is not 0
	shipDue    []plant.Time // by Op index: due date of the unit that it ends, or Never
	maxBatch   int          // largest batch number in fixed work and the adopted plan
}

// team is a set of needs, sorted by pool.
type team []need

type need struct {
	pool  int32
	heads int64
}

// work is an operation as the passes see it.
type work struct {
	from, to     int32 // its choices
	loadTeam     int32
	runTeam      int32
	bothTeam     int32 // load and run together: for loading beside the run
	twiceTeam    int32 // load twice: for loading beside the unloading
	family       int32
	group        int32
	class        int32 // operations of one class may share a batch; none: not a batch
	earliest     plant.Time
	deadline     plant.Time // End not later: work that frozen work waits for
	setup        plant.Seconds
	fixedSetup   plant.Seconds // of fixed work: the setup that its slot holds
	size         int64
	priority     int
	takes        schedule.Takes
	closed       schedule.Closed
	fixed, binds bool // fixed: has its slot; binds: links into it bind
}

// choice is an alternative with the open time of its phases.
type choice struct {
	station                   int32
	loadHours, runHours       int32
	load, run, unload, beside plant.Seconds
}

type steps struct {
	at   []plant.Time
	free []int64
}

// fan lists links by operation: those of operation o are all[at[o]:at[o+1]].
type fan struct {
	at  []int32
	all []int32
}

func (f *fan) of(o int32) []int32 { return f.all[f.at[o]:f.at[o+1]] }

func makeFan(n int, links []schedule.Link, end func(schedule.Link) int) fan {
	f := fan{at: make([]int32, n+1), all: make([]int32, len(links))}
	for _, l := range links {
		f.at[end(l)+1]++
	}
	for i := range n {
		f.at[i+1] += f.at[i]
	}
	next := append([]int32(nil), f.at...)
	for i, l := range links {
		o := end(l)
		f.all[next[o]] = int32(i)
		next[o]++
	}
	return f
}

// builder makes a model. Its maps find what is already there.
type builder struct {
	*model
	teamOf    map[string]int32
	presence  map[need]calendar.Open
	stationOf map[string]int32 // a station's open time, as text, to its number
	opens     []calendar.Open
	openOf    []int32 // number of a station's open time
	hoursOf   map[[2]int32]int32
	classOf   map[batchKey]int32
	groupOf   map[string]int32
}

// batchKey is what must be equal in a batch. Needs need not be equal by the rules; keeping them apart keeps the open time
// of a batch that of its members.
type batchKey struct {
	key    string
	family int32
	closed schedule.Closed
	load   int32
	run    int32
	group  int32
}

// newModel checks p and makes it ready.
func newModel(p *schedule.Problem) (*model, error) {
	if err := validate(p); err != nil {
		return nil, err
	}
	m := &model{p: p, teams: []team{nil}, ops: make([]work, len(p.Ops))}
	m.in = makeFan(len(p.Ops), p.Links, func(l schedule.Link) int { return l.To })
	m.out = makeFan(len(p.Ops), p.Links, func(l schedule.Link) int { return l.From })
	if err := m.sort(); err != nil {
		return nil, err
	}
	b := &builder{model: m, teamOf: map[string]int32{"": 0}, presence: map[need]calendar.Open{}, stationOf: map[string]int32{},
		hoursOf: map[[2]int32]int32{}, classOf: map[batchKey]int32{}, groupOf: map[string]int32{}}
	b.addStations()
	for o := range p.Ops {
		b.addOp(int32(o))
	}
	m.classes = len(b.classOf)
	for _, pool := range p.Pools {
		m.heads = append(m.heads, headsFrom(pool.Heads, p.Now, p.Horizon))
	}
	m.addDeadlines()
	m.shipDue = make([]plant.Time, len(p.Ops))
	for o := range m.shipDue {
		m.shipDue[o] = plant.Never
	}
	for _, u := range p.Units {
		if u.Last >= 0 {
			m.shipDue[u.Last] = min(m.shipDue[u.Last], u.Due)
		}
	}
	m.ends = m.unitEnds()
	m.addKin()
	m.addDwells()
	for o := range m.ops {
		if m.home(int32(o)) != nil {
			m.homes = append(m.homes, int32(o))
		}
	}
	m.move = float64(p.Weights.Move)
	m.aim()
	m.means()
	return m, nil
}

// sort puts operations after those before them (Kahn, "Topological sorting of large networks", 1962).
func (m *model) sort() error {
	n := len(m.p.Ops)
	left := make([]int32, n)
	m.order = make([]int32, 0, n)
	for o := range left {
		left[o] = m.in.at[o+1] - m.in.at[o]
		if left[o] == 0 {
			m.order = append(m.order, int32(o))
		}
	}
	for i := 0; i < len(m.order); i++ {
		for _, l := range m.out.of(m.order[i]) {
			to := m.p.Links[l].To
			if left[to]--; left[to] == 0 {
				m.order = append(m.order, int32(to))
			}
		}
	}
	if len(m.order) < n {
		return cycleFault(m.p, left)
	}
	return nil
}

// headsFrom gives the heads of a pool from now to horizon, and none after.
func headsFrom(heads []schedule.Step, now, horizon plant.Time) steps {
	s := steps{at: []plant.Time{now}, free: []int64{0}}
	for _, h := range heads {
		switch {
		case h.At <= now:
			s.free[0] = int64(h.N)
		case h.At < horizon:
			s.at, s.free = append(s.at, h.At), append(s.free, int64(h.N))
		}
	}
	s.at, s.free = append(s.at, max(horizon, now+1)), append(s.free, 0)
	return s
}

// addDeadlines finds the operations that frozen work waits for.
func (m *model) addDeadlines() {
	for o := range m.ops {
		w := &m.ops[o]
		w.deadline = m.p.Horizon
		for _, i := range m.out.of(int32(o)) {
			l := m.p.Links[i]
			to := m.p.Ops[l.To]
			if to.State == schedule.Frozen && !w.fixed {
				w.deadline = min(w.deadline, m.latest(l, to.Fixed.Load))
			}
		}
	}
}

// latest gives the last End from which a link brings the pieces by t.
func (m *model) latest(l schedule.Link, t plant.Time) plant.Time {
	if l.Carrier == schedule.None {
		return t.Add(-l.Lag)
	}
	c := &m.p.Carriers[l.Carrier]
	i := upTo(c.Departures, t.Add(-c.Transit))
	if i == 0 {
		return -plant.Never
	}
	return c.Departures[i-1].Add(-l.Lag)
}

// home gives the slot that the adopted plan has for o if it counts as moved elsewhere: one that begins before the freeze.
func (m *model) home(o int32) *schedule.Slot {
	if m.p.Adopted == nil || m.ops[o].fixed {
		return nil
	}
	if a := &m.p.Adopted[o]; a.Station != schedule.None && a.Setup < m.p.Freeze {
		return a
	}
	return nil
}

// unitEnds lists units by the operation that they end with.
func (m *model) unitEnds() fan {
	return listBy(len(m.ops), len(m.p.Units), func(u int) (int, bool) { return m.p.Units[u].Last, m.p.Units[u].Last >= 0 })
}

// arrival gives the instant at which pieces that leave at t have passed a link, or Never.
func (m *model) arrival(l *schedule.Link, t plant.Time) plant.Time {
	t = t.Add(l.Lag)
	if l.Carrier == schedule.None {
		return t
	}
	c := &m.p.Carriers[l.Carrier]
	lo, hi := 0, len(c.Departures)
	for lo < hi {
		if mid := (lo + hi) / 2; c.Departures[mid] < t {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	if lo == len(c.Departures) {
		return plant.Never
	}
	return c.Departures[lo].Add(c.Transit)
}

// changeover gives the setup before family to on a station that stands set up for family from.
func (m *model) changeover(station int32, from, to int32) plant.Seconds {
	if to == 0 {
		return 0
	}
	c := m.p.Centres[m.p.Stations[station].Centre].Changeover
	if c == nil {
		return 0
	}
	return c[from][to]
}
