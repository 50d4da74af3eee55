package search

import (
	"math"
	"slices"

	"tackline/schedule"
)

// learn puts forward the units that the best plan has late, by a part of how late they are, and lets the others fall back
// ("Squeaky wheel" optimization: Joslin and Clements 1999).
func (r *runner) learn() {
	for i, u := range r.m.p.Units {
		late := 0.0
		if u.Last >= 0 && r.best.slots[u.Last].Station != schedule.None {
			late = math.Max(0, float64(r.best.slots[u.Last].End-u.Due))
		}
		r.lag[i] = 0.7*r.lag[i] + 0.5*late
	}
}

// backwardEvery is the number of rounds from one backward pass to the next: they take twice the work.
const backwardEvery = 4

// changes gives the rules of a round of improvement: each makes a plan in an order that follows the best plan so far, or
// one of the rules, with changes.
func (r *runner) changes() []rule {
	rules := make([]rule, roundSize)
	for k := range rules {
		d := dice{r.opt.Seed + uint64(r.rounds*roundSize+k)*0x632be59bd9b4e019}
		rules[k] = r.change(k, &d)
	}
	return rules
}

func (r *runner) change(k int, d *dice) rule {
	c := r.base.rule
	c.index, c.dispatch, c.backward, c.noise, c.seed = byKeys, false, false, 0, d.next()
	if k%2 == 1 { // half the passes also decide otherwise
		c.keep, c.setupBias, c.patience = d.unit() < 0.9, 3*d.unit(), 3*d.unit()
	}
	if k == 7 && r.rounds%2 == 0 {
		k = 1
	}
	if k == 4 && r.rounds%backwardEvery > 0 {
		k = 3
	}
	switch k {
	case 0:
		c.name = "the best order, shaken"
		c.keys = r.order()
		c.noise, c.part = 3600*math.Pow(200, d.unit()), math.Pow(d.unit(), 3)
		if r.stale%patienceRounds >= patienceRounds/2 { // nothing helped for long: any order
			c.noise, c.part = 2*(slices.Max(c.keys)-slices.Min(c.keys))+1, 1
		}
	case 1:
		c.name = "the best order, some operations put elsewhere"
		c.keys = r.order()
		r.insert(c.keys, d)
	case 2, 3:
		c.name = "the best order, some units put forward or back"
		c.keys = r.order()
		r.shift(c.keys, d, math.Pow(d.unit(), 3), 3600*math.Pow(240, d.unit()))
	case 4:
		c.name = "the best order, backward and forward"
		c.keys, c.backward = r.order(), true
		c.noise, c.part = 3600*math.Pow(200, d.unit()), math.Pow(d.unit(), 3)
	case 5:
		c.name = "the best order, late units put forward"
		c.keys = r.order()
		r.forward(c.keys, d.unit())
	case 6:
		c.name = "least slack, late units put forward"
		c.keys = r.aimed(d.unit() < 0.2)
		r.forward(c.keys, d.unit())
		c.noise, c.part = day*10*d.unit(), d.unit()
	default:
		c.name = "tardiness cost with setups"
		c.index, c.dispatch = byCost, true
		c.near, c.change = 0.5*math.Pow(100, d.unit()), 0.1*math.Pow(100, d.unit())
		c.noise, c.part = day*d.unit(), 1
	}
	return c
}

// order gives the keys that the base of this round was made by.
func (r *runner) order() []float64 {
	return slices.Clone(r.base.keys)
}

// aimed gives as keys the latest starts, for the due dates or for the dates that units can still meet.
func (r *runner) aimed(meets bool) []float64 {
	keys := make([]float64, len(r.m.ops))
	for o := range keys {
		t := r.m.aims[o].latest
		if meets {
			t = r.m.aims[o].meets
		}
		keys[o] = float64(t)
	}
	return keys
}

// shift moves a part of the units by up to most seconds.
func (r *runner) shift(keys []float64, d *dice, part, most float64) {
	by := make([]float64, len(r.m.p.Units))
	for i := range by {
		if d.unit() < part {
			by[i] = most * (2*d.unit() - 1)
		}
	}
	if len(by) > 0 {
		by[d.next()%uint64(len(by))] += most * (2*d.unit() - 1)
	}
	r.move(keys, by)
}

// insert puts a few operations right before or after others of their stations.
func (r *runner) insert(keys []float64, d *dice) {
	n := uint64(len(keys))
	for range 1 + d.next()%4 {
		o := d.next() % n
		for range 20 { // tries to hit one of the same stations
			x := d.next() % n
			if x != o && r.m.ops[x].group == r.m.ops[o].group {
				keys[o] = keys[x] + 2*d.unit() - 1
				break
			}
		}
	}
}

// forward puts late units forward by a share of what was learnt.
func (r *runner) forward(keys []float64, share float64) {
	by := make([]float64, len(r.lag))
	for i := range by {
		by[i] = -2 * share * r.lag[i]
	}
	r.move(keys, by)
}

// move adds to the keys of each unit's operations. An operation for several units follows its job's unit, if it has one.
func (r *runner) move(keys, by []float64) {
	for o := range keys {
		if u := r.m.p.Jobs[r.m.p.Ops[o].Job].Unit; u >= 0 && u < len(by) {
			keys[o] += by[u]
		}
	}
}

// dice is the splitmix64 generator; see signed.
type dice struct{ state uint64 }

func (d *dice) next() uint64 {
	d.state += 0x9e3779b97f4a7c15
	return mix(d.state)
}

// unit gives a number from 0 to 1.
func (d *dice) unit() float64 { return float64(d.next()>>11) / (1 << 53) }
