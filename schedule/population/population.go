// Package population keeps good plans of a search and chooses which two are combined (after Peng, Lü and Cheng, "A tabu
// search/path relinking algorithm to solve the job shop scheduling problem", Computers & OR 53, 2015). What a plan is, and how
// it is bettered, is the matter of the search.
package population

import (
	"cmp"
	"iter"
	"slices"
	"sync"

	"tackline/schedule/dice"
)

// Plan is a plan, or rather a pointer to one, as far as a population must know it. Operations are numbered as the search
// numbers them.
type Plan[P any] interface {
	Makespan() int32
	Middle(o int32) float64 // of the time in which operation o is done
	Distance(P) int         // operations that are done elsewhere or after another one
	CopyFrom(P)
}

// Population is up to so many plans, and the best that was ever kept. Several searches may share one: then good plans come
// together sooner than in one for each.
type Population[P Plan[P]] struct {
	mu    sync.Mutex
	best  P
	fresh func() P
	all   []P
	size  int
	near  int  // plans with fewer different operations are alike
	stale int  // combinations since the best was bettered
	mixed bool // something was combined
	topo  []int32
	order []int32 // scratch
	keys  []float64
}

// New makes an empty population. fresh makes room for a plan whose makespan is longer than any; topo is an order of the
// operations that precedence allows; plans that differ in less than near operations are alike.
func New[P Plan[P]](size, near int, topo []int32, fresh func() P) *Population[P] {
	return &Population[P]{best: fresh(), fresh: fresh, size: size, near: near, topo: topo, order: make([]int32, len(topo)),
		keys: make([]float64, len(topo)+1)}
}

// Best gives the best plan that was ever kept. It is the population's own: read it when no search goes on.
func (p *Population[P]) Best() P { return p.best }

// Shortest gives the makespan of the best plan that was ever kept.
func (p *Population[P]) Shortest() int32 {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.best.Makespan()
}

// Next lets a search make the plan to start from: from scratch until the population is full, then by combining two. When combining
// brings nothing new, the population begins anew; the best stays known. It says whether two were combined.
func (p *Population[P]) Next(d *dice.Dice, scratch func(), combine func(x, y P)) bool {
	p.mu.Lock()
	if p.full() && p.spent() {
		p.all, p.stale, p.mixed = p.all[:0], 0, false
	}
	if !p.full() {
		p.mu.Unlock()
		scratch()
		return false
	}
	defer p.mu.Unlock()
	i, j := d.Below(len(p.all)), d.Below(len(p.all)-1)
	if j >= i {
		j++
	}
	combine(p.all[i], p.all[j])
	return true
}

// full says that plans are to be combined from now on.
func (p *Population[P]) full() bool { return len(p.all) == p.size }

// spent says that combining brings nothing new: the plans are alike, or the best has not been bettered for long.
func (p *Population[P]) spent() bool { return p.stale >= 3*p.size || p.mixed && p.alike() }

// alike says whether the whole population has one makespan and little distance.
func (p *Population[P]) alike() bool {
	for _, x := range p.all[1:] {
		if x.Makespan() != p.all[0].Makespan() {
			return false
		}
	}
	return p.all[0].Distance(p.all[len(p.all)/2]) < p.near
}

// Keep puts a copy of the plan found into the population, in the place of the worst, unless it is there already.
func (p *Population[P]) Keep(found P) {
	p.mu.Lock()
	defer p.mu.Unlock()
	bettered := found.Makespan() < p.best.Makespan()
	if bettered {
		p.best.CopyFrom(found)
	}
	if !p.full() {
		x := p.fresh()
		x.CopyFrom(found)
		p.all = append(p.all, x)
		return
	}
	p.mixed = true
	if p.stale++; bettered {
		p.stale = 0
	}
	worst := p.all[0]
	for _, x := range p.all {
		if x.Makespan() == found.Makespan() && x.Distance(found) < p.near {
			return
		}
		if x.Makespan() > worst.Makespan() {
			worst = x
		}
	}
	if found.Makespan() <= worst.Makespan() {
		worst.CopyFrom(found)
	}
}

// Between gives the operations in the order of a plan between two, and with each the plan that it takes its machine from. The key
// of an operation lies between its begins in both. Since begins respect precedence in both, the order of keys does too, so that no
// circle can arise, but for operations of no length. It is for use while Next combines two.
func (p *Population[P]) Between(d *dice.Dice, x, y P) iter.Seq2[int32, P] {
	share := 0.2 + 0.6*d.Unit()
	for _, o := range p.topo {
		// The middle of an operation tells apart those of no length, and of equal begin.
		fx := x.Middle(o) / float64(max(x.Makespan(), 1))
		fy := y.Middle(o) / float64(max(y.Makespan(), 1))
		p.keys[o] = (1-share)*fx + share*fy
	}
	copy(p.order, p.topo)
	slices.SortStableFunc(p.order, func(a, b int32) int { return cmp.Compare(p.keys[a], p.keys[b]) })
	return func(yield func(int32, P) bool) {
		for _, o := range p.order {
			from := x
			if d.Unit() < share {
				from = y
			}
			if !yield(o, from) {
				return
			}
		}
	}
}

// Shorter gives the plan with the shorter makespan, the first of equals.
func Shorter[P Plan[P]](x, y P) P {
	if y.Makespan() < x.Makespan() {
		return y
	}
	return x
}
