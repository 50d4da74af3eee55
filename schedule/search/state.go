package search

import (
	"slices"

	"tackline/plant"
	"tackline/schedule"
)

// state is a plan under construction. Each worker has one and uses it for one pass after the other.
type state struct {
	m       *model
	visits  []visit   // by leading operation: the operation itself, or the first member of its batch
	leader  []int32   // by operation: the visit it is in, or none while it has no place
	next    []int32   // by operation: the next member of its batch, or none
	seqs    [][]entry // by station: what it does, in order of Run
	pools   []profile // free heads
	places  []profile // by station: free places, or free pallets
	open    [][]int32 // by class: batches with room left
	left    []string  // by operation: why it has no place
	trial   visit     // the visit being tried
	best    visit     // the best visit tried so far
	rule    *rule     // how this pass decides
	log     undo      // what the change under way has touched
	money   float64   // cost of the plan, kept while the log is on
	gone    []int32   // operations taken out
	holes   []hole    // where they were
	openIn  []int32   // by operation gone: what is gone before it
	luck    dice
	lax     bool  // visits may move even if that is dearer for now
	delayed int32 // operation that is put back later than it could be, or none
	delay   plant.Seconds
	wished  wished // of what is being put back
	rank    heap   // operations gone that can be put back
	placed  int64  // operations put back so far
}

// times are the instants of a visit; see schedule.Slot.
type times struct{ setup, load, run, unload, end plant.Time }

// visit is a stay on a station: of an operation, or of a batch.
type visit struct {
	times
	toSetup, toLoad, toRun, toUnload, beside plant.Seconds // work in each phase
	ownSetup                                 plant.Seconds // toSetup without the changeover
	over                                     plant.Seconds // work in overtime; see account
	runEnd                                   plant.Time    // its run work is done
	ready                                    plant.Time    // load not before
	first                                    plant.Time    // run not before
	off                                      plant.Time    // unload not before
	latest                                   plant.Time    // end not later
	size                                     int64
	station, loadHours, runHours             int32
	loadTeam, runTeam, bothTeam, twiceTeam   int32
	family                                   int32
	members                                  int32
	closed                                   schedule.Closed
	takes                                    schedule.Takes
	pallets, fixed                           bool
	kept                                     bool // stays where the adopted plan has it
	passed                                   bool // something after it has its place: it can not move any more
}

// entry is a visit in the sequence of its station.
type entry struct {
	from, to plant.Time // the station is taken
	run      plant.Time
	visit    int32
	family   int32 // of the visit
	after    int32 // family that the station stands set up for after it
}

func newState(m *model) *state {
	n := len(m.ops)
	s := &state{m: m, visits: make([]visit, n), leader: make([]int32, n), next: make([]int32, n), left: make([]string, n),
		seqs: make([][]entry, len(m.p.Stations)), pools: make([]profile, len(m.p.Pools)),
		places: make([]profile, len(m.p.Stations)), open: make([][]int32, m.classes), openIn: make([]int32, n)}
	return s
}

// reset empties the plan but for fixed work.
func (s *state) reset(r *rule) {
	s.rule, s.delayed = r, none
	s.log.on = false
	for o := range s.leader {
		s.leader[o], s.next[o], s.left[o] = none, none, ""
	}
	for i := range s.pools {
		s.pools[i].set(s.m.heads[i].at, s.m.heads[i].free)
	}
	for i, st := range s.m.p.Stations {
		s.seqs[i] = s.seqs[i][:0]
		switch {
		case st.Takes == schedule.Places:
			s.places[i].set([]plant.Time{s.m.p.Now}, []int64{int64(st.Capacity)})
		case st.Takes == schedule.One && st.Pallets >= 2:
			s.places[i].set([]plant.Time{s.m.p.Now}, []int64{int64(st.Pallets)})
		}
	}
	for i := range s.open {
		s.open[i] = s.open[i][:0]
	}
	s.putFixed()
}

// putFixed puts fixed work in its place.
func (s *state) putFixed() {
	var fixed []int32
	for o := range s.m.ops {
		if w := &s.m.ops[o]; w.fixed && w.to > w.from {
			fixed = append(fixed, int32(o))
		} else if w.fixed {
			s.leader[o] = int32(o)
			s.visits[o] = visit{times: times{end: s.m.p.Ops[o].Fixed.End}, fixed: true, passed: true, takes: schedule.NoLimit}
		}
	}
	slices.SortStableFunc(fixed, func(a, b int32) int { return int(s.m.p.Ops[a].Fixed.Run - s.m.p.Ops[b].Fixed.Run) })
	batches := map[[2]int]int32{}
	for _, o := range fixed {
		f := s.m.p.Ops[o].Fixed
		w := &s.m.ops[o]
		if k := [2]int{f.Station, f.Batch}; w.takes == schedule.Batch && f.Batch != 0 {
			if lead, ok := batches[k]; ok {
				s.joinFixed(lead, o)
				continue
			}
			batches[k] = o
		}
		v := s.visitOf(o, w.from)
		v.times = times{f.Setup, f.Load, f.Run, f.Unload, f.End}
		v.toSetup, v.fixed, v.passed, v.runEnd = w.fixedSetup, true, true, f.Unload
		s.put(o, &v, s.place(&v))
	}
}

// joinFixed makes o a member of the fixed batch of lead, whose crew is the largest need of its members.
func (s *state) joinFixed(lead, o int32) {
	v := &s.visits[lead]
	w := &s.m.ops[o]
	s.crew(v, -1)
	v.loadTeam, v.runTeam = s.larger(v.loadTeam, w.loadTeam), s.larger(v.runTeam, w.runTeam)
	s.crew(v, 1)
	v.members++
	v.size += w.size
	s.enter(o, lead)
}

// larger gives the team with more heads, as near as the teams known allow.
func (s *state) larger(a, b int32) int32 {
	sum := func(t team) (n int64) {
		for _, x := range t {
			n += x.heads
		}
		return n
	}
	if sum(s.m.teams[b]) > sum(s.m.teams[a]) {
		return b
	}
	return a
}

// visitOf makes the visit of one operation by one of its choices, without times.
func (s *state) visitOf(o, c int32) visit {
	w, x := &s.m.ops[o], &s.m.choices[c]
	return visit{toLoad: x.load, toRun: x.run, toUnload: x.unload, beside: x.beside, ownSetup: w.setup, latest: w.deadline,
		size: w.size, station: x.station, loadHours: x.loadHours, runHours: x.runHours, loadTeam: w.loadTeam, runTeam: w.runTeam,
		bothTeam: w.bothTeam, twiceTeam: w.twiceTeam, family: w.family, members: 1, closed: w.closed, takes: w.takes,
		pallets: w.takes == schedule.One && s.m.p.Stations[x.station].Pallets >= 2}
}

// place gives the position of a visit with times in the sequence of its station.
func (s *state) place(v *visit) int {
	seq := s.seqs[v.station]
	i, _ := slices.BinarySearchFunc(seq, v.run, func(e entry, t plant.Time) int {
		if e.run <= t {
			return -1
		}
		return 1
	})
	return i
}

// put makes operation o lead visit v at position i of its station.
func (s *state) put(o int32, v *visit, i int) {
	s.visits[o] = *v
	s.leader[o], s.next[o] = o, none
	s.crew(v, 1)
	s.stay(v, 1)
	if v.takes == schedule.One || v.takes == schedule.Batch {
		s.insert(o, i)
	}
}

// insert enters a visit in the sequence of its station.
func (s *state) insert(o int32, i int) {
	v := &s.visits[o]
	e := entry{visit: o, run: v.run, family: v.family}
	e.from, e.to = v.taken()
	seq := s.seqs[v.station]
	if i > 0 {
		e.to = max(e.to, seq[i-1].to) // only fixed work overlaps
	}
	e.after = v.family
	if v.family == 0 {
		e.after = s.standing(v.station, i)
	}
	s.seqs[v.station] = slices.Insert(seq, i, e)
	s.carry(v.station, i+1)
	if v.family != 0 {
		s.shorten(v.station, i+1, v.family)
	}
}

// shorten takes away setup work that the first visit from entry i on no longer needs, now that family comes before it.
func (s *state) shorten(station int32, i int, family int32) {
	seq := s.seqs[station]
	for i < len(seq) && seq[i].family == 0 {
		i++
	}
	if i == len(seq) {
		return
	}
	lead := seq[i].visit
	n := &s.visits[lead]
	want := n.ownSetup + s.m.changeover(station, family, n.family)
	if n.fixed || want >= n.toSetup {
		return
	}
	s.touch(lead)
	s.account(lead, -1)
	s.setupCrew(n, -1)
	n.toSetup = want
	n.close()
	s.setupCrew(n, 1)
	seq[i].from, _ = n.taken()
	s.account(lead, 1)
}

// carry brings the families after entry i up to date, as far as they follow from the one before.
func (s *state) carry(station int32, i int) {
	seq := s.seqs[station]
	for ; i < len(seq) && seq[i].family == 0; i++ {
		seq[i].after = s.standing(station, i)
	}
}

// standing gives the family that a station stands set up for before its entry i.
func (s *state) standing(station int32, i int) int32 {
	if i > 0 {
		return s.seqs[station][i-1].after
	}
	return int32(s.m.p.Stations[station].Family)
}

// taken gives the time in which the visit takes the station for itself, from setup on.
func (v *visit) taken() (from, to plant.Time) {
	switch {
	case !v.pallets:
		return v.setup, v.end
	case v.toSetup > 0:
		return v.setup, v.runEnd
	}
	return v.run, v.runEnd
}

// crew takes the heads that a visit needs, or with -1 gives them back.
func (s *state) crew(v *visit, sign int64) {
	s.setupCrew(v, sign)
	load := &s.m.hours[v.loadHours]
	s.heads(load, v.loadTeam, v.load, v.toLoad, sign)
	s.heads(load, v.loadTeam, v.unload, v.toUnload, sign)
	s.heads(load, v.loadTeam, v.run, v.beside, sign)
	if v.closed != schedule.Through {
		s.heads(&s.m.hours[v.runHours], v.runTeam, v.run, v.toRun, sign)
	}
}

func (s *state) setupCrew(v *visit, sign int64) {
	s.heads(&s.m.hours[v.loadHours], v.loadTeam, v.setup, v.toSetup, sign)
}

// heads takes a team for work begun at t.
func (s *state) heads(h *hours, t int32, at plant.Time, work plant.Seconds, sign int64) {
	if t == 0 || work <= 0 {
		return
	}
	for i := h.at(at); i < len(h.spans) && work > 0; i++ {
		from := max(at, h.spans[i].From)
		to := min(h.spans[i].To, from.Add(work))
		for _, n := range s.m.teams[t] {
			s.pools[n.pool].take(from, to, sign*n.heads)
		}
		work -= to.Sub(from)
	}
}

// stay takes the places or the pallet of a visit, or with -1 gives them back.
func (s *state) stay(v *visit, sign int64) {
	switch {
	case v.takes == schedule.Places:
		s.places[v.station].take(v.run, v.end, sign*v.size)
	case v.pallets:
		s.places[v.station].take(v.load, v.end, sign)
	}
}
