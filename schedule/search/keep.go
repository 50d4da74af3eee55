package search

import (
	"cmp"
	"slices"

	"tackline/plant"
	"tackline/schedule"
)

// keepAdopted puts work that the adopted plan has begin before the freeze where that plan has it, as far as it still can be
// there. What can not is planned like all other work.
func (s *state) keepAdopted() {
	early := s.early()
	for i, o := range early {
		if !s.settled(o) {
			s.keepVisit(s.mates(early, i))
		}
	}
}

// mates gives the operations of early that share a batch with the one at i in the adopted plan, itself included. They
// begin to run at the same instant, so they are near.
func (s *state) mates(early []int32, i int) []int32 {
	p, o := s.m.p, early[i]
	from, to := i, i+1
	for from > 0 && p.Adopted[early[from-1]].Run == p.Adopted[o].Run {
		from--
	}
	for to < len(early) && p.Adopted[early[to]].Run == p.Adopted[o].Run {
		to++
	}
	var mates []int32
	for _, x := range early[from:to] {
		if x == o || s.together(x, o) {
			mates = append(mates, x)
		}
	}
	return mates
}

// early gives the operations that the adopted plan has begin before the freeze, in order of their runs, with those that they
// depend on there: what comes before them, as setup may begin before the pieces come, and what runs before them on their
// station, as the changeover follows from it. If the rule keeps all, it gives all that the adopted plan has.
func (s *state) early() []int32 {
	p := s.m.p
	if p.Adopted == nil {
		return nil
	}
	var all, early []int32
	for _, o := range s.m.order {
		if p.Adopted[o].Station != schedule.None && !s.m.ops[o].fixed {
			all = append(all, o)
		}
	}
	slices.SortStableFunc(all, func(a, b int32) int { return cmp.Compare(p.Adopted[a].Run, p.Adopted[b].Run) })
	marked, busy := make([]bool, len(p.Ops)), make([]bool, len(p.Stations))
	for i := len(all) - 1; i >= 0; i-- {
		o := all[i]
		a := p.Adopted[o]
		if !marked[o] && !busy[a.Station] && a.Setup >= p.Freeze && !s.rule.all {
			continue
		}
		early = append(early, o)
		busy[a.Station] = s.m.ops[o].takes == schedule.One || s.m.ops[o].takes == schedule.Batch
		for _, l := range s.m.in.of(o) {
			marked[p.Links[l].From] = true
		}
	}
	slices.Reverse(early)
	return early
}

// together says whether two operations share a batch in the adopted plan.
func (s *state) together(a, b int32) bool {
	x, y := s.m.p.Adopted[a], s.m.p.Adopted[b]
	return s.m.ops[a].class != none && s.m.ops[a].class == s.m.ops[b].class && x == y && x.Batch != 0
}

// keepVisit puts operations, one or the members of a batch, in their adopted slot if all rules hold there.
func (s *state) keepVisit(members []int32) {
	lead := members[0]
	a := s.m.p.Adopted[lead]
	v := &s.trial
	for k, o := range members {
		c, ok := s.choiceAt(o, int32(a.Station))
		if !ok || !s.allBefore(o) {
			return
		}
		one := s.visitOf(o, c)
		ready, ok := s.ready(o)
		if !ok {
			return
		}
		s.await(o, &one, ready)
		if k == 0 {
			*v = one
		} else {
			v.take(&one)
		}
	}
	if v.takes == schedule.Batch && v.size > int64(s.m.p.Stations[v.station].Capacity) {
		return
	}
	i, ok := s.exact(lead, v, a)
	if !ok {
		return
	}
	v.kept = true
	s.put(lead, v, i)
	for _, o := range members[1:] {
		s.enter(o, lead)
	}
	s.begin(lead)
	for _, o := range members {
		s.pass(o)
	}
}

// allBefore says whether all that comes before o has its place.
func (s *state) allBefore(o int32) bool {
	for _, i := range s.m.in.of(o) {
		if s.leader[s.m.p.Links[i].From] == none {
			return false
		}
	}
	return true
}

// exact gives v the times of slot a, and its place, if all rules hold there.
func (s *state) exact(o int32, v *visit, a schedule.Slot) (place int, ok bool) {
	v.times = times{a.Setup, a.Load, a.Run, a.Unload, a.End}
	if a.Setup < s.m.p.Now || a.Load < v.ready || a.Run < v.first || a.End > v.latest {
		return 0, false
	}
	v.runEnd = s.m.hours[v.runHours].Add(v.run, v.toRun)
	if v.closed == schedule.Through {
		v.runEnd = v.run.Add(v.toRun)
	}
	if _, ok := s.room(v); !ok {
		return 0, false
	}
	if v.takes != schedule.One && v.takes != schedule.Batch {
		return 0, s.works(v)
	}
	seq := s.seqs[v.station]
	for i := firstRun(seq, v.run); i <= len(seq) && (i == 0 || seq[i-1].run <= v.run); i++ {
		v.toSetup = v.ownSetup + s.m.changeover(v.station, s.standing(v.station, i), v.family)
		if s.gap(o, v, i) && s.keepsNext(v, i) && s.works(v) {
			return i, true
		}
	}
	return 0, false
}

// gap looks whether v, with its times, lies between its neighbours at a place.
func (s *state) gap(o int32, v *visit, i int) bool {
	seq := s.seqs[v.station]
	from, to := v.taken()
	if i > 0 && seq[i-1].to > from || i < len(seq) && seq[i].from < to {
		return false
	}
	return s.inOrder(o, v, i)
}

// works looks whether every phase of v can be done in the time that v has for it, with its team free: for both where it unloads
// beside the loading.
func (s *state) works(v *visit) bool {
	load, run := &s.m.hours[v.loadHours], &s.m.hours[v.runHours]
	unload := v.loadTeam
	if v.beside > 0 {
		end, again := s.work(load, load.at(v.run), s.besideTeam(v), v.run, v.beside)
		if again > 0 || end > v.end {
			return false
		}
		if end > v.unload {
			unload = v.twiceTeam
		}
	}
	return s.phaseIn(load, v.loadTeam, v.setup, v.load, v.toSetup, schedule.Pause) &&
		s.phaseIn(load, v.loadTeam, v.load, v.run, v.toLoad, schedule.Pause) &&
		s.phaseIn(run, v.runTeam, v.run, v.unload, v.toRun, v.closed) &&
		s.phaseIn(load, unload, v.unload, v.end, v.toUnload, schedule.Pause)
}

// phaseIn looks whether work begun at from is done by to. A phase of no length has none.
func (s *state) phaseIn(h *hours, t int32, from, to plant.Time, work plant.Seconds, closed schedule.Closed) bool {
	if work == 0 {
		return from == to
	}
	b, e, ok := s.phase(h, t, from, work, closed, to)
	return ok && b == from && e <= to
}
