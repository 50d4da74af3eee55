package search

import (
	"tackline/plant"
	"tackline/schedule"
)

// phase finds the first begin of a phase, not before t, such that its work is done by limit and its team is free
// throughout. An instant of its open time begins it; a phase of no length begins at t.
func (s *state) phase(h *hours, t int32, at plant.Time, work plant.Seconds, closed schedule.Closed, limit plant.Time) (begin, end plant.Time, ok bool) {
	if work <= 0 {
		return at, at, at <= limit
	}
	for i := h.at(at); i < len(h.spans); {
		at = max(at, h.spans[i].From)
		if at.Add(work) > limit {
			return 0, 0, false
		}
		if closed == schedule.Whole && h.spans[i].To.Sub(at) < work {
			if at = h.Fit(at, work); at == plant.Never {
				return 0, 0, false
			}
			i = h.at(at)
			continue
		}
		if closed == schedule.Through {
			return at, at.Add(work), true
		}
		end, again := s.work(h, i, t, at, work)
		if end > limit {
			return 0, 0, false
		}
		if again == 0 {
			return at, end, true
		}
		at = again
		i = h.at(at)
	}
	return 0, 0, false
}

// work follows work begun at an open instant of span i to its end. If its team is not free throughout, again is the
// instant from which a later begin may do.
func (s *state) work(h *hours, i int, t int32, at plant.Time, work plant.Seconds) (end, again plant.Time) {
	for ; i < len(h.spans); i++ {
		from := max(at, h.spans[i].From)
		to := min(h.spans[i].To, from.Add(work))
		for _, n := range s.m.teams[t] {
			if x, ok := s.pools[n.pool].clear(from, to, n.heads); !ok {
				again = max(again, x)
			}
		}
		if again > 0 {
			return to, again
		}
		if work -= to.Sub(from); work == 0 {
			return to, 0
		}
	}
	return plant.Never, 0
}

// fit gives v the earliest times on its station if it is taken from lo on by nothing until hi. Setup work is done as late
// as lets the load begin in time.
func (s *state) fit(v *visit, lo, hi plant.Time) bool {
	limit := min(hi, v.latest)
	if v.pallets {
		limit = v.latest
	}
	if v.toSetup == 0 {
		return s.fitRest(v, lo, hi, limit, lo)
	}
	h := &s.m.hours[v.loadHours]
	late := max(lo, h.Sub(v.ready, v.toSetup))
	if s.rule.soon {
		late = lo
	}
	for _, from := range [2]plant.Time{late, lo} {
		b, e, ok := s.phase(h, v.loadTeam, from, v.toSetup, schedule.Pause, limit)
		if !ok && from == lo {
			return false
		}
		if ok && (e <= v.ready || from == lo) {
			v.setup = b
			return s.fitRest(v, lo, hi, limit, e)
		}
	}
	return false
}

// fitRest gives v the times after its setup, which is done at ready.
func (s *state) fitRest(v *visit, lo, hi, limit, done plant.Time) bool {
	load, run := max(v.ready, done), max(v.first, lo)
	if v.pallets && v.toSetup == 0 {
		load = max(v.ready, s.m.p.Now)
	}
	h := &s.m.hours[v.loadHours]
	var ok bool
	for {
		var e plant.Time
		if v.load, e, ok = s.phase(h, v.loadTeam, load, v.toLoad, schedule.Pause, limit); !ok {
			return false
		}
		if v.run, v.runEnd, ok = s.fitRun(v, max(e, run), limit); !ok || v.pallets && v.runEnd > hi {
			return false
		}
		free := max(v.runEnd, v.off)
		aside := free
		if v.beside > 0 {
			end, again := s.work(h, h.at(v.run), s.besideTeam(v), v.run, v.beside)
			if again > 0 {
				run = max(again, v.run+1)
				continue
			}
			aside = max(aside, end)
		}
		v.unload, v.end, ok = s.phase(h, v.loadTeam, aside, v.toUnload, schedule.Pause, limit)
		if aside > free && v.toUnload > 0 { // unloading while the next piece is loaded takes heads for both
			if begin, end, can := s.phase(h, v.twiceTeam, free, v.toUnload, schedule.Pause, limit); can && aside <= limit && (!ok || max(end, aside) < v.end) {
				v.unload, v.end, ok = begin, max(end, aside), true
			}
		}
		if !ok {
			return false
		}
		v.close()
		again, ok := s.room(v)
		if ok {
			return true
		}
		if v.takes == schedule.Places {
			run = max(again, v.run+1)
		} else {
			load = max(again, v.load+1)
		}
	}
}

// besideTeam gives the heads that loading beside the run must find free.
func (s *state) besideTeam(v *visit) int32 {
	if v.closed == schedule.Through {
		return v.loadTeam
	}
	return v.bothTeam
}

// fitRun finds the first run not before t.
func (s *state) fitRun(v *visit, t, limit plant.Time) (begin, end plant.Time, ok bool) {
	return s.phase(&s.m.hours[v.runHours], v.runTeam, t, v.toRun, v.closed, limit)
}

// room looks whether the places or the pallet of v are free. If not, it gives the instant from which they may be.
func (s *state) room(v *visit) (again plant.Time, ok bool) {
	switch {
	case v.takes == schedule.Places:
		return s.places[v.station].clear(v.run, v.end, v.size)
	case v.pallets:
		return s.places[v.station].clear(v.load, v.end, 1)
	}
	return 0, true
}

// close lets phases of no length begin where the next begins.
func (v *visit) close() {
	if v.toUnload == 0 {
		v.unload = v.end
	}
	if v.toRun == 0 {
		v.run, v.runEnd = v.unload, v.unload
	}
	if v.toLoad == 0 {
		v.load = v.run
	}
	if v.toSetup == 0 {
		v.setup = v.load
	}
}

// seek finds the first gap in the sequence of v's station that v fits into, and gives v its times and its place.
func (s *state) seek(o int32, v *visit) (place int, ok bool) {
	if v.takes != schedule.One && v.takes != schedule.Batch {
		return 0, s.fit(v, s.m.p.Now, v.latest)
	}
	seq := s.seqs[v.station]
	body := v.toLoad + v.toRun
	if !v.pallets {
		body += v.toUnload
	}
	for i := firstFrom(seq, v.ready.Add(body)); i <= len(seq); i++ {
		lo, hi := s.m.p.Now, v.latest
		if i > 0 {
			lo = max(lo, seq[i-1].to)
		}
		if i < len(seq) {
			hi = min(hi, seq[i].from)
		}
		if lo > v.latest {
			return 0, false
		}
		if !v.pallets && max(lo, v.ready).Add(body) > hi || v.pallets && lo.Add(v.toRun) > hi {
			continue
		}
		v.toSetup = v.ownSetup + s.m.changeover(v.station, s.standing(v.station, i), v.family)
		if lo.Add(v.toSetup+v.toRun) > hi || !s.keepsNext(v, i) {
			continue
		}
		for s.fit(v, lo, hi) {
			if s.inOrder(o, v, i) {
				return i, true
			}
			lo = v.run + 1
		}
	}
	return 0, false
}

// firstFrom gives the first entry that begins at or after t, or the number of entries.
func firstFrom(seq []entry, t plant.Time) int {
	lo, hi := 0, len(seq)
	for lo < hi {
		if mid := (lo + hi) / 2; seq[mid].from < t {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

// keepsNext looks whether v, put before entry i, leaves the setup after it long enough.
func (s *state) keepsNext(v *visit, i int) bool {
	if v.family == 0 {
		return true
	}
	for _, e := range s.seqs[v.station][i:] {
		if e.family != 0 {
			return s.suffices(&s.visits[e.visit], v.family)
		}
	}
	return true
}

// suffices looks whether the setup of n is long enough if family comes before it. What is kept in place keeps a setup.
func (s *state) suffices(n *visit, family int32) bool {
	want := n.ownSetup + s.m.changeover(n.station, family, n.family)
	return want <= n.toSetup && (!n.kept || want > 0 || n.toSetup == 0)
}

// inOrder looks whether v runs after the entry before place i and before entry i also where they begin to run at the same
// instant: then the smaller operation counts as first.
func (s *state) inOrder(o int32, v *visit, i int) bool {
	seq := s.seqs[v.station]
	if i > 0 && seq[i-1].run == v.run && (seq[i-1].visit > o || s.visits[seq[i-1].visit].members > 1) && s.tells(v, &seq[i-1]) {
		return false
	}
	return i == len(seq) || seq[i].run != v.run || seq[i].visit > o && s.visits[seq[i].visit].members == 1 || !s.tells(v, &seq[i])
}

// tells says whether the order of v and e makes a difference.
func (s *state) tells(v *visit, e *entry) bool { return v.pallets || v.family != 0 && e.family != 0 }
