package disjunct

// plan is a choice of machines and orders, with what follows from it: ways before and after each operation.
type plan struct {
	mach, dur  []int32   // by operation
	prev, next []int32   // on its machine
	order      [][]int32 // by machine
	place      []int32   // position of an operation in the order of its machine
	end        []int32   // longest way to the end of the operation, it included
	rest       []int32   // longest way from the begin of the operation, it included
	jobHead    []int32   // longest way to its begin through what it waits for
	jobTail    []int32   // longest way from its end through what waits for it
	seq        []int32   // a topological order
	rank       []int32   // place of each operation in seq
	span       int32
}

// unmade is the makespan of a plan that has not been made: longer than any.
const unmade = 1 << 30

func newPlan(g *graph) *plan {
	ints := func() []int32 { return make([]int32, g.n+1) }
	p := &plan{mach: ints(), dur: ints(), prev: ints(), next: ints(), order: make([][]int32, g.m), place: ints(), end: ints(), rest: ints(),
		jobHead: ints(), jobTail: ints(), seq: make([]int32, g.n), rank: ints(), span: unmade}
	can := make([]int, g.m)
	for _, x := range g.opt {
		can[x.machine]++
	}
	for m := range p.order {
		p.order[m] = make([]int32, 0, can[m])
	}
	return p
}

// CopyFrom makes p what q is, without taking room anew.
func (p *plan) CopyFrom(q *plan) {
	copy(p.mach, q.mach)
	copy(p.dur, q.dur)
	copy(p.prev, q.prev)
	copy(p.next, q.next)
	for m, list := range q.order {
		p.order[m] = append(p.order[m][:0], list...)
	}
	copy(p.place, q.place)
	copy(p.end, q.end)
	copy(p.rest, q.rest)
	copy(p.jobHead, q.jobHead)
	copy(p.jobTail, q.jobTail)
	copy(p.seq, q.seq)
	copy(p.rank, q.rank)
	p.span = q.span
}

// clear takes every operation off its machine.
func (p *plan) clear() {
	for m := range p.order {
		p.order[m] = p.order[m][:0]
	}
}

// put appends o to the order of a machine.
func (p *plan) put(o int32, x option) {
	list := p.order[x.machine]
	p.mach[o], p.dur[o], p.place[o] = x.machine, x.time, int32(len(list))
	p.prev[o], p.next[o] = none, none
	if len(list) > 0 {
		b := list[len(list)-1]
		p.prev[o], p.next[b] = b, o
	}
	p.order[x.machine] = append(list, o)
}

// evaluate works out ways and the makespan from the orders; false if they make a circle. waits is scratch of length n+1.
func (p *plan) evaluate(g *graph, waits []int32) bool {
	k := 0
	for o := int32(1); o <= int32(g.n); o++ {
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

// heads works out the ways before from place i of the topological order on, and the makespan.
func (p *plan) heads(g *graph, i int) {
	end, prev, dur, jobHead := p.end, p.prev, p.dur, p.jobHead
	if g.chains {
		pred := g.pred
		for _, o := range p.seq[i:] {
			h := end[pred[o]]
			jobHead[o] = h
			end[o] = max(h, end[prev[o]]) + dur[o]
		}
	} else {
		for _, o := range p.seq[i:] {
			h := int32(0)
			for _, b := range g.pre[g.preAt[o]:g.preAt[o+1]] {
				h = max(h, end[b])
			}
			jobHead[o] = h
			end[o] = max(h, end[prev[o]]) + dur[o]
		}
	}
	p.span = 0
	for _, list := range p.order { // what ends last is the last on its machine
		if len(list) > 0 {
			p.span = max(p.span, end[list[len(list)-1]])
		}
	}
}

// tails works out the ways after from place i of the topological order down.
func (p *plan) tails(g *graph, i int) {
	rest, next, dur, jobTail := p.rest, p.next, p.dur, p.jobTail
	seq := p.seq[:i+1]
	if g.chains {
		succ := g.succ
		for k := len(seq) - 1; k >= 0; k-- {
			o := seq[k]
			t := rest[succ[o]]
			jobTail[o] = t
			rest[o] = max(t, rest[next[o]]) + dur[o]
		}
		return
	}
	for k := len(seq) - 1; k >= 0; k-- {
		o := seq[k]
		t := int32(0)
		for _, x := range g.suc[g.sucAt[o]:g.sucAt[o+1]] {
			t = max(t, rest[x])
		}
		jobTail[o] = t
		rest[o] = max(t, rest[next[o]]) + dur[o]
	}
}

// relocate puts o on a machine right after b (none: first) and brings orders, ways and makespan up to date from where they
// change. The move must not make a circle. moved and mark are scratch.
func (p *plan) relocate(g *graph, o, b int32, x option, moved []int32, mark []bool) {
	p.take(o)
	p.mach[o], p.dur[o] = x.machine, x.time
	p.insert(o, b)
	after := p.next[o]
	lo, hi := p.rank[o], p.rank[o]
	switch {
	case b != none && p.rank[b] > lo:
		hi = p.rank[b]
		p.later(g, lo, hi, moved, mark)
	case after != none && p.rank[after] < hi:
		lo = p.rank[after]
		p.earlier(g, lo, hi, moved, mark)
	}
	p.heads(g, int(lo))
	p.tails(g, int(hi))
}

// take takes o off its machine.
func (p *plan) take(o int32) {
	b, x := p.prev[o], p.next[o]
	if b != none {
		p.next[b] = x
	}
	if x != none {
		p.prev[x] = b
	}
	m := p.mach[o]
	list := p.order[m]
	for i := int(p.place[o]); i < len(list)-1; i++ {
		y := list[i+1]
		list[i] = y
		p.place[y] = int32(i)
	}
	p.order[m] = list[:len(list)-1]
}

// insert puts o on its machine right after b (none: first).
func (p *plan) insert(o, b int32) {
	m := p.mach[o]
	list := append(p.order[m], o)
	p.order[m] = list
	i := len(list) - 1
	for ; i > 0 && list[i-1] != b; i-- {
		y := list[i-1]
		list[i] = y
		p.place[y] = int32(i)
	}
	list[i] = o
	p.place[o] = int32(i)
	x := none
	if i+1 < len(list) {
		x = list[i+1]
		p.prev[x] = o
	}
	if b != none {
		p.next[b] = o
	}
	p.prev[o], p.next[o] = b, x
}

// later mends the topological order between the places from and to, where the operation at from has come to lie behind the one
// at to: it goes behind, and with it what comes after it; the rest closes up.
func (p *plan) later(g *graph, from, to int32, moved []int32, mark []bool) {
	window := p.seq[from : to+1]
	moved = append(moved[:0], window[0])
	mark[window[0]] = true
	k := 0
	for _, x := range window[1:] {
		if p.comesAfterMarked(g, x, mark) {
			mark[x] = true
			moved = append(moved, x)
			continue
		}
		window[k] = x
		k++
	}
	copy(window[k:], moved)
	for _, x := range moved {
		mark[x] = false
	}
	for i, x := range window {
		p.rank[x] = from + int32(i)
	}
}

// earlier is the mirror of later: the operation at to goes before the one at from, and with it what it comes after.
func (p *plan) earlier(g *graph, from, to int32, moved []int32, mark []bool) {
	window := p.seq[from : to+1]
	k := len(window) - 1
	moved = append(moved[:0], window[k])
	mark[window[k]] = true
	for i := k - 1; i >= 0; i-- {
		x := window[i]
		if p.comesBeforeMarked(g, x, mark) {
			mark[x] = true
			moved = append(moved, x)
			continue
		}
		window[k] = x
		k--
	}
	for i, x := range moved {
		mark[x] = false
		window[k-i] = x
	}
	for i, x := range window {
		p.rank[x] = from + int32(i)
	}
}

func (p *plan) comesAfterMarked(g *graph, x int32, mark []bool) bool {
	if mark[p.prev[x]] || mark[g.pred[x]] {
		return true
	}
	if g.chains {
		return false
	}
	for _, b := range g.pres(x) {
		if mark[b] {
			return true
		}
	}
	return false
}

func (p *plan) comesBeforeMarked(g *graph, x int32, mark []bool) bool {
	if mark[p.next[x]] || mark[g.succ[x]] {
		return true
	}
	if g.chains {
		return false
	}
	for _, b := range g.sucs(x) {
		if mark[b] {
			return true
		}
	}
	return false
}

// slots writes the plan down.
func (p *plan) slots() []Slot {
	out := make([]Slot, len(p.seq))
	for i := range out {
		o := i + 1
		out[i] = Slot{int(p.mach[o]), int(p.end[o] - p.dur[o]), int(p.end[o])}
	}
	return out
}

// Makespan is when all is over.
func (p *plan) Makespan() int32 { return p.span }

// Middle is half way between begin and end of an operation.
func (p *plan) Middle(o int32) float64 { return float64(p.end[o]) - float64(p.dur[o])/2 }

// Distance counts the operations that have another machine or another one before them.
func (p *plan) Distance(q *plan) int {
	d := 0
	for o := range p.mach {
		if p.mach[o] != q.mach[o] || p.prev[o] != q.prev[o] {
			d++
		}
	}
	return d
}
