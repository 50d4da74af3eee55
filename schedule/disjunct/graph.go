package disjunct

const none = int32(-1)

// graph is an instance laid flat for the inner loop.
type graph struct {
	in       *Instance
	n, m     int
	optAt    []int32 // options of operation o are opt[optAt[o]:optAt[o+1]]
	opt      []option
	preAt    []int32
	pre      []int32
	sucAt    []int32
	suc      []int32
	flexible bool
	zeros    bool    // some operation takes no time: equal ways may then hide a circle
	topo     []int32 // by precedence alone
}

type option struct{ machine, time int32 }

func newGraph(in *Instance) *graph {
	g := &graph{in: in, n: len(in.Options), m: in.Machines, optAt: []int32{0}, preAt: []int32{0}, sucAt: []int32{0}}
	next := make([][]int32, g.n)
	for o := range in.Options {
		for _, x := range in.Options[o] {
			g.opt = append(g.opt, option{int32(x.Machine), int32(x.Time)})
			g.zeros = g.zeros || x.Time == 0
		}
		g.flexible = g.flexible || len(in.Options[o]) > 1
		g.optAt = append(g.optAt, int32(len(g.opt)))
		for _, b := range in.After[o] {
			g.pre = append(g.pre, int32(b))
			next[b] = append(next[b], int32(o))
		}
		g.preAt = append(g.preAt, int32(len(g.pre)))
	}
	for o := range next {
		g.suc = append(g.suc, next[o]...)
		g.sucAt = append(g.sucAt, int32(len(g.suc)))
	}
	for _, o := range in.order() {
		g.topo = append(g.topo, int32(o))
	}
	return g
}

func (g *graph) pres(o int32) []int32     { return g.pre[g.preAt[o]:g.preAt[o+1]] }
func (g *graph) sucs(o int32) []int32     { return g.suc[g.sucAt[o]:g.sucAt[o+1]] }
func (g *graph) options(o int32) []option { return g.opt[g.optAt[o]:g.optAt[o+1]] }

// plan is a choice of machines and orders, with what follows from it: heads and tails.
type plan struct {
	mach, dur  []int32 // by operation
	prev, next []int32 // on its machine
	first      []int32 // by machine
	last       []int32
	head, tail []int32 // longest way before and after the operation
	jobHead    []int32 // longest way to it through what it waits for
	jobTail    []int32
	place      []int32 // position on its machine
	seq        []int32 // a topological order
	rank       []int32 // place of each operation in seq
	span       int32
}

func newPlan(g *graph) *plan {
	ints := func(n int) []int32 { return make([]int32, n) }
	return &plan{mach: ints(g.n), dur: ints(g.n), prev: ints(g.n), next: ints(g.n), first: ints(g.m), last: ints(g.m), head: ints(g.n), tail: ints(g.n),
		jobHead: ints(g.n), jobTail: ints(g.n), place: ints(g.n), seq: ints(g.n), rank: ints(g.n)}
}

func (p *plan) copyFrom(q *plan) {
	copy(p.mach, q.mach)
	copy(p.dur, q.dur)
	copy(p.prev, q.prev)
	copy(p.next, q.next)
	copy(p.first, q.first)
	copy(p.last, q.last)
	copy(p.head, q.head)
	copy(p.tail, q.tail)
	copy(p.jobHead, q.jobHead)
	copy(p.jobTail, q.jobTail)
	copy(p.place, q.place)
	copy(p.seq, q.seq)
	copy(p.rank, q.rank)
	p.span = q.span
}

// evaluate works out heads, tails and the makespan; false if the orders make a circle. waits is scratch of length n.
func (p *plan) evaluate(g *graph, waits []int32) bool {
	k := 0
	for o := int32(0); o < int32(g.n); o++ {
		w := g.preAt[o+1] - g.preAt[o]
		if p.prev[o] != none {
			w++
		}
		if waits[o] = w; w == 0 {
			p.seq[k] = o
			k++
		}
	}
	for i := 0; i < k; i++ {
		o := p.seq[i]
		p.rank[o] = int32(i)
		for _, x := range g.sucs(o) {
			if waits[x]--; waits[x] == 0 {
				p.seq[k] = x
				k++
			}
		}
		if x := p.next[o]; x != none {
			if waits[x]--; waits[x] == 0 {
				p.seq[k] = x
				k++
			}
		}
	}
	if k < g.n {
		return false
	}
	p.heads(g, 0)
	p.tails(g, g.n-1)
	return true
}

// heads works out heads from place i of the order on, and the makespan.
func (p *plan) heads(g *graph, i int) {
	for _, o := range p.seq[i:] {
		h := int32(0)
		for _, b := range g.pre[g.preAt[o]:g.preAt[o+1]] {
			h = max(h, p.head[b]+p.dur[b])
		}
		p.jobHead[o] = h
		place := int32(0)
		if b := p.prev[o]; b != none {
			h = max(h, p.head[b]+p.dur[b])
			place = p.place[b] + 1
		}
		p.head[o], p.place[o] = h, place
	}
	p.span = 0
	for m := range p.first { // the last on each machine, and what nothing waits for, end last; the last on machines are enough
		p.span = max(p.span, p.endOf(int32(m)))
	}
}

// endOf gives the end of the last operation on a machine.
func (p *plan) endOf(m int32) int32 {
	if o := p.last[m]; o != none {
		return p.head[o] + p.dur[o]
	}
	return 0
}

// tails works out tails from place i of the order down.
func (p *plan) tails(g *graph, i int) {
	for ; i >= 0; i-- {
		o := p.seq[i]
		t := int32(0)
		for _, x := range g.suc[g.sucAt[o]:g.sucAt[o+1]] {
			t = max(t, p.tail[x]+p.dur[x])
		}
		p.jobTail[o] = t
		if x := p.next[o]; x != none {
			t = max(t, p.tail[x]+p.dur[x])
		}
		p.tail[o] = t
	}
}

// shifted brings the order up to date after o was moved on its machine past the operations between lo and hi of the old
// order (o being one of the two), and works out anew only what lies behind and before them. moved is scratch.
// With later, o went behind: what comes after it within the window goes behind with it, the rest closes up; else the other
// way round.
func (p *plan) shifted(g *graph, lo, hi int32, later bool, moved []int32, mark []bool) {
	from, to := p.rank[lo], p.rank[hi]
	window := p.seq[from : to+1]
	moved = moved[:0]
	k := 0
	if later {
		mark[lo] = true
		for _, x := range window {
			if mark[x] = x == lo || p.comesAfterMarked(g, x, mark); mark[x] {
				moved = append(moved, x)
				continue
			}
			window[k] = x
			k++
		}
		copy(window[k:], moved)
	} else {
		k = len(window)
		for i := len(window) - 1; i >= 0; i-- {
			x := window[i]
			if mark[x] = x == hi || p.comesBeforeMarked(g, x, mark); mark[x] {
				moved = append(moved, x)
				continue
			}
			k--
			window[k] = x
		}
		for i, x := range moved {
			window[k-1-i] = x
		}
	}
	for _, x := range moved {
		mark[x] = false
	}
	for i, x := range window {
		p.rank[x] = from + int32(i)
	}
	p.heads(g, int(from))
	p.tails(g, int(to))
}

func (p *plan) comesAfterMarked(g *graph, x int32, mark []bool) bool {
	if b := p.prev[x]; b != none && mark[b] {
		return true
	}
	for _, b := range g.pres(x) {
		if mark[b] {
			return true
		}
	}
	return false
}

func (p *plan) comesBeforeMarked(g *graph, x int32, mark []bool) bool {
	if b := p.next[x]; b != none && mark[b] {
		return true
	}
	for _, b := range g.sucs(x) {
		if mark[b] {
			return true
		}
	}
	return false
}

// unlink takes o off its machine; link puts it there after b (none: first).
func (p *plan) unlink(o int32) {
	b, x := p.prev[o], p.next[o]
	if b != none {
		p.next[b] = x
	} else {
		p.first[p.mach[o]] = x
	}
	if x != none {
		p.prev[x] = b
	} else {
		p.last[p.mach[o]] = b
	}
}

func (p *plan) link(o, b int32) {
	x := p.first[p.mach[o]]
	if b != none {
		x = p.next[b]
		p.next[b] = o
	} else {
		p.first[p.mach[o]] = o
	}
	p.prev[o], p.next[o] = b, x
	if x != none {
		p.prev[x] = o
	} else {
		p.last[p.mach[o]] = o
	}
}

// slots writes the plan down.
func (p *plan) slots() []Slot {
	out := make([]Slot, len(p.mach))
	for o := range out {
		out[o] = Slot{int(p.mach[o]), int(p.head[o]), int(p.head[o] + p.dur[o])}
	}
	return out
}
