package search

import (
	"tackline/plant"
	"tackline/schedule"
)

// cost is what a plan costs, so that plans compare: first operations without a place, then money.
type cost struct {
	left  int
	money float64
}

func (a cost) less(b cost) bool {
	if a.left != b.left {
		return a.left < b.left
	}
	return a.money < b.money
}

// cost adds up the objective of schedule.Measure over the plan as it stands: days late, branches waiting at meeting points,
// setup, overtime, and moves inside the freeze window.
func (s *state) cost() cost {
	var c cost
	for o := range s.m.ops {
		if s.leader[o] == none {
			c.left++
		}
	}
	w := &s.m.p.Weights
	c.money = s.lateness() + s.waitCost()*w.Wait
	setup, over := s.hands()
	c.money += setup.Hours()*float64(w.Setup) + over.Hours()*float64(w.Overtime) + float64(s.moves())*s.m.move + s.pins()
	for o := range s.m.dwells {
		c.money += s.beforeDwell(int32(o))
	}
	return c
}

// lateness is the cost of late units; those without an end count as late until the horizon.
func (s *state) lateness() float64 {
	var sum float64
	for _, u := range s.m.p.Units {
		end := s.m.p.Horizon
		if u.Last >= 0 && s.leader[u.Last] != none {
			end = s.visits[s.leader[u.Last]].end
		}
		if late := end.Sub(u.Due); late > 0 {
			sum += float64(u.LateDay) * late.Hours() / 24
		}
	}
	return sum
}

// waitCost is the money that waits at meeting points, times hours.
func (s *state) waitCost() float64 {
	var sum float64
	for i := range s.m.p.Links {
		l := &s.m.p.Links[i]
		if from, to := s.leader[l.From], s.leader[l.To]; l.Meeting && from != none && to != none {
			sum += s.waits(l, &s.visits[from], &s.visits[to]) / 3600 * float64(s.m.p.Jobs[s.m.p.Ops[l.From].Job].Value)
		}
	}
	return sum
}

// hands gives the setup work, and the work done in overtime, of all that is not fixed.
func (s *state) hands() (setup, over plant.Seconds) {
	for o := range s.visits {
		if s.leader[o] != int32(o) || s.visits[o].fixed {
			continue
		}
		v := &s.visits[o]
		setup += v.toSetup
		over += s.overtime(v)
	}
	return setup, over
}

// overtime gives the part of a visit's work that lies in overtime.
func (s *state) overtime(v *visit) plant.Seconds {
	out := s.m.p.Stations[v.station].Overtime
	if spans := out.Spans(); len(spans) == 0 || spans[len(spans)-1].To <= v.setup {
		return 0
	}
	load, run := &s.m.hours[v.loadHours], &s.m.hours[v.runHours]
	sum := out.Work(v.setup, load.Add(v.setup, v.toSetup)) + out.Work(v.load, load.Add(v.load, v.toLoad)) +
		out.Work(v.unload, load.Add(v.unload, v.toUnload))
	if v.closed == schedule.Through {
		return sum + out.Work(v.run, v.run.Add(v.toRun))
	}
	return sum + out.Work(v.run, run.Add(v.run, v.toRun))
}

// moves counts the operations that the adopted plan has begin before the freeze and this one has elsewhere or at another time.
func (s *state) moves() int {
	n := 0
	for o, a := range s.m.p.Adopted {
		if a.Station == schedule.None || a.Setup >= s.m.p.Freeze || s.m.ops[o].fixed || s.leader[o] == none {
			continue
		}
		v := &s.visits[s.leader[o]]
		if int(v.station) != a.Station || v.setup != a.Setup {
			n++
		}
	}
	return n
}

// pins is the cost of pinned work that begins late.
func (s *state) pins() (sum float64) {
	for o := range s.m.ops {
		if s.m.p.Ops[o].Pinned != 0 && s.leader[o] != none {
			sum += s.pinCost(int32(o), &s.visits[s.leader[o]])
		}
	}
	return sum
}
