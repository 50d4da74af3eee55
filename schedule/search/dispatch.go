package search

import (
	"math"

	"tackline/plant"
	"tackline/schedule"
)

// arrived is an operation in the queue of its stations.
type arrived struct {
	op    int32
	ready plant.Time
}

// queues are the operations that wait, by group of stations that can do the same.
type queues struct {
	of     [][]arrived
	events heap // by time: a group's next decision; op is the group
	due    []float64
}

// dispatch goes through time: whenever a station of a group is free and something waits for it, the waiting operation with
// the highest index goes next. Indexes are worked out anew at each decision, so that they can weigh the setup from what
// the station stands set up for. It gives false if stopped.
func (s *state) dispatch(stop func() bool) bool {
	open := s.waiting()
	q := queues{of: make([][]arrived, len(s.m.groups)), due: make([]float64, len(s.m.groups))}
	for g := range q.due {
		q.due[g] = math.Inf(1)
	}
	for o := range s.m.ops {
		if open[o] == 0 && !s.settled(int32(o)) {
			s.arrive(&q, int32(o))
		}
	}
	for n := 0; len(q.events) > 0; {
		if n++; n%checkEvery == 0 && stop() {
			return false
		}
		e := q.events.pop()
		g := e.op
		if e.key != q.due[g] { // a later event of this group was put off
			continue
		}
		t, waits := s.decision(&q, g)
		if !waits {
			q.due[g] = math.Inf(1)
			continue
		}
		if t > plant.Time(e.key) {
			q.next(g, t)
			continue
		}
		o := s.choose(&q, g, t)
		q.next(g, t)
		s.plan(o)
		for _, i := range s.m.out.of(o) {
			to := int32(s.m.p.Links[i].To)
			if open[to]--; open[to] == 0 && !s.settled(to) {
				s.arrive(&q, to)
			}
		}
	}
	return true
}

// arrive puts o into the queue of its group.
func (s *state) arrive(q *queues, o int32) {
	g := s.m.ops[o].group
	t, ok := s.ready(o)
	if !ok {
		s.left[o] = ""
		t = s.m.p.Now
	}
	q.of[g] = append(q.of[g], arrived{o, t})
	if d := max(t, s.free(g)); float64(d) < q.due[g] {
		q.next(g, d)
	}
}

// next sets the time of a group's next decision.
func (q *queues) next(g int32, t plant.Time) {
	q.due[g] = float64(t)
	q.events.push(item{key: float64(t), op: g})
}

// free gives the instant at which the first station of a group has done all that it has to do so far.
func (s *state) free(g int32) plant.Time {
	free := plant.Never
	for _, m := range s.m.groups[g] {
		t := s.m.p.Now
		if seq := s.seqs[m]; len(seq) > 0 {
			t = max(t, seq[len(seq)-1].to)
		}
		free = min(free, t)
	}
	return free
}

// decision gives the time at which a group can take its next operation, and whether any waits.
func (s *state) decision(q *queues, g int32) (plant.Time, bool) {
	first := plant.Never
	for _, a := range q.of[g] {
		first = min(first, a.ready)
	}
	return max(first, s.free(g)), len(q.of[g]) > 0
}

// choose takes out of the queue of a group the operation that goes next at t.
func (s *state) choose(q *queues, g int32, t plant.Time) int32 {
	station, family := s.nextStation(g)
	list := q.of[g]
	best, at := math.Inf(-1), 0
	for k, a := range list {
		if a.ready > t {
			continue
		}
		i := s.index(a.op, t, station, family)
		if i > best || i == best && s.goesBefore(a.op, list[at].op) {
			best, at = i, k
		}
	}
	o := list[at].op
	list[at] = list[len(list)-1]
	q.of[g] = list[:len(list)-1]
	return o
}

// goesBefore says whether b goes before a among equals.
func (s *state) goesBefore(b, a int32) bool {
	return item{priority: s.m.ops[b].priority, op: b}.less(item{priority: s.m.ops[a].priority, op: a})
}

// nextStation gives the station of a group that is free first, and what it stands set up for.
func (s *state) nextStation(g int32) (station, family int32) {
	free := plant.Never
	for _, m := range s.m.groups[g] {
		t := s.m.p.Now
		if seq := s.seqs[m]; len(seq) > 0 {
			t = max(t, seq[len(seq)-1].to)
		}
		if t < free {
			free, station = t, m
		}
	}
	return station, s.standing(station, len(s.seqs[station]))
}

// index is the priority of o at t, larger first.
func (s *state) index(o int32, t plant.Time, station, family int32) float64 {
	a := &s.m.aims[o]
	var x float64
	switch s.rule.index {
	case byCost:
		x = s.costIndex(o, t, station, family)
	case byRatio:
		x = -float64(a.due-t) / math.Max(1, float64(a.tail))
	case bySlackPerOp:
		x = -float64(a.latest-t) / float64(max(1, a.ops))
	default:
		return -s.key(o, t)
	}
	return x
}

// costIndex is the logarithm of the apparent tardiness cost with setups (Lee, Bhaskaran and Pinedo 1997),
//
//	w/p * exp(-max(0, slack)/(k1*pbar)) * exp(-setup/(k2*sbar))
//
// where w is the cost of a day late, p the operation's length, slack the time until its latest start, pbar the average length of
// an operation and sbar the average changeover.
func (s *state) costIndex(o int32, t plant.Time, station, family int32) float64 {
	a, w := &s.m.aims[o], &s.m.ops[o]
	x := math.Log(a.weight) - math.Log(math.Max(60, float64(a.length)))
	x -= math.Max(0, float64(a.latest-t)) / (s.rule.near * s.m.meanLength)
	if w.takes == schedule.One || w.takes == schedule.Batch {
		x -= float64(s.m.changeover(station, family, w.family)) / (s.rule.change * s.m.meanSetup)
	}
	return x
}
