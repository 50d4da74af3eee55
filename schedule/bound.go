package schedule

import (
	"math"

	"tackline/plant"
)

// Bound gives a cost that no plan is below: the lateness of each unit if every operation could begin as soon as what it needs
// is there, on its quickest station, with nobody else in the way. It is the length of the longest path through the
// links (Kelley and Walker, "Critical-Path Planning and Scheduling", 1959), with calendars, crews' hours and trucks counted and
// capacity, changeovers, batches and waiting left out. Those can only add, so the bound is valid.
func Bound(p *Problem) plant.Money {
	e := earliest{p: p, r: read(p, fixedSlots(p)), end: make([]plant.Time, len(p.Ops)), run: make([]plant.Time, len(p.Ops))}
	e.all()
	var cost float64
	for i := range p.Units {
		u := &p.Units[i]
		if u.Last < 0 || u.Last >= len(p.Ops) {
			continue
		}
		if late := min(e.end[u.Last], p.Horizon).Sub(u.Due); late > 0 { // what is left counts as late until the horizon
			cost += float64(u.LateDay) * late.Hours() / 24
		}
	}
	return plant.Money(math.Floor(cost))
}

func fixedSlots(p *Problem) []Slot {
	slots := make([]Slot, len(p.Ops))
	for i := range slots {
		slots[i].Station = None
	}
	return slots
}

// earliest works out when each operation could be over at the earliest.
type earliest struct {
	p   *Problem
	r   *reading
	end []plant.Time
	run []plant.Time // earliest begin of the run
}

// all goes through the operations in the order of the links.
func (e *earliest) all() {
	n := len(e.p.Ops)
	waits := make([]int, n)
	after := make([][]int, n)
	into := make([][]int, n)
	for i := range e.p.Links {
		l := &e.p.Links[i]
		waits[l.To]++
		after[l.From] = append(after[l.From], i)
		into[l.To] = append(into[l.To], i)
	}
	var ready []int
	for o := range waits {
		if waits[o] == 0 {
			ready = append(ready, o)
		}
	}
	for len(ready) > 0 {
		o := ready[len(ready)-1]
		ready = ready[:len(ready)-1]
		e.one(o, into[o])
		for _, i := range after[o] {
			if to := e.p.Links[i].To; waits[to] > 0 {
				if waits[to]--; waits[to] == 0 {
					ready = append(ready, to)
				}
			}
		}
	}
}

func (e *earliest) one(o int, into []int) {
	op := &e.p.Ops[o]
	if op.State != ToPlan {
		e.run[o], e.end[o] = op.Fixed.Run, op.Fixed.End
		return
	}
	begin, last := max(e.p.Now, op.Earliest), plant.Time(0)
	for _, i := range into {
		l := &e.p.Links[i]
		begin = max(begin, e.p.carried(l, e.passed(l)))
		last = max(last, e.p.carried(l, e.end[l.From]))
	}
	e.run[o], e.end[o] = plant.Never, plant.Never
	for i := range op.Can {
		run, end := e.on(op, &op.Can[i], begin)
		e.run[o], e.end[o] = min(e.run[o], run), min(e.end[o], end)
	}
	e.end[o] = max(e.end[o], last)
}

// passed gives the earliest instant at which From can have passed on its first lot.
func (e *earliest) passed(l *Link) plant.Time {
	if l.Transfer <= 0 || l.Pieces <= l.Transfer || len(e.p.Ops[l.From].Can) == 0 {
		return e.end[l.From]
	}
	if e.p.Ops[l.From].State != ToPlan {
		if e.r.turnOf[l.From] == None {
			return e.end[l.From]
		}
		run := &e.r.turns[e.r.turnOf[l.From]].parts[inRun]
		return min(e.end[l.From], run.finished(portion(l, 1, run.work)))
	}
	least := plant.Seconds(math.MaxInt64)
	for _, a := range e.p.Ops[l.From].Can {
		least = min(least, portion(l, 1, a.Run))
	}
	return min(e.end[l.From], e.run[l.From].Add(least)) // closed time left out: it can only add
}

// on gives the earliest begin of the run and end of an operation that begins at t or later on a station.
func (e *earliest) on(op *Op, a *Alternative, t plant.Time) (run, end plant.Time) {
	loads := e.r.siteOf(a.Station, op.Needs, OnLoad)
	run = after(loads, t, a.Load)
	switch {
	case op.Closed == Through && a.Run > 0:
		run = e.r.siteOf(a.Station, nil, OnRun).open.Next(run)
		end = run.Add(a.Run)
	case op.Closed == Whole && a.Run > 0:
		runs := e.r.siteOf(a.Station, op.Needs, OnRun)
		run = runs.open.Fit(run, a.Run)
		end = run.Add(a.Run)
	default:
		runs := e.r.siteOf(a.Station, op.Needs, OnRun)
		if a.Run > 0 {
			run = runs.open.Next(run)
		}
		end = after(runs, run, a.Run)
	}
	return run, min(after(loads, end, a.Unload), plant.Never)
}

// after gives the earliest end of work that begins at t or later.
func after(s *site, t plant.Time, work plant.Seconds) plant.Time {
	if work <= 0 || t >= plant.Never {
		return min(t, plant.Never)
	}
	return s.open.Add(t, work)
}
