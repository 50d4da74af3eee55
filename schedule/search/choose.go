package search

import (
	"math"

	"tackline/plant"
	"tackline/schedule"
)

// smallPlant is the number of operations up to which everything is taken out now and then.
const smallPlant = 40

// ruin takes operations out.
func (c *chain) ruin() {
	s := c.s
	o, ok := c.any()
	if !ok {
		return
	}
	c.tail = false
	x := c.d.unit()
	n := len(s.m.kinOps.all)
	switch {
	case n <= mostTail && c.d.unit() < 0.3: // all from an instant on
		c.from(o)
	case n <= smallPlant && x < 0.3: // everything
		c.all(s.m.kinOps.all)
	case s.m.p.Adopted != nil && x < 0.08 && c.homeless(): // what the adopted plan has elsewhere
	case x < 0.15: // units that meet on stations
		c.units(c.dear(o), 1+int(3*math.Pow(c.d.unit(), 2)))
	case x < 0.40: // what follows each other on a station
		c.row(o, 2+int(c.d.next()%9))
	case x < 0.6: // a job
		c.all(s.m.jobOps.of(int32(s.m.p.Ops[o].Job)))
	case x < 0.8: // an operation and all after it in its unit
		c.after(c.dear(o))
	default: // a few near each other on their stations
		for range 1 + c.d.next()%4 {
			c.out(o)
			o = c.beside(o)
		}
	}
}

// mostTail is the number of operations of a plant up to which all from an instant on are taken out now and then.
const mostTail = 400

// from takes out all that begins when o does or after, and gives a few of it another place in the order.
func (c *chain) from(o int32) {
	s := c.s
	c.tail = true
	t := s.visits[s.leader[o]].load
	if c.d.unit() < 0.3 {
		t = s.m.p.Now
	}
	for _, x := range s.m.kinOps.all {
		if lead := s.leader[x]; lead != none && s.visits[lead].load >= t {
			c.lastAt[x] = s.visits[lead].load
		}
	}
	for _, x := range s.m.kinOps.all {
		if lead := s.leader[x]; lead != none && s.visits[lead].load >= t {
			s.takeOut(x)
		}
	}
	n := uint64(len(s.gone))
	if n == 0 {
		return
	}
	for range 1 + c.d.next()%4 {
		x := s.gone[c.d.next()%n]
		for range 20 { // tries to hit one of the same stations or crews
			y := s.gone[c.d.next()%n]
			if x != y && (s.m.ops[x].group == s.m.ops[y].group || s.m.ops[x].runTeam == s.m.ops[y].runTeam && s.m.ops[x].runTeam != 0) {
				c.lastAt[x] = c.lastAt[y] + plant.Time(c.d.next()%3) - 1
				break
			}
		}
	}
}

// out takes o out and remembers when it began.
func (c *chain) out(o int32) {
	n := len(c.s.gone)
	if c.s.leader[o] == none || len(c.s.gone) >= mostGone {
		return
	}
	c.lastAt[o] = c.s.visits[c.s.leader[o]].load
	c.s.takeOut(o)
	for _, x := range c.s.gone[n:] {
		if x != o {
			c.lastAt[x] = c.lastAt[o]
		}
	}
}

func (c *chain) all(ops []int32) {
	for _, o := range ops {
		c.out(o)
	}
}

// any draws an operation that may be moved.
func (c *chain) any() (int32, bool) {
	s := c.s
	n := uint64(len(s.m.kinOps.all))
	if n == 0 {
		return 0, false
	}
	for range 20 {
		if o := s.m.kinOps.all[c.d.next()%n]; s.leader[o] != none {
			return o, true
		}
	}
	return 0, false
}

// dear draws a few more operations and gives the one whose kin costs most for being late and waiting.
func (c *chain) dear(o int32) int32 {
	best, most := o, c.costOf(c.s.m.kin[o])
	for range c.d.next() % 4 {
		x, ok := c.any()
		if !ok {
			break
		}
		if k := c.costOf(c.s.m.kin[x]); k > most {
			best, most = x, k
		}
	}
	return best
}

// costOf is the cost of the operations of a kin for being late, waiting, moved and pinned.
func (c *chain) costOf(kin int32) (sum float64) {
	for _, o := range c.s.m.kinOps.of(kin) {
		if lead := c.s.leader[o]; lead != none {
			sum += c.s.charge(o, &c.s.visits[lead])
		}
	}
	return sum
}

// units takes out all of up to n units: that of o, and others next to it on stations.
func (c *chain) units(o int32, n int) {
	for range n {
		next := c.beside(o)
		c.all(c.s.m.kinOps.of(c.s.m.kin[o]))
		o = next
		if c.s.leader[o] == none {
			return
		}
	}
}

// beside gives an operation that is near on the station of one of the same kin, or o itself.
func (c *chain) beside(o int32) int32 {
	s := c.s
	list := s.m.kinOps.of(s.m.kin[o])
	for range 10 {
		x := list[c.d.next()%uint64(len(list))]
		lead := s.leader[x]
		if lead == none {
			continue
		}
		v := &s.visits[lead]
		seq := s.seqs[v.station]
		if v.takes != schedule.One && v.takes != schedule.Batch {
			continue
		}
		i := s.entryOf(v, lead) + int(c.d.next()%9) - 4
		if i < 0 || i >= len(seq) || s.visits[seq[i].visit].fixed || seq[i].visit == lead {
			continue
		}
		return seq[i].visit
	}
	return o
}

// row takes out n visits that follow each other on a station, and sometimes those at the same time on stations beside it.
func (c *chain) row(o int32, n int) {
	s := c.s
	lead := s.leader[o]
	v := s.visits[lead]
	if v.takes != schedule.One && v.takes != schedule.Batch {
		c.out(o)
		return
	}
	at := v.run
	if c.d.unit() < 0.5 {
		c.stretch(v.station, at, n)
		return
	}
	for _, m := range s.m.groups[s.m.ops[o].group] {
		c.stretch(m, at, 1+n/2)
	}
}

// homeless takes out an operation that counts as moved, what is in the way where it was, and what must be before or after
// it then. It gives false if it finds none.
func (c *chain) homeless() bool {
	s := c.s
	if len(s.m.homes) == 0 {
		return false
	}
	for range 10 {
		o := s.m.homes[c.d.next()%uint64(len(s.m.homes))]
		lead := s.leader[o]
		if lead == none || !s.movedFrom(o, &s.visits[lead]) {
			continue
		}
		a := s.m.home(o)
		c.after(o)
		c.befores(o, a.Load)
		for _, e := range s.seqs[a.Station] {
			if e.from < a.End && e.to > a.Setup {
				c.members(e.visit)
				c.after(e.visit)
				break
			}
		}
		for _, e := range s.seqs[a.Station] {
			if e.from < a.End && e.to > a.Setup {
				c.members(e.visit)
				break
			}
		}
		return true
	}
	return false
}

// befores takes out what comes before o and ends after t, and so on.
func (c *chain) befores(o int32, t plant.Time) {
	s := c.s
	for _, i := range s.m.in.of(o) {
		from := int32(s.m.p.Links[i].From)
		if lead := s.leader[from]; lead != none && !s.m.ops[from].fixed && s.visits[lead].end > t {
			begin := s.visits[lead].load
			c.out(from)
			c.befores(from, min(t, begin))
		}
	}
}

// members takes out a visit.
func (c *chain) members(lead int32) {
	for x := lead; x != none; {
		next := c.s.next[x]
		if !c.s.m.ops[x].fixed {
			c.out(x)
		}
		x = next
	}
}

// stretch takes out n visits around an instant on a station.
func (c *chain) stretch(station int32, at plant.Time, n int) {
	s := c.s
	seq := s.seqs[station]
	rest := c.d.unit() < 0.3 // with all that comes after, so that they may become later
	from := max(0, firstRun(seq, at)-int(c.d.next()%uint64(n)))
	c.list = c.list[:0]
	for _, e := range seq[from:min(len(seq), from+n)] {
		for x := e.visit; x != none; x = s.next[x] {
			c.list = append(c.list, x)
		}
	}
	for _, x := range c.list {
		switch {
		case s.m.ops[x].fixed:
		case rest:
			c.after(x)
		default:
			c.out(x)
		}
	}
}

// after takes out o and all that comes after it.
func (c *chain) after(o int32) {
	if c.s.leader[o] == none || c.s.m.ops[o].fixed || len(c.s.gone) >= mostGone {
		return
	}
	c.out(o)
	for _, i := range c.s.m.out.of(o) {
		c.after(int32(c.s.m.p.Links[i].To))
	}
}

func (m *model) kinCount() int { return len(m.kinOps.at) - 1 }
