package disjunct

// move puts operation o right after b (none: first) on a machine.
type move struct {
	o, after int32
	to       option
	estimate int32
}

// chooser keeps the best move seen, ties broken at random. When it counts, it sees every move that makes no circle, forbidden
// ones too, and keeps the pick-th.
type chooser struct {
	best     move
	ties     int
	counting bool
	seen     int
	pick     int
}

func (t *tabu) see(m move) {
	c := &t.chooser
	if m.estimate < c.best.estimate {
		c.best, c.ties = m, 1
		return
	}
	if c.ties++; t.rnd.Below(c.ties) == 0 {
		c.best = m
	}
}

// block tries the moves within the critical block path[i:j]: each operation to its begin and to its end, and the first and
// last one to each place inside (Zhang et al. 2007). A move is made only where it cannot make a circle (Balas and
// Vazacopoulos 1998, propositions 2.2 and 2.3).
func (t *tabu) block(i, j int) {
	if j-i < 2 {
		return
	}
	first, last := t.path[i], t.path[j-1]
	for k := i; k < j-1; k++ {
		if j < len(t.path) || t.g.flexible || k > i { // at the end of the way, moving to the end of the block alone gains nothing
			t.rightOf(t.path[k], last)
		}
	}
	for k := i + 1; k < j; k++ {
		if k == j-1 && j-i == 2 {
			break // two operations: changed round already
		}
		t.leftOf(t.path[k], first)
	}
	for k := i + 1; k < j-1; k++ {
		t.rightOf(first, t.path[k])
		t.leftOf(last, t.path[k])
	}
}

// beyond tries to move each operation of the block path[i:j] past its ends, as far as what it waits for and what waits for it
// leave room (Xie, Li, Gao and Gui, "A new neighbourhood structure for job shop scheduling problems", International Journal of
// Production Research 61, 2023).
func (t *tabu) beyond(i, j int) {
	p := t.cur
	first, last := t.path[i], t.path[j-1]
	for _, u := range t.path[i:j] {
		for x := p.prev[first]; x != none && p.end[x] > p.jobHead[u]; x = p.prev[x] {
			t.leftOf(u, x)
		}
		for x := p.next[last]; x != none && p.rest[x] > p.jobTail[u]; x = p.next[x] {
			t.rightOf(u, x)
		}
	}
}

// rightOf tries to move u right after v, which comes later on its machine. The longest way through what moves is estimated in
// its new order (Taillard 1994; Balas and Vazacopoulos 1998).
func (t *tabu) rightOf(u, v int32) {
	p := t.cur
	if way := p.rest[v]; way < p.jobTail[u] || way == p.jobTail[u] && (t.g.zeros || t.g.follows(v, u)) {
		return
	}
	m := move{o: u, after: v, to: option{p.mach[u], p.dur[u]}}
	if t.counted(m) {
		return
	}
	from, k := p.end[p.prev[u]], 0
	for x := p.next[u]; ; x = p.next[x] {
		from = max(from, p.jobHead[x])
		t.begin[k] = from
		from += p.dur[x]
		k++
		if x == v {
			break
		}
	}
	to := max(p.rest[p.next[v]], p.jobTail[u]) + p.dur[u]
	m.estimate = max(from, p.jobHead[u]) + to
	least := t.chooser.best.estimate
	for x := v; x != u && m.estimate <= least; x = p.prev[x] {
		k--
		to = max(to, p.jobTail[x]) + p.dur[x]
		m.estimate = max(m.estimate, t.begin[k]+to)
	}
	if m.estimate > least || m.estimate >= t.best.span && t.rightForbidden(u, v) {
		return
	}
	t.see(m)
}

func (t *tabu) rightForbidden(u, v int32) bool {
	n := int32(t.g.n + 1)
	for x := v; x != u; x = t.cur.prev[x] {
		if t.arcs[x*n+u] > t.step {
			return true
		}
	}
	return false
}

// leftOf tries to move v right before u, which comes earlier on its machine.
func (t *tabu) leftOf(v, u int32) {
	p := t.cur
	if way := p.end[u]; way < p.jobHead[v] || way == p.jobHead[v] && (t.g.zeros || t.g.follows(v, u)) {
		return
	}
	m := move{o: v, after: p.prev[u], to: option{p.mach[v], p.dur[v]}}
	if t.counted(m) {
		return
	}
	begin := max(p.end[p.prev[u]], p.jobHead[v])
	from, k := begin+p.dur[v], 0
	for x := u; x != v; x = p.next[x] {
		from = max(from, p.jobHead[x])
		t.begin[k] = from
		from += p.dur[x]
		k++
	}
	to := p.rest[p.next[v]]
	least := t.chooser.best.estimate
	for x := p.prev[v]; k > 0 && m.estimate <= least; x = p.prev[x] {
		k--
		to = max(to, p.jobTail[x]) + p.dur[x]
		m.estimate = max(m.estimate, t.begin[k]+to)
	}
	m.estimate = max(m.estimate, begin+p.dur[v]+max(to, p.jobTail[v]))
	if m.estimate > least || m.estimate >= t.best.span && t.leftForbidden(v, u) {
		return
	}
	t.see(m)
}

func (t *tabu) leftForbidden(v, u int32) bool {
	n := int32(t.g.n + 1)
	for x := u; x != v; x = t.cur.next[x] {
		if t.arcs[v*n+x] > t.step {
			return true
		}
	}
	return false
}

// counted counts a move that makes no circle; false if moves are not counted but compared.
func (t *tabu) counted(m move) bool {
	c := &t.chooser
	if !c.counting {
		return false
	}
	if c.seen++; c.seen == c.pick {
		c.best, c.ties = m, 1
	}
	return true
}

// elsewhere tries to move o to its other machines. On each, what must not come after o (R: its way after is longer than that of
// o) stands first and what must not come before (L: its way before is longer) last; between what is only R and what is only L, no
// place makes a circle and one of them is the best (Mastrolilli and Gambardella 2000, theorems 1 and 2).
func (t *tabu) elsewhere(o int32) {
	p := t.cur
	head, tail := p.jobHead[o], p.jobTail[o]
	behind := p.end[p.prev[o]] + p.rest[p.next[o]] // the way over the machine that is left
	if behind > t.chooser.best.estimate && !t.chooser.counting {
		return
	}
	for _, k := range t.g.options(o) {
		if k.machine == p.mach[o] || head+k.time+tail > t.chooser.best.estimate {
			continue
		}
		list := p.order[k.machine]
		l, r := p.between(list, head, tail)
		if r <= l { // nothing is in both: all places between are as good
			if r < l && t.g.zeros {
				continue
			}
			l = (l + r) / 2
			r = l
		}
		for i := l; i <= r; i++ {
			b, x := none, none
			if i > 0 {
				b = list[i-1]
			}
			if i < len(list) {
				x = list[i]
			}
			m := move{o: o, after: b, to: k, estimate: max(behind, max(head, p.end[b])+k.time+max(tail, p.rest[x]))}
			if !t.counted(m) && m.estimate <= t.chooser.best.estimate && (m.estimate < t.best.span || t.homes[o*int32(t.g.m)+k.machine] <= t.step) {
				t.see(m)
			}
		}
	}
}

// between gives the first place l in the order whose end is past head, and the first place r whose rest is within tail. Its
// searches have no branch to guess: a negative difference, shifted, is a mask of ones.
func (p *plan) between(list []int32, head, tail int32) (l, r int) {
	end, rest := p.end, p.rest
	for n := len(list); n > 0; {
		half := (n + 1) >> 1
		o := list[l+half-1]
		l += half & int((end[o]-head-1)>>31)
		n -= half
	}
	for n := len(list); n > 0; {
		half := (n + 1) >> 1
		o := list[r+half-1]
		r += half & int((tail-rest[o])>>31)
		n -= half
	}
	return l, r
}
