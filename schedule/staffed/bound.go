package staffed

import (
	"cmp"
	"math"
	"slices"

	"tackline/schedule/precedence"
)

// Bound gives a makespan that no plan is below. Two arguments make it:
//
// The longest way by precedence, each operation in its shortest mode.
//
// Prices. Give each resource (machine or worker) a price of its time, all prices together 1. Take operations none of which can
// begin before a nor ends later than b before the end. Each costs at least what its cheapest mode costs; no resource can work
// longer than the makespan less a and b (less still, if what it can do begins later). So the makespan is at least
// a + b + the cost of all. Any prices give a bound; good ones come from raising the prices of what is asked for most (the
// Lagrangian dual of sharing the work out; multiplicative weights, Plotkin, Shmoys and Tardos 1995). With the whole price on one
// resource it is the bound of one machine with heads and tails (Carlier 1982).
func Bound(in *Instance) int {
	b := newBounder(in)
	bound := b.longestWay()
	if b.n == 0 {
		return bound
	}
	for r := range b.r { // what only one resource can do
		clear(b.price)
		b.price[r] = 1
		bound = max(bound, b.windows())
	}
	all := make([]int, b.n)
	for o := range all {
		all[o] = o
	}
	bound = max(bound, b.raise(all), b.windows())
	for range 3 { // prices for the operations of the best window so far
		if len(b.window) == 0 {
			break
		}
		bound = max(bound, b.raise(slices.Clone(b.window)), b.windows())
	}
	return bound
}

// bounder works out bounds.
type bounder struct {
	in         *Instance
	n, r       int
	order      []int
	least      []int // shortest time
	head, tail []int
	byHead     []int // operations, latest first
	byTail     []int // operations, longest tail first
	price      []int64
	cost       []int64 // of the cheapest mode, by operation
	window     []int   // the operations that gave the best of windows
	best       int
}

func newBounder(in *Instance) *bounder {
	n, r := len(in.Modes), in.Machines+in.Workers
	ints := func() []int { return make([]int, n) }
	b := &bounder{in: in, n: n, r: r, order: precedence.Order(in.After), least: ints(), byHead: ints(), byTail: ints(),
		price: make([]int64, r), cost: make([]int64, n)}
	for o, list := range in.Modes {
		b.least[o] = list[0].Time
		for _, x := range list {
			b.least[o] = min(b.least[o], x.Time)
		}
		b.byHead[o], b.byTail[o] = o, o
	}
	return b
}

// longestWay works out heads and tails by precedence, and the longest way.
func (b *bounder) longestWay() (longest int) {
	b.head, b.tail, longest = precedence.Ways(b.in.After, b.least)
	slices.SortStableFunc(b.byHead, func(x, y int) int { return cmp.Compare(b.head[y], b.head[x]) })
	slices.SortStableFunc(b.byTail, func(x, y int) int { return cmp.Compare(b.tail[y], b.tail[x]) })
	return longest
}

// charge works out the cheapest mode of each operation and gives it by place in the list.
func (b *bounder) charge(o int) (best Mode) {
	b.cost[o] = math.MaxInt64
	for _, x := range b.in.Modes[o] {
		if c := int64(x.Time) * (b.price[x.Machine] + b.price[b.in.Machines+x.Worker]); c < b.cost[o] {
			b.cost[o], best = c, x
		}
	}
	return best
}

// windows gives the best bound at the prices, over all sets of operations that begin at or after one time and have tails of
// at least another.
func (b *bounder) windows() int {
	total := int64(0)
	for _, p := range b.price {
		total += p
	}
	for o := range b.n {
		b.charge(o)
	}
	bound := 0
	for i, x := range b.byHead {
		if i+1 < b.n && b.head[b.byHead[i+1]] == b.head[x] {
			continue
		}
		sum := int64(0)
		for k, y := range b.byTail {
			if b.head[y] < b.head[x] {
				continue
			}
			if sum += b.cost[y]; k+1 < b.n && b.tail[b.byTail[k+1]] == b.tail[y] {
				continue
			}
			if v := b.head[x] + b.tail[y] + int((sum+total-1)/total); v > bound {
				if bound = v; v > b.best {
					b.best = v
					b.within(b.head[x], b.tail[y])
				}
			}
		}
	}
	return bound
}

// within keeps the operations of a window.
func (b *bounder) within(head, tail int) {
	b.window = b.window[:0]
	for o := range b.n {
		if b.head[o] >= head && b.tail[o] >= tail {
			b.window = append(b.window, o)
		}
	}
}

// Prices are whole numbers that add up to about this, so that the bound is exact.
const priceTotal = 1 << 20

// raise looks for prices that make the bound by the operations of a set high, and gives that bound.
func (b *bounder) raise(set []int) int {
	edge := b.edges(set)
	weight, load := make([]float64, b.r), make([]float64, b.r)
	for r := range weight {
		weight[r] = 1 / float64(b.r)
	}
	best := slices.Clone(b.price)
	bound := 0
	const steps = 3000
	for step := range steps {
		total, sum := int64(0), int64(0)
		for r, w := range weight {
			b.price[r] = int64(w * priceTotal)
			total += b.price[r]
			sum += b.price[r] * int64(edge[r])
			load[r] = float64(edge[r])
		}
		for _, o := range set {
			x := b.charge(o)
			sum += b.cost[o]
			load[x.Machine] += float64(x.Time)
			load[b.in.Machines+x.Worker] += float64(x.Time)
		}
		if v := int((sum + total - 1) / total); v > bound {
			bound = v
			copy(best, b.price)
		}
		b.shift(weight, load, float64(sum)/float64(total), 0.3/math.Sqrt(1+float64(step)/10))
	}
	copy(b.price, best)
	return bound
}

// shift raises the prices of resources whose load is above the mean, lowers the others, and makes them add up to 1.
func (b *bounder) shift(weight, load []float64, mean, rate float64) {
	all := 0.0
	for r := range weight {
		weight[r] *= math.Exp(rate * min(3, max(-3, (load[r]-mean)/max(mean, 1))))
		weight[r] = max(weight[r], 1e-9)
		all += weight[r]
	}
	for r := range weight {
		weight[r] /= all
	}
}

// edges gives for each resource the time at both ends in which it cannot do anything of the set.
func (b *bounder) edges(set []int) []int {
	head, tail := make([]int, b.r), make([]int, b.r)
	for r := range head {
		head[r], tail[r] = math.MaxInt, math.MaxInt
	}
	lowHead, lowTail := math.MaxInt, math.MaxInt
	for _, o := range set {
		lowHead, lowTail = min(lowHead, b.head[o]), min(lowTail, b.tail[o])
		for _, x := range b.in.Modes[o] {
			for _, r := range [2]int{x.Machine, b.in.Machines + x.Worker} {
				head[r], tail[r] = min(head[r], b.head[o]), min(tail[r], b.tail[o])
			}
		}
	}
	for r := range head {
		if head[r] == math.MaxInt { // it can do nothing of the set
			head[r], tail[r] = lowHead, lowTail
		}
		head[r] += tail[r]
	}
	return head
}
