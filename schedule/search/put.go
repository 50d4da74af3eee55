package search

import (
	"fmt"

	"tackline/plant"
	"tackline/schedule"
)

// add puts operation o at its best place: of all its stations and gaps the one with the least
//
//	End + setupBias * setup work
//
// or in a batch that has not begun. It says whether it found one; if not, s.left says why.
func (s *state) plan(o int32) bool {
	ready, ok := s.ready(o)
	if !ok {
		return false
	}
	w := &s.m.ops[o]
	if ready > w.deadline {
		s.left[o] = s.lateReason(o)
		return false
	}
	place, found := s.bestPlace(o, ready)
	if w.class != none {
		alone := plant.Never
		if found {
			alone = s.best.end
		}
		if lead := s.join(o, ready, alone); lead != none {
			s.add(o, lead)
			s.pass(o)
			return true
		}
	}
	if !found {
		s.left[o] = s.noPlaceReason(o)
		return false
	}
	s.put(o, &s.best, place)
	s.begin(o)
	s.pass(o)
	return true
}

// pass marks what comes before o as unable to move.
func (s *state) pass(o int32) {
	for _, i := range s.m.in.of(o) {
		s.visits[s.leader[s.m.p.Links[i].From]].passed = true
	}
}

// bestPlace tries every choice of o and leaves the best in s.best.
func (s *state) bestPlace(o int32, ready plant.Time) (place int, found bool) {
	w := &s.m.ops[o]
	bestCost := plant.Never
	for c := w.from; c < w.to; c++ {
		s.trial = s.visitOf(o, c)
		v := &s.trial
		s.await(o, v, ready)
		v.latest = min(v.latest, bestCost-1)
		i, ok := s.seek(o, v)
		if !ok {
			continue
		}
		cost := v.end + plant.Time(s.rule.setupBias*float64(v.toSetup))
		if cost < bestCost {
			v.latest = w.deadline
			bestCost, place, found, s.best = cost, i, true, *v
		}
	}
	return place, found
}

// ready gives the instant from which the load of o can begin, or says in s.left what it waits for in vain.
func (s *state) ready(o int32) (plant.Time, bool) {
	w := &s.m.ops[o]
	t := max(w.earliest, s.m.p.Now)
	if !w.binds {
		return t, true
	}
	for _, i := range s.m.in.of(o) {
		l := &s.m.p.Links[i]
		lead := s.leader[l.From]
		if lead == none {
			s.left[o] = fmt.Sprintf("waits for %s, which has no place in the plan", s.m.name(l.From))
			return 0, false
		}
		v := &s.visits[lead]
		leaves := v.end
		if l.Transfer > 0 && w.takes != schedule.Batch {
			leaves = s.leaves(v, l, 1)
		}
		a := s.m.arrival(l, leaves)
		if a >= plant.Never {
			s.left[o] = fmt.Sprintf("no truck brings the pieces of %s before the plan ends", s.m.name(l.From))
			return 0, false
		}
		t = max(t, a)
	}
	return t, true
}

// leaves gives the instant at which lot k leaves visit v on link l.
func (s *state) leaves(v *visit, l *schedule.Link, k int) plant.Time {
	if k*l.Transfer >= l.Pieces {
		return v.end
	}
	share := plant.Seconds(int64(k) * int64(l.Transfer) * int64(v.toRun) / int64(l.Pieces))
	if v.closed == schedule.Through {
		return v.run.Add(share)
	}
	return min(v.end, s.m.hours[v.runHours].Add(v.run, share))
}

// await makes v begin to load at ready, and to run when enough lots are there. Without a run, all must be there first.
func (s *state) await(o int32, v *visit, ready plant.Time) {
	v.ready, v.first = max(v.ready, ready), max(v.first, s.lotsFrom(o, v))
	if v.toRun == 0 {
		v.ready = max(v.ready, v.first)
	}
}

// lotsFrom gives the earliest run of o, in visit v, that no lot still to come holds up: at the arrival of lot k at most
// the share of the run that the lots before it allow is done.
func (s *state) lotsFrom(o int32, v *visit) plant.Time {
	first := s.m.p.Now
	if v.takes == schedule.Batch {
		return first
	}
	for _, i := range s.m.in.of(o) {
		l := &s.m.p.Links[i]
		if l.Transfer <= 0 {
			continue
		}
		from := &s.visits[s.leader[l.From]]
		for k := 2; (k-1)*l.Transfer < l.Pieces; k++ {
			arrives := s.m.arrival(l, s.leaves(from, l, k))
			if arrives >= plant.Never {
				return plant.Never
			}
			may := plant.Seconds(int64(k-1) * int64(l.Transfer) * int64(v.toRun) / int64(l.Pieces))
			if v.closed == schedule.Through || may == 0 {
				first = max(first, arrives.Add(-may))
			} else {
				first = max(first, s.m.hours[v.runHours].Sub(arrives, may))
			}
		}
	}
	return first
}

// name says which operation o is, for people.
func (m *model) name(o int) string {
	op := &m.p.Ops[o]
	return fmt.Sprintf("%s of job %s", op.Name, m.p.Jobs[op.Job].ID)
}

func (s *state) lateReason(o int32) string {
	if s.m.ops[o].deadline < s.m.p.Horizon {
		return "frozen work needs it before it can be there"
	}
	if why := s.m.p.Ops[o].Why; why != "" && s.m.ops[o].earliest > s.m.p.Horizon {
		return "waits until after the plan ends for: " + why
	}
	return "can begin only after the plan ends"
}

func (s *state) noPlaceReason(o int32) string {
	w := &s.m.ops[o]
	if w.deadline < s.m.p.Horizon {
		return "frozen work needs it before a station is free"
	}
	for c := w.from; c < w.to; c++ {
		x := &s.m.choices[c]
		if s.m.hours[x.loadHours].Total() > 0 && s.m.hours[x.runHours].Total() > 0 {
			return "no station that can do it is free long enough, with the crew it needs, before the plan ends"
		}
	}
	return "its stations are never open while the crew it needs is there"
}
