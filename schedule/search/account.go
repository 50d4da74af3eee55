package search

import (
	"tackline/plant"
	"tackline/schedule"
)

// The cost of a plan is kept up to date while single visits leave it and come back: each visit is charged with its setup, its
// overtime, the moves, pins and late units of its members, and the waiting on links to what has its place. A link is charged
// when its second end comes, so the sum over a whole plan is cost().

// openAccount begins to keep the cost of the plan.
func (s *state) openAccount() {
	s.log.on = true
	s.money = s.cost().money
	for o := range s.visits {
		if s.leader[o] == int32(o) && !s.visits[o].fixed {
			s.visits[o].over = s.overtime(&s.visits[o])
		}
	}
}

// account adds the cost of a visit that has its place, or with -1 takes it away again.
func (s *state) account(lead int32, sign float64) {
	if !s.log.on {
		return
	}
	v := &s.visits[lead]
	var c float64
	if !v.fixed {
		if sign > 0 {
			v.over = s.overtime(v)
		}
		w := &s.m.p.Weights
		c = v.toSetup.Hours()*float64(w.Setup) + v.over.Hours()*float64(w.Overtime)
	}
	for o := lead; o != none; o = s.next[o] {
		c += s.charge(o, v)
	}
	s.money += sign * c
}

// charge is the part of a visit's cost that comes from one member.
func (s *state) charge(o int32, v *visit) float64 {
	c := s.lateCost(o, v) + s.pinCost(o, v)
	if s.movedFrom(o, v) {
		c += s.m.move
	}
	for _, i := range s.m.in.of(o) {
		if l := &s.m.p.Links[i]; l.Meeting && s.leader[l.From] != none {
			c += s.m.waitMoney(l) * s.waits(l, &s.visits[s.leader[l.From]], v)
		}
	}
	for _, i := range s.m.out.of(o) {
		if l := &s.m.p.Links[i]; l.Meeting && s.leader[l.To] != none {
			c += s.m.waitMoney(l) * s.waits(l, v, &s.visits[s.leader[l.To]])
		}
		if to := int32(s.m.p.Links[i].To); s.m.dwells[to] > 0 && s.speaksFor(o, to) {
			c += s.beforeDwell(to)
		}
	}
	return c + s.beforeDwell(o)
}

// beforeDwell is the cost of waiting before a dwell that ends a branch, once it and all before it have their places; see
// schedule.Measure.
func (s *state) beforeDwell(o int32) float64 {
	if s.m.dwells[o] == 0 || s.leader[o] == none {
		return 0
	}
	ready := max(s.m.p.Now, s.m.ops[o].earliest)
	for _, i := range s.m.in.of(o) {
		l := &s.m.p.Links[i]
		from := s.leader[l.From]
		if from == none {
			return 0
		}
		v := &s.visits[from]
		ready = max(ready, v.end.Add(s.m.way(l)-s.held(v)))
	}
	return s.m.dwells[o] * max(0, float64(s.visits[s.leader[o]].load.Sub(ready)))
}

// speaksFor says whether o is the first of the operations before to that are in its visit, so that the visit is charged once.
func (s *state) speaksFor(o, to int32) bool {
	for _, i := range s.m.in.of(to) {
		if from := int32(s.m.p.Links[i].From); s.leader[from] == s.leader[o] {
			return from == o
		}
	}
	return false
}

// addDwells finds the operations on stations of places that end branches, with the cost of a second of waiting before them.
func (m *model) addDwells() {
	m.dwells = make([]float64, len(m.ops))
	for i := range m.p.Links {
		l := &m.p.Links[i]
		if w := &m.ops[l.From]; l.Meeting && w.takes == schedule.Places && !w.fixed && len(m.in.of(int32(l.From))) > 0 {
			m.dwells[l.From] += m.waitMoney(l)
		}
	}
}

// waits gives the seconds for which what goes from one visit to another waits, on its station and at the meeting point.
func (s *state) waits(l *schedule.Link, from, to *visit) float64 {
	return float64(s.held(from) + max(0, to.load.Sub(from.end)-s.m.way(l)))
}

// held gives the time from the load of a visit to its end in which nothing is done to it; see schedule.Measure.
func (s *state) held(v *visit) plant.Seconds {
	if v.fixed {
		return 0
	}
	return max(0, v.end.Sub(v.load)-v.toLoad-max(v.toRun+v.toUnload, v.beside))
}

// lateCost is the cost of the units that end with o, in visit v.
func (s *state) lateCost(o int32, v *visit) (c float64) {
	for _, u := range s.m.ends.of(o) {
		x := &s.m.p.Units[u]
		c += float64(x.LateDay) * max(0, v.end.Sub(x.Due).Hours()) / 24
	}
	return c
}

// pinCost is the cost of beginning o, in visit v, after its pin.
func (s *state) pinCost(o int32, v *visit) float64 {
	pin := s.m.p.Ops[o].Pinned
	if pin == 0 || s.m.ops[o].fixed {
		return 0
	}
	return float64(s.m.p.Weights.Pin) * max(0, v.load.Sub(pin).Hours())
}

// movedFrom says whether o, in visit v, counts as moved: the adopted plan has it begin before the freeze, elsewhere or at
// another time.
func (s *state) movedFrom(o int32, v *visit) bool {
	a := s.m.home(o)
	return a != nil && (int(v.station) != a.Station || v.setup != a.Setup)
}

// way gives the time that pieces are under way on a link; see schedule.Measure.
func (m *model) way(l *schedule.Link) plant.Seconds {
	if l.Carrier == schedule.None {
		return l.Lag
	}
	return l.Lag + m.p.Carriers[l.Carrier].Transit
}

// waitMoney is the cost of a second of waiting on a link to a meeting point.
func (m *model) waitMoney(l *schedule.Link) float64 {
	return m.p.Weights.Wait * float64(m.p.Jobs[m.p.Ops[l.From].Job].Value) / 3600
}
