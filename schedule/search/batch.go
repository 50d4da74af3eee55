package search

import (
	"tackline/plant"
	"tackline/schedule"
)

// scanBatches bounds the search for a batch to join: so many batches of a class are tried, latest first.
const scanBatches = 40

// join looks for a batch that operation o can join. alone is the end of the best batch of its own, Never if there is none.
// It leaves the batch as it would be in s.best and gives its leader, or none.
//
// The waiting rule: joining a batch that need not change is free. A batch that must wait or grow may do so while the
// delay of the members it has is worth it:
//
//	delay * members <= patience * (end alone - end in the batch + length of the batch saved)
func (s *state) join(o int32, ready plant.Time, alone plant.Time) int32 {
	w := &s.m.ops[o]
	open := s.open[w.class]
	lead, bestEnd := none, plant.Never
	for k := len(open) - 1; k >= max(0, len(open)-scanBatches); k-- {
		old := &s.visits[open[k]]
		if old.size+w.size > int64(s.m.p.Stations[old.station].Capacity) || old.end >= bestEnd {
			continue
		}
		if old.passed && ready > old.load || ready > old.end || s.follows(o, open[k]) {
			continue
		}
		c, ok := s.choiceAt(o, old.station)
		if ok && s.grow(open[k], o, c, ready) && s.worth(old, alone) && s.trial.end < bestEnd {
			lead, bestEnd, s.best = open[k], s.trial.end, s.trial
		}
	}
	return lead
}

// choiceAt gives the choice of o on a station.
func (s *state) choiceAt(o, station int32) (int32, bool) {
	for c := s.m.ops[o].from; c < s.m.ops[o].to; c++ {
		if s.m.choices[c].station == station {
			return c, true
		}
	}
	return 0, false
}

// grow puts into s.trial the batch of lead with o in it. It is not ok if the batch can not take o.
func (s *state) grow(lead, o, c int32, ready plant.Time) bool {
	old := &s.visits[lead]
	if s.with(lead, o, c, ready) {
		return old.end <= s.trial.latest
	}
	if old.passed || old.kept {
		return false
	}
	return s.refit(lead)
}

// with puts into s.trial the batch of lead with o in it, at the times it has. It says whether it can stay at them.
func (s *state) with(lead, o, c int32, ready plant.Time) bool {
	old, v := &s.visits[lead], &s.trial
	*v = *old
	one := s.visitOf(o, c)
	one.ready = ready
	v.take(&one)
	v.toSetup += v.ownSetup - old.ownSetup
	same := v.toSetup == old.toSetup && v.toLoad == old.toLoad && v.toRun == old.toRun && v.toUnload == old.toUnload
	return same && ready <= old.load
}

// refit gives s.trial, a change of the visit of lead, the earliest times in the gap that this visit has.
func (s *state) refit(lead int32) bool {
	old, v := &s.visits[lead], &s.trial
	lo, hi, after, before := s.bounds(lead)
	s.crew(old, -1)
	ok := s.fit(v, lo, min(hi, s.m.p.Horizon))
	s.crew(old, 1)
	return ok && v.run > after && v.run < before
}

// worth is the waiting rule for s.trial, the batch old grown by one.
func (s *state) worth(old *visit, alone plant.Time) bool {
	v := &s.trial
	delay := float64(max(0, v.end-old.end)) * float64(old.members)
	return delay <= s.rule.patience*float64(alone-v.end+(v.end-v.setup))
}

// follows says whether an operation of the batch of lead comes right before o.
func (s *state) follows(o, lead int32) bool {
	for _, i := range s.m.in.of(o) {
		if s.leader[s.m.p.Links[i].From] == lead {
			return true
		}
	}
	return false
}

// entryOf gives the place of a visit in the sequence of its station.
func (s *state) entryOf(v *visit, lead int32) int {
	seq := s.seqs[v.station]
	i := firstRun(seq, v.run)
	for seq[i].visit != lead {
		i++
	}
	return i
}

// firstRun gives the first entry that runs at or after t, or the number of entries.
func firstRun(seq []entry, t plant.Time) int {
	lo, hi := 0, len(seq)
	for lo < hi {
		if mid := (lo + hi) / 2; seq[mid].run < t {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

// take adds the work and size of another visit to a batch.
func (v *visit) take(one *visit) {
	v.ownSetup = max(v.ownSetup, one.ownSetup)
	v.toLoad += one.toLoad
	v.toUnload += one.toUnload
	v.toRun = max(v.toRun, one.toRun)
	v.ready, v.first = max(v.ready, one.ready), max(v.first, one.first)
	v.latest = min(v.latest, one.latest)
	v.size += one.size
	v.members += one.members
}

// enter makes o a member of the batch of lead.
func (s *state) enter(o, lead int32) {
	s.leader[o] = lead
	s.next[o], s.next[lead] = s.next[lead], o
}

// add makes o a member of the batch of lead, whose visit becomes s.best, and takes a full batch off the list of those with
// room.
func (s *state) add(o, lead int32) {
	s.insertMember(o, lead)
	if v := &s.visits[lead]; v.size >= int64(s.m.p.Stations[v.station].Capacity) {
		s.full(s.m.ops[o].class, lead)
	}
}

// insertMember makes o a member of the batch of lead, whose visit becomes s.best.
func (s *state) insertMember(o, lead int32) {
	v := &s.visits[lead]
	i := s.entryOf(v, lead)
	s.crew(v, -1)
	*v = s.best
	s.crew(v, 1)
	e := &s.seqs[v.station][i]
	e.run = v.run
	e.from, e.to = v.taken()
	s.enter(o, lead)
}

// full takes a batch off the list of those with room.
func (s *state) full(class, lead int32) {
	open := s.open[class]
	for k := len(open) - 1; k >= 0; k-- {
		if open[k] == lead {
			s.open[class] = append(open[:k], open[k+1:]...)
			return
		}
	}
}

// begin puts a new batch of one on the list of those with room.
func (s *state) begin(o int32) {
	v := &s.visits[o]
	if w := &s.m.ops[o]; v.takes == schedule.Batch && v.size < int64(s.m.p.Stations[v.station].Capacity) {
		s.open[w.class] = append(s.open[w.class], o)
	}
}
