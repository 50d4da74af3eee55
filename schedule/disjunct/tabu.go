package disjunct

import (
	"math"

	"tackline/schedule/dice"
)

// For how many steps at least an order that was turned round is forbidden, and a machine that was left; and how many more at
// most. Found by trial (docs/scheduling.md).
const (
	tenure, tenureMore = 6, 8
	away, awayMore     = 10, 14
)

// tabu is a tabu search with its scratch.
type tabu struct {
	g       *graph
	rnd     *dice.Dice
	cur     *plan
	best    *plan
	waits   []int32
	path    []int32
	arcs    []int32 // by pair of operations: the step until which the first may not come before the second again
	homes   []int32 // by operation and machine: the step until which it may not go there again
	step    int32
	steps   int64
	chooser chooser
	begin   []int32 // scratch of estimates, by place in the segment
	moved   []int32
	mark    []bool
	stop    func() bool
	target  int32 // no plan is shorter
}

func newTabu(g *graph, rnd *dice.Dice, target int32, stop func() bool) *tabu {
	n := g.n + 1
	return &tabu{g: g, rnd: rnd, cur: newPlan(g), best: newPlan(g), waits: make([]int32, n), path: make([]int32, 0, n),
		arcs: make([]int32, n*n), homes: make([]int32, n*g.m), begin: make([]int32, n), moved: make([]int32, 0, n), mark: make([]bool, n),
		stop: stop, target: target}
}

// run searches from start until it has not bettered its best for so many steps. The best is in t.best.
func (t *tabu) run(start *plan, patience int64) {
	t.cur.CopyFrom(start)
	t.best.CopyFrom(start)
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
		t.cur.relocate(t.g, m.o, m.after, m.to, t.moved, t.mark)
		t.step++
		t.steps++
		since++
		if t.cur.span < t.best.span {
			t.best.CopyFrom(t.cur)
			since = 0
		}
	}
}

// forbid keeps the search from restoring what the move changes.
func (t *tabu) forbid(m *move) {
	until := t.step + int32(tenure+t.rnd.Below(tenureMore))
	p := t.cur
	n := int32(t.g.n + 1)
	if m.to.machine != p.mach[m.o] {
		t.homes[m.o*int32(t.g.m)+p.mach[m.o]] = t.step + int32(away+t.rnd.Below(awayMore))
		return
	}
	if m.after != none && p.place[m.after] > p.place[m.o] {
		for x := m.after; x != m.o; x = p.prev[x] {
			t.arcs[m.o*n+x] = until
		}
		return
	}
	for x := p.prev[m.o]; x != m.after; x = p.prev[x] {
		t.arcs[x*n+m.o] = until
	}
}

// choose gives the move with the least estimate that is not forbidden, or that betters the best; a random one if all are
// forbidden.
func (t *tabu) choose() (move, bool) {
	t.critical()
	c := &t.chooser
	*c = chooser{best: move{estimate: math.MaxInt32}}
	t.neighbours()
	if c.ties == 0 {
		c.counting = true
		t.neighbours()
		if c.seen > 0 {
			c.pick = 1 + t.rnd.Below(c.seen)
			c.seen = 0
			t.neighbours()
		}
	}
	return c.best, c.ties > 0
}

// neighbours shows all moves of the critical operations to the chooser.
func (t *tabu) neighbours() {
	p := t.cur
	for i := 0; i < len(t.path); {
		j := i + 1
		for j < len(t.path) && p.prev[t.path[j]] == t.path[j-1] {
			j++
		}
		t.block(i, j)
		t.beyond(i, j)
		i = j
	}
	if t.g.flexible {
		for _, o := range t.path {
			t.elsewhere(o)
		}
	}
}

// critical takes a random longest way through the plan.
func (t *tabu) critical() {
	p := t.cur
	t.path = t.path[:0]
	o, ties := none, 0
	for _, list := range p.order { // a longest way begins with the first operation on a machine
		if len(list) == 0 {
			continue
		}
		if x := list[0]; p.rest[x] == p.span {
			if ties++; ties == 1 || t.rnd.Below(ties) == 0 {
				o = x
			}
		}
	}
	for o != none {
		t.path = append(t.path, o)
		left := p.span - p.end[o]
		if left == 0 {
			return
		}
		o = t.onward(o, left)
	}
}

// onward gives what follows o on a longest way; a random one if there are several.
func (t *tabu) onward(o, left int32) int32 {
	p := t.cur
	after, ties := none, 0
	if x := p.next[o]; p.rest[x] == left {
		after, ties = x, 1
	}
	for _, x := range t.g.sucs(o) {
		if p.rest[x] == left && x != after {
			if ties++; ties == 1 || t.rnd.Below(ties) == 0 {
				after = x
			}
		}
	}
	return after
}
