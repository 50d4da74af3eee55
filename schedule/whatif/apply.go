package whatif

import (
	"math"
	"slices"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// Apply gives a copy of a problem with a change. The copy shares what the change leaves alone. A split adds operations, jobs
// and links at the end; everything else keeps its indexes.
func Apply(p *schedule.Problem, c *Change) *schedule.Problem {
	q := *p
	switch c.Kind {
	case Overtime:
		overtime(&q, c)
	case Person:
		q.Pools = slices.Clone(p.Pools)
		q.Pools[c.Pool].Heads = more(p.Pools[c.Pool].Heads, c.From, c.Until, 1, true)
	case Sooner:
		q.Ops = slices.Clone(p.Ops)
		for _, op := range append([]int{c.Op}, c.With...) {
			q.Ops[op].Earliest, q.Ops[op].Why = max(c.Until, p.Now), ""
		}
	case Swap:
		q.Ops = slices.Clone(p.Ops)
		o := &q.Ops[c.Op]
		o.Pinned, o.Earliest = c.From, max(o.Earliest, c.From)
		i := slices.IndexFunc(o.Can, func(a schedule.Alternative) bool { return a.Station == c.Station })
		o.Can = o.Can[i : i+1 : i+1]
	case Split:
		split(&q, c)
	case Priority:
		q.Units = slices.Clone(p.Units)
		q.Units[c.Unit].LateDay = plant.Money(math.Round(float64(q.Units[c.Unit].LateDay) * c.Factor))
	}
	return &q
}

// Loosen gives a copy of q, a problem with a change, for the search to begin from: the unit's own work keeps no place in the
// adopted plan, so that it is put in anew where the change makes room; what a swap goes before stays behind it. Every plan of
// the copy is a plan of q.
func Loosen(q *schedule.Problem, c *Change) *schedule.Problem {
	l := *q
	l.Adopted = slices.Clone(q.Adopted)
	for op := range q.Ops {
		if q.Ops[op].State == schedule.ToPlan && (q.Jobs[q.Ops[op].Job].Unit == c.Unit || c.Kind == Swap && op == c.Behind) {
			l.Adopted[op] = schedule.Slot{Station: schedule.None}
		}
	}
	if c.Kind == Swap {
		l.Ops = slices.Clone(q.Ops)
		way := &l.Ops[c.Op].Can[0]
		b := &l.Ops[c.Behind]
		b.Earliest = max(b.Earliest, c.From.Add(way.Load+way.Run+way.Unload))
	}
	return &l
}

func overtime(q *schedule.Problem, c *Change) {
	q.Stations, q.Pools = slices.Clone(q.Stations), slices.Clone(q.Pools)
	window := calendar.Make([]calendar.Span{{From: c.From, To: c.Until}})
	st := &q.Stations[c.Station]
	st.Overtime = calendar.Union(st.Overtime, calendar.Without(window, st.Open))
	st.Open = calendar.Union(st.Open, window)
	for _, n := range c.Crew {
		q.Pools[n.Pool].Heads = more(q.Pools[n.Pool].Heads, c.From, c.Until, n.Heads, false)
	}
}

// more adds heads in a window, where somebody is there already or everywhere.
func more(steps []schedule.Step, from, until plant.Time, heads int, present bool) []schedule.Step {
	var out []schedule.Step
	put := func(at plant.Time, n int) {
		if at >= from && at < until && (n > 0 || !present) {
			n += heads
		}
		if len(out) == 0 || out[len(out)-1].N != n {
			out = append(out, schedule.Step{At: at, N: n})
		}
	}
	now := 0
	todo := []plant.Time{from, until}
	for _, s := range steps {
		for len(todo) > 0 && todo[0] <= s.At {
			if todo[0] < s.At {
				put(todo[0], now)
			}
			todo = todo[1:]
		}
		now = s.N
		put(s.At, now)
	}
	for _, at := range todo {
		put(at, now)
	}
	return out
}

// hours gives the time in a window in which a pool has somebody.
func presence(steps []schedule.Step, from, until plant.Time) plant.Seconds {
	var sum plant.Seconds
	for i, s := range steps {
		end := until
		if i+1 < len(steps) {
			end = min(end, steps[i+1].At)
		}
		if begin := max(s.At, from); s.N > 0 && begin < end {
			sum += end.Sub(begin)
		}
	}
	return sum
}

// split takes pieces off the job of an operation into a job of their own, which goes through the same operations.
func split(q *schedule.Problem, c *Change) {
	job := q.Ops[c.Op].Job
	all := q.Jobs[job].Pieces
	q.Jobs, q.Ops, q.Links, q.Adopted = slices.Clone(q.Jobs), slices.Clone(q.Ops), slices.Clone(q.Links), slices.Clone(q.Adopted)
	part := q.Jobs[job]
	part.ID, part.Pieces = part.ID+"+b", c.Pieces
	q.Jobs = append(q.Jobs, part)
	q.Jobs[job].Pieces = all - c.Pieces
	for _, at := range []int{job, len(q.Jobs) - 1} {
		q.Jobs[at].Value = q.Jobs[at].Value * plant.Money(q.Jobs[at].Pieces) / plant.Money(all)
	}
	like := map[int]int{}
	for i, n := 0, len(q.Ops); i < n; i++ {
		if q.Ops[i].Job != job {
			continue
		}
		like[i] = len(q.Ops)
		o := share(q, q.Ops[i], c.Pieces, all)
		o.Job = len(q.Jobs) - 1
		q.Ops = append(q.Ops, o)
		q.Ops[i] = share(q, q.Ops[i], all-c.Pieces, all)
		if q.Adopted != nil {
			q.Adopted = append(q.Adopted, schedule.Slot{Station: schedule.None})
		}
	}
	splitLinks(q, like, all, c.Pieces)
}

// splitLinks gives the part links like those of its job.
func splitLinks(q *schedule.Problem, like map[int]int, all, pieces int) {
	lots := func(l *schedule.Link, n int) {
		if l.Transfer > 0 {
			if l.Pieces = n; l.Transfer >= n {
				l.Transfer, l.Pieces = 0, 0
			}
		}
	}
	for i, n := 0, len(q.Links); i < n; i++ {
		l := q.Links[i]
		from, out := like[l.From]
		to, in := like[l.To]
		if !out && !in {
			continue
		}
		if out {
			l.From = from
		}
		if in {
			l.To = to
		}
		if out && in {
			lots(&l, pieces)
			lots(&q.Links[i], all-pieces)
		}
		q.Links = append(q.Links, l)
	}
}

// share gives an operation for some of its pieces: on stations that take one thing at a time its times are shared, elsewhere
// only what it takes of the room.
func share(q *schedule.Problem, o schedule.Op, pieces, all int) schedule.Op {
	part := func(d plant.Seconds) plant.Seconds {
		return (d*plant.Seconds(pieces) + plant.Seconds(all) - 1) / plant.Seconds(all)
	}
	o.Can = slices.Clone(o.Can)
	for i := range o.Can {
		a := &o.Can[i]
		if st := &q.Stations[a.Station]; st.Takes != schedule.One {
			continue
		} else if st.Pallets >= 2 {
			a.Run, a.Beside = part(a.Run), part(a.Beside)
			continue
		}
		a.Load, a.Run, a.Unload = part(a.Load), part(a.Run), part(a.Unload)
	}
	o.Size = (o.Size*plant.Qty(pieces) + plant.Qty(all) - 1) / plant.Qty(all)
	return o
}
