package search

import (
	"slices"

	"tackline/plant"
	"tackline/schedule"
)

// keepAdopted puts work that the adopted plan has begin before the freeze where that plan has it, as far as it still can be
// there. What can not is planned like all other work.
func (s *state) keepAdopted() {
	p := s.m.p
	var early []int32
	for o, a := range p.Adopted {
		if a.Station != schedule.None && a.Setup < p.Freeze && !s.m.ops[o].fixed {
			early = append(early, int32(o))
		}
	}
	slices.SortStableFunc(early, func(a, b int32) int { return int(p.Adopted[a].Run - p.Adopted[b].Run) })
	for _, o := range early {
		if !s.settled(o) {
			s.keepOne(o, p.Adopted[o])
		}
	}
}

// keepOne puts o, and the rest of its adopted batch, in its adopted slot if all rules hold there.
func (s *state) keepOne(o int32, a schedule.Slot) {
	c, ok := s.choiceAt(o, int32(a.Station))
	if !ok || !s.allBefore(o) {
		return
	}
	if lead := s.adoptedBatch(o, a); lead != none {
		s.keepMember(o, lead, c, a)
		return
	}
	s.trial = s.visitOf(o, c)
	v := &s.trial
	i, ok := s.exact(o, v, a)
	if !ok {
		return
	}
	s.put(o, v, i)
	s.begin(o)
	s.pass(o)
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

// adoptedBatch gives the batch, already put, that o shares with others in the adopted plan.
func (s *state) adoptedBatch(o int32, a schedule.Slot) int32 {
	if s.m.ops[o].class == none || a.Batch == 0 {
		return none
	}
	for _, lead := range s.open[s.m.ops[o].class] {
		if b := s.m.p.Adopted[lead]; b.Station == a.Station && b.Batch == a.Batch {
			return lead
		}
	}
	return none
}

// keepMember joins o to the batch of lead if the batch then still fits its adopted times.
func (s *state) keepMember(o, lead, c int32, a schedule.Slot) {
	ready, ok := s.ready(o)
	v := &s.visits[lead]
	if !ok || ready > a.Load || v.size+s.m.ops[o].size > int64(s.m.p.Stations[v.station].Capacity) {
		return
	}
	x, w := &s.m.choices[c], &s.m.ops[o]
	s.best = *v
	b := &s.best
	b.ownSetup, b.toSetup = max(v.ownSetup, w.setup), v.toSetup-v.ownSetup+max(v.ownSetup, w.setup)
	b.toLoad, b.toRun, b.toUnload = v.toLoad+x.load, max(v.toRun, x.run), v.toUnload+x.unload
	b.size, b.members, b.ready = v.size+w.size, v.members+1, max(v.ready, ready)
	s.crew(v, -1)
	ok = s.works(b)
	s.crew(v, 1)
	if ok {
		s.add(o, lead)
		s.pass(o)
	}
}

// exact gives v the times of slot a, and its place, if all rules hold there.
func (s *state) exact(o int32, v *visit, a schedule.Slot) (place int, ok bool) {
	ready, ok := s.ready(o)
	v.times = times{a.Setup, a.Load, a.Run, a.Unload, a.End}
	v.ready, v.first = ready, s.lotsFrom(o, v)
	if !ok || a.Setup < s.m.p.Now || a.Load < ready || a.Run < v.first || a.End > v.latest {
		return 0, false
	}
	v.runEnd = s.m.hours[v.runHours].Add(v.run, v.toRun)
	if v.closed == schedule.Through {
		v.runEnd = v.run.Add(v.toRun)
	}
	if v.takes == schedule.One || v.takes == schedule.Batch {
		place = s.place(v)
		v.toSetup = v.ownSetup + s.m.changeover(v.station, s.standing(v.station, place), v.family)
		if !s.gap(o, v, place) || !s.keepsNext(v, place) {
			return 0, false
		}
	}
	if _, ok := s.room(v); !ok {
		return 0, false
	}
	return place, s.works(v)
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

// works looks whether every phase of v can be done in the time that v has for it, with its team free.
func (s *state) works(v *visit) bool {
	load, run := &s.m.hours[v.loadHours], &s.m.hours[v.runHours]
	return s.phaseIn(load, v.loadTeam, v.setup, v.load, v.toSetup, schedule.Pause) &&
		s.phaseIn(load, v.loadTeam, v.load, v.run, v.toLoad, schedule.Pause) &&
		s.phaseIn(run, v.runTeam, v.run, v.unload, v.toRun, v.closed) &&
		s.phaseIn(load, v.loadTeam, v.unload, v.end, v.toUnload, schedule.Pause) && s.besideIn(v)
}

// phaseIn looks whether work begun at from is done by to. A phase of no length has none.
func (s *state) phaseIn(h *hours, t int32, from, to plant.Time, work plant.Seconds, closed schedule.Closed) bool {
	if work == 0 {
		return from == to
	}
	b, e, ok := s.phase(h, t, from, work, closed, to)
	return ok && b == from && e <= to
}

// besideIn looks whether loading beside the run is done before the unloading, with its team free.
func (s *state) besideIn(v *visit) bool {
	if v.beside == 0 {
		return true
	}
	load := &s.m.hours[v.loadHours]
	end, again := s.work(load, load.at(v.run), s.besideTeam(v), v.run, v.beside)
	aside := v.unload
	if v.toUnload == 0 {
		aside = v.end
	}
	return again == 0 && end <= aside
}
