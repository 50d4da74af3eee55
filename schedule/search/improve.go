package search

import (
	"math"
	"slices"

	"tackline/plant"
	"tackline/schedule"
)

// mostGone bounds the operations taken out in one change.
const mostGone = 120

// chain improves the plan of a state by ruin and recreate: it takes some operations out and puts them back at better places,
// and keeps the change if it is cheaper, or by chance if it is a little dearer (Schrimpf, Schneider, Stamm-Wilbrandt and
// Dueck 2000; Christiaens and Vanden Berghe 2020).
type chain struct {
	s        *state
	d        dice
	heat     float64 // temperature: how much dearer a change may be
	best     float64 // cost of the best plan
	slots    []schedule.Slot
	dirty    []int32 // operations whose slots differ from the best plan's, perhaps
	isDirty  []bool
	lastAt   []plant.Time // by operation gone: the begin it had
	shift    []float64    // by kin, then by family: change of keys
	shiftAt  []uint32
	leads    []int32
	list     []int32
	rule     rule
	spread   float64 // seconds by which units are put forward or back
	tail     bool    // everything from an instant on is taken out
	byBegin  bool    // the order is that of the begins there were
	byOne    bool    // single operations are put forward or back
	byFamily bool    // setup families are put forward or back, not units
	queue    []int32
	room     []hole     // where operations were taken out
	watch    *[]float64 // where to note what refused changes would have cost, or nil
	hot      float64    // first temperature
	strict   bool       // keeps only what is cheaper, so that a repaired plan stays as it is where nothing is gained
	steps    int
}

// newChain begins from a plan that keeps all rules.
func newChain(s *state, slots []schedule.Slot, seed uint64) *chain {
	c := &chain{s: s, d: dice{seed}, isDirty: make([]bool, len(s.m.ops)), lastAt: make([]plant.Time, len(s.m.ops)),
		shift: make([]float64, s.m.kinCount()+max(1, len(s.m.p.Families))), shiftAt: make([]uint32, s.m.kinCount()+max(1, len(s.m.p.Families)))}
	c.begin(slots)
	return c
}

// begin makes slots the plan that the chain goes on from.
func (c *chain) begin(slots []schedule.Slot) {
	s := c.s
	s.load(slots)
	s.openAccount()
	c.slots = append(c.slots[:0], slots...)
	c.best = s.money
	for _, o := range c.dirty {
		c.isDirty[o] = false
	}
	c.dirty = c.dirty[:0]
}

// step makes one change, and keeps it or takes it back.
func (c *chain) step() {
	s := c.s
	c.steps++
	s.start()
	s.gone, s.holes = s.gone[:0], s.holes[:0]
	before := s.money
	c.ruin()
	c.room = append(c.room[:0], s.holes...)
	after := c.little() && c.d.unit() < 0.5 // what is put back may need the setups as they are
	if len(s.gone) == 0 || len(s.gone) > mostGone && !c.tail || !after && !s.settle() {
		s.takeBack()
		return
	}
	c.decide()
	if !c.recreate() || after && !s.settleAfter() {
		s.takeBack()
		return
	}
	if c.rule.pull {
		c.pull()
	}
	c.polish()
	delta := s.money - before
	if c.watch != nil && delta > 0 {
		*c.watch = append(*c.watch, delta)
	}
	if c.strict && delta > -0.01 || delta > 0 && delta >= -c.heat*math.Log(max(1e-12, c.d.unit())) {
		s.takeBack()
		return
	}
	c.note()
}

// little says whether the plant is so small that more can be tried with each change.
func (c *chain) little() bool { return len(c.s.m.kinOps.all) <= smallPlant }

// cool sets the temperature when a part of the search is over.
func (c *chain) cool(part float64) { c.heat = c.hot * math.Pow(0.01, part) }

// note remembers what has changed, and the plan if it is the best.
func (c *chain) note() {
	s := c.s
	for i := range s.log.ops {
		if o := s.log.ops[i].op; !c.isDirty[o] {
			c.isDirty[o] = true
			c.dirty = append(c.dirty, o)
		}
	}
	if s.money >= c.best-0.01 {
		return
	}
	c.best = s.money
	for _, o := range c.dirty {
		c.isDirty[o] = false
		if lead := s.leader[o]; lead != none {
			for x := lead; x != none; x = s.next[x] {
				c.slots[x] = s.slotOf(lead)
			}
		}
	}
	c.dirty = c.dirty[:0]
}

// slotOf writes the visit of lead down.
func (s *state) slotOf(lead int32) schedule.Slot {
	v := &s.visits[lead]
	x := schedule.Slot{Station: int(v.station), Setup: v.setup, Load: v.load, Run: v.run, Unload: v.unload, End: v.end}
	if v.takes == schedule.Batch {
		x.Batch = s.m.maxBatch + 1 + int(lead)
	}
	return x
}

// polish moves what was put back, and what comes right before it, within the room that it has.
func (c *chain) polish() {
	s := c.s
	if !c.rule.raw {
		c.polishNear()
	}
	if (c.rule.raw || c.rule.stay) && s.money < c.best-0.01 {
		s.putOff(s.latestFirst())
	}
}

// polishNear polishes what was put back and what is beside it; in a small plant, all.
func (c *chain) polishNear() {
	s := c.s
	c.leads = c.leads[:0]
	if c.little() {
		for _, o := range s.m.kinOps.all {
			if s.leader[o] == o {
				c.leads = append(c.leads, o)
			}
		}
	}
	for _, o := range s.gone {
		c.leads = append(c.leads, s.leader[o])
		c.nextTo(s.leader[o])
		for _, i := range s.m.in.of(o) {
			if from := s.leader[s.m.p.Links[i].From]; from != none {
				c.leads = append(c.leads, from)
			}
		}
	}
	slices.Sort(c.leads)
	c.leads = slices.Compact(c.leads)
	c.leads = slices.DeleteFunc(c.leads, func(o int32) bool { return s.visits[o].fixed || s.visits[o].kept })
	s.byEnd(c.leads)
	s.polishThese(c.leads)
}

// nextTo adds what comes next on the station of a visit: it may make room.
func (c *chain) nextTo(lead int32) {
	s := c.s
	v := &s.visits[lead]
	if v.takes != schedule.One && v.takes != schedule.Batch {
		return
	}
	if seq, i := s.seqs[v.station], s.entryOf(v, lead)+1; i < len(seq) {
		c.leads = append(c.leads, seq[i].visit)
	}
}

// decide draws how what is gone is put back.
func (c *chain) decide() {
	s := c.s
	c.rule = rule{setupBias: c.pick(0, 1, 1, 3, 10), overBias: c.pick(0, 0, 1, 10), blink: c.pick(0, 0.03, 0.1, 0.3),
		patience: c.pick(0, 0, 1, 6, 24), roam: c.d.unit() < 0.1 && !c.strict, pull: c.d.unit() < 0.7, late: c.d.unit() < 0.3}
	s.rule = &c.rule
	s.luck = dice{c.d.next()}
	c.spread = day * 0.1 * math.Pow(200, c.d.unit())
	c.byBegin, c.byFamily = c.d.unit() < 0.5, c.d.unit() < 0.25
	little := c.little()
	c.byOne = c.d.unit() < 0.05 || little && c.d.unit() < 0.25
	c.rule.stay = little && c.d.unit() < 0.2
	c.rule.soon = little && c.d.unit() < 0.1
	if little && c.d.unit() < 0.8 {
		c.rule.wish, c.rule.raw = min(1, c.pick(1, 1, 2)/float64(len(s.gone))), c.d.unit() < 0.7
		c.rule.pull = c.rule.pull && !c.rule.raw
	}
	s.delayed = none
	if n := uint64(len(s.gone)); c.d.unit() < 0.15 {
		s.delayed, s.delay = s.gone[c.d.next()%n], plant.Seconds(1+c.d.next()%12)*3600
		c.rule.pull = false
	}
	if c.tail {
		c.byBegin, c.spread = true, c.pick(0, 0, 60, 3600)
		c.rule.blink, c.rule.overBias = c.pick(0, 0, 0, 0.03), c.pick(0, 0, 10)
	}
}

// key orders what is gone: by latest begin or by the begin it had, units put forward or back against each other.
func (c *chain) key(o int32) float64 {
	if c.byOne {
		t := c.s.m.aims[o].meets
		if c.byBegin {
			t = c.lastAt[o]
		}
		return float64(t) + c.spread*(2*c.d.unit()-1)
	}
	k := c.s.m.kin[o]
	if f := c.s.m.ops[o].family; c.byFamily && f > 0 {
		k = int32(c.s.m.kinCount()) + f
	}
	if c.shiftAt[k] != c.s.log.now {
		c.shiftAt[k] = c.s.log.now
		c.shift[k] = c.spread * (2*c.d.unit() - 1)
	}
	if c.byBegin {
		return float64(c.lastAt[o]) + c.shift[k]
	}
	return float64(c.s.m.aims[o].meets) + c.shift[k]
}

func (c *chain) pick(of ...float64) float64 { return of[c.d.next()%uint64(len(of))] }
