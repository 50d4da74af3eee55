package search

import (
	"context"
	"fmt"
	"math"
	"sync"
	"time"

	"tackline/schedule"
)

// runner makes the first plans by rules, has chains improve the best of them, and keeps the best plan.
type runner struct {
	m       *model
	opt     Options
	ctx     context.Context // cancelled by the caller
	timed   context.Context // and by the time allowed
	end     time.Time       // when that is over
	states  []*state
	best    *outcome
	passes  int
	work    int64
	chains  []*chain
	repairs bool    // the adopted plan is only repaired and improved
	from    float64 // the part of the search that was over when the chains began
}

func newRunner(ctx, timed context.Context, m *model, opt Options) *runner {
	r := &runner{m: m, opt: opt, ctx: ctx, timed: timed}
	if r.repairs = r.onlyRepairs(); r.repairs {
		m.move *= repairMoves
	}
	r.end, _ = timed.Deadline()
	for range max(1, opt.Workers) {
		r.states = append(r.states, newState(m))
	}
	return r
}

// outcome is the plan of a pass.
type outcome struct {
	number int
	name   string
	done   bool // it ran to its end
	cost   cost
	slots  []schedule.Slot
	left   []schedule.Left
}

// better says whether a is to be kept rather than b.
func (a *outcome) better(b *outcome) bool {
	switch {
	case b == nil || a.done != b.done:
		return b == nil || a.done
	case a.cost.left != b.cost.left || math.Abs(a.cost.money-b.cost.money) > 0.01: // sums differ by how they were added up
		return a.cost.less(b.cost)
	}
	return a.number < b.number
}

// build makes the first plans, one by each rule, and keeps the best.
func (r *runner) build() {
	rules := r.rules()
	r.passes = len(rules)
	todo := make(chan int)
	results := make(chan *outcome)
	var wg sync.WaitGroup
	for _, s := range r.states[:min(len(r.states), len(rules))] {
		wg.Go(func() {
			for k := range todo {
				results <- r.pass(s, &rules[k], k)
			}
		})
	}
	go func() {
		for k := range rules {
			todo <- k
		}
		close(todo)
		wg.Wait()
		close(results)
	}()
	plans := make([]*outcome, len(rules))
	n := 0
	for out := range results {
		n++
		if out == nil {
			continue
		}
		plans[out.number] = out
		if out.better(r.best) {
			r.best = out
		}
		r.report(n)
	}
	if first := plans[0]; r.repairs && !r.best.muchBetter(first) {
		r.best = first
	}
}

// upset is the part of the cost of a repaired plan below which another takes its place: then the event has upset so much that
// little is left worth keeping.
const upset = 0.9

// muchBetter says whether a is so much better than the repaired plan b that it may take its place.
func (a *outcome) muchBetter(b *outcome) bool {
	return b == nil || !b.done || a.cost.left < b.cost.left || a.cost.left == b.cost.left && a.cost.money < upset*b.cost.money
}

// repairTime is the time, in seconds, below which a search only repairs and improves the adopted plan; with more of it, it
// also tries plans from nothing.
const repairTime = 15

// repairMoves is how many times its cost a move inside the freeze window must gain when a plan is only repaired: people have been told
// where their work is, and the little time finds many changes that hardly pay.
const repairMoves = 2

// onlyRepairs says whether there is time only to repair and improve the adopted plan.
func (r *runner) onlyRepairs() bool {
	return r.m.hasAdopted() && (r.opt.Seconds > 0 && r.opt.Seconds < repairTime || r.opt.Work > 0 && r.opt.Work < 50*max(1, int64(len(r.m.ops))))
}

// rules gives the rules of the first plans, as many as the work allows, at least one, and books their work. Where there is
// an adopted plan, that plan repaired comes first: once with everything else where it is, and once in its order, with what
// comes after a loss of time put back, which is better where the loss is at a busy station. When little time or work is
// given, these and one from nothing are the only ones.
func (r *runner) rules() []rule {
	rules := firstRules()
	each := max(1, int64(len(r.m.ops)))
	if r.m.hasAdopted() {
		rules = append([]rule{
			{name: "the adopted plan, repaired", index: byAdopted, setupBias: 1, patience: 1, keep: true, all: true},
			{name: "the order of the adopted plan", index: byAdopted, setupBias: 1, patience: 1, keep: true},
		}, rules...)
		if r.repairs {
			rules = rules[:3]
		}
	}
	if r.opt.Work > 0 {
		n := (r.opt.Work + each - 1) / each
		rules = rules[:min(int64(len(rules)), max(1, n))]
	}
	r.work += each * int64(len(rules))
	return rules
}

// hasAdopted says whether the adopted plan has a place for any operation that is to be planned.
func (m *model) hasAdopted() bool {
	for o, a := range m.p.Adopted {
		if a.Station != schedule.None && !m.ops[o].fixed {
			return true
		}
	}
	return false
}

// report tells how many rules have made their plans.
func (r *runner) report(n int) {
	if r.opt.Progress == nil {
		return
	}
	done := float64(n) / float64(r.passes)
	switch {
	case r.opt.Work > 0:
		done = float64(n*len(r.m.ops)) / float64(r.opt.Work)
	case r.opt.Seconds > 0:
		done = r.elapsedAt(time.Now())
	}
	r.opt.Progress(min(1, done), fmt.Sprintf("plan %d: %s, cost %.0f", n, r.best.name, r.best.cost.money/100))
}

// pass makes one plan. The first pass of all goes on when the time is up, so that there is a plan; others give nil if
// they are stopped.
func (r *runner) pass(s *state, rule *rule, number int) *outcome {
	ctx := r.timed
	if number == 0 {
		ctx = r.ctx
	}
	if number > 0 && ctx.Err() != nil {
		return nil
	}
	s.reset(rule)
	done := s.construct(func() bool { return ctx.Err() != nil })
	if !done && number > 0 {
		return nil
	}
	out := &outcome{number: number, name: rule.name, done: done, cost: s.cost()}
	out.slots, out.left = s.result()
	return out
}

// construct plans everything by the rule of the pass. It gives false if stopped.
func (s *state) construct(stop func() bool) bool {
	if s.rule.keep {
		s.keepAdopted()
	}
	done := false
	if s.rule.dispatch {
		done = s.dispatch(stop)
	} else {
		done = s.serial(stop)
	}
	if done {
		s.polish()
	}
	return done
}
