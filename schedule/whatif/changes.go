package whatif

import (
	"cmp"
	"slices"
	"strings"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

const (
	hour = plant.Seconds(3600)
	day  = 24 * hour
)

// Kind says what is changed.
type Kind string

// Kinds of changes.
const (
	Nothing  Kind = "nothing"  // planning again is enough
	Overtime Kind = "overtime" // a station is open in a window in which it is closed, with the people for it
	Person   Kind = "person"   // one more person in a pool
	Sooner   Kind = "sooner"   // what an operation waits for (material, program, hold, release) is there earlier
	Swap     Kind = "swap"     // an operation goes before the one it is behind
	Split    Kind = "split"    // a job's pieces are made in two jobs
	Priority Kind = "priority" // a day late of the unit counts as much dearer
)

// Change is one change of a problem. Indexes that a kind does not use are schedule.None.
type Change struct {
	Kind    Kind
	Unit    int             // the unit it is for
	Station int             // Overtime, Swap
	Pool    int             // Person
	Op      int             // Overtime: that waits for the station; Sooner, Swap: the operation; Split: an operation of the job
	Behind  int             // Swap: the operation that it goes before
	With    []int           // Sooner: further operations that wait for the same delivery
	Crew    []schedule.Need // Overtime: people who come along, pool by pool
	Pieces  int             // Split: pieces taken off
	Factor  float64         // Priority
	From    plant.Time      // Overtime, Person: begin of the window; Swap: wanted begin
	Until   plant.Time      // Overtime, Person: its end; Sooner: when it must be there
	Hope    plant.Seconds   // time of the unit's way that it aims at
}

// first is the factor that puts a unit first.
const first = 10

// group tells changes of which one is enough: windows of one station, dates of one kit, places of one operation.
type group struct {
	kind Kind
	on   int
}

func (c *Change) group() group {
	switch c.Kind {
	case Overtime:
		return group{c.Kind, c.Station}
	case Person:
		return group{c.Kind, c.Pool}
	case Priority, Nothing:
		return group{kind: c.Kind}
	}
	return group{c.Kind, c.Op}
}

// Changes proposes changes for a late unit out of its explanation, those that aim at the most time first; of each group those
// that ask for less before those that ask for more.
func Changes(p *schedule.Problem, plan *schedule.Plan, e *schedule.Explanation, know Knowledge) []Change {
	f := &proposer{p: p, plan: plan, e: e, late: -e.Slack, hopes: map[group]plant.Seconds{}, know: know}
	for i := len(e.Segments) - 1; i >= 0; i-- { // so that of the places before others the last comes first: it asks for least
		f.segment(&e.Segments[i])
	}
	f.overtime()
	f.people()
	if know.MaySplit != nil {
		f.splits(know.MaySplit)
	}
	f.add(Priority, f.behind, func(c *Change) { c.Factor = first })
	slices.SortStableFunc(f.out, func(a, b Change) int { return cmp.Compare(f.hopes[b.group()], f.hopes[a.group()]) })
	return f.out
}

// Knowledge is what a problem does not say and proposals depend on.
type Knowledge struct {
	MaySplit func(job int) bool // whether the pieces of a job may be made apart; nil: none may
	Together func(op int) []int // other operations that wait for the same delivery as one; nil: none do
}

// wait is what a unit loses at a station or with a pool.
type wait struct {
	on       int // the station or pool
	op       int // that loses most there
	most     plant.Seconds
	lost     plant.Seconds
	from, to plant.Time
}

type proposer struct {
	p        *schedule.Problem
	plan     *schedule.Plan
	e        *schedule.Explanation
	late     plant.Seconds
	stations []wait
	pools    []wait
	know     Knowledge
	behind   plant.Seconds // time behind other work and left by the plan
	out      []Change
	hopes    map[group]plant.Seconds
}

// of gives a change of a kind for a unit that says nothing else yet.
func of(kind Kind, unit int) Change {
	return Change{Kind: kind, Unit: unit, Station: schedule.None, Pool: schedule.None, Op: schedule.None, Behind: schedule.None}
}

func (f *proposer) add(kind Kind, hope plant.Seconds, say func(c *Change)) {
	c := of(kind, f.e.Unit)
	c.Hope = hope
	say(&c)
	f.out = append(f.out, c)
	f.hopes[c.group()] = max(f.hopes[c.group()], c.Hope)
}

// segment takes one stretch of the unit's way into account.
func (f *proposer) segment(s *schedule.Segment) {
	long := s.To.Sub(s.From)
	if s.Op == schedule.None {
		return
	}
	op := &f.p.Ops[s.Op]
	station := f.plan.Slots[s.Op].Station
	switch s.Reason {
	case schedule.StationWait, schedule.KeptBack, schedule.Waiting:
		f.behind += long
		f.stations = lost(f.stations, station, s)
		f.swap(s, op, station)
	case schedule.ShopClosed, schedule.SettingUp:
		f.stations = lost(f.stations, station, s)
	case schedule.Working:
		if f.p.Stations[station].Takes == schedule.One {
			f.stations = lost(f.stations, station, s)
		}
	case schedule.CrewWait:
		f.behind += long
		for _, n := range op.Needs {
			if strings.Contains(s.Text, f.p.Pools[n.Pool].Name) {
				f.pools = lost(f.pools, n.Pool, s)
			}
		}
	case schedule.Material, schedule.Held, schedule.NotYet:
		f.sooner(s, op, long)
	}
}

// lost adds a segment to the waits of a list.
func lost(list []wait, on int, s *schedule.Segment) []wait {
	if on == schedule.None {
		return list
	}
	i := slices.IndexFunc(list, func(w wait) bool { return w.on == on })
	if i < 0 {
		i = len(list)
		list = append(list, wait{on: on, from: s.From, to: s.To})
	}
	w := &list[i]
	long := s.To.Sub(s.From)
	w.lost += long
	w.from, w.to = min(w.from, s.From), max(w.to, s.To)
	if long > w.most {
		w.op, w.most = s.Op, long
	}
	return list
}

// swap proposes to go before the operation that is in the way, if both are free to move.
func (f *proposer) swap(s *schedule.Segment, op *schedule.Op, station int) {
	if s.Reason != schedule.StationWait || s.Behind == schedule.None || op.State != schedule.ToPlan || station == schedule.None {
		return
	}
	b := f.plan.Slots[s.Behind]
	if f.p.Ops[s.Behind].State != schedule.ToPlan || b.Station != station || f.p.Stations[station].Takes != schedule.One {
		return
	}
	f.add(Swap, s.To.Sub(s.From), func(c *Change) {
		c.Station, c.Op, c.Behind, c.From = station, s.Op, s.Behind, max(f.p.Now, b.Setup, s.From)
	})
}

// sooner proposes that what an operation waits for comes earlier: by the lateness of the unit and a day or three, or now.
func (f *proposer) sooner(s *schedule.Segment, op *schedule.Op, long plant.Seconds) {
	var with []int
	if f.know.Together != nil {
		with = f.know.Together(s.Op)
	}
	for _, more := range []plant.Seconds{0, day, 3 * day} {
		at := op.Earliest.Add(-f.late - more)
		if at <= f.p.Now || s.Reason == schedule.NotYet {
			break
		}
		f.add(Sooner, long, func(c *Change) { c.Op, c.With, c.Until = s.Op, with, at/plant.Time(hour)*plant.Time(hour) })
	}
	f.add(Sooner, long, func(c *Change) { c.Op, c.With, c.Until = s.Op, with, f.p.Now })
}

// overtime proposes windows of closed time at the stations where the unit loses time: the first, the last and the longest of
// its stay there, a shift each.
func (f *proposer) overtime() {
	const shift = 8 * hour
	for _, w := range f.stations {
		st := &f.p.Stations[w.on]
		if st.Takes == schedule.Places || st.Takes == schedule.NoLimit {
			continue
		}
		var picks []calendar.Span
		pick := func(s calendar.Span) {
			if !slices.Contains(picks, s) {
				picks = append(picks, s)
			}
		}
		gaps := closedIn(st.Open, max(f.p.Now, w.from.Add(-day)), w.to)
		if len(gaps) == 0 {
			continue
		}
		longest := slices.MaxFunc(gaps, func(a, b calendar.Span) int { return cmp.Compare(a.Len(), b.Len()) })
		pick(longest)
		pick(gaps[0])
		pick(gaps[len(gaps)-1])
		for _, g := range picks {
			g.To = min(g.To, g.From.Add(shift))
			f.add(Overtime, w.lost, func(c *Change) {
				c.Station, c.Op, c.From, c.Until, c.Crew = w.on, w.op, g.From, g.To, f.crewOf(w.on)
			})
		}
	}
}

// closedIn gives the closed times of at least two hours that begin in [from, to), clipped to begin at from.
func closedIn(open calendar.Open, from, to plant.Time) []calendar.Span {
	var out []calendar.Span
	at := from
	for _, s := range open.Spans() {
		if s.To <= from {
			continue
		}
		if s.From > at && at < to && s.From.Sub(at) >= 2*hour {
			out = append(out, calendar.Span{From: at, To: s.From})
		}
		if at = max(at, s.To); at >= to {
			break
		}
	}
	return out
}

// crewOf gives the people that the work on a station needs: of each pool the most that one operation there needs.
func (f *proposer) crewOf(station int) []schedule.Need {
	var out []schedule.Need
	for op := range f.p.Ops {
		if f.plan.Slots[op].Station != station || f.p.Ops[op].State == schedule.Done {
			continue
		}
		for _, n := range f.p.Ops[op].Needs {
			i := slices.IndexFunc(out, func(x schedule.Need) bool { return x.Pool == n.Pool })
			if i < 0 {
				out = append(out, schedule.Need{Pool: n.Pool, Heads: n.Heads})
			} else {
				out[i].Heads = max(out[i].Heads, n.Heads)
			}
		}
	}
	slices.SortFunc(out, func(a, b schedule.Need) int { return cmp.Compare(a.Pool, b.Pool) })
	return out
}

// people proposes one more person for as long as the unit waits for a pool.
func (f *proposer) people() {
	for _, w := range f.pools {
		f.add(Person, w.lost, func(c *Change) { c.Pool, c.Op, c.From, c.Until = w.on, w.op, max(f.p.Now, w.from), w.to })
	}
}

// splits proposes to make the pieces of the jobs on the unit's way in two jobs, where two stations can do them.
func (f *proposer) splits(may func(job int) bool) {
	lost := map[int]plant.Seconds{}
	var jobs []int
	at := map[int]int{}
	for i := range f.e.Segments {
		s := &f.e.Segments[i]
		if s.Op == schedule.None || s.Reason != schedule.Working || len(f.p.Ops[s.Op].Can) < 2 {
			continue
		}
		j := f.p.Ops[s.Op].Job
		if _, known := lost[j]; !known {
			jobs = append(jobs, j)
		}
		lost[j] += s.To.Sub(s.From)
		at[j] = s.Op
	}
	for _, j := range jobs {
		if f.p.Jobs[j].Pieces >= 2 && lost[j] >= 2*hour && may(j) && f.untouched(j) {
			f.add(Split, lost[j]/2, func(c *Change) { c.Op, c.Pieces = at[j], f.p.Jobs[j].Pieces/2 })
		}
	}
}

// untouched says whether no operation of a job has begun or is frozen.
func (f *proposer) untouched(job int) bool {
	for i := range f.p.Ops {
		if f.p.Ops[i].Job == job && f.p.Ops[i].State != schedule.ToPlan {
			return false
		}
	}
	return true
}
