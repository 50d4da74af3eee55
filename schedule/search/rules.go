package search

import (
	"math"

	"tackline/plant"
)

// index is the quantity that a priority rule orders by.
type index uint8

const (
	byDue        index = iota // due date of the unit, earliest first (Jackson 1955)
	byLatest                  // latest start: least slack first
	bySlackPerOp              // slack per remaining operation
	byRatio                   // critical ratio: time left / work left
	byArrival                 // first come, first served
	byCost                    // apparent tardiness cost with setups (Vepsalainen & Morton 1987; Lee, Bhaskaran & Pinedo 1997)
	byMeeting                 // latest start for the date its unit can still meet: a look-ahead of our own
	byKeys                    // keys given
)

// rule is how one pass decides.
type rule struct {
	name      string
	index     index
	dispatch  bool    // station by station as time goes on, instead of operation by operation
	setupBias float64 // seconds of delay accepted to save a second of setup
	patience  float64 // how long a batch waits for more members; see join
	backward  bool    // makes the plan, moves all to the latest, and makes it again in that order
	roam      bool    // puts back what it takes out wherever it is best, not where the adopted plan has it
	keep      bool    // keeps adopted work inside the freeze window in place
	near      float64 // look-ahead of the tardiness cost, in average lengths of an operation
	change    float64 // weight of setups in the tardiness cost, in average setups
	keys      []float64
	noise     float64 // seconds of random change of keys
	part      float64 // the part of the operations whose keys change
	seed      uint64
}

// firstRules are the passes that every search begins with, the most promising first.
func firstRules() []rule {
	return []rule{
		{name: "the date its unit can still meet", index: byMeeting, setupBias: 1, patience: 1, keep: true},
		{name: "least slack", index: byLatest, setupBias: 1, patience: 1, keep: true},
		{name: "earliest due date", index: byDue, setupBias: 1, patience: 1, keep: true},
		{name: "tardiness cost with setups", index: byCost, dispatch: true, near: 3, change: 0.5, setupBias: 1, patience: 1, keep: true},
		{name: "slack per operation", index: bySlackPerOp, setupBias: 0, patience: 1, keep: true},
		{name: "critical ratio", index: byRatio, dispatch: true, setupBias: 1, patience: 1, keep: true},
		{name: "first come", index: byArrival, setupBias: 1, patience: 0.5, keep: true},
		{name: "least slack, free to move", index: byLatest, setupBias: 3, patience: 3},
	}
}

// key gives the rank of operation o, ready at t, smaller first, for a pass operation by operation. Keys are instants, so
// that operations ready at different times compare.
func (s *state) key(o int32, t plant.Time) float64 {
	a := &s.m.aims[o]
	var k float64
	switch s.rule.index {
	case byDue:
		k = float64(a.due) + float64(a.latest-a.due)*1e-3
	case bySlackPerOp:
		k = float64(t) + float64(a.latest-t)/float64(max(1, a.ops))
	case byRatio:
		k = float64(t) + float64(a.due-t)/math.Max(1, float64(a.tail))*day
	case byArrival:
		k = float64(t)
	case byMeeting:
		k = float64(a.meets)
	case byKeys:
		k = s.rule.keys[o]
	default:
		k = float64(a.latest)
	}
	return k + s.shake(o)
}

// shake gives the random change of the key of o.
func (s *state) shake(o int32) float64 {
	r := s.rule
	if r.noise == 0 || math.Abs(signed(^r.seed, uint64(o))) > r.part {
		return 0
	}
	return r.noise * signed(r.seed, uint64(o))
}

// signed gives a random number from -1 to 1 that depends on seed and n only (the output function of splitmix64: Steele, Lea
// and Flood, "Fast splittable pseudorandom number generators", 2014).
func signed(seed, n uint64) float64 { return 2*float64(mix(seed+n*0x9e3779b97f4a7c15)>>11)/(1<<53) - 1 }

func mix(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9
	z = (z ^ (z >> 27)) * 0x94d049bb133111eb
	return z ^ (z >> 31)
}
