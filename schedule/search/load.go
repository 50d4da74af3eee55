package search

import (
	"cmp"
	"slices"

	"tackline/plant"
	"tackline/schedule"
)

// load makes the plan of slots, which keeps all rules, the plan of s. Operations without a slot stay without a place.
func (s *state) load(slots []schedule.Slot) {
	s.reset(&rule{})
	var order []int32
	for o := range slots {
		if !s.m.ops[o].fixed && slots[o].Station != schedule.None {
			order = append(order, int32(o))
		}
	}
	slices.SortFunc(order, func(a, b int32) int {
		x, y := &slots[a], &slots[b]
		if x.Run == y.Run && s.m.p.Stations[x.Station].Pallets >= 2 { // see inOrder
			return cmp.Compare(a, b)
		}
		return cmp.Or(cmp.Compare(x.Run, y.Run), cmp.Compare(x.Setup, y.Setup), cmp.Compare(x.End, y.End), cmp.Compare(a, b))
	})
	batches := map[[2]int]int32{}
	for _, o := range order {
		x := slots[o]
		k := [2]int{x.Station, x.Batch}
		if lead, ok := batches[k]; ok && x.Batch != 0 {
			s.loadMember(o, lead)
			continue
		}
		c, _ := s.choiceAt(o, int32(x.Station))
		v := s.visitOf(o, c)
		v.times = times{x.Setup, x.Load, x.Run, x.Unload, x.End}
		v.ready, v.first = x.Load, x.Run
		v.runEnd = s.runEnd(&v)
		i := s.place(&v)
		if v.takes == schedule.One || v.takes == schedule.Batch {
			v.toSetup = v.ownSetup + s.m.changeover(v.station, s.standing(v.station, i), v.family)
		}
		v.kept = s.atHome(o, &v)
		s.put(o, &v, i)
		if v.takes == schedule.Batch && x.Batch != 0 {
			batches[k] = o
		}
	}
}

// runEnd gives the instant at which the run of v is done.
func (s *state) runEnd(v *visit) plant.Time {
	if v.closed == schedule.Through {
		return v.run.Add(v.toRun)
	}
	return min(v.end, s.m.hours[v.runHours].Add(v.run, v.toRun))
}

// loadMember makes o a member of the batch of lead at its times.
func (s *state) loadMember(o, lead int32) {
	s.best = s.visits[lead]
	c, _ := s.choiceAt(o, s.best.station)
	one := s.visitOf(o, c)
	setup := s.best.ownSetup
	s.best.take(&one)
	s.best.toSetup += s.best.ownSetup - setup
	s.best.runEnd = s.runEnd(&s.best)
	s.insertMember(o, lead)
}

// atHome says whether v is where the adopted plan has o inside the freeze window.
func (s *state) atHome(o int32, v *visit) bool {
	a := s.m.home(o)
	return a != nil && int(v.station) == a.Station && v.setup == a.Setup
}
