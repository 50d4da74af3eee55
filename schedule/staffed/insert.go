package staffed

import "slices"

// spot is a place for an operation in the order of one resource: between operations a and b (none: at the end), with the
// longest way up to it and after it.
type spot struct {
	a, b, from, to int32
	forbidden      bool
}

// reinsert takes critical operation v out and shows the chooser every place for it worth having, in every mode. Without v,
// heads and tails are worked out anew, so that the makespan of each move is exact: the longer of the longest way
// without v and the longest way through it.
func (t *tabu) reinsert(c *chooser, v int32) {
	g, p := t.g, t.cur
	copy(t.head, p.head)
	copy(t.tail, p.tail)
	p.unlink(v)
	p.dur[v], t.head[v], t.tail[v] = 0, 0, 0 // what waits for it, or it waits for, does not feel it
	p.heads(g, t.head, int(p.rank[v])+1)
	p.tails(g, t.tail, int(p.rank[v])-1)
	rest := p.end(g, t.head)
	t.ready, t.after, t.latest, t.least = 0, 0, -1, -1
	for _, b := range g.pres(v) {
		t.ready, t.latest = max(t.ready, t.head[b]+p.dur[b]), max(t.latest, t.head[b])
	}
	for _, x := range g.sucs(v) {
		t.after, t.least = max(t.after, t.tail[x]+p.dur[x]), max(t.least, t.tail[x])
	}
	t.spots = t.spots[:0]
	t.stamp++
	t.enough = c.best.span - g.least[v]
	for k := g.modeAt[v]; k < g.modeAt[v+1]; k++ {
		x := &g.mode[k]
		t.pairs(c, v, k, rest, t.places(v, x.res[0], 0), t.places(v, x.res[1], 1))
	}
	p.link(g, v, p.mode[v], p.prev[v])
}

// places lists the spots for v on resource r that cannot make a circle with what v waits for and what waits for it: no
// operation before v may come after one that waits for v, and none behind it before one that v waits for. A longer tail,
// or head, rules that out (Mastrolilli and Gambardella 2000, section 4, there for machines alone). Spots from which no plan can
// follow that is as short as the best move so far are left out. Lists are kept while v stays the same.
func (t *tabu) places(v, r int32, side int) []spot {
	if t.stamped[r] == t.stamp {
		return t.spots[t.listAt[r][0]:t.listAt[r][1]]
	}
	p := t.cur
	start := len(t.spots)
	a, b, from, to := none, p.first[r], t.ready, int32(0)
	for from+t.after <= t.enough {
		if b == none {
			t.spots = append(t.spots, spot{a: a, b: b, from: from, to: t.after})
			break
		}
		to = t.tail[b] + p.dur[b]
		if t.head[b]+p.dur[b] > t.latest && t.ready+to <= t.enough && !slices.Contains(t.g.pres(v), b) {
			t.spots = append(t.spots, spot{a: a, b: b, from: from, to: max(to, t.after)})
		}
		if to <= t.least || slices.Contains(t.g.sucs(v), b) {
			break
		}
		from = max(from, t.head[b]+p.dur[b])
		a, b = b, p.next[b][side]
	}
	t.stamped[r], t.listAt[r] = t.stamp, [2]int{start, len(t.spots)}
	if p.res[v][side] == r {
		t.restored(v, side, t.spots[start:])
	}
	return t.spots[start:]
}

// restored marks those of the spots on a resource that v is on already that restore an order turned round lately.
func (t *tabu) restored(v int32, side int, list []spot) {
	p, n := t.cur, int32(t.g.n)
	x, forbidden := v, false
	for i := range list { // those behind v
		a := list[i].a
		if a == none || p.rank[a] < p.rank[v] {
			continue
		}
		for x != a {
			x = p.next[x][side]
			forbidden = forbidden || t.arcs[x*n+v] > t.step
		}
		list[i].forbidden = forbidden
	}
	x, forbidden = v, false
	for i := len(list) - 1; i >= 0; i-- { // those before it
		b := list[i].b
		if b == none || p.rank[b] > p.rank[v] {
			continue
		}
		for x != b {
			x = p.prev[x][side]
			forbidden = forbidden || t.arcs[v*n+x] > t.step
		}
		list[i].forbidden = forbidden
	}
}

// pairs goes through the spots of a machine and a worker side by side, by the end of what is before: each spot is met with the
// last one of the other list that makes v begin no later, which is the best for it.
func (t *tabu) pairs(c *chooser, v, k, rest int32, machine, worker []spot) {
	if len(machine) == 0 || len(worker) == 0 {
		return
	}
	p := t.cur
	time := t.g.mode[k].time
	same := k == p.mode[v]
	homeless := !same && t.homes[k] > t.step
	for i, j := 0, 0; ; {
		x, y := &machine[i], &worker[j]
		through := max(x.from, y.from) + time + max(x.to, y.to)
		if way := max(through, rest); way <= c.best.span && !(same && x.a == p.prev[v][0] && y.a == p.prev[v][1]) && t.apart(x.b, y.a) && t.apart(y.b, x.a) {
			c.see(move{o: v, mode: k, after: [2]int32{x.a, y.a}, span: way, through: through, forbidden: homeless || same && (x.forbidden || y.forbidden)})
		}
		switch {
		case i+1 < len(machine) && (j+1 == len(worker) || machine[i+1].from <= worker[j+1].from):
			i++
		case j+1 < len(worker):
			j++
		default:
			return
		}
	}
}

// apart says that no way leads from operation s, which comes behind the one put in, to b, which comes before it.
func (t *tabu) apart(s, b int32) bool {
	if s == none || b == none {
		return true
	}
	p := t.cur
	return s != b && (t.head[b] < t.head[s]+p.dur[s] || t.tail[s] < t.tail[b]+p.dur[b])
}
