package disjunct

import "math/bits"

// random is a small generator of our own (xorshift*, Marsaglia 2003; Vigna 2016), so that equal seeds give equal plans
// with every version of the language.
type random uint64

func newRandom(seed uint64) *random {
	r := random(seed*0x9e3779b97f4a7c15 + 0x1234567)
	if r == 0 {
		r = 1
	}
	for range 8 {
		r.next()
	}
	return &r
}

func (r *random) next() uint64 {
	x := uint64(*r)
	x ^= x >> 12
	x ^= x << 25
	x ^= x >> 27
	*r = random(x)
	return x * 0x2545f4914f6cdd1d
}

// below gives a number from 0 to n-1.
func (r *random) below(n int) int {
	hi, _ := bits.Mul64(r.next(), uint64(n))
	return int(hi)
}

func (r *random) float() float64 { return float64(r.next()>>11) / (1 << 53) }

// move puts operation o after b (none: first) on a machine, as option opt.
type move struct {
	o, after  int32
	opt       int32
	estimate  int32
	forbidden bool // it restores something that was changed lately
}

// tabu is a tabu search with its scratch.
type tabu struct {
	g       *graph
	rnd     *random
	cur     *plan
	best    *plan
	waits   []int32
	path    []int32
	arcs    []int32 // by pair of operations: the step until which the first may not come before the second again
	homes   []int32 // by operation and machine: the step until which it may not go there again
	step    int32
	newHead []int32 // scratch of estimate, by place in the segment
	segment []int32
	moved   []int32
	mark    []bool
	stop    func() bool
	target  int32 // no plan is shorter
}

func newTabu(g *graph, rnd *random, target int32, stop func() bool) *tabu {
	return &tabu{g: g, rnd: rnd, cur: newPlan(g), best: newPlan(g), waits: make([]int32, g.n), path: make([]int32, 0, g.n),
		arcs: make([]int32, g.n*g.n), homes: make([]int32, g.n*g.m), newHead: make([]int32, g.n+2), segment: make([]int32, 0, g.n+2),
		moved: make([]int32, 0, g.n), mark: make([]bool, g.n),
		stop: stop, target: target}
}

// run searches from start until it has not bettered its best for so many steps. The best is in t.best.
func (t *tabu) run(start *plan, patience int64) {
	t.cur.copyFrom(start)
	t.best.copyFrom(start)
	if t.step > 1<<30 {
		clear(t.arcs)
		clear(t.homes)
		t.step = 0
	}
	t.step += 1000 // what was forbidden in the run before is free
	since := int64(0)
	for n := int64(0); since < patience && t.best.span > t.target; n++ {
		if n&255 == 0 && t.stop() {
			return
		}
		m, ok := t.choose()
		if !ok {
			return // no critical block has room: the plan is the shortest
		}
		t.forbid(&m)
		t.apply(&m)
		t.step++
		since++
		if t.cur.span < t.best.span {
			t.best.copyFrom(t.cur)
			since = 0
		}
	}
}

// forbid keeps the search from restoring what the move changes.
func (t *tabu) forbid(m *move) {
	until := t.step + int32(4+t.rnd.below(6))
	p := t.cur
	n := int32(t.g.n)
	if t.g.opt[m.opt].machine != p.mach[m.o] {
		t.homes[m.o*int32(t.g.m)+p.mach[m.o]] = until
		return
	}
	if m.after != none && p.place[m.after] > p.place[m.o] {
		for x := p.next[m.o]; ; x = p.next[x] {
			t.arcs[m.o*n+x] = until
			if x == m.after {
				return
			}
		}
	}
	for x := p.prev[m.o]; x != m.after; x = p.prev[x] {
		t.arcs[x*n+m.o] = until
	}
}

func (t *tabu) apply(m *move) {
	p := t.cur
	x := t.g.opt[m.opt]
	if x.machine == p.mach[m.o] {
		t.shift(m)
		return
	}
	p.unlink(m.o)
	p.mach[m.o], p.dur[m.o] = x.machine, x.time
	p.link(m.o, m.after)
	if !p.evaluate(t.g, t.waits) {
		panic("a move made a circle") // its conditions rule that out
	}
}

// shift makes a move on the same machine and brings the plan up to date from where it changes.
func (t *tabu) shift(m *move) {
	p := t.cur
	later := m.after != none && p.place[m.after] > p.place[m.o]
	other := m.after
	if !later {
		other = p.first[p.mach[m.o]]
		if m.after != none {
			other = p.next[m.after]
		}
	}
	p.unlink(m.o)
	p.link(m.o, m.after)
	if later {
		p.shifted(t.g, m.o, other, true, t.moved, t.mark)
	} else {
		p.shifted(t.g, other, m.o, false, t.moved, t.mark)
	}
}

// choose gives the move with the least estimate that is not forbidden, or that betters the best; a random one if all are
// forbidden.
func (t *tabu) choose() (move, bool) {
	t.critical()
	c := chooser{t: t, best: move{estimate: 1 << 30}, any: move{estimate: 1 << 30}}
	for i := 0; i < len(t.path); {
		j := i + 1
		for j < len(t.path) && t.cur.mach[t.path[j]] == t.cur.mach[t.path[i]] && t.cur.prev[t.path[j]] == t.path[j-1] {
			j++
		}
		t.block(&c, i, j)
		i = j
	}
	if t.g.flexible {
		for _, o := range t.path {
			t.elsewhere(&c, o)
		}
	}
	if c.ties > 0 {
		return c.best, true
	}
	return c.any, c.seen > 0
}

// chooser keeps the best move seen, ties broken at random.
type chooser struct {
	t          *tabu
	best, any  move
	ties, seen int
}

func (c *chooser) see(m move) {
	c.seen++
	if c.t.rnd.below(c.seen) == 0 {
		c.any = m
	}
	if m.estimate > c.best.estimate || m.estimate >= c.t.best.span && m.forbidden {
		return
	}
	if m.estimate < c.best.estimate {
		c.best, c.ties = m, 1
		return
	}
	if c.ties++; c.t.rnd.below(c.ties) == 0 {
		c.best = m
	}
}

// critical takes a random longest way through the plan.
func (t *tabu) critical() {
	p := t.cur
	t.path = t.path[:0]
	o, ties := none, 0
	for _, x := range p.seq {
		if p.head[x] == 0 && p.dur[x]+p.tail[x] == p.span {
			if ties++; t.rnd.below(ties) == 0 {
				o = x
			}
		}
	}
	for o != none {
		t.path = append(t.path, o)
		end, after := p.head[o]+p.dur[o], none
		if end == p.span {
			return
		}
		ties = 0
		see := func(x int32) {
			if p.head[x] == end && end+p.dur[x]+p.tail[x] == p.span {
				if ties++; t.rnd.below(ties) == 0 {
					after = x
				}
			}
		}
		if x := p.next[o]; x != none {
			see(x)
		}
		for _, x := range t.g.sucs(o) {
			see(x)
		}
		o = after
	}
}
