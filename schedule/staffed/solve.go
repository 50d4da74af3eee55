package staffed

import (
	"cmp"
	"context"
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
	Rounds  int // combinations made by each search; 0: no such limit
}

// Result is the best plan found and a bound that no plan is below.
type Result struct {
	Slots   []Slot
	Span    int
	Bound   int     // equal to Span: the plan is proved to be as short as any
	Rounds  int     // combinations made, over all searches
	Seconds float64 // wall time used
}

// Sizes of the population, and steps without a better plan after which a tabu search ends: at most patience, on small instances
// so many for each operation.
const (
	population      = 8
	patience        = 4_000
	patienceForEach = 200
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
	bound := int32(Bound(in))
	var reached atomic.Bool
	stop := func() bool { return ctx.Err() != nil || reached.Load() && o.Rounds == 0 }
	searches := []*breeder{}
	if g.n <= mostProved { // a quick plan that may prove to be the shortest
		quick := newBreeder(g, dice.New(o.Seed*1000), bound, stop)
		quick.breed(1)
		if quick.best.span > bound && proved(in, int(quick.best.span), stop) {
			bound = quick.best.span
		}
		searches = append(searches, quick)
	}
	if len(searches) == 0 || searches[0].best.span > bound {
		var wait sync.WaitGroup
		for w := range max(1, o.Workers) {
			b := newBreeder(g, dice.New(o.Seed*1000+uint64(w)+1), bound, stop)
			searches = append(searches, b)
			wait.Go(func() {
				b.breed(o.Rounds)
				if b.best.span <= bound {
					reached.Store(true)
				}
			})
		}
		wait.Wait()
	}
	r := &Result{Bound: int(bound), Seconds: time.Since(began).Seconds()}
	best := searches[0].best
	for _, b := range searches {
		r.Rounds += b.rounds
		if b.best.span < best.span {
			best = b.best
		}
	}
	r.Slots, r.Span = best.slots(g), int(best.span)
	return r, nil
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
	order  []int32
	free   []int32
	last   []int32
	rounds int
	stop   func() bool
	target int32

	patience int
}

func newBreeder(g *graph, rnd *dice.Dice, target int32, stop func() bool) *breeder {
	return &breeder{g: g, rnd: rnd, t: newTabu(g, rnd, target, stop), best: newPlan(g), child: newPlan(g), keys: make([]float64, g.n),
		order: make([]int32, g.n), free: make([]int32, g.r), last: make([]int32, g.r), stop: stop, target: target,
		patience: min(patience, patienceForEach*g.n)}
}

// breed fills the population, then combines pairs until a limit. When the population has become alike it begins anew with
// the best kept apart.
func (b *breeder) breed(rounds int) {
	b.best.span = 1 << 30
	for !b.over(rounds) {
		b.all = b.all[:0]
		for range population {
			b.scratch()
			b.t.run(b.child, b.patience)
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
			b.t.run(b.child, b.patience)
			b.rounds++
			if stale++; b.keep() {
				stale = 0
			}
			if b.alike() {
				break
			}
		}
	}
}

func (b *breeder) over(rounds int) bool {
	return b.stop() || b.best.span <= b.target || rounds > 0 && b.rounds >= rounds
}

// scratch makes a plan from nothing: operations at random among those that can begin, each in the mode that ends it
// first, now and then in another.
func (b *breeder) scratch() {
	g, p := b.g, b.child
	end, waits := b.t.head, b.t.waits
	b.empty()
	clear(b.free)
	ready := b.order[:0]
	for o := int32(0); o < int32(g.n); o++ {
		if waits[o] = g.preAt[o+1] - g.preAt[o]; waits[o] == 0 {
			ready = append(ready, o)
		}
	}
	for len(ready) > 0 {
		i := b.rnd.Below(len(ready))
		o := ready[i]
		ready[i] = ready[len(ready)-1]
		ready = ready[:len(ready)-1]
		at := int32(0)
		for _, x := range g.pres(o) {
			at = max(at, end[x])
		}
		end[o] = b.put(o, at)
		for _, x := range g.sucs(o) {
			if waits[x]--; waits[x] == 0 {
				ready = append(ready, x)
			}
		}
	}
	p.evaluate(g, waits)
}

// put links o as the last in the mode that ends it first if it is ready at, ties at random; one time in eight in any mode. It gives the end.
func (b *breeder) put(o, at int32) int32 {
	g := b.g
	best, soonest, ties := none, int32(1)<<30, 0
	for k := g.modeAt[o]; k < g.modeAt[o+1]; k++ {
		x := &g.mode[k]
		end := max(at, b.free[x.res[0]], b.free[x.res[1]]) + x.time
		if end < soonest {
			best, soonest, ties = k, end, 1
		} else if end == soonest {
			if ties++; b.rnd.Below(ties) == 0 {
				best = k
			}
		}
	}
	if b.rnd.Below(8) == 0 {
		best = g.modeAt[o] + int32(b.rnd.Below(int(g.modeAt[o+1]-g.modeAt[o])))
	}
	x := &g.mode[best]
	end := max(at, b.free[x.res[0]], b.free[x.res[1]]) + x.time
	b.append(o, best)
	b.free[x.res[0]], b.free[x.res[1]] = end, end
	return end
}

// empty takes all operations off the child; append puts o last in mode k.
func (b *breeder) empty() {
	for r := range b.last {
		b.last[r], b.child.first[r], b.child.last[r] = none, none, none
	}
}

func (b *breeder) append(o, k int32) {
	res := b.g.mode[k].res
	b.child.link(b.g, o, k, [2]int32{b.last[res[0]], b.last[res[1]]})
	b.last[res[0]], b.last[res[1]] = o, o
}

// combine makes a plan between two: each operation's key lies between its begins in both, modes come from either. Since
// begins respect precedence in both, the order of keys does too, so that no circle can arise.
func (b *breeder) combine(x, y *plan) {
	g, p := b.g, b.child
	share := 0.2 + 0.6*b.rnd.Unit()
	for o := range b.keys {
		// The middle of an operation tells apart those of no length, and of equal begin.
		fx := (float64(x.head[o]) + float64(x.dur[o])/2) / float64(max(x.span, 1))
		fy := (float64(y.head[o]) + float64(y.dur[o])/2) / float64(max(y.span, 1))
		b.keys[o] = (1-share)*fx + share*fy
	}
	copy(b.order, g.topo)
	slices.SortStableFunc(b.order, func(a, c int32) int { return cmp.Compare(b.keys[a], b.keys[c]) })
	b.empty()
	for _, o := range b.order {
		from := x
		if b.rnd.Unit() < share {
			from = y
		}
		b.append(o, from.mode[o])
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
	}
	if len(b.all) < population {
		p := newPlan(b.g)
		p.copyFrom(found)
		b.all = append(b.all, p)
		return bettered
	}
	worst := 0
	for i, p := range b.all {
		if p.span == found.span && distance(p, found) < len(p.mode)/20+1 {
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

// distance counts the operations that have another mode or another one before them.
func distance(p, q *plan) int {
	d := 0
	for o := range p.mode {
		if p.mode[o] != q.mode[o] || p.prev[o] != q.prev[o] {
			d++
		}
	}
	return d
}
