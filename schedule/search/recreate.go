package search

import (
	"tackline/plant"
	"tackline/schedule"
)

// recreate puts what is gone back into the plan, each at its best place among what stayed, in the order of c.key, what comes
// before first. It gives false if something finds no place.
func (c *chain) recreate() bool {
	s := c.s
	s.rank = s.rank[:0]
	for _, o := range s.gone {
		s.openIn[o] = 0
	}
	for _, o := range s.gone {
		for _, i := range s.m.out.of(o) {
			if to := s.m.p.Links[i].To; s.leader[to] == none {
				s.openIn[to]++
			}
		}
	}
	for _, o := range s.gone {
		if s.openIn[o] == 0 {
			s.rank.push(item{c.key(o), s.m.ops[o].priority, o})
		}
	}
	n := 0
	for len(s.rank) > 0 {
		o := s.rank.pop().op
		if !s.restore(o) {
			return false
		}
		n++
		for _, i := range s.m.out.of(o) {
			to := int32(s.m.p.Links[i].To)
			if s.leader[to] != none {
				continue
			}
			if s.openIn[to]--; s.openIn[to] == 0 {
				s.rank.push(item{c.key(to), s.m.ops[to].priority, to})
			}
		}
	}
	return n == len(s.gone)
}

// restore puts o at its best place that ends before what waits for it: its place in the adopted plan if it counts as moved
// elsewhere, a batch, or a gap.
func (s *state) restore(o int32) bool {
	ready, ok := s.ready(o)
	if !ok {
		return false
	}
	if o == s.delayed {
		ready = ready.Add(s.delay)
	}
	limit := s.limit(o)
	s.wished = s.wish(o, ready, limit)
	if ready = max(ready, s.wished.load); ready > limit {
		return false
	}
	s.placed++
	if s.wished == (wished{}) && s.goHome(o, ready, limit) {
		return true
	}
	w := &s.m.ops[o]
	place, found := s.bestBefore(o, ready, limit)
	if w.class != none {
		alone := limit + 1
		if found {
			alone = s.best.end
		}
		if lead := s.joinPlaced(o, ready, alone, limit); lead != none {
			s.joined(o, lead)
			return true
		}
	}
	if !found {
		return false
	}
	s.putBack(o, s.best, place)
	return true
}

// putBack puts o at a place.
func (s *state) putBack(o int32, v visit, place int) {
	s.touch(o)
	if v.takes == schedule.One || v.takes == schedule.Batch {
		s.touchSeq(v.station)
	}
	s.put(o, &v, place)
	s.account(o, 1)
}

// mostPassed bounds the gaps of a station that are passed over.
const mostPassed = 4

// pinBias is how many seconds of a later end are accepted to begin pinned work a second earlier.
const pinBias = 4

// bestBefore is bestPlace with an end not after limit. By chance it passes over the first gap of a station ("blinks":
// Christiaens and Vanden Berghe 2020), or over one that lies in overtime.
func (s *state) bestBefore(o int32, ready, limit plant.Time) (place int, found bool) {
	w := &s.m.ops[o]
	bestCost := plant.Never
	skip := none
	if n := w.to - w.from; n > 1 && s.rule.blink > 0 && s.luck.unit() < 2*s.rule.blink {
		skip = w.from + int32(s.luck.next()%uint64(n))
	}
	for c := w.from; c < w.to; c++ {
		if c == skip {
			continue
		}
		from := ready
		for range mostPassed {
			s.trial = s.visitOf(o, c)
			v := &s.trial
			s.await(o, v, from)
			v.first, v.off = max(v.first, s.wished.run), s.wished.unload
			v.latest = min(limit, bestCost-1)
			i, ok := s.seek(o, v)
			if !ok {
				break
			}
			next := plant.Time(0)
			cost := v.end + plant.Time(s.rule.setupBias*float64(v.toSetup))
			if pin := s.m.p.Ops[o].Pinned; pin != 0 {
				cost += pinBias * max(0, v.load-pin)
			}
			if s.rule.overBias > 0 {
				if over := s.overtime(v); over > 0 {
					cost += plant.Time(s.rule.overBias * float64(over))
					next = s.afterOvertime(v)
				}
			}
			if next == 0 && s.rule.blink > 0 && s.luck.unit() < s.rule.blink {
				next = s.later(v, i)
			}
			if cost < bestCost && (next == 0 || s.rule.blink == 0 || v.toSetup+v.toLoad+v.toRun == 0 || s.luck.unit() > s.rule.blink) {
				v.latest = w.deadline
				bestCost, place, found, s.best = cost, i, true, *v
			}
			if next == 0 || next <= from {
				break
			}
			from = next
		}
	}
	return place, found
}

// later gives an instant after the load of v to try next: when its station opens again, after what comes next there, or
// at once.
func (s *state) later(v *visit, place int) plant.Time {
	h := &s.m.hours[v.loadHours]
	x := s.luck.unit()
	if i := h.at(v.load) + 1; i < len(h.spans) && x < 0.4 {
		return h.spans[i].From
	}
	if seq := s.seqs[v.station]; x < 0.8 && place < len(seq) && (v.takes == schedule.One || v.takes == schedule.Batch) {
		return seq[place].to
	}
	return v.load + 1
}

// limit gives the last instant at which o may end: what waits for it has its place.
func (s *state) limit(o int32) plant.Time {
	t := s.m.ops[o].deadline
	for _, i := range s.m.out.of(o) {
		l := &s.m.p.Links[i]
		if at := s.leader[l.To]; at != none && s.m.ops[l.To].binds {
			t = min(t, s.m.latest(*l, s.visits[at].load))
		}
	}
	return t
}

// goHome puts o, alone, where the adopted plan has it inside the freeze window, if all rules hold there.
func (s *state) goHome(o int32, ready, limit plant.Time) bool {
	a := s.m.home(o)
	if a == nil || s.rule.roam {
		return false
	}
	if s.m.ops[o].class != none {
		for _, e := range s.seqs[a.Station][firstRun(s.seqs[a.Station], a.Run):] {
			if e.run != a.Run {
				break
			}
			if s.m.ops[e.visit].class == s.m.ops[o].class && !s.follows(o, e.visit) && s.enters(o, e.visit, ready, limit) {
				s.joined(o, e.visit)
				return true
			}
		}
	}
	c, ok := s.choiceAt(o, int32(a.Station))
	if !ok {
		return false
	}
	bare := s.visitOf(o, c)
	s.await(o, &bare, ready)
	bare.latest = min(bare.latest, limit)
	v := &s.trial
	*v = bare
	i, ok := s.exact(o, v, *a)
	if !ok {
		*v = bare
		if i, ok = s.beginsAt(o, v, a.Setup); !ok {
			return false
		}
	}
	v.latest, v.kept = s.m.ops[o].deadline, true
	s.putBack(o, *v, i)
	return true
}

// beginsAt gives v the earliest times with which it begins, setup or load, at t, and its place.
func (s *state) beginsAt(o int32, v *visit, t plant.Time) (place int, ok bool) {
	if v.takes != schedule.One && v.takes != schedule.Batch || t < s.m.p.Now {
		return 0, false
	}
	seq := s.seqs[v.station]
	i := firstFrom(seq, t)
	hi := v.latest
	if i > 0 && seq[i-1].to > t {
		return 0, false
	}
	if i < len(seq) {
		hi = min(hi, seq[i].from)
	}
	v.toSetup = v.ownSetup + s.m.changeover(v.station, s.standing(v.station, i), v.family)
	if !s.keepsNext(v, i) {
		return 0, false
	}
	done := t
	if v.toSetup > 0 {
		v.setup, done, ok = s.phase(&s.m.hours[v.loadHours], v.loadTeam, t, v.toSetup, schedule.Pause, hi)
		if !ok || v.setup != t {
			return 0, false
		}
	}
	limit := hi
	if v.pallets {
		limit = v.latest
	}
	v.ready = max(v.ready, t)
	return i, s.fitRest(v, t, hi, limit, done) && v.setup == t && s.inOrder(o, v, i)
}

// joinPlaced looks for a batch that o can join and that ends before alone, or so many hours after it as the rule has
// patience, and leaves it as it would be in s.best.
func (s *state) joinPlaced(o int32, ready, alone, limit plant.Time) int32 {
	w := &s.m.ops[o]
	lead := none
	place := s.best
	wait := plant.Time(s.rule.patience * 3600)
	for c := w.from; c < w.to; c++ {
		seq := s.seqs[s.m.choices[c].station]
		for i := max(0, firstFrom(seq, ready)-1); i < len(seq) && seq[i].from < min(alone+wait, limit); i++ {
			x := seq[i].visit
			if s.m.ops[x].class != w.class || s.visits[x].fixed || s.follows(o, x) {
				continue
			}
			if s.enters(o, x, ready, limit) && s.trial.end <= alone+wait {
				lead, alone, place, wait = x, s.trial.end, s.trial, 0
			}
		}
	}
	s.best = place
	if lead != none {
		s.trial = place
	}
	return lead
}

// enters puts into s.trial the batch of lead with o in it, not later than what waits for it and for o allows.
func (s *state) enters(o, lead int32, ready, limit plant.Time) bool {
	old := &s.visits[lead]
	w := &s.m.ops[o]
	if old.fixed || old.size+w.size > int64(s.m.p.Stations[old.station].Capacity) {
		return false
	}
	c, ok := s.choiceAt(o, old.station)
	if !ok {
		return false
	}
	if s.with(lead, o, c, ready) {
		return old.end <= limit
	}
	if old.kept || s.passesOn(lead) {
		return false
	}
	v := &s.trial
	v.ready, v.first, v.latest = ready, s.m.p.Now, min(limit, s.slack(lead))
	for x := range s.membersOf(lead) {
		t, ok := s.ready(x)
		if !ok {
			return false
		}
		s.await(x, v, t)
	}
	ok = s.refit(lead)
	v.latest = w.deadline
	return ok
}

// passesOn says whether something that has its place takes over lots of a visit while it runs.
func (s *state) passesOn(lead int32) bool {
	for o := range s.membersOf(lead) {
		for _, i := range s.m.out.of(o) {
			l := &s.m.p.Links[i]
			if l.Transfer > 0 && s.m.ops[l.To].takes != schedule.Batch && s.leader[l.To] != none {
				return true
			}
		}
	}
	return false
}

// joined makes o a member of the batch of lead, which becomes s.trial.
func (s *state) joined(o, lead int32) {
	s.touch(o)
	s.touch(lead)
	station := s.visits[lead].station
	s.touchSeq(station)
	s.account(lead, -1)
	s.best = s.trial
	s.insertMember(o, lead)
	s.account(lead, 1)
}
