package staffed

import "tackline/schedule/dice"

// Sizes of the search, found by trying; docs/scheduling.md has the figures.
const (
	sample    = 3  // critical operations tried at each step
	orderKept = 6  // an order turned round stays so for this many steps, or up to twice as many
	modeKept  = 12 // a mode left is not taken again for as long
)

// move gives operation o a mode and a place after others (none: first) on its machine and with its worker.
type move struct {
	o, mode   int32
	after     [2]int32
	span      int32 // makespan after the move
	through   int32 // longest way through o after it
	forbidden bool  // it restores something that was changed lately
}

// tabu is a tabu search with its scratch.
type tabu struct {
	g          *graph
	rnd        *dice.Dice
	cur, best  *plan
	waits      []int32
	mark       []bool
	behind     []int32
	path       []int32
	head, tail []int32 // without the operation being moved
	arcs       []int32 // by pair of operations: the step until which the first may not come before the second again
	homes      []int32 // by mode: the step until which its operation may not have it again
	step       int32
	stop       func() bool
	target     int32 // no plan is shorter

	spots         []spot // lists of places of one operation, by resource
	listAt        [][2]int
	stamped       []int64
	stamp         int64
	ready, after  int32 // of the operation being moved: longest way up to it and after it by what it waits for and what waits for it
	enough        int32 // what the longest ways up to it and after it may come to
	latest, least int32 // latest head of what it waits for, longest tail of what waits for it
}

func newTabu(g *graph, rnd *dice.Dice, target int32, stop func() bool) *tabu {
	ints := func(n int) []int32 { return make([]int32, n) }
	return &tabu{g: g, rnd: rnd, cur: newPlan(g), best: newPlan(g), waits: ints(g.n), mark: make([]bool, g.n), behind: make([]int32, 0, g.n),
		path: make([]int32, 0, g.n), head: ints(g.n), tail: ints(g.n),
		arcs: ints(g.n * g.n), homes: ints(len(g.mode)), stop: stop, target: target,
		spots: make([]spot, 0, 2*g.n+g.r), listAt: make([][2]int, g.r), stamped: make([]int64, g.r)}
}

// run searches from start until it has not bettered its best for so many steps. The best is in t.best.
func (t *tabu) run(start *plan, patience int) {
	t.cur.CopyFrom(start)
	t.best.CopyFrom(start)
	if t.step > 1<<30 {
		clear(t.arcs)
		clear(t.homes)
		t.step = 0
	}
	t.step += 1000 // what was forbidden in the run before is free
	for n, since := 0, 0; since < patience && t.best.span > t.target; n++ {
		if n&63 == 0 && t.stop() {
			return
		}
		m, ok := t.choose()
		if !ok {
			return // nothing critical has another place
		}
		t.apply(&m)
		t.step++
		since++
		if t.cur.span < t.best.span {
			t.best.CopyFrom(t.cur)
			since = 0
		}
	}
}

// apply makes a move.
func (t *tabu) apply(m *move) {
	t.forbid(m)
	t.cur.unlink(m.o)
	t.cur.link(t.g, m.o, m.mode, m.after)
	t.cur.moved(t.g, m.o, t.mark, t.behind)
}

// forbid keeps the search from restoring what the move changes, for some steps.
func (t *tabu) forbid(m *move) {
	until := t.step + int32(orderKept+t.rnd.Below(orderKept))
	p := t.cur
	if m.mode != p.mode[m.o] {
		t.homes[p.mode[m.o]] = t.step + int32(modeKept+t.rnd.Below(modeKept))
		return
	}
	for side, a := range m.after {
		t.passed(m.o, a, side, until)
	}
}

// passed forbids the orders that o turns round on its way behind a.
func (t *tabu) passed(o, a int32, side int, until int32) {
	p, n := t.cur, int32(t.g.n)
	if a == p.prev[o][side] {
		return
	}
	if a != none && p.rank[a] > p.rank[o] {
		for x := p.next[o][side]; ; x = p.next[x][side] {
			t.arcs[o*n+x] = until
			if x == a {
				return
			}
		}
	}
	for x := p.prev[o][side]; x != a; x = p.prev[x][side] {
		t.arcs[x*n+o] = until
	}
}

// choose takes some critical operations at random and gives the move of one of them to the shortest plan, among those that are
// not forbidden or better the best; a random one if all are forbidden.
func (t *tabu) choose() (move, bool) {
	t.critical()
	c := chooser{t: t, best: move{span: 1 << 30, through: 1 << 30}}
	for i := range min(sample, len(t.path)) {
		j := i + t.rnd.Below(len(t.path)-i)
		t.path[i], t.path[j] = t.path[j], t.path[i]
		t.reinsert(&c, t.path[i])
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
	if m.forbidden && m.span >= c.t.best.span {
		c.seen++
		if c.t.rnd.Below(c.seen) == 0 {
			c.any = m
		}
		return
	}
	switch {
	case m.span < c.best.span || m.span == c.best.span && m.through < c.best.through:
		c.best, c.ties = m, 1
	case m.span == c.best.span && m.through == c.best.through:
		if c.ties++; c.t.rnd.Below(c.ties) == 0 {
			c.best = m
		}
	}
}

// critical takes a random longest way through the plan.
func (t *tabu) critical() {
	p := t.cur
	t.path = t.path[:0]
	o, ties := none, 0
	for _, x := range p.seq {
		if p.head[x] == 0 && p.dur[x]+p.tail[x] == p.span {
			if ties++; t.rnd.Below(ties) == 0 {
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
		for _, x := range p.next[o] {
			after, ties = t.onward(x, end, after, ties)
		}
		for _, x := range t.g.sucs(o) {
			after, ties = t.onward(x, end, after, ties)
		}
		o = after
	}
}

// onward takes x, one time in so many, as what comes next on the longest way after end.
func (t *tabu) onward(x, end, after int32, ties int) (int32, int) {
	p := t.cur
	if x == none || p.head[x] != end || end+p.dur[x]+p.tail[x] != p.span {
		return after, ties
	}
	if ties++; t.rnd.Below(ties) == 0 {
		after = x
	}
	return after, ties
}
