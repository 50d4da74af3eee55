package search

import (
	"slices"

	"tackline/plant"
	"tackline/schedule"
)

// stepsBack are the distances before its latest begin at which a visit is tried in another gap.
var stepsBack = [...]plant.Time{0, 4 * 3600, 8 * 3600, day, 2 * day, 4 * day, 7 * day}

// reinsert takes a visit of one operation out of the sequence of its station and puts it into a later gap, ending by limit,
// if that is cheaper.
func (s *state) reinsert(lead int32, rate float64, limit plant.Time) {
	v := &s.visits[lead]
	if v.members > 1 || v.takes != schedule.One && v.takes != schedule.Batch {
		return
	}
	i := s.entryOf(v, lead)
	if !s.canLeave(v, i) {
		return
	}
	s.crew(v, -1)
	s.stay(v, -1)
	gone := s.seqs[v.station][i]
	s.remove(v.station, i)
	place, ok := s.laterGap(lead, v, limit)
	if ok {
		saved := rate*float64(s.trial.end-v.end) + s.dearer(&s.trial, v)
		ok = saved > 0
	}
	if !ok {
		s.seqs[v.station] = slices.Insert(s.seqs[v.station], i, gone)
		s.carry(v.station, i+1)
		s.crew(v, 1)
		s.stay(v, 1)
		return
	}
	*v = s.trial
	s.crew(v, 1)
	s.stay(v, 1)
	s.insert(lead, place)
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

// laterGap puts into s.trial the visit in a gap that begins later than now, ending by limit.
func (s *state) laterGap(lead int32, old *visit, limit plant.Time) (place int, ok bool) {
	latest, _ := s.backFrom(old, limit)
	for _, back := range stepsBack {
		from := latest - back
		if from <= old.load {
			return 0, false
		}
		v := &s.trial
		*v = *old
		v.ready, v.latest = from, limit
		if i, ok := s.seek(lead, v); ok {
			v.ready, v.latest = old.ready, old.latest
			return i, true
		}
	}
	return 0, false
}
