package search

import (
	"context"
	"fmt"
	"time"

	"tackline/schedule"
)

// Options say how long and how to search.
type Options struct {
	Seconds  float64                         // stop after so many seconds, once a plan is there; 0: no such limit
	Workers  int                             // passes made at the same time; below 1 is 1
	Seed     uint64                          // of random choices
	Work     int64                           // stop once so many operations have been planned, over all passes; 0: see Run
	Progress func(done float64, text string) // called now and then by one goroutine, done from 0 to 1; may be nil
}

// Run makes a plan for p: first by the rules of firstRules, or from the adopted plan if p has one, then, while Work and
// Seconds last, by ruin and recreate; see chain. With neither limit it stops after the rules.
//
// The plan depends on p, Seed, Workers and Work only, unless Seconds or ctx stop the search early. When ctx is
// cancelled it gives the best plan so far; if none was complete, what there is, with status Stopped. An error means that
// p has no meaning, and is a fault.List.
func Run(ctx context.Context, p *schedule.Problem, opt Options) (*schedule.Plan, error) {
	m, err := newModel(p)
	if err != nil {
		return nil, err
	}
	timed := ctx
	if opt.Seconds > 0 {
		var cancel context.CancelFunc
		timed, cancel = context.WithTimeout(ctx, time.Duration(opt.Seconds*float64(time.Second)))
		defer cancel()
	}
	r := newRunner(ctx, timed, m, opt)
	r.build()
	if r.more() && r.best.done {
		r.improve()
	}
	return r.plan(), nil
}

// more says whether another round may be made.
func (r *runner) more() bool {
	if r.timed.Err() != nil || len(r.m.ops) == 0 {
		return false
	}
	if r.opt.Work > 0 {
		return r.work < r.opt.Work
	}
	return r.opt.Seconds > 0
}

// plan writes down the best plan.
func (r *runner) plan() *schedule.Plan {
	b := r.best
	plan := &schedule.Plan{Slots: b.slots, Left: b.left, Status: schedule.Complete, Seed: r.opt.Seed, Work: r.work,
		Rule: fmt.Sprintf("%s; best of %d plans", b.name, r.passes)}
	if steps := r.steps(); steps > 0 {
		plan.Rule = fmt.Sprintf("%s (%d first plans, %d changes tried)", b.name, r.passes, steps)
	}
	switch {
	case !b.done:
		plan.Status = schedule.Stopped
	case len(b.left) > 0:
		plan.Status = schedule.Incomplete
	}
	return plan
}

// result writes the plan of a pass down.
func (s *state) result() (slots []schedule.Slot, left []schedule.Left) {
	slots = make([]schedule.Slot, len(s.m.ops))
	for o := range slots {
		lead := s.leader[o]
		switch {
		case s.m.ops[o].fixed:
			slots[o] = s.m.p.Ops[o].Fixed
		case lead == none:
			slots[o].Station = schedule.None
			why := s.left[o]
			if why == "" {
				why = "stopped before it was planned"
			}
			left = append(left, schedule.Left{Op: o, Why: why})
		default:
			v := &s.visits[lead]
			slots[o] = schedule.Slot{Station: int(v.station), Setup: v.setup, Load: v.load, Run: v.run, Unload: v.unload, End: v.end}
			if v.takes == schedule.Batch {
				slots[o].Batch = s.m.maxBatch + 1 + int(lead)
			}
		}
	}
	return slots, left
}
