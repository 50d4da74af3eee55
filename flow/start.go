package flow

import (
	"context"
	"sync"

	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
)

// A search that goes on from a plan keeps its slots wherever they still hold. Work that was moved by hand would be left the gaps
// that nobody else wants. So several starts are made, in each of which it goes first and others have to make room: only what is
// in its way, all that comes later on its station, or all that comes later anywhere, put anew in the old order. The cheapest of
// the plans that come of them is what the search begins from. Of 92 trials of a second on the demo plant, with pins a day earlier
// or later and stations forbidden, eight were more than 1 % dearer without it, up to 16 %, and six with it, up to 4 %; in the mean
// the plan was 0.4 % cheaper by it.

// reach says how much makes room for work that was moved by hand.
type reach uint8

const (
	nothing reach = iota // all slots are kept that hold
	inTheWay
	laterThere
	laterAnywhere
)

// largePlan is the number of operations from which fewer starts are made: a planner waits.
const largePlan = 10_000

// start gives the slots that a search of p begins from.
func start(ctx context.Context, p *schedule.Problem, before []schedule.Slot) []schedule.Slot {
	moved := broken(p, before)
	if len(moved) == 0 {
		return before
	}
	reaches := []reach{nothing, inTheWay, laterThere, laterAnywhere}
	if len(p.Ops) > largePlan { // the two that serve most
		reaches = []reach{inTheWay, laterAnywhere}
	}
	plans := make([]*schedule.Plan, len(reaches))
	var wait sync.WaitGroup
	for i, r := range reaches {
		wait.Go(func() {
			q := *p
			q.Adopted = loosened(p, before, moved, r)
			plans[i], _ = search.Run(ctx, &q, search.Options{Workers: 1, Seed: 1, Work: 1})
		})
	}
	wait.Wait()
	best, cost := before, plant.Money(0)
	left := len(p.Ops) + 1
	for _, plan := range plans {
		if plan == nil || plan.Status == schedule.Stopped {
			continue
		}
		if total := schedule.Measure(p, plan).Total; len(plan.Left) < left || len(plan.Left) == left && total < cost {
			best, cost, left = plan.Slots, total, len(plan.Left)
		}
	}
	return best
}

// broken gives the operations whose slots are where they must not be, begin too early, or begin later than they are pinned to.
func broken(p *schedule.Problem, before []schedule.Slot) (ops []int) {
	for i := range before {
		x, o := &before[i], &p.Ops[i]
		if x.Station == schedule.None || o.State != schedule.ToPlan {
			continue
		}
		able := false
		for _, a := range o.Can {
			able = able || a.Station == x.Station
		}
		if !able || x.Load < o.Earliest || o.Pinned != 0 && x.Load >= o.Pinned+60 {
			ops = append(ops, i)
		}
	}
	return ops
}

// loosened gives the slots before with room made for what was moved. A loose slot keeps its place in the order of the plan, but
// no plan can keep its times.
func loosened(p *schedule.Problem, before []schedule.Slot, moved []int, r reach) []schedule.Slot {
	if r == nothing {
		return before
	}
	s := &starter{p: p, slots: append([]schedule.Slot(nil), before...), before: before, into: map[int][]int{}}
	for _, l := range p.Links {
		s.into[l.To] = append(s.into[l.To], l.From)
	}
	for _, op := range moved {
		s.room(op, r)
	}
	for _, op := range moved { // before all that was loosened
		s.first(op)
	}
	return s.slots
}

type starter struct {
	p             *schedule.Problem
	slots, before []schedule.Slot
	into          map[int][]int // operations before each
}

// room loosens what is in the way of a moved operation, as far as reach says, and puts to the front what comes before it and ends too
// late.
func (s *starter) room(op int, r reach) {
	o := &s.p.Ops[op]
	from := s.before[op].Load
	if o.Pinned != 0 || from < o.Earliest {
		from = max(o.Earliest, o.Pinned)
	}
	to := from.Add(s.before[op].End.Sub(s.before[op].Load) + margin)
	on := map[int]bool{}
	for _, a := range o.Can {
		st := &s.p.Stations[a.Station]
		one := st.Takes == schedule.One || st.Takes == schedule.Batch
		on[a.Station] = one && (len(o.Can) == 1 || a.Station == s.before[op].Station)
	}
	for i := range s.slots {
		x := &s.before[i]
		if i == op || x.Station == schedule.None || s.p.Ops[i].State != schedule.ToPlan || x.End <= from.Add(-o.Setup-margin) {
			continue
		}
		if r == laterAnywhere || on[x.Station] && (r == laterThere || x.Setup < to) {
			loosen(&s.slots[i], x.Load)
		}
	}
	s.earlier(op, from)
}

// margin is left for changeovers on both sides of a moved operation.
const margin = 3600

// earlier puts what must be done before an operation, and ends after it is to begin, to the front.
func (s *starter) earlier(op int, by plant.Time) {
	for _, i := range s.into[op] {
		if x := &s.before[i]; x.Station != schedule.None && s.p.Ops[i].State == schedule.ToPlan && x.End > by && s.slots[i].End > s.p.Now {
			s.first(i)
			s.earlier(i, by.Add(-x.End.Sub(x.Load)))
		}
	}
}

func (s *starter) first(op int) { loosen(&s.slots[op], s.p.Now) }

// loosen leaves a slot the place in the order that begin gives it, and no time for its work.
func loosen(x *schedule.Slot, begin plant.Time) {
	x.Load, x.Run, x.Unload, x.End = begin, begin, begin, begin
}
