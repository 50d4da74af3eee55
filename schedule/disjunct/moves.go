package disjunct

import "slices"

// block tries the moves within the critical block path[i:j]: each operation to its begin and to its end, and the first and
// last one to each place inside (Zhang et al. 2007). A move is made only where it cannot make a circle (Balas and
// Vazacopoulos 1998, propositions 2.2 and 2.3).
func (t *tabu) block(c *chooser, i, j int) {
	if j-i < 2 {
		return
	}
	first, last := t.path[i], t.path[j-1]
	for k := i; k < j-1; k++ {
		if j < len(t.path) || t.g.flexible || k > i { // at the end of the way, moving to the end of the block alone gains nothing
			t.rightOf(c, t.path[k], last)
		}
	}
	for k := i + 1; k < j; k++ {
		if k == j-1 && j-i == 2 {
			break // two operations: changed round already
		}
		t.leftOf(c, t.path[k], first)
	}
	for k := i + 1; k < j-1; k++ {
		t.rightOf(c, first, t.path[k])
		t.leftOf(c, last, t.path[k])
	}
}

// rightOf tries to move u right after v, which comes later on its machine.
func (t *tabu) rightOf(c *chooser, u, v int32) {
	p := t.cur
	if way := p.tail[v] + p.dur[v]; way < p.jobTail[u] || way == p.jobTail[u] && (t.g.zeros || slices.Contains(t.g.sucs(u), v)) {
		return
	}
	t.segment = t.segment[:0]
	forbidden, n := false, int32(t.g.n)
	for x := p.next[u]; ; x = p.next[x] {
		t.segment = append(t.segment, x)
		forbidden = forbidden || t.arcs[x*n+u] > t.step
		if x == v {
			break
		}
	}
	t.segment = append(t.segment, u)
	t.measure(c, move{o: u, after: v, forbidden: forbidden}, p.prev[u], p.next[v])
}

// leftOf tries to move v right before u, which comes earlier on its machine.
func (t *tabu) leftOf(c *chooser, v, u int32) {
	p := t.cur
	if way := p.head[u] + p.dur[u]; way < p.jobHead[v] || way == p.jobHead[v] && (t.g.zeros || slices.Contains(t.g.pres(v), u)) {
		return
	}
	t.segment = append(t.segment[:0], v)
	forbidden, n := false, int32(t.g.n)
	for x := u; x != v; x = p.next[x] {
		t.segment = append(t.segment, x)
		forbidden = forbidden || t.arcs[v*n+x] > t.step
	}
	t.measure(c, move{o: v, after: p.prev[u], forbidden: forbidden}, p.prev[u], p.next[v])
}

// measure estimates the longest way through the segment in its new order between b and x (Balas and Vazacopoulos 1998;
// Taillard 1994) and shows the move to the chooser.
func (t *tabu) measure(c *chooser, m move, b, x int32) {
	p := t.cur
	from := int32(0)
	if b != none {
		from = p.head[b] + p.dur[b]
	}
	for i, s := range t.segment {
		from = max(from, p.jobHead[s])
		t.newHead[i] = from
		from += p.dur[s]
	}
	to, longest := int32(0), int32(0)
	if x != none {
		to = p.tail[x] + p.dur[x]
	}
	for i := len(t.segment) - 1; i >= 0; i-- {
		s := t.segment[i]
		to = max(to, p.jobTail[s]) + p.dur[s]
		longest = max(longest, t.newHead[i]+to)
	}
	m.opt, m.estimate = t.optionOn(m.o, p.mach[m.o]), longest
	c.see(m)
}

func (t *tabu) optionOn(o, machine int32) int32 {
	for i := t.g.optAt[o]; i < t.g.optAt[o+1]; i++ {
		if t.g.opt[i].machine == machine {
			return i
		}
	}
	return t.g.optAt[o]
}

// elsewhere tries to move o to its other machines, between neighbours that can neither come before what o waits for nor
// after what waits for it: their heads and tails say so (Mastrolilli and Gambardella 2000).
func (t *tabu) elsewhere(c *chooser, o int32) {
	p := t.cur
	head, tail := p.jobHead[o], p.jobTail[o]
	for i := t.g.optAt[o]; i < t.g.optAt[o+1]; i++ {
		k := t.g.opt[i]
		if k.machine == p.mach[o] {
			continue
		}
		forbidden := t.homes[o*int32(t.g.m)+k.machine] > t.step
		b := none
		for x := p.first[k.machine]; ; x = p.next[x] {
			before := b == none || p.dur[b]+p.tail[b] > tail
			behind := x == none || p.head[x]+p.dur[x] > head
			if before && behind {
				from, to := head, tail
				if b != none {
					from = max(from, p.head[b]+p.dur[b])
				}
				if x != none {
					to = max(to, p.dur[x]+p.tail[x])
				}
				c.see(move{o: o, after: b, opt: i, estimate: from + k.time + to, forbidden: forbidden})
			}
			if x == none || !before && b != none {
				break
			}
			b = x
		}
	}
}
