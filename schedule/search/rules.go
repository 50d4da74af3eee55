package search

import (
	"math"

	"tackline/plant"
	"tackline/schedule"
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
	byAdopted                 // begin in the adopted plan, or as byMeeting
)

// rule is how one pass decides.
type rule struct {
	name      string
	index     index
	dispatch  bool    // station by station as time goes on, instead of operation by operation
	setupBias float64 // seconds of delay accepted to save a second of setup
	patience  float64 // how long a batch waits for more members; see join
	overBias  float64 // seconds of delay accepted to save a second of overtime
	blink     float64 // part of the gaps passed over
	pull      bool    // brings late work forward after a change
	late      bool    // moves work later first even if what meets there then waits longer
	stay      bool    // leaves what could be earlier, or set up later, where it was put
	soon      bool    // sets up as early as can be
	wish      float64 // part of what is put back that is put at an instant at which something happens
	raw       bool    // leaves all where it was put
	roam      bool    // puts back what it takes out wherever it is best, not where the adopted plan has it
	keep      bool    // keeps adopted work inside the freeze window in place
	all       bool    // keeps all adopted work in place, where that still can be
	near      float64 // look-ahead of the tardiness cost, in average lengths of an operation
	change    float64 // weight of setups in the tardiness cost, in average setups
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
	case byAdopted:
		k = float64(s.m.aims[o].meets)
		if a := s.m.p.Adopted; a != nil && a[o].Station != schedule.None {
			k = float64(a[o].Load)
		}
	default:
		k = float64(a.latest)
	}
	return k
}
