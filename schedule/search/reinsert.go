package search

import (
	"slices"

	"tackline/plant"
	"tackline/schedule"
)

// gapTries bounds the search for a later gap: so many gaps are tried, the latest first.
const gapTries = 24

// reinsert takes a visit out of the sequence of its station and puts it into a later gap, ending by limit, if that is
// cheaper.
func (s *state) reinsert(lead int32, rate float64, limit plant.Time) {
	v := &s.visits[lead]
	if v.takes != schedule.One && v.takes != schedule.Batch {
		return
	}
	i := s.entryOf(v, lead)
	if !s.canLeave(v, i) {
		return
	}
	s.touch(lead)
	s.touchSeq(v.station)
	s.account(lead, -1)
	s.crew(v, -1)
	s.stay(v, -1)
	gone := s.seqs[v.station][i]
	s.remove(v.station, i)
	place, ok := s.laterGap(lead, v, limit)
	if ok {
		saved := rate*float64(s.trial.load-v.load) + s.dearer(&s.trial, v)
		ok = saved > 0
	}
	if !ok {
		s.seqs[v.station] = slices.Insert(s.seqs[v.station], i, gone)
		s.carry(v.station, i+1)
		s.crew(v, 1)
		s.stay(v, 1)
		s.account(lead, 1)
		return
	}
	*v = s.trial
	s.crew(v, 1)
	s.stay(v, 1)
	s.insert(lead, place)
	s.account(lead, 1)
	s.shorten(v.station, i, s.standing(v.station, i))
}

// dearer is the money that old costs more than v, for setup and overtime.
func (s *state) dearer(v, old *visit) float64 {
	w := &s.m.p.Weights
	return (old.toSetup-v.toSetup).Hours()*float64(w.Setup) + (s.overtime(old)-s.overtime(v)).Hours()*float64(w.Overtime)
}

// canLeave looks whether the setup after entry i would still be long enough without it.
func (s *state) canLeave(v *visit, i int) bool {
	if v.family == 0 {
		return true
	}
	family := s.standing(v.station, i)
	for _, e := range s.seqs[v.station][i+1:] {
		if e.family != 0 {
			return s.suffices(&s.visits[e.visit], family)
		}
	}
	return true
}

// remove takes entry i out of a sequence.
func (s *state) remove(station int32, i int) {
	s.seqs[station] = slices.Delete(s.seqs[station], i, i+1)
	s.carry(station, i)
}

// laterGap puts into s.trial the visit in the latest gap that it fits into, ending by limit and loading later than now. The
// visit is not in the sequence.
func (s *state) laterGap(lead int32, old *visit, limit plant.Time) (place int, ok bool) {
	seq := s.seqs[old.station]
	body := old.toLoad + old.toRun + old.toUnload
	if old.pallets {
		body = old.toRun
	}
	for i, tries := firstFrom(seq, limit), 0; i >= 0 && tries < gapTries; i-- {
		lo, hi := s.m.p.Now, limit
		if i > 0 {
			lo = max(lo, seq[i-1].to)
		}
		if i < len(seq) && !old.pallets {
			hi = min(hi, seq[i].from)
		}
		if hi <= old.load {
			return 0, false
		}
		if hi.Sub(lo) < body {
			continue
		}
		tries++
		if s.lateIn(lead, old, i, lo, hi) {
			return i, true
		}
	}
	return 0, false
}

// lateIn puts into s.trial the visit as late as it fits into the gap before entry i, taken from lo to hi.
func (s *state) lateIn(lead int32, old *visit, i int, lo, hi plant.Time) bool {
	v := &s.trial
	setup := old.ownSetup + s.m.changeover(old.station, s.standing(old.station, i), old.family)
	if !s.keepsNext(old, i) {
		return false
	}
	next := plant.Never
	if seq := s.seqs[old.station]; i < len(seq) {
		next = seq[i].from
	}
	end := hi
	for range backTries {
		load, run := s.backFrom(old, end)
		if old.pallets && next < plant.Never {
			load, run = s.underGap(old, load, run, next)
		}
		if load <= old.load || load.Add(old.toLoad) < lo {
			return false
		}
		*v = *old
		v.toSetup, v.ready, v.first, v.latest = setup, load, max(old.first, run), hi
		fits := s.fit(v, lo, next)
		if fits && v.end <= hi && v.load > old.load && s.inOrder(lead, v, i) {
			v.ready, v.first, v.latest = old.ready, old.first, old.latest
			return true
		}
		step := plant.Time(3600)
		if fits {
			step = max(step, v.end-hi)
		}
		end -= step
	}
	return false
}
