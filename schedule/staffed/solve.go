package staffed

import (
	"context"
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
	plans           = 8
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
		if x := quick.kept.Shortest(); x > bound && proved(in, int(x), stop) {
			bound = x
		}
		searches = append(searches, quick)
	}
	if len(searches) == 0 || searches[0].kept.Shortest() > bound {
		var wait sync.WaitGroup
		for w := range max(1, o.Workers) {
			b := newBreeder(g, dice.New(o.Seed*1000+uint64(w)+1), bound, stop)
			if w > 0 && o.Rounds == 0 { // else no search listens to another, so that none depends on how fast another is
				b.kept = searches[len(searches)-1].kept
			}
			searches = append(searches, b)
			wait.Go(func() {
				b.breed(o.Rounds)
				if b.kept.Shortest() <= bound {
					reached.Store(true)
				}
			})
		}
		wait.Wait()
	}
	r := &Result{Bound: int(bound), Seconds: time.Since(began).Seconds()}
	best := searches[0].kept.Best()
	for _, b := range searches {
		r.Rounds += b.rounds
		if x := b.kept.Best(); x.span < best.span {
			best = x
		}
	}
	r.Slots, r.Span = best.slots(g), int(best.span)
	return r, nil
}

// breeder searches with a population of plans.
type breeder struct {
	g          *graph
	rnd        *dice.Dice
	t          *tabu
	kept       *population.Population[*plan]
	child      *plan
	ready      []int32 // scratch
	free, last []int32 // of the child being made: by resource, from when on it is free, and its last operation
	rounds     int
	stop       func() bool
	target     int32 // no plan is shorter
	patience   int
}

func newBreeder(g *graph, rnd *dice.Dice, target int32, stop func() bool) *breeder {
	return &breeder{g: g, rnd: rnd, t: newTabu(g, rnd, target, stop), child: newPlan(g), ready: make([]int32, g.n), free: make([]int32, g.r),
		last: make([]int32, g.r), stop: stop, target: target, patience: min(patience, patienceForEach*g.n),
		kept: population.New(plans, g.n/20+1, g.topo, func() *plan { return newPlan(g) })}
}

// breed fills the population, then combines pairs, until a limit. One plan is made in any case.
func (b *breeder) breed(rounds int) {
	for {
		combined := b.kept.Next(b.rnd, b.scratch, b.combine)
		b.improve()
		if combined {
			b.rounds++
		}
		if b.over(rounds) {
			return
		}
	}
}

// improve searches from the child and keeps what is found.
func (b *breeder) improve() {
	b.t.run(b.child, b.patience)
	b.kept.Keep(b.t.best)
}

func (b *breeder) over(rounds int) bool {
	return b.stop() || b.kept.Shortest() <= b.target || rounds > 0 && b.rounds >= rounds
}

// scratch makes a plan from nothing: operations at random among those that can begin, each in the mode that ends it
// first, now and then in another.
func (b *breeder) scratch() {
	g, p := b.g, b.child
	end, waits := b.t.head, b.t.waits
	b.empty()
	clear(b.free)
	ready := b.ready[:0]
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

// combine makes a plan between two, modes from either.
func (b *breeder) combine(x, y *plan) {
	p := b.child
	b.empty()
	for o, from := range b.kept.Between(b.rnd, x, y) {
		b.append(o, from.mode[o])
	}
	if !p.evaluate(b.g, b.t.waits) { // operations of no length on the way
		p.CopyFrom(population.Shorter(x, y))
	}
}
