package moves

import (
	"cmp"
	"slices"
	"sort"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// finder looks for what keeps operations from their adopted slots.
type finder struct {
	p        *schedule.Problem
	plan     *schedule.Plan
	in, out  [][]int         // links by operation
	stations [][]int         // operations on each station, by setup
	longest  []plant.Seconds // longest stay on each station
	pools    [][]int         // operations that use each pool, moved, new or fixed, by setup
	stay     []plant.Seconds // longest stay of a user of each pool
	present  map[headsKey]calendar.Open
	crewed   map[mannedKey]calendar.Open // open, with such a crew
}

type headsKey struct{ pool, heads int }

type mannedKey struct {
	station int
	headsKey
}

func newFinder(p *schedule.Problem, plan *schedule.Plan) *finder {
	f := &finder{p: p, plan: plan, in: make([][]int, len(p.Ops)), out: make([][]int, len(p.Ops)), stations: make([][]int, len(p.Stations)),
		longest: make([]plant.Seconds, len(p.Stations)), pools: make([][]int, len(p.Pools)), stay: make([]plant.Seconds, len(p.Pools)),
		present: map[headsKey]calendar.Open{}, crewed: map[mannedKey]calendar.Open{}}
	for i := range p.Links {
		l := &p.Links[i]
		f.in[l.To], f.out[l.From] = append(f.in[l.To], i), append(f.out[l.From], i)
	}
	for op := range p.Ops {
		s := plan.Slots[op]
		if s.Station == schedule.None || s == p.Adopted[op] {
			continue // what stands where it stood is in nobody's way
		}
		f.stations[s.Station] = append(f.stations[s.Station], op)
		f.longest[s.Station] = max(f.longest[s.Station], s.End.Sub(s.Setup))
		for _, n := range p.Ops[op].Needs {
			f.pools[n.Pool] = append(f.pools[n.Pool], op)
			f.stay[n.Pool] = max(f.stay[n.Pool], s.End.Sub(s.Setup))
		}
	}
	for _, lists := range [][][]int{f.stations, f.pools} {
		for _, ops := range lists {
			slices.SortStableFunc(ops, func(a, b int) int { return cmp.Compare(plan.Slots[a].Setup, plan.Slots[b].Setup) })
		}
	}
	return f
}

// cause gives the first cause that holds; see the package comment.
func (f *finder) cause(m *Move) Cause {
	if c, ok := f.own(m); ok {
		return c
	}
	for _, try := range []func(*Move) (Kind, int){f.before, f.inPlace, f.withCrew, f.after} {
		if kind, by := try(m); by != schedule.None {
			return Cause{Kind: kind, By: by, Pool: schedule.None}
		}
	}
	return Cause{Kind: Pays, By: schedule.None, Pool: schedule.None}
}

// own looks for what keeps an operation from its adopted slot whatever the rest of the plan.
func (f *finder) own(m *Move) (Cause, bool) {
	op := &f.p.Ops[m.Op]
	c := Cause{By: schedule.None, Pool: schedule.None}
	var way *schedule.Alternative
	for i := range op.Can {
		if op.Can[i].Station == m.Was.Station {
			way = &op.Can[i]
		}
	}
	switch {
	case way == nil:
		c.Kind = Cannot
		return c, true
	case op.Earliest > m.Was.Load:
		c.Kind, c.Until = Material, op.Earliest
		return c, true
	case m.Was.Setup < f.p.Now:
		c.Kind, c.Until = Late, f.p.Now
		return c, true
	}
	return f.closed(m, op, way)
}

// closed looks whether the adopted slot has enough open time, first of the station, then of its crew.
func (f *finder) closed(m *Move, op *schedule.Op, way *schedule.Alternative) (Cause, bool) {
	c := Cause{Kind: Shut, By: schedule.None, Pool: schedule.None}
	st := &f.p.Stations[m.Was.Station]
	work, to := way.Load+way.Run+way.Unload, m.Was.End
	if op.Closed == schedule.Through {
		work, to = way.Load, m.Was.Run
	}
	if st.Takes == schedule.Batch {
		work = way.Run // loading and unloading are shared with others
	}
	if work == 0 {
		return c, false
	}
	if !st.Open.IsOpen(m.Was.Load) || st.Open.Work(m.Was.Load, to) < work {
		c.From, c.Until = gap(st.Open, m.Was.Load, to)
		return c, true
	}
	for _, n := range op.Needs {
		share := way.Load
		if n.When&schedule.OnRun != 0 {
			share = work
		}
		open := f.manned(m.Was.Station, n.Pool, n.Heads)
		if n.When&schedule.OnRun != 0 && open.Work(m.Was.Load, to) < share || share > 0 && open.Work(m.Was.Load, to) < min(share, way.Load) {
			c.Kind, c.Pool = NoCrew, n.Pool
			c.From, c.Until = gap(open, m.Was.Load, to)
			return c, true
		}
	}
	return c, false
}

// gap gives the longest closed time that meets [from, to).
func gap(open calendar.Open, from, to plant.Time) (begin, end plant.Time) {
	for at := from; at < to; {
		var closed plant.Time
		next := open.Next(at)
		if next == at { // open: go on to where it closes
			i := sort.Search(len(open.Spans()), func(i int) bool { return open.Spans()[i].To > at })
			closed = open.Spans()[i].To
			if closed >= to {
				break
			}
			next = open.Next(closed)
		} else {
			closed = open.Prev(at)
		}
		if next.Sub(closed) > end.Sub(begin) {
			begin, end = closed, next
		}
		if next <= at {
			break
		}
		at = next
	}
	return begin, end
}

// manned gives the time in which a station is open and a pool has some heads present.
func (f *finder) manned(station, pool, heads int) calendar.Open {
	k := mannedKey{station, headsKey{pool, heads}}
	open, known := f.crewed[k]
	if !known {
		open = calendar.Intersect(f.p.Stations[station].Open, f.heads(pool, heads))
		f.crewed[k] = open
	}
	return open
}

// heads gives the time in which a pool has some heads present.
func (f *finder) heads(pool, heads int) calendar.Open {
	k := headsKey{pool, heads}
	open, known := f.present[k]
	if !known {
		steps := f.p.Pools[pool].Heads
		var spans []calendar.Span
		for i, s := range steps {
			end := f.p.Horizon
			if i+1 < len(steps) {
				end = steps[i+1].At
			}
			if s.N >= heads && s.At < end {
				spans = append(spans, calendar.Span{From: s.At, To: end})
			}
		}
		open = calendar.Make(spans)
		f.present[k] = open
	}
	return open
}

// before looks for an operation before the moved one whose pieces come too late for its adopted slot: the last of them.
func (f *finder) before(m *Move) (Kind, int) {
	by, last := schedule.None, m.Was.Load
	for _, i := range f.in[m.Op] {
		l := &f.p.Links[i]
		s := f.plan.Slots[l.From]
		if s.Station == schedule.None || s == f.p.Adopted[l.From] {
			continue
		}
		at := f.p.Arrives(l, s.End)
		if l.Transfer > 0 { // the first lot, in the share of the run that it takes
			share := min(1, float64(l.Transfer)/float64(max(l.Pieces, 1)))
			at = f.p.Arrives(l, s.Run.Add(plant.Seconds(share*float64(s.Unload.Sub(s.Run)))))
			if f.p.Arrives(l, s.End) > m.Was.End {
				at = max(at, m.Was.Load+1)
			}
		}
		if at > last {
			by, last = l.From, at
		}
	}
	return Behind, by
}

// inPlace looks for an operation that is now where the moved one was: a new or fixed one rather than a moved one.
func (f *finder) inPlace(m *Move) (Kind, int) {
	takes := f.p.Stations[m.Was.Station].Takes
	if takes == schedule.NoLimit {
		return Place, schedule.None
	}
	return Place, f.overlaps(m, f.stations[m.Was.Station], f.longest[m.Was.Station])
}

// withCrew looks for an operation that now uses the crew which the moved one had.
func (f *finder) withCrew(m *Move) (Kind, int) {
	for _, n := range f.p.Ops[m.Op].Needs {
		if by := f.overlaps(m, f.pools[n.Pool], f.stay[n.Pool]); by != schedule.None {
			return Crew, by
		}
	}
	return Crew, schedule.None
}

// overlaps gives the operation of a list by setup, of which none stays longer than stay, that overlaps the adopted slot of a
// moved one and did not before: a new or fixed one rather than a moved one.
func (f *finder) overlaps(m *Move, list []int, stay plant.Seconds) int {
	by := schedule.None
	i := sort.Search(len(list), func(i int) bool { return f.plan.Slots[list[i]].Setup >= m.Was.Setup.Add(-stay) })
	for ; i < len(list) && f.plan.Slots[list[i]].Setup < m.Was.End; i++ {
		o := list[i]
		s, a := f.plan.Slots[o], f.p.Adopted[o]
		if o == m.Op || s.End <= m.Was.Setup || s.Station == m.Is.Station && s.Batch != 0 && s.Batch == m.Is.Batch {
			continue
		}
		if a.Station == s.Station && a.Setup < m.Was.End && a.End > m.Was.Setup {
			continue // it was beside it already
		}
		if f.p.Ops[o].State != schedule.ToPlan || a.Station == schedule.None {
			return o
		}
		if by == schedule.None {
			by = o
		}
	}
	return by
}

// after looks for an operation after the moved one that moved the same way.
func (f *finder) after(m *Move) (Kind, int) {
	later := m.Is.Load > m.Was.Load
	for _, i := range f.out[m.Op] {
		to := f.p.Links[i].To
		s, a := f.plan.Slots[to], f.p.Adopted[to]
		if s.Station != schedule.None && a.Station != schedule.None && s.Load != a.Load && (s.Load > a.Load) == later {
			return Follows, to
		}
	}
	return Follows, schedule.None
}
