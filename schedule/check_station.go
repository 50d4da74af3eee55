package schedule

import (
	"cmp"
	"slices"

	"tackline/plant"
)

// interval is the time in which a turn occupies something.
type interval struct {
	from, to plant.Time
	turn     int
}

// checkStation: what occupies a station does not overlap, and pallets and places suffice (rules 2, 5 and 6).
func (c *checker) checkStation(s int) {
	st := &c.p.Stations[s]
	switch {
	case st.Takes == NoLimit:
	case st.Takes == Places:
		c.checkPlaces(s)
	case st.Takes == One && st.Pallets >= 2:
		c.checkPallets(s)
	default:
		rule := overlapRule
		if st.Takes == Batch {
			rule = batchRule
		}
		var busy []interval
		for _, k := range c.at[s] {
			busy = append(busy, interval{c.turns[k].slot.Setup, c.turns[k].slot.End, k})
		}
		c.checkOverlap(s, rule, busy)
	}
}

// checkOverlap: the intervals of different turns do not overlap. Each interval is held against the one before it that
// ends last; if that pair is fixed, against the one that ends last and is not.
func (c *checker) checkOverlap(s, rule int, busy []interval) {
	busy = slices.DeleteFunc(busy, func(x interval) bool { return x.from >= x.to })
	slices.SortFunc(busy, func(a, b interval) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to), cmp.Compare(a.turn, b.turn))
	})
	longest, free := interval{to: -plant.Never}, interval{to: -plant.Never} // free: not fixed
	for _, x := range busy {
		other := longest
		if c.turns[x.turn].fixed {
			other = free
		}
		if x.from < other.to && x.turn != other.turn {
			a, b := &c.turns[other.turn], &c.turns[x.turn]
			c.add(rule, joined(a.ops, b.ops), "%s occupies %s from %s to %s; %s from %s to %s", c.names(a.ops), c.p.Stations[s].Name,
				clock(other.from), clock(other.to), c.names(b.ops), clock(x.from), clock(x.to))
		}
		if x.to > longest.to {
			longest = x
		}
		if x.to > free.to && !c.turns[x.turn].fixed {
			free = x
		}
	}
}

// checkPallets: setups and runs do not overlap, setups come after the run before, and there is a pallet for each piece.
func (c *checker) checkPallets(s int) {
	st := &c.p.Stations[s]
	var busy []interval
	var moves []change
	before := None
	for _, k := range c.at[s] {
		t := &c.turns[k]
		from, to := t.span(inSetup)
		busy = append(busy, interval{from, to, k})
		if before != None && from < to {
			b := &c.turns[before]
			if _, done := b.span(inRun); from < done && !(t.fixed && b.fixed) {
				c.add(overlapRule, joined(b.ops, t.ops), "%s is set up on %s from %s, before the run of %s is done at %s", c.names(t.ops),
					st.Name, clock(from), c.names(b.ops), clock(done))
			}
		}
		before = k
		from, to = t.span(inRun)
		busy = append(busy, interval{from, to, k})
		moves = append(moves, change{t.slot.Load, 1, k}, change{t.slot.End, -1, k})
	}
	c.checkOverlap(s, overlapRule, busy)
	c.overuse(moves, []limit{{-plant.Never, int64(st.Pallets)}}, func(x excess) {
		c.add(overlapRule, x.ops, "from %s %d pieces are on the %d pallets of %s: %s", clock(x.from), x.used, x.limit, st.Name, c.names(x.ops))
	})
}

// checkPlaces: the sizes on a rack stay within its capacity (rule 6).
func (c *checker) checkPlaces(s int) {
	st := &c.p.Stations[s]
	var moves []change
	for _, k := range c.at[s] {
		t := &c.turns[k]
		size := int64(c.p.Ops[t.ops[0]].Size)
		moves = append(moves, change{t.slot.Run, size, k}, change{t.slot.End, -size, k})
	}
	c.overuse(moves, []limit{{-plant.Never, int64(st.Capacity)}}, func(x excess) {
		c.add(placesRule, x.ops, "from %s %s is on %s, there is room for %s: %s", clock(x.from), plant.Qty(x.used), st.Name,
			plant.Qty(x.limit), c.names(x.ops))
	})
}

// change is more or less in use from an instant on.
type change struct {
	at   plant.Time
	by   int64
	turn int
}

// limit is how much there is from an instant on.
type limit struct {
	at plant.Time
	n  int64
}

// excess is a stretch in which more is in use than there is.
type excess struct {
	from        plant.Time
	used, limit int64
	ops         []int // in use at from
}

// overuse goes through the changes in order of time and reports each stretch in which more is in use than the limit, once,
// from the instant at which something that is not fixed has a part in it.
func (c *checker) overuse(changes []change, limits []limit, report func(excess)) {
	slices.SortFunc(changes, func(a, b change) int { return cmp.Compare(a.at, b.at) })
	active := map[int]int64{} // use by turn
	var used, most int64
	free, reported := 0, false // free: turns in use that are not fixed
	for i, j := 0, 0; i < len(changes); {
		now := changes[i].at
		if j < len(limits) {
			now = min(now, limits[j].at)
		}
		for ; j < len(limits) && limits[j].at == now; j++ {
			most = limits[j].n
		}
		for ; i < len(changes) && changes[i].at == now; i++ {
			x := changes[i]
			was := active[x.turn]
			used += x.by
			active[x.turn] = was + x.by
			if is := was + x.by; !c.turns[x.turn].fixed && (was == 0) != (is == 0) {
				free += map[bool]int{true: 1, false: -1}[is != 0]
			}
			if active[x.turn] == 0 {
				delete(active, x.turn)
			}
		}
		switch {
		case used <= most:
			reported = false
		case free > 0 && !reported:
			reported = true
			report(excess{now, used, most, c.opsOf(active)})
		}
	}
}

func (c *checker) opsOf(active map[int]int64) []int {
	var ops []int
	for k := range active {
		ops = append(ops, c.turns[k].ops...)
	}
	slices.Sort(ops)
	return ops
}
