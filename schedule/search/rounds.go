package search

import (
	"context"
	"fmt"
	"math"
	"sync"
	"time"

	"tackline/schedule"
)

// roundSize is the number of passes in a round. All passes of a round start from the same best plan, so that the result
// does not depend on the number of workers.
const roundSize = 8

// runner makes rounds of passes and keeps the best plan.
type runner struct {
	m      *model
	opt    Options
	ctx    context.Context // cancelled by the caller
	timed  context.Context // and by the time allowed
	states []*state
	best   *outcome
	base   *outcome  // what the next round changes: the best, or one a little dearer
	stale  int       // rounds since the best plan was found
	lag    []float64 // by unit: seconds by which it is put forward in order, learnt from how late it was
	rounds int
	passes int
	work   int64
}

func newRunner(ctx, timed context.Context, m *model, opt Options) *runner {
	r := &runner{m: m, opt: opt, ctx: ctx, timed: timed, lag: make([]float64, len(m.p.Units))}
	for range max(1, opt.Workers) {
		r.states = append(r.states, newState(m))
	}
	return r
}

// outcome is the plan of a pass.
type outcome struct {
	number int
	rule   rule
	done   bool // it ran to its end
	cost   cost
	slots  []schedule.Slot // nil if it is no better than the best plan
	left   []schedule.Left
	keys   []float64 // by operation: the order it was made in
}

// better says whether a is to be kept rather than b.
func (a *outcome) better(b *outcome) bool {
	switch {
	case b == nil || a.done != b.done:
		return b == nil || a.done
	case a.cost != b.cost:
		return a.cost.less(b.cost)
	}
	return a.number < b.number
}

// round makes the passes of one round on all workers and keeps the best plan.
func (r *runner) round() {
	rules := r.rules()
	todo := make(chan int)
	results := make(chan *outcome)
	var wg sync.WaitGroup
	for _, s := range r.states[:min(len(r.states), len(rules))] {
		wg.Go(func() {
			for k := range todo {
				results <- r.pass(s, &rules[k], r.passes+k)
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
	var best *outcome
	n := 0
	for out := range results {
		n++
		if out == nil {
			continue
		}
		if out.better(best) {
			best = out
		}
		r.report(n, best)
	}
	r.accept(best)
	r.passes += len(rules)
	r.rounds++
}

// patienceRounds is the number of rounds that find nothing better after which the search goes on from another plan.
const patienceRounds = 10

// accept keeps the best plan of a round if it is the best of all, and decides what the next round changes: the best plan of
// this round even if it is a little dearer, so that the search leaves plans that no small change betters (threshold
// accepting: Dueck and Scheuer 1990). When nothing helps for long, it goes on by turns from the best plan and from the
// plan of this round, whatever it costs.
func (r *runner) accept(out *outcome) {
	r.stale++
	switch {
	case out == nil:
	case out.better(r.best) && out.slots != nil:
		r.best, r.base, r.stale = out, out, 0
	case !out.done || out.cost.left != r.base.cost.left:
	case r.stale%(2*patienceRounds) == patienceRounds || out.cost.money <= r.base.cost.money*(1+r.threshold()):
		r.base = out
	}
	if r.stale > 0 && r.stale%(2*patienceRounds) == 0 {
		r.base = r.best
	}
}

// threshold is the part by which the next base may be dearer, mostly little.
func (r *runner) threshold() float64 {
	d := dice{r.opt.Seed ^ uint64(r.rounds)}
	return 0.03 * math.Pow(d.unit(), 3)
}

// rules gives the rules of the next round, as many as the work left allows, at least one, and books their work.
func (r *runner) rules() []rule {
	var rules []rule
	if r.rounds == 0 {
		rules = firstRules()
	} else {
		rules = r.changes()
	}
	each := max(1, int64(len(r.m.ops)))
	if r.opt.Work > 0 {
		n := (r.opt.Work - r.work + each - 1) / each
		rules = rules[:min(int64(len(rules)), max(1, n))]
	}
	r.work += each * int64(len(rules))
	return rules
}

// report tells how far the search is.
func (r *runner) report(n int, best *outcome) {
	if r.opt.Progress == nil {
		return
	}
	done := float64(n) / roundSize
	switch {
	case r.opt.Work > 0:
		each := float64(max(1, len(r.m.ops)))
		done = min(1, float64(r.passes+n)*each/float64(r.opt.Work))
	case r.opt.Seconds > 0:
		done = r.elapsed()
	}
	if r.best != nil && !best.better(r.best) {
		best = r.best
	}
	r.opt.Progress(done, fmt.Sprintf("pass %d: %s, cost %.0f", r.passes+n, best.rule.name, best.cost.money/100))
}

// elapsed gives the part of the time allowed that is over.
func (r *runner) elapsed() float64 {
	end, _ := r.timed.Deadline()
	return min(1, max(0, 1-time.Until(end).Seconds()/r.opt.Seconds))
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
	stop := func() bool { return ctx.Err() != nil }
	s.reset(rule)
	done := s.construct(stop)
	if done && rule.backward {
		again := *rule
		again.index, again.dispatch, again.noise, again.keys = byKeys, false, 0, s.justify()
		s.reset(&again)
		done = s.construct(stop)
	}
	if !done && number > 0 {
		return nil
	}
	out := &outcome{number: number, rule: *rule, done: done, cost: s.cost(), keys: s.keys}
	s.keys = nil
	if r.best == nil || !done || out.cost.less(r.best.cost) {
		out.slots, out.left = s.result()
	}
	return out
}

// construct plans everything by the rule of the pass. It gives false if stopped.
func (s *state) construct(stop func() bool) bool {
	if s.keys == nil {
		s.keys = make([]float64, len(s.m.ops))
	}
	for o := range s.keys { // what is kept in place gets no other key
		s.keys[o] = float64(s.m.aims[o].meets)
	}
	if s.rule.keep {
		s.keepAdopted()
	}
	done := false
	if s.rule.dispatch {
		done = s.dispatch(stop)
		s.noteBegins()
	} else {
		done = s.serial(stop)
	}
	if done {
		s.polish()
	}
	return done
}

// noteBegins makes the begin of each operation its key, so that a later pass can follow the order of this one.
func (s *state) noteBegins() {
	for o := range s.keys {
		s.keys[o] = float64(s.m.p.Horizon)
		if lead := s.leader[o]; lead != none {
			s.keys[o] = float64(s.visits[lead].load)
		}
	}
}
