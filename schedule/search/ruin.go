package search

import (
	"tackline/plant"
	"tackline/schedule"
)

// takeOut takes operation o out of the plan, and with it what is after it and takes over its lots while it runs: their times
// follow from each other.
func (s *state) takeOut(o int32) {
	if s.leader[o] == none || s.m.ops[o].fixed {
		return
	}
	lead := s.leader[o]
	v := &s.visits[lead]
	s.gone = append(s.gone, o)
	if v.members > 1 {
		s.leaveBatch(o, lead)
	} else {
		s.touch(o)
		s.account(o, -1)
		s.crew(v, -1)
		s.stay(v, -1)
		if v.takes == schedule.One || v.takes == schedule.Batch {
			i := s.entryOf(v, lead)
			s.touchSeq(v.station)
			s.remove(v.station, i)
			s.holes = append(s.holes, hole{v.station, v.run})
		}
		s.leader[o] = none
	}
	for _, i := range s.m.out.of(o) {
		l := &s.m.p.Links[i]
		if l.Transfer > 0 && s.m.ops[l.To].takes != schedule.Batch {
			s.takeOut(int32(l.To))
		}
	}
}

// hole is a place in the sequence of a station that something was taken out of.
type hole struct {
	station int32
	run     plant.Time
}

// leaveBatch takes o out of the batch of lead. The batch stays at its time, with less to do in it.
func (s *state) leaveBatch(o, lead int32) {
	for x := lead; x != none; x = s.next[x] {
		s.touch(x)
	}
	old := s.visits[lead]
	s.touchSeq(old.station)
	s.account(lead, -1)
	s.crew(&old, -1)
	i := s.entryOf(&old, lead)
	first := lead
	if o == lead {
		first = s.next[lead]
		for x := first; x != none; x = s.next[x] {
			s.leader[x] = first
		}
	} else {
		x := lead
		for s.next[x] != o {
			x = s.next[x]
		}
		s.next[x] = s.next[o]
	}
	s.leader[o], s.next[o] = none, none
	s.visits[first] = s.together0(first, &old)
	v := &s.visits[first]
	s.crew(v, 1)
	e := &s.seqs[v.station][i]
	e.visit, e.run = first, v.run
	e.from, e.to = v.taken()
	s.account(first, 1)
}

// together0 gives the visit of the members of a batch that had been old, at its times.
func (s *state) together0(first int32, old *visit) visit {
	var v visit
	for x := first; x != none; x = s.next[x] {
		c, _ := s.choiceAt(x, old.station)
		one := s.visitOf(x, c)
		if x == first {
			v = one
		} else {
			v.take(&one)
		}
	}
	v.times, v.ready, v.first = old.times, old.ready, old.first
	v.kept, v.passed = old.kept, old.passed
	v.toSetup = max(0, old.toSetup-old.ownSetup+v.ownSetup)
	v.runEnd = s.runEnd(&v)
	v.close()
	return v
}

// settle gives the visits after holes the setup that they now need: shorter at once, longer if there is room for it before
// their load. What has no room is taken out too. It gives false if that goes too far.
func (s *state) settle() bool {
	for n := 0; n < len(s.holes); n++ {
		h := s.holes[n]
		i := firstRun(s.seqs[h.station], h.run)
		for i < len(s.seqs[h.station]) && s.seqs[h.station][i].family == 0 {
			i++
		}
		fits, fixed := s.settleEntry(h.station, i)
		if fits {
			continue
		}
		if fixed || len(s.gone) > mostTail || n > 8*mostGone {
			return false
		}
		for lead := s.seqs[h.station][i].visit; lead != none; {
			after := s.next[lead]
			s.takeOut(lead)
			lead = after
		}
	}
	s.holes = s.holes[:0]
	return true
}

// settleAfter is settle when all is back. It gives false if something has no room.
func (s *state) settleAfter() bool {
	for _, h := range s.holes {
		for i := range s.seqs[h.station] {
			if fits, _ := s.settleEntry(h.station, i); !fits {
				return false
			}
		}
	}
	s.holes = s.holes[:0]
	return true
}

// settleEntry gives entry i of a station the setup that it needs. It says whether there is room, and whether it is fixed.
func (s *state) settleEntry(station int32, i int) (fits, fixed bool) {
	seq := s.seqs[station]
	if i == len(seq) || seq[i].family == 0 {
		return true, false
	}
	v := &s.visits[seq[i].visit]
	if v.fixed {
		return s.m.p.Ops[seq[i].visit].State != schedule.Frozen || s.suffices(v, s.standing(station, i)), true
	}
	want := v.ownSetup + s.m.changeover(station, s.standing(station, i), v.family)
	if want < v.toSetup {
		s.touchSeq(station)
		s.shorten(station, i, s.standing(station, i))
	}
	return want <= v.toSetup || s.lengthen(station, i, want), false
}

// lengthen makes the setup of entry i of a station last want, just before its load if crew and station are free then.
func (s *state) lengthen(station int32, i int, want plant.Seconds) bool {
	lead := s.seqs[station][i].visit
	v := &s.visits[lead]
	lo := s.m.p.Now
	if i > 0 {
		lo = max(lo, s.seqs[station][i-1].to)
	}
	s.touch(lead)
	s.touchSeq(station)
	s.account(lead, -1)
	s.setupCrew(v, -1)
	h := &s.m.hours[v.loadHours]
	found := false
	for from, back := h.Sub(v.load, want), plant.Time(900); from >= lo; from, back = from-back, back*2 {
		begin, end, ok := s.phase(h, v.loadTeam, from, want, schedule.Pause, v.load)
		if ok && end <= v.load {
			v.setup, v.toSetup, found = begin, want, true
			break
		}
		if from == lo {
			break
		}
		if from-back < lo {
			back = from - lo
		}
	}
	s.setupCrew(v, 1)
	s.seqs[station][i].from, _ = v.taken()
	s.account(lead, 1)
	return found
}
