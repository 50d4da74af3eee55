package staffed

import "tackline/schedule/precedence"

const none = int32(-1)

// graph is an instance laid flat for the inner loop. Machines and workers are both resources: machines come first, worker w is
// resource machines+w.
type graph struct {
	in      *Instance
	n, m, r int     // operations, machines, resources
	modeAt  []int32 // modes of operation o are mode[modeAt[o]:modeAt[o+1]]
	mode    []mode
	preAt   []int32
	pre     []int32
	sucAt   []int32
	suc     []int32
	least   []int32 // shortest time of an operation
	topo    []int32 // by precedence alone
}

// mode is a machine and a worker, as resources, and their time.
type mode struct {
	res  [2]int32
	time int32
}

func newGraph(in *Instance) *graph {
	g := &graph{in: in, n: len(in.Modes), m: in.Machines, r: in.Machines + in.Workers, modeAt: []int32{0}, preAt: []int32{0}, sucAt: []int32{0}}
	for o := range in.Modes {
		least := in.Modes[o][0].Time
		for _, x := range in.Modes[o] {
			least = min(least, x.Time)
			g.mode = append(g.mode, mode{[2]int32{int32(x.Machine), int32(in.Machines + x.Worker)}, int32(x.Time)})
		}
		g.least = append(g.least, int32(least))
		g.modeAt = append(g.modeAt, int32(len(g.mode)))
		for _, b := range in.After[o] {
			g.pre = append(g.pre, int32(b))
		}
		g.preAt = append(g.preAt, int32(len(g.pre)))
	}
	for _, list := range precedence.Next(in.After) {
		for _, x := range list {
			g.suc = append(g.suc, int32(x))
		}
		g.sucAt = append(g.sucAt, int32(len(g.suc)))
	}
	for _, o := range precedence.Order(in.After) {
		g.topo = append(g.topo, int32(o))
	}
	return g
}

func (g *graph) pres(o int32) []int32 { return g.pre[g.preAt[o]:g.preAt[o+1]] }
func (g *graph) sucs(o int32) []int32 { return g.suc[g.sucAt[o]:g.sucAt[o+1]] }

// plan is a choice of modes and orders, with what follows from it: heads and tails. A pair belongs to the machine and the
// worker of an operation.
type plan struct {
	mode, dur  []int32 // by operation
	res        [][2]int32
	prev, next [][2]int32 // on its machine and with its worker
	first      []int32    // by resource
	last       []int32
	head, tail []int32 // longest way before and after the operation
	seq        []int32 // a topological order
	rank       []int32 // place of each operation in seq
	span       int32
}

// unmade is the makespan of a plan that has not been made: longer than any.
const unmade = 1 << 30

func newPlan(g *graph) *plan {
	ints := func(n int) []int32 { return make([]int32, n) }
	pairs := func() [][2]int32 { return make([][2]int32, g.n) }
	return &plan{mode: ints(g.n), dur: ints(g.n), res: pairs(), prev: pairs(), next: pairs(), first: ints(g.r), last: ints(g.r),
		head: ints(g.n), tail: ints(g.n), seq: ints(g.n), rank: ints(g.n), span: unmade}
}

// CopyFrom makes p what q is, without taking room anew.
func (p *plan) CopyFrom(q *plan) {
	copy(p.mode, q.mode)
	copy(p.dur, q.dur)
	copy(p.res, q.res)
	copy(p.prev, q.prev)
	copy(p.next, q.next)
	copy(p.first, q.first)
	copy(p.last, q.last)
	copy(p.head, q.head)
	copy(p.tail, q.tail)
	copy(p.seq, q.seq)
	copy(p.rank, q.rank)
	p.span = q.span
}

// evaluate works out heads, tails and the makespan; false if the orders make a circle. waits is scratch of length n.
func (p *plan) evaluate(g *graph, waits []int32) bool {
	k := 0
	for o := int32(0); o < int32(g.n); o++ {
		w := g.preAt[o+1] - g.preAt[o]
		for _, b := range p.prev[o] {
			if b != none {
				w++
			}
		}
		if waits[o] = w; w == 0 {
			p.seq[k] = o
			k++
		}
	}
	for i := 0; i < k; i++ {
		o := p.seq[i]
		p.rank[o] = int32(i)
		for _, x := range g.suc[g.sucAt[o]:g.sucAt[o+1]] {
			if waits[x]--; waits[x] == 0 {
				p.seq[k] = x
				k++
			}
		}
		for _, x := range p.next[o] {
			if x == none {
				continue
			}
			if waits[x]--; waits[x] == 0 {
				p.seq[k] = x
				k++
			}
		}
	}
	if k < g.n {
		return false
	}
	p.heads(g, p.head, 0)
	p.tails(g, p.tail, g.n-1)
	p.span = p.end(g, p.head)
	return true
}

// heads works out heads from place i of the order on.
func (p *plan) heads(g *graph, head []int32, i int) {
	for _, o := range p.seq[i:] {
		h := int32(0)
		for _, b := range g.pre[g.preAt[o]:g.preAt[o+1]] {
			h = max(h, head[b]+p.dur[b])
		}
		before := &p.prev[o]
		if b := before[0]; b != none {
			h = max(h, head[b]+p.dur[b])
		}
		if b := before[1]; b != none {
			h = max(h, head[b]+p.dur[b])
		}
		head[o] = h
	}
}

// tails works out tails from place i of the order down.
func (p *plan) tails(g *graph, tail []int32, i int) {
	for ; i >= 0; i-- {
		o := p.seq[i]
		t := int32(0)
		for _, x := range g.suc[g.sucAt[o]:g.sucAt[o+1]] {
			t = max(t, tail[x]+p.dur[x])
		}
		behind := &p.next[o]
		if x := behind[0]; x != none {
			t = max(t, tail[x]+p.dur[x])
		}
		if x := behind[1]; x != none {
			t = max(t, tail[x]+p.dur[x])
		}
		tail[o] = t
	}
}

// end gives the makespan by heads: the last operation ends last on its machine.
func (p *plan) end(g *graph, head []int32) int32 {
	end := int32(0)
	for _, o := range p.last[:g.m] {
		if o != none {
			end = max(end, head[o]+p.dur[o])
		}
	}
	return end
}

// unlink takes o off its machine and its worker, though o itself still knows where it was; link gives it mode k, after the
// operations in after (none: first).
func (p *plan) unlink(o int32) {
	for side, r := range p.res[o] {
		b, x := p.prev[o][side], p.next[o][side]
		if b != none {
			p.next[b][side] = x
		} else {
			p.first[r] = x
		}
		if x != none {
			p.prev[x][side] = b
		} else {
			p.last[r] = b
		}
	}
}

func (p *plan) link(g *graph, o, k int32, after [2]int32) {
	p.mode[o], p.dur[o], p.res[o] = k, g.mode[k].time, g.mode[k].res
	for side, r := range p.res[o] {
		b, x := after[side], p.first[r]
		if b != none {
			x = p.next[b][side]
			p.next[b][side] = o
		} else {
			p.first[r] = o
		}
		p.prev[o][side], p.next[o][side] = b, x
		if x != none {
			p.prev[x][side] = o
		} else {
			p.last[r] = o
		}
	}
}

// moved brings the order, heads, tails and the makespan up to date after o was linked anew. If o does not fit where it stood in the order, it
// goes right behind the last of what it comes after, and takes with it what comes after it and stood before that. mark (all
// false) and behind are scratch.
func (p *plan) moved(g *graph, o int32, mark []bool, behind []int32) {
	old := p.rank[o]
	to, from := int32(-1), int32(g.n) // the last of what o comes after, the first of what comes after o
	for side, b := range p.prev[o] {
		if b != none {
			to = max(to, p.rank[b])
		}
		if x := p.next[o][side]; x != none {
			from = min(from, p.rank[x])
		}
	}
	for _, b := range g.pres(o) {
		to = max(to, p.rank[b])
	}
	for _, x := range g.sucs(o) {
		from = min(from, p.rank[x])
	}
	lo, hi := old, old
	if to > old || old > from {
		lo, hi = min(old, to+1, from), max(old, to)
		if old > to {
			copy(p.seq[to+2:old+1], p.seq[to+1:old])
		}
		mark[o] = true
		k, behind := lo, behind[:0]
		for i := lo; i <= to; i++ {
			x := p.seq[i]
			if x == o {
				continue
			}
			if p.afterMarked(g, x, mark) {
				mark[x] = true
				behind = append(behind, x)
				continue
			}
			p.seq[k] = x
			k++
		}
		p.seq[k] = o
		copy(p.seq[k+1:], behind)
		mark[o] = false
		for _, x := range behind {
			mark[x] = false
		}
		for i := lo; i <= hi; i++ {
			p.rank[p.seq[i]] = i
		}
	}
	p.heads(g, p.head, int(lo))
	p.tails(g, p.tail, int(hi))
	p.span = p.end(g, p.head)
}

func (p *plan) afterMarked(g *graph, x int32, mark []bool) bool {
	for _, b := range p.prev[x] {
		if b != none && mark[b] {
			return true
		}
	}
	for _, b := range g.pres(x) {
		if mark[b] {
			return true
		}
	}
	return false
}

// slots writes the plan down.
func (p *plan) slots(g *graph) []Slot {
	out := make([]Slot, g.n)
	for o := range out {
		out[o] = Slot{int(p.res[o][0]), int(p.res[o][1]) - g.m, int(p.head[o]), int(p.head[o] + p.dur[o])}
	}
	return out
}

// Makespan is when all is over.
func (p *plan) Makespan() int32 { return p.span }

// Middle is half way between begin and end of an operation.
func (p *plan) Middle(o int32) float64 { return float64(p.head[o]) + float64(p.dur[o])/2 }

// Distance counts the operations that have another mode or another one before them.
func (p *plan) Distance(q *plan) int {
	d := 0
	for o := range p.mode {
		if p.mode[o] != q.mode[o] || p.prev[o] != q.prev[o] {
			d++
		}
	}
	return d
}
