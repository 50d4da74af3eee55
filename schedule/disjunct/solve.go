package disjunct

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"tackline/schedule/dice"
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
	population  = 30
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
		if w == 0 {
			workers[w].prover = newProver(in, sh.stop)
		}
		wait.Go(func() { workers[w].breed(o.Rounds) })
	}
	wait.Wait()
	r := &Result{Seconds: time.Since(began).Seconds(), Bound: int(sh.bound.Load())}
	best := workers[0].best
	for _, w := range workers {
		r.Rounds += w.rounds
		r.Steps += w.t.steps
		if w.best.span < best.span {
			best = w.best
		}
	}
	r.Slots, r.Span = best.slots(), int(best.span)
	return r, nil
}

// shared is what the workers tell each other: the least makespan and the greatest bound. With a fixed number of rounds they
// do not listen, so that none depends on how fast another is.
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

// breeder keeps a population of plans.
type breeder struct {
	g      *graph
	rnd    *dice.Dice
	t      *tabu
	all    []*plan
	best   *plan
	child  *plan
	keys   []float64
	rank   []int32
	rounds int
	shared *shared
	target int32   // no plan is shorter
	prover *prover // of one worker
	proved int64   // passes it may make next time
}

func newBreeder(g *graph, rnd *dice.Dice, target int32, sh *shared) *breeder {
	return &breeder{g: g, rnd: rnd, t: newTabu(g, rnd, target, sh.stop), best: newPlan(g), child: newPlan(g), keys: make([]float64, g.n+1),
		rank: make([]int32, g.n), shared: sh, target: target}
}

// breed fills the population, then combines pairs until a limit. When the population has become alike it begins anew with
// the best kept apart.
func (b *breeder) breed(rounds int) {
	b.best.span = 1 << 30
	b.prove(false)
	for !b.over(rounds) {
		b.all = b.all[:0]
		for range population {
			b.scratch()
			b.t.run(b.child, b.patience())
			b.keep()
			if b.over(rounds) {
				return
			}
		}
		for stale := 0; stale < 3*population && !b.over(rounds); {
			i, j := b.rnd.Below(len(b.all)), b.rnd.Below(len(b.all)-1)
			if j >= i {
				j++
			}
			b.combine(b.all[i], b.all[j])
			b.t.run(b.child, b.patience())
			b.rounds++
			if stale++; b.keep() {
				stale = 0
			}
			b.prove(true)
			if b.alike() {
				break
			}
		}
	}
}

// prove lets one worker spend a small share of its work on a better bound: at the start by propagation alone, then, after
// ever more steps, by trying single operations.
func (b *breeder) prove(shave bool) {
	p := b.prover
	if p == nil || shave && b.t.steps < b.proved {
		return
	}
	high := b.best.span
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
	return b.shared.stop() || b.best.span <= b.target || rounds > 0 && b.rounds >= rounds
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

// combine makes a plan between two: each operation's key lies between its begins in both, machines come from either. Since
// begins respect precedence in both, the order of keys does too, so that no circle can arise.
func (b *breeder) combine(x, y *plan) {
	g, p := b.g, b.child
	share := 0.2 + 0.6*b.rnd.Unit()
	for o := 1; o <= g.n; o++ {
		// The middle of an operation tells apart those of no length, and of equal begin.
		fx := (float64(x.end[o]) - float64(x.dur[o])/2) / float64(max(x.span, 1))
		fy := (float64(y.end[o]) - float64(y.dur[o])/2) / float64(max(y.span, 1))
		b.keys[o] = (1-share)*fx + share*fy
	}
	copy(b.rank, g.topo)
	slices.SortStableFunc(b.rank, func(a, c int32) int { return cmp.Compare(b.keys[a], b.keys[c]) })
	p.clear()
	for _, o := range b.rank {
		from := x
		if b.rnd.Unit() < share {
			from = y
		}
		p.put(o, option{from.mach[o], from.dur[o]})
	}
	if !p.evaluate(g, b.t.waits) { // operations of no length on the way: fall back to the better parent
		better := x
		if y.span < x.span {
			better = y
		}
		p.copyFrom(better)
	}
}

// keep puts the plan found by the tabu search into the population, in the place of the worst, unless it is there already.
// It says whether the best was bettered.
func (b *breeder) keep() bool {
	found := b.t.best
	bettered := found.span < b.best.span
	if bettered {
		b.best.copyFrom(found)
		b.shared.found(found.span)
	}
	if len(b.all) < population {
		p := newPlan(b.g)
		p.copyFrom(found)
		b.all = append(b.all, p)
		return bettered
	}
	worst := 0
	for i, p := range b.all {
		if p.span == found.span && distance(p, found) < len(p.mach)/20+1 {
			return bettered
		}
		if p.span > b.all[worst].span {
			worst = i
		}
	}
	if found.span <= b.all[worst].span {
		b.all[worst].copyFrom(found)
	}
	return bettered
}

// alike says whether the whole population has one makespan and little distance.
func (b *breeder) alike() bool {
	for _, p := range b.all[1:] {
		if p.span != b.all[0].span {
			return false
		}
	}
	return distance(b.all[0], b.all[len(b.all)/2]) < len(b.keys)/20+1
}

// distance counts the operations that have another machine or another one before them.
func distance(p, q *plan) int {
	d := 0
	for o := range p.mach {
		if p.mach[o] != q.mach[o] || p.prev[o] != q.prev[o] {
			d++
		}
	}
	return d
}
