package schedule

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"tackline/plant"
)

// Rules are the ten rules that every plan keeps, as Violation.Rule names them.
var Rules = []string{
	"1 station and duration",
	"2 no overlap on a station",
	"3 open time",
	"4 crew",
	"5 batches",
	"6 places",
	"7 order and transfer",
	"8 joins and material",
	"9 done, running and frozen",
	"10 holds and closed stations",
}

// Numbers of the rules.
const (
	stationRule = iota + 1
	overlapRule
	openRule
	crewRule
	batchRule
	placesRule
	orderRule
	joinRule
	fixedRule
	holdRule
)

// checker collects what is wrong with a plan.
type checker struct {
	*reading
	found []finding
}

type finding struct {
	rule int
	Violation
}

// Check proves that a plan keeps the ten rules, and gives every one it breaks, by rule and operation; nil means that the
// plan can be run as it stands. It takes any plan, however broken, and knows nothing of how plans are made. What concerns
// fixed operations alone is a fact and not reported. Which rule is named:
//
//	1   a station that cannot do it, phases out of order, a phase shorter than its work even if all time were open,
//	    an operation without a slot that the plan does not list as left
//	2   two operations on a station at once, more pieces than pallets, a changeover left out or too short
//	3   work that needs more open time than there is, a whole run broken, a phase begun while its crew is not there
//	4   more heads in use than present
//	5   members of a batch that do not match, too much in a batch, batches that overlap
//	6   more on the places of a station than it holds
//	7   links within a job: order, lag, truck, transfer lots
//	8   links between jobs, and Earliest (material)
//	9   fixed work moved, other work before Now
//	10  Earliest of work that is held (Op.Why says so), a phase begun while its station is closed
func Check(p *Problem, plan *Plan) []Violation {
	if plan == nil || len(plan.Slots) != len(p.Ops) {
		n := 0
		if plan != nil {
			n = len(plan.Slots)
		}
		return []Violation{{Rule: Rules[stationRule-1], Text: fmt.Sprintf("the plan has %d slots for %d operations", n, len(p.Ops))}}
	}
	c := &checker{reading: read(p, plan.Slots)}
	c.checkLeft(plan)
	c.checkSlots(plan)
	for k := range c.turns {
		c.checkPhases(&c.turns[k])
		c.checkBatch(&c.turns[k])
	}
	for s := range c.at {
		c.checkStation(s)
	}
	c.checkCrew()
	for i := range p.Links {
		c.checkLink(&p.Links[i])
	}
	return c.sorted()
}

func (c *checker) add(rule int, ops []int, format string, args ...any) {
	c.found = append(c.found, finding{rule, Violation{Rule: Rules[rule-1], Ops: ops, Text: fmt.Sprintf(format, args...)}})
}

func (c *checker) sorted() []Violation {
	slices.SortStableFunc(c.found, func(a, b finding) int {
		return cmp.Or(cmp.Compare(a.rule, b.rule), slices.Compare(a.Ops, b.Ops))
	})
	var out []Violation
	for _, f := range c.found {
		out = append(out, f.Violation)
	}
	return out
}

// checkLeft: what the plan lists as left has no slot, is not fixed, and the plan does not call itself complete.
func (c *checker) checkLeft(plan *Plan) {
	left := map[int]bool{}
	for _, l := range plan.Left {
		switch {
		case l.Op < 0 || l.Op >= len(c.p.Ops):
			c.add(stationRule, nil, "the plan lists operation %d as left; there is none", l.Op)
		case left[l.Op]:
			c.add(stationRule, []int{l.Op}, "%s is listed as left twice", c.name(l.Op))
		case c.p.Ops[l.Op].State != ToPlan:
			c.add(fixedRule, []int{l.Op}, "%s is %s and cannot be left", c.name(l.Op), stateNames[c.p.Ops[l.Op].State])
		case plan.Slots[l.Op].Station != None:
			c.add(stationRule, []int{l.Op}, "%s has a slot and is listed as left", c.name(l.Op))
		case plan.Status == Complete:
			c.add(stationRule, []int{l.Op}, "%s is left, and the plan calls itself complete", c.name(l.Op))
		}
		left[l.Op] = true
	}
	for i, s := range plan.Slots {
		if s.Station == None && c.p.Ops[i].State == ToPlan && !left[i] {
			c.add(stationRule, []int{i}, "%s has no slot and is not listed as left", c.name(i))
		}
	}
}

var stateNames = [...]string{ToPlan: "to be planned", Done: "done", Running: "running", Frozen: "frozen"}

// checkSlots looks at each slot by itself: fixed work as it is, other work on a station that can do it, with times in
// order, not before Now and not before Earliest.
func (c *checker) checkSlots(plan *Plan) {
	for i, s := range plan.Slots {
		o := &c.p.Ops[i]
		at := []int{i}
		switch {
		case o.State != ToPlan:
			if s != o.Fixed {
				c.add(fixedRule, at, "%s is %s: %s; the plan says %s", c.name(i), stateNames[o.State], c.where(o.Fixed), c.where(s))
			}
			continue
		case s.Station == None:
			continue
		case s.Station < 0 || s.Station >= len(c.p.Stations):
			c.add(stationRule, at, "%s is on station number %d; there is none", c.name(i), s.Station)
		case alternative(o, s.Station) == nil:
			c.add(stationRule, at, "%s is on %s, but may only be on %s", c.name(i), c.p.Stations[s.Station].Name, c.mayBeOn(o))
		case !inOrder(s):
			c.add(stationRule, at, "%s: setup %s, load %s, run %s, unload %s and end %s are not in order", c.name(i),
				clock(s.Setup), clock(s.Load), clock(s.Run), clock(s.Unload), clock(s.End))
		}
		if s.Setup < c.p.Now {
			c.add(fixedRule, at, "%s begins at %s, before now, %s", c.name(i), clock(s.Setup), clock(c.p.Now))
		}
		if s.Load < o.Earliest {
			rule := joinRule
			if heldBy(o.Why) {
				rule = holdRule
			}
			why := ""
			if o.Why != "" {
				why = " (" + o.Why + ")"
			}
			c.add(rule, at, "%s begins at %s, before %s%s", c.name(i), clock(s.Load), clock(o.Earliest), why)
		}
	}
}

// heldBy says whether the words of a wait tell of a hold rather than of material.
func heldBy(why string) bool {
	why = strings.ToLower(why)
	return strings.HasPrefix(why, "hold") || strings.HasPrefix(why, "held") || strings.HasPrefix(why, "on hold")
}

// name names an operation: "job 1042-1-2/jaw, 20 robot weld".
func (r *reading) name(op int) string {
	o := &r.p.Ops[op]
	return fmt.Sprintf("job %s, %d %s", r.p.Jobs[o.Job].ID, o.Seq, o.Name)
}

func (r *reading) names(ops []int) string {
	out := make([]string, len(ops))
	for i, op := range ops {
		out[i] = r.name(op)
	}
	return strings.Join(out, "; ")
}

func (r *reading) where(s Slot) string {
	name := "no station"
	if s.Station >= 0 && s.Station < len(r.p.Stations) {
		name = r.p.Stations[s.Station].Name
	}
	return fmt.Sprintf("%s from %s to %s", name, clock(s.Setup), clock(s.End))
}

// clock shows an instant in UTC.
func clock(t plant.Time) string {
	if t >= plant.Never || t <= -plant.Never {
		return "never"
	}
	return t.In(time.UTC).Format(time.RFC3339)
}

// mayBeOn names the stations that an operation may be on: those that can do it, and that nobody forbade for it.
func (c *checker) mayBeOn(o *Op) string {
	var names []string
	for i, a := range o.Can {
		if i == 4 {
			return strings.Join(names, ", ") + " or another"
		}
		if a.Station >= 0 && a.Station < len(c.p.Stations) {
			names = append(names, c.p.Stations[a.Station].Name)
		}
	}
	return strings.Join(names, " or ")
}
