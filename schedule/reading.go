package schedule

import (
	"cmp"
	"slices"
	"strconv"

	"tackline/calendar"
	"tackline/plant"
)

// site is where a phase makes progress: the station's calendar with a crew, and that crew.
type site struct {
	open  calendar.Open
	needs []Need // one for each pool, in order of pool
}

// part is a phase of an operation as it happens under a plan.
type part struct {
	begin, done plant.Time    // done: the instant its work is done; plant.Never if there is not enough open time
	work        plant.Seconds // its work
	through     bool          // goes on through closed time
	at          *site
}

// finished gives the instant at which the phase has done work.
func (x *part) finished(work plant.Seconds) plant.Time {
	switch {
	case work <= 0:
		return x.begin
	case x.through:
		return x.begin.Add(work)
	}
	return x.at.open.Add(x.begin, work)
}

// by gives the work that the phase has done by t.
func (x *part) by(t plant.Time) plant.Seconds {
	if t <= x.begin {
		return 0
	}
	if x.through {
		return min(x.work, t.Sub(x.begin))
	}
	return min(x.work, x.at.open.Work(x.begin, t))
}

// The phases of a turn, and the load crew beside the run.
const (
	inSetup = iota
	inLoad
	inRun
	inUnload
	inBeside
)

// turn is what takes its turn on a station: an operation, or a batch of them.
type turn struct {
	ops        []int // in order of index
	station    int
	slot       Slot // of the first member
	fixed      bool // all members are fixed
	closed     Closed
	family     int
	changeover plant.Seconds
	before     int // turn that left the station in its family, or None
	parts      [5]part
}

// next gives the instant at which the phase after part x of t begins.
func (t *turn) next(x int) plant.Time {
	return [5]plant.Time{t.slot.Load, t.slot.Run, t.slot.Unload, t.slot.End, t.slot.End}[x]
}

// span gives the time in which phase x works, as far as the next phase lets it.
func (t *turn) span(x int) (from, to plant.Time) {
	return t.parts[x].begin, min(t.parts[x].done, t.next(x))
}

// reading is a plan read against its problem: turns on stations in their order, with what each phase does. It is the
// common ground of Check, Measure and Explain, and takes O(n log n).
type reading struct {
	p      *Problem
	slots  []Slot  // by Op; the fixed one where there is one
	turnOf []int   // by Op; None: not on a station, or its slot makes no sense
	turns  []turn  // in order of station, Run, first Op
	at     [][]int // turns by station, in their order
	into   [][]int // links by the operation that they lead to; see beforeDwell
	sites  map[string]*site
	pools  map[Need]calendar.Open // time with at least Heads present, by pool and heads
}

// read reads the slots, of which there must be one for each operation.
func read(p *Problem, slots []Slot) *reading {
	r := &reading{p: p, slots: slices.Clone(slots), turnOf: make([]int, len(p.Ops)), at: make([][]int, len(p.Stations)),
		sites: map[string]*site{}, pools: map[Need]calendar.Open{}}
	order := make([]int, 0, len(p.Ops))
	for i := range p.Ops {
		r.turnOf[i] = None
		if p.Ops[i].State != ToPlan {
			r.slots[i] = p.Ops[i].Fixed
		}
		if r.usable(i) {
			order = append(order, i)
		}
	}
	r.group(order)
	for s := range r.at {
		r.sequence(s)
	}
	return r
}

// usable says whether the slot of op i names a station that can do it and times in order.
func (r *reading) usable(i int) bool {
	s := r.slots[i]
	if s.Station < 0 || s.Station >= len(r.p.Stations) || !inOrder(s) {
		return false
	}
	return r.p.Ops[i].State != ToPlan || alternative(&r.p.Ops[i], s.Station) != nil
}

func inOrder(s Slot) bool {
	return -plant.Never < s.Setup && s.Setup <= s.Load && s.Load <= s.Run && s.Run <= s.Unload && s.Unload <= s.End && s.End < plant.Never
}

// alternative gives the times of o on a station, or nil if it cannot be done there.
func alternative(o *Op, station int) *Alternative {
	for i := range o.Can {
		if o.Can[i].Station == station {
			return &o.Can[i]
		}
	}
	return nil
}

// group makes turns of the operations given: batches on batch stations, else each its own.
func (r *reading) group(order []int) {
	// together gives the batch of op i; an op outside batches is alone.
	together := func(i int) (alone, number int) {
		if s := r.slots[i]; r.p.Stations[s.Station].Takes == Batch && s.Batch != 0 {
			return 0, s.Batch
		}
		return 1, i
	}
	compare := func(a, b int) int {
		aloneA, numberA := together(a)
		aloneB, numberB := together(b)
		return cmp.Or(cmp.Compare(r.slots[a].Station, r.slots[b].Station), cmp.Compare(aloneA, aloneB), cmp.Compare(numberA, numberB))
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(compare(a, b), cmp.Compare(a, b)) })
	for i := 0; i < len(order); {
		j := i + 1
		for j < len(order) && compare(order[i], order[j]) == 0 {
			j++
		}
		first := &r.p.Ops[order[i]]
		t := turn{ops: order[i:j:j], station: r.slots[order[i]].Station, slot: r.slots[order[i]], fixed: true, closed: first.Closed,
			family: first.Family, before: None}
		for _, op := range t.ops {
			t.fixed = t.fixed && r.p.Ops[op].State != ToPlan
		}
		r.turns = append(r.turns, t)
		i = j
	}
	slices.SortFunc(r.turns, func(a, b turn) int {
		return cmp.Or(cmp.Compare(a.station, b.station), cmp.Compare(a.slot.Run, b.slot.Run), cmp.Compare(a.ops[0], b.ops[0]))
	})
	for k := range r.turns {
		r.at[r.turns[k].station] = append(r.at[r.turns[k].station], k)
		for _, op := range r.turns[k].ops {
			r.turnOf[op] = k
		}
	}
}

// sequence goes through the turns of a station, follows its family and works out every phase.
func (r *reading) sequence(station int) {
	st := &r.p.Stations[station]
	sets := st.Takes == One || st.Takes == Batch
	family, last := st.Family, None
	for _, k := range r.at[station] {
		t := &r.turns[k]
		if sets && t.family > 0 {
			t.changeover = changeover(r.p.Centres[st.Centre].Changeover, family, t.family)
			t.before, family, last = last, t.family, k
		}
		r.phases(t, sets)
	}
}

func changeover(matrix [][]plant.Seconds, from, to int) plant.Seconds {
	if from < 0 || from >= len(matrix) || to < 0 || to >= len(matrix[from]) {
		return 0
	}
	return matrix[from][to]
}

// phases works out the phases of a turn from the times of its members on its station.
func (r *reading) phases(t *turn, sets bool) {
	st := &r.p.Stations[t.station]
	var work [5]plant.Seconds
	for _, i := range t.ops {
		a := alternative(&r.p.Ops[i], t.station)
		if a == nil { // fixed where it cannot be planned
			continue
		}
		if sets {
			work[inSetup] = max(work[inSetup], r.p.Ops[i].Setup)
		}
		work[inLoad] += a.Load
		work[inRun] = max(work[inRun], a.Run)
		work[inUnload] += a.Unload
		if st.Takes == One && st.Pallets >= 2 {
			work[inBeside] = a.Beside
		}
	}
	work[inSetup] += t.changeover
	loads := r.site(t, OnLoad)
	runs := loads
	if t.closed == Through {
		runs = r.site(t, 0)
	} else {
		runs = r.site(t, OnRun)
	}
	begins := [5]plant.Time{t.slot.Setup, t.slot.Load, t.slot.Run, t.slot.Unload, t.slot.Run}
	for x := range t.parts {
		y := &t.parts[x]
		*y = part{begin: begins[x], work: work[x], at: loads}
		if x == inRun {
			y.at, y.through = runs, t.closed == Through
		}
		y.done = y.finished(y.work)
		if t.fixed {
			y.fix(t.next(x), x == inBeside)
		}
	}
}

// fix gives a phase of fixed work its actual extent: until the next phase begins.
func (x *part) fix(next plant.Time, beside bool) {
	switch {
	case beside:
		x.done = min(x.done, next)
	case x.through:
		x.done, x.work = next, next.Sub(x.begin)
	default:
		x.done, x.work = next, x.at.open.Work(x.begin, next)
	}
}

// site gives the place of work of a phase of t: its station, with the needs marked when.
func (r *reading) site(t *turn, when uint8) *site {
	var room [8]Need
	needs := room[:0]
	for n, i := range t.ops {
		if n == 0 {
			needs = collect(needs, r.p.Ops[i].Needs, when)
		} else {
			needs = largest(needs, collect(nil, r.p.Ops[i].Needs, when))
		}
	}
	return r.place(t.station, needs)
}

// siteOf gives the place of work of an operation's phase on a station, with those of its needs marked when.
func (r *reading) siteOf(station int, needs []Need, when uint8) *site {
	var room [8]Need
	return r.place(station, collect(room[:0], needs, when))
}

// place gives the place of work of a station and a crew.
func (r *reading) place(station int, needs []Need) *site {
	slices.SortFunc(needs, func(a, b Need) int { return cmp.Compare(a.Pool, b.Pool) })
	var space [64]byte
	key := strconv.AppendInt(space[:0], int64(station), 36)
	for _, n := range needs {
		key = append(strconv.AppendInt(append(key, ' '), int64(n.Pool), 36), '*')
		key = strconv.AppendInt(key, int64(n.Heads), 36)
	}
	if s := r.sites[string(key)]; s != nil {
		return s
	}
	s := &site{open: r.p.Stations[station].Open, needs: slices.Clone(needs)}
	for _, n := range needs {
		s.open = calendar.Intersect(s.open, r.present(n.Pool, n.Heads))
	}
	r.sites[string(key)] = s
	return s
}

// collect adds up the needs marked when by pool.
func collect(out, needs []Need, when uint8) []Need {
	for _, n := range needs {
		if n.When&when == 0 || n.Heads <= 0 {
			continue
		}
		i := slices.IndexFunc(out, func(x Need) bool { return x.Pool == n.Pool })
		if i < 0 {
			out = append(out, Need{Pool: n.Pool, Heads: n.Heads})
		} else {
			out[i].Heads += n.Heads
		}
	}
	return out
}

// largest gives the larger need pool by pool.
func largest(a, b []Need) []Need {
	for _, n := range b {
		i := slices.IndexFunc(a, func(x Need) bool { return x.Pool == n.Pool })
		if i < 0 {
			a = append(a, n)
		} else {
			a[i].Heads = max(a[i].Heads, n.Heads)
		}
	}
	return a
}

// present gives the time at which a pool has at least so many heads.
func (r *reading) present(pool, heads int) calendar.Open {
	key := Need{Pool: pool, Heads: heads}
	if o, ok := r.pools[key]; ok {
		return o
	}
	var spans []calendar.Span
	steps := r.p.Pools[pool].Heads
	for i, s := range steps {
		to := r.p.Horizon
		if i+1 < len(steps) {
			to = min(to, steps[i+1].At)
		}
		if s.N >= heads {
			spans = append(spans, calendar.Span{From: s.At, To: to})
		}
	}
	o := calendar.Make(spans)
	r.pools[key] = o
	return o
}
