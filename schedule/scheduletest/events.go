package scheduletest

import (
	"slices"

	"tackline/calendar"
	"tackline/schedule"
)

// Events are the kinds of events that upset a plan; see Upset.
var Events = []string{"station down", "runs over", "held", "kit late", "people away", "new order", "due sooner"}

// Upset gives the problem that planning again begins from when an event of a kind happens to a plan: a copy of p with the
// plan adopted and one thing changed, chosen by the seed among what the plan has begin in the freeze window.
func Upset(p *schedule.Problem, plan *schedule.Plan, event string, seed uint64) *schedule.Problem {
	q := *p
	q.Ops, q.Stations, q.Units, q.Pools = slices.Clone(p.Ops), slices.Clone(p.Stations), slices.Clone(p.Units), slices.Clone(p.Pools)
	q.Jobs, q.Links = slices.Clone(p.Jobs), slices.Clone(p.Links)
	q.Adopted = slices.Clone(plan.Slots)
	q.Freeze = max(p.Freeze, p.Now+day)
	e := &upset{p: &q, d: dice{seed}}
	for op := range q.Ops {
		s := q.Adopted[op]
		if q.Ops[op].State == schedule.ToPlan && s.Station != schedule.None && s.Setup < q.Freeze {
			e.soon = append(e.soon, op)
		}
	}
	if len(e.soon) == 0 {
		return &q
	}
	switch event {
	case "station down":
		e.down()
	case "runs over":
		e.over()
	case "held", "kit late":
		e.wait(event)
	case "people away":
		e.away()
	case "new order":
		e.order()
	case "due sooner":
		u := e.d.below(len(q.Units))
		q.Units[u].Due -= 5 * day
	}
	return &q
}

type upset struct {
	p    *schedule.Problem
	d    dice
	soon []int // operations that begin in the freeze window
}

// first gives the operation of soon that begins first among those that may do, else any.
func (e *upset) first(may func(op int) bool) int {
	best := schedule.None
	for _, op := range e.soon {
		if may(op) && (best == schedule.None || e.p.Adopted[op].Setup < e.p.Adopted[best].Setup) {
			best = op
		}
	}
	if best == schedule.None {
		best = e.soon[0]
	}
	return best
}

// down closes a station that work in the freeze window stands on for eight hours, if others can do that work.
func (e *upset) down() {
	op := e.soon[e.d.below(len(e.soon))]
	for i := 0; i < 50 && len(e.p.Ops[op].Can) < 2; i++ {
		op = e.soon[e.d.below(len(e.soon))]
	}
	st := &e.p.Stations[e.p.Adopted[op].Station]
	at := max(e.p.Now, e.p.Adopted[op].Setup)
	st.Open = calendar.Without(st.Open, calendar.Make([]calendar.Span{{From: at, To: at.Add(8 * hour)}}))
}

// over makes the work that begins first run, four hours longer than planned.
func (e *upset) over() {
	op := e.first(func(op int) bool { return e.p.Stations[e.p.Adopted[op].Station].Takes == schedule.One })
	o, s := &e.p.Ops[op], e.p.Adopted[op]
	s.Unload, s.End = s.Unload.Add(4*hour), s.End.Add(4*hour)
	o.State, o.Fixed, o.Earliest, o.Why = schedule.Running, s, e.p.Now, ""
}

// wait has an operation of the freeze window wait three days for what is not there.
func (e *upset) wait(event string) {
	op := e.soon[e.d.below(len(e.soon))]
	o := &e.p.Ops[op]
	o.Earliest, o.Why = e.p.Now+3*day, "kit-head-4, receipt PO-5512, expected in three days"
	if event == "held" {
		o.Why = "held (crack found); expected to go on in three days"
	}
}

// away takes a person from a pool for eight hours, if it has more than the work needs.
func (e *upset) away() {
	most := make([]int, len(e.p.Pools))
	for op := range e.p.Ops {
		for _, n := range e.p.Ops[op].Needs {
			most[n.Pool] = max(most[n.Pool], n.Heads)
		}
	}
	k := e.d.below(len(e.p.Pools))
	pool := &e.p.Pools[k]
	from, to := e.p.Now, e.p.Now.Add(8*hour)
	var out []schedule.Step
	now := 0
	less := func(n int) int { return max(min(n, most[k]), n-1) }
	for _, s := range pool.Heads {
		if s.At >= from && len(out) > 0 && out[len(out)-1].At < from {
			out = append(out, schedule.Step{At: from, N: less(now)})
		}
		if s.At >= to && len(out) > 0 && out[len(out)-1].At < to {
			out = append(out, schedule.Step{At: to, N: now})
		}
		now = s.N
		if s.At >= from && s.At < to {
			s.N = less(s.N)
		}
		out = append(out, s)
	}
	pool.Heads = out
}

// order adds a unit like one that is there, due in six days.
func (e *upset) order() {
	p := e.p
	like := e.d.below(len(p.Units))
	u := len(p.Units)
	p.Units = append(p.Units, schedule.Unit{ID: p.Units[like].ID + "-again", Due: p.Now + 6*day, LateDay: p.Units[like].LateDay})
	jobs, ops := map[int]int{}, map[int]int{}
	for j := range p.Jobs {
		if p.Jobs[j].Unit == like {
			jobs[j] = len(p.Jobs)
			again := p.Jobs[j]
			again.ID, again.Unit = again.ID+"-again", u
			p.Jobs = append(p.Jobs, again)
		}
	}
	for op, n := 0, len(p.Ops); op < n; op++ {
		if j, ok := jobs[p.Ops[op].Job]; ok {
			again := p.Ops[op]
			again.Job, again.State, again.Fixed = j, schedule.ToPlan, schedule.Slot{}
			ops[op] = len(p.Ops)
			p.Ops = append(p.Ops, again)
			p.Adopted = append(p.Adopted, schedule.Slot{Station: schedule.None})
		}
	}
	for i := range p.Jobs {
		if at, ok := jobs[p.Jobs[i].Parent]; ok && p.Jobs[i].Unit == u {
			p.Jobs[i].Parent = at
		}
	}
	for i, n := 0, len(p.Links); i < n; i++ {
		l := p.Links[i]
		from, known := ops[l.From]
		to, ok := ops[l.To]
		if !ok {
			continue
		}
		if l.To = to; known {
			l.From = from
		}
		p.Links = append(p.Links, l)
	}
	last, ok := ops[p.Units[like].Last]
	if !ok {
		last = p.Units[like].Last
	}
	p.Units[u].Last = last
}
