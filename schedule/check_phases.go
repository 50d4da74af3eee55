package schedule

import (
	"slices"

	"tackline/plant"
)

var phaseNames = [...]string{inSetup: "setup", inLoad: "load", inRun: "run", inUnload: "unload", inBeside: "load beside the run"}

// checkPhases: each phase of a turn begins in its open time and is done before the next begins (rules 1, 2, 3 and 10).
func (c *checker) checkPhases(t *turn) {
	if t.fixed {
		c.checkFrozenSetup(t)
		return
	}
	for x := range t.parts {
		y := &t.parts[x]
		next := t.next(x)
		switch {
		case y.work <= 0:
			if y.begin != next && x != inBeside {
				c.add(stationRule, t.ops, "%s: no %s is needed, but it is given from %s to %s", c.names(t.ops), phaseNames[x], clock(y.begin), clock(next))
			}
		case next.Sub(y.begin) < y.work:
			rule := stationRule
			if x == inSetup && t.changeover > 0 {
				rule = overlapRule
			}
			c.add(rule, t.ops, "%s: the %s at %s has %s, it needs %s%s", c.names(t.ops), phaseNames[x], clock(y.begin),
				lasting(next.Sub(y.begin)), lasting(y.work), c.because(t, x))
		default:
			c.checkOpen(t, x)
		}
	}
}

// because explains a setup by its changeover.
func (c *checker) because(t *turn, x int) string {
	if x != inSetup || t.changeover == 0 {
		return ""
	}
	from := "as the station stands"
	if t.before != None {
		from = "after " + c.name(c.turns[t.before].ops[0])
	}
	return " (" + lasting(t.changeover) + " of changeover " + from + ")"
}

// checkOpen: phase x, which has time enough by the clock, begins in open time and keeps its closed-time rule.
func (c *checker) checkOpen(t *turn, x int) {
	y := &t.parts[x]
	station := &c.p.Stations[t.station]
	switch {
	case x == inBeside: // begins with the run, wherever that is
	case !station.Open.IsOpen(y.begin):
		c.add(holdRule, t.ops, "%s: the %s begins at %s, when %s is closed", c.names(t.ops), phaseNames[x], clock(y.begin), station.Name)
		return
	case !y.at.open.IsOpen(y.begin):
		c.add(openRule, t.ops, "%s: the %s begins at %s, when its crew is not there", c.names(t.ops), phaseNames[x], clock(y.begin))
		return
	}
	switch whole := y.begin.Add(y.work); {
	case x == inRun && t.closed == Whole && y.done != whole:
		c.add(openRule, t.ops, "%s: the run from %s to %s does not lie in one stretch of open time", c.names(t.ops), clock(y.begin), clock(whole))
	case y.done > t.next(x):
		c.add(openRule, t.ops, "%s: the %s from %s to %s has %s of open time, it needs %s", c.names(t.ops), phaseNames[x], clock(y.begin),
			clock(t.next(x)), lasting(y.at.open.Work(y.begin, t.next(x))), lasting(y.work))
	}
}

// checkFrozenSetup: work put before a frozen operation leaves it the changeover that it then needs.
func (c *checker) checkFrozenSetup(t *turn) {
	if t.before == None || t.changeover == 0 || c.turns[t.before].fixed || c.p.Ops[t.ops[0]].State != Frozen {
		return
	}
	need := t.changeover
	for _, i := range t.ops {
		need = max(need, t.changeover+c.p.Ops[i].Setup)
	}
	if y := &t.parts[inSetup]; y.work < need {
		c.add(overlapRule, joined(c.turns[t.before].ops, t.ops), "%s is frozen with %s of setup, it needs %s%s", c.names(t.ops),
			lasting(y.work), lasting(need), c.because(t, inSetup))
	}
}

// checkBatch: members share all times, key, family and closed rule, and fit (rule 5).
func (c *checker) checkBatch(t *turn) {
	station := &c.p.Stations[t.station]
	if t.fixed || station.Takes != Batch {
		return
	}
	first := &c.p.Ops[t.ops[0]]
	var size plant.Qty
	for _, i := range t.ops {
		o := &c.p.Ops[i]
		size += o.Size
		pair := []int{t.ops[0], i}
		if c.slots[i] != t.slot {
			c.add(batchRule, pair, "%s and %s are in one batch at different times", c.name(t.ops[0]), c.name(i))
		}
		if o.Key != first.Key || o.Family != first.Family || o.Closed != first.Closed {
			c.add(batchRule, pair, "%s and %s cannot be in one batch: key %q and %q, family %q and %q", c.name(t.ops[0]), c.name(i),
				first.Key, o.Key, c.family(first.Family), c.family(o.Family))
		}
	}
	if size > station.Capacity {
		c.add(batchRule, t.ops, "the batch at %s on %s holds %s, there is room for %s: %s", clock(t.slot.Run), station.Name, size,
			station.Capacity, c.names(t.ops))
	}
}

func (r *reading) family(i int) plant.Family {
	if i < 0 || i >= len(r.p.Families) {
		return ""
	}
	return r.p.Families[i]
}

// joined gives the operations of both, in order.
func joined(a, b []int) []int {
	out := slices.Concat(a, b)
	slices.Sort(out)
	return slices.Compact(out)
}
