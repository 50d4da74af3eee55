package disjunct

import (
	"context"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"tackline/schedule/dice"
	"tackline/schedule/population"
)

// Options say how long to search.
type Options struct {
	Seconds float64 // wall time; 0: no such limit
	Workers int     // searches side by side, each with its own population; below 1 is 1
	Seed    uint64
	Rounds  int // combinations made by each worker; 0: no such limit
}

// Result is the best plan found and a bound that no plan is below.
type Result struct {
	Slots   []Slot
	Span    int
	Bound   int
	Rounds  int     // combinations made, over all workers
	Steps   int64   // moves made, over all workers
	Seconds float64 // wall time used
}

// Sizes of the search, after Peng, Lü and Cheng 2015: their population of 30 and 12,500 steps of patience.
const (
	plans       = 30
	patience    = 12_500
	impatience  = 3_000 // patience at the begin
	patienceFor = 400   // steps that add one to it
)

// Solve searches until a limit or until the plan is as short as the bound. With Rounds as the only limit, the result depends
// on the instance, Seed, Workers and Rounds alone. An error says what is wrong with the instance.
func Solve(ctx context.Context, in *Instance, o Options) (*Result, error) {
	if err := in.Check(); err != nil {
		return nil, err
	}
	began := time.Now()
	if o.Seconds > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, time.Duration(o.Seconds*float64(time.Second)))
		defer cancel()
	}
	g := newGraph(in)
	sh := &shared{ctx: ctx, fixed: o.Rounds > 0}
	sh.best.Store(math.MaxInt32)
	sh.bound.Store(int32(Bound(in)))
	workers := make([]*breeder, max(1, o.Workers))
	var wait sync.WaitGroup
	for w := range workers {
		workers[w] = newBreeder(g, dice.New(o.Seed*1000+uint64(w)+1), sh.bound.Load(), sh)
		if !sh.fixed {
			workers[w].kept = workers[0].kept
		}
		if w == 0 {
			workers[w].prover = newProver(in, sh.stop)
		}
		wait.Go(func() { workers[w].breed(o.Rounds) })
	}
	wait.Wait()
	r := &Result{Seconds: time.Since(began).Seconds(), Bound: int(sh.bound.Load())}
	best := workers[0].kept.Best()
	for _, w := range workers {
		r.Rounds += w.rounds
		r.Steps += w.t.steps
		if x := w.kept.Best(); x.span < best.span {
			best = x
		}
	}
	r.Slots, r.Span = best.slots(), int(best.span)
	return r, nil
}

// shared is what the workers tell each other: the least makespan and the greatest bound. They share a population, too. With a
// fixed number of rounds they do not listen and have a population each, so that none depends on how fast another is.
type shared struct {
	ctx         context.Context
	fixed       bool
	best, bound atomic.Int32
}

func (s *shared) stop() bool {
	return s.ctx.Err() != nil || !s.fixed && s.best.Load() <= s.bound.Load()
}

func (s *shared) found(span int32) {
	for b := s.best.Load(); span < b && !s.best.CompareAndSwap(b, span); b = s.best.Load() {
	}
}

// breeder searches with a population of plans.
type breeder struct {
	g      *graph
	rnd    *dice.Dice
	t      *tabu
	kept   *population.Population[*plan]
	child  *plan
	rounds int
	shared *shared
	target int32   // no plan is shorter
	prover *prover // of one worker
	proved int64   // passes it may make next time
}

func newBreeder(g *graph, rnd *dice.Dice, target int32, sh *shared) *breeder {
	return &breeder{g: g, rnd: rnd, t: newTabu(g, rnd, target, sh.stop), child: newPlan(g), shared: sh, target: target,
		kept: population.New(plans, (g.n+1)/20+1, g.topo, func() *plan { return newPlan(g) })}
}

// breed fills the population, then combines pairs, until a limit. One plan is made in any case.
func (b *breeder) breed(rounds int) {
	b.prove(false)
	for {
		combined := b.kept.Next(b.rnd, b.scratch, b.combine)
		b.improve()
		if combined {
			b.rounds++
			b.prove(true)
		}
		if b.over(rounds) {
			return
		}
	}
}

// improve searches from the child and keeps what is found.
func (b *breeder) improve() {
	b.t.run(b.child, b.patience())
	b.kept.Keep(b.t.best)
	b.shared.found(b.t.best.span)
}

// prove lets one worker spend a small share of its work on a better bound: at the start by propagation alone, then, after
// ever more steps, by trying single operations.
func (b *breeder) prove(shave bool) {
	p := b.prover
	if p == nil || shave && b.t.steps < b.proved {
		return
	}
	high := b.kept.Shortest()
	if shave {
		b.proved = 4 * b.t.steps
		if !b.shared.fixed {
			high = min(high, b.shared.best.Load())
		}
	} else {
		b.scratch()
		high = b.child.span
	}
	b.target = int32(p.raise(int(b.target), int(high), shave, int(b.t.steps)*b.g.n/16))
	b.t.target = b.target
	b.shared.bound.Store(b.target)
}

func (b *breeder) over(rounds int) bool {
	return b.shared.stop() || b.kept.Shortest() <= b.target || rounds > 0 && b.rounds >= rounds
}

// patience grows with the work done: short searches bring a population together soon, long ones better it later.
func (b *breeder) patience() int64 {
	return min(patience, impatience+b.t.steps/patienceFor)
}

// scratch makes a plan from nothing: operations at random among those that can begin, each on the machine that ends it
// first, now and then on another.
func (b *breeder) scratch() {
	g, p := b.g, b.child
	p.clear()
	free := make([]int32, g.m)
	end := make([]int32, g.n+1)
	waits := make([]int32, g.n+1)
	var ready []int32
	for o := int32(1); o <= int32(g.n); o++ {
		if waits[o] = g.preAt[o+1] - g.preAt[o]; waits[o] == 0 {
			ready = append(ready, o)
		}
	}
	for len(ready) > 0 {
		k := b.rnd.Below(len(ready))
		o := ready[k]
		ready[k] = ready[len(ready)-1]
		ready = ready[:len(ready)-1]
		at := int32(0)
		for _, x := range g.pres(o) {
			at = max(at, end[x])
		}
		opts := g.options(o)
		best := opts[0]
		for _, x := range opts[1:] {
			if max(at, free[x.machine])+x.time < max(at, free[best.machine])+best.time {
				best = x
			}
		}
		if b.rnd.Below(8) == 0 {
			best = opts[b.rnd.Below(len(opts))]
		}
		p.put(o, best)
		end[o] = max(at, free[best.machine]) + best.time
		free[best.machine] = end[o]
		for _, x := range g.sucs(o) {
			if waits[x]--; waits[x] == 0 {
				ready = append(ready, x)
			}
		}
	}
	p.evaluate(g, b.t.waits)
}

// combine makes a plan between two, machines from either.
func (b *breeder) combine(x, y *plan) {
	p := b.child
	p.clear()
	for o, from := range b.kept.Between(b.rnd, x, y) {
		p.put(o, option{from.mach[o], from.dur[o]})
	}
	if !p.evaluate(b.g, b.t.waits) { // operations of no length on the way
		p.CopyFrom(population.Shorter(x, y))
	}
}
