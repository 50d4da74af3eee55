package flow

import (
	"cmp"
	"slices"

	"tackline/plant"
	"tackline/schedule"
)

// Effect is what a plan costs beside the one before it, and what moved.
type Effect struct {
	Before, After schedule.Score
	Without       schedule.Score // of planning on for as long without the hand: After less this is what the hand costs
	Units         []UnitMove     // units whose ship dates move by a minute or more, those that get later most first
	Moved         int            // operations that are set up elsewhere or at another time
	Pins          []LatePin      // pins that could not be kept in time
	Passed        plant.Seconds
}

// UnitMove is a unit that ships at another time.
type UnitMove struct {
	Unit       int // in the view after
	Before     plant.Time
	After, Due plant.Time
}

// LatePin is a pinned operation that begins after its pin, and what it waits for.
type LatePin struct {
	Op   int
	Late plant.Seconds
	Why  string
}

// effectOf compares a view with the one before it. A priority changes what lateness costs, so the plan before is measured by the
// costs after. Without is the plan before; see Effect.beside.
func effectOf(before, after *View, h *Hand) Effect {
	e := Effect{Before: before.Score, After: after.Score, Pins: LatePins(after.Problem, after.Plan),
		Passed: after.Problem.Now.Sub(before.Problem.Now)}
	if h.Kind == Prioritise {
		e.Before = dearer(before.Problem, after.Problem, before.Plan)
	}
	e.Without = e.Before
	ships := map[plant.UnitID]plant.Time{}
	for i := range before.Why {
		ships[before.Needs.Units[i].ID] = before.Why[i].Ship
	}
	for i := range after.Why {
		u := &after.Needs.Units[i]
		if was, known := ships[u.ID]; known && max(was-after.Why[i].Ship, after.Why[i].Ship-was) >= 60 {
			e.Units = append(e.Units, UnitMove{i, was, after.Why[i].Ship, u.Due})
		}
	}
	slices.SortStableFunc(e.Units, func(a, b UnitMove) int { return cmp.Compare(b.After-b.Before, a.After-a.Before) })
	e.Moved = movedOps(before, after)
	return e
}

// beside takes the plan that was made of p in the same time without the hand.
func (e *Effect) beside(p *schedule.Problem, without *schedule.Plan, after *schedule.Problem) {
	e.Without = dearer(p, after, without)
}

// dearer measures a plan of p by what late days cost in another problem of the same units.
func dearer(p, by *schedule.Problem, plan *schedule.Plan) schedule.Score {
	q := *p
	if len(q.Units) == len(by.Units) {
		q.Units = slices.Clone(q.Units)
		for i := range q.Units {
			q.Units[i].LateDay = by.Units[i].LateDay
		}
	}
	return schedule.Measure(&q, plan)
}

// movedOps counts the operations of both views that are elsewhere or at another time in the second.
func movedOps(before, after *View) int {
	was := map[opKey]schedule.Slot{}
	for op, x := range before.Plan.Slots {
		was[keyOf(before.Needs, op)] = x
	}
	n := 0
	for op, x := range after.Plan.Slots {
		if b, known := was[keyOf(after.Needs, op)]; known && (b.Setup != x.Setup || b.Station != x.Station) {
			n++
		}
	}
	return n
}

// LatePins gives the pinned operations that begin a minute or more after their pins, the latest first, with what they wait for
// longest from the pin on.
func LatePins(p *schedule.Problem, plan *schedule.Plan) []LatePin {
	var out []LatePin
	alone := *p
	alone.Units = nil // one for each late pin, so that what it waits for is explained
	for op := range p.Ops {
		o := &p.Ops[op]
		if o.Pinned == 0 || o.State != schedule.ToPlan || plan.Slots[op].Station == schedule.None {
			continue
		}
		if late := plan.Slots[op].Load.Sub(o.Pinned); late >= 60 { // pins are given to the minute
			out = append(out, LatePin{Op: op, Late: late})
			alone.Units = append(alone.Units, schedule.Unit{Last: op, Due: o.Pinned})
		}
	}
	if len(out) == 0 {
		return nil
	}
	for i, e := range schedule.Explain(&alone, plan) {
		out[i].Why = longest(e.Segments, p.Ops[out[i].Op].Pinned, plan.Slots[out[i].Op].Load)
	}
	slices.SortStableFunc(out, func(a, b LatePin) int { return cmp.Compare(b.Late, a.Late) })
	return out
}

// longest says what takes longest between two instants.
func longest(segments []schedule.Segment, begin, end plant.Time) (text string) {
	var most plant.Seconds
	for _, s := range segments {
		if d := min(s.To, end).Sub(max(s.From, begin)); d > most {
			most, text = d, string(s.Reason)
			if s.Text != "" {
				text += ": " + s.Text
			}
		}
	}
	return text
}
