package schedule

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tackline/plant"
)

// Explain says for each unit why it ships when it does. It goes back from the unit's last operation along what each
// operation had to wait for last, and cuts the time from Problem.Now to the ship date into segments without gap or
// overlap: their lengths add up exactly. A unit without a ship date, or one that has shipped, has no segments.
func Explain(p *Problem, plan *Plan) []Explanation {
	out := make([]Explanation, len(p.Units))
	if len(plan.Slots) != len(p.Ops) {
		return out
	}
	x := newExplainer(p, plan)
	for u := range p.Units {
		out[u] = x.unit(u)
	}
	return out
}

// explainer holds what explanations of one plan share.
type explainer struct {
	*reading
	into [][]int // links by the operation they lead to
	why  map[int]string
	used [][]use // heads in use by pool, sorted by time

	places map[int][]use    // size on a rack or pallets taken, by station
	last   map[*turn]member // of each batch asked for
}

// use is a change of the heads in use: from at on there are heads.
type use struct {
	at    plant.Time
	heads int
}

func newExplainer(p *Problem, plan *Plan) *explainer {
	x := &explainer{reading: read(p, plan.Slots), into: make([][]int, len(p.Ops)), why: map[int]string{},
		used: make([][]use, len(p.Pools)), places: map[int][]use{}, last: map[*turn]member{}}
	for i := range p.Links {
		x.into[p.Links[i].To] = append(x.into[p.Links[i].To], i)
	}
	for _, l := range plan.Left {
		x.why[l.Op] = l.Why
	}
	x.countHeads()
	return x
}

// countHeads adds up the heads in use of each pool.
func (x *explainer) countHeads() {
	for k := range x.turns {
		for n := range x.turns[k].parts {
			y := &x.turns[k].parts[n]
			if len(y.at.needs) == 0 || y.work <= 0 {
				continue
			}
			for _, s := range within(y.at.open, y.begin, y.done) {
				for _, need := range y.at.needs {
					x.used[need.Pool] = append(x.used[need.Pool], use{max(s.From, y.begin), need.Heads}, use{min(s.To, y.done), -need.Heads})
				}
			}
		}
	}
	for i, list := range x.used {
		x.used[i] = summed(list)
	}
}

// summed turns changes into what is in use from each instant on.
func summed(list []use) []use {
	slices.SortFunc(list, func(a, b use) int { return cmp.Compare(a.at, b.at) })
	sum, w := 0, 0
	for _, u := range list {
		sum += u.heads
		if w > 0 && list[w-1].at == u.at {
			list[w-1].heads = sum
			continue
		}
		list[w] = use{u.at, sum}
		w++
	}
	return list[:w]
}

// trail is an explanation in the making, from its end backwards.
type trail struct {
	x   *explainer
	e   *Explanation
	cur plant.Time // everything from here on is explained

	kept string // what keeps the operation that is explained from being wanted earlier; "" if nothing does
}

// back explains the time from from to what is explained already.
func (t *trail) back(from plant.Time, reason Reason, op, behind int, text string) {
	from = max(from, t.x.p.Now)
	if from >= t.cur {
		return
	}
	if n := len(t.e.Segments); n > 0 {
		if last := &t.e.Segments[n-1]; last.Reason == reason && last.Op == op && last.Behind == behind && last.Text == text {
			last.From, t.cur = from, from
			return
		}
	}
	t.e.Segments = append(t.e.Segments, Segment{From: from, To: t.cur, Reason: reason, Op: op, Behind: behind, Text: text})
	t.cur = from
}

func (x *explainer) unit(u int) Explanation {
	unit := &x.p.Units[u]
	e := Explanation{Unit: u, Ship: plant.Never}
	ship, planned := x.ship(unit)
	if !planned {
		e.Sentence = "Has no ship date: " + x.reasonLeft(unit.Last) + "."
		return e
	}
	e.Ship, e.Slack = ship, unit.Due.Sub(ship)
	if ship > x.p.Now {
		t := &trail{x: x, e: &e, cur: ship}
		for op := unit.Last; op != None && t.cur > x.p.Now; {
			op = t.step(op)
		}
		t.back(x.p.Now, Waiting, None, None, "waits")
		slices.Reverse(e.Segments)
	}
	e.Sentence = Sentence(x.p, &e, nil)
	return e
}

func (x *explainer) reasonLeft(op int) string {
	if op < 0 || op >= len(x.p.Ops) {
		return "it has no last operation"
	}
	if why := x.why[op]; why != "" {
		return x.name(op) + " found no place, " + why
	}
	return x.name(op) + " found no place"
}

// step explains op back to the instant from which it waited for something else, and gives the operation that it waited
// for; None if there is none.
func (t *trail) step(op int) int {
	x := t.x
	if x.turnOf[op] == None {
		return None
	}
	turn := &x.turns[x.turnOf[op]]
	t.inside(op, turn)
	if t.cur <= x.p.Now {
		return None
	}
	ready, link := x.ready(op)
	at := t.cur
	t.before(op, turn, ready, link)
	if t.cur <= x.p.Now {
		return None
	}
	if link == None {
		t.material(op)
		return None
	}
	if t.cur < at {
		t.kept = "" // it waited itself
	} else if behind := x.keptBy(op, turn); behind != "" {
		t.kept = behind
	}
	l := &x.p.Links[link]
	leaves := x.leaves(l, 1, x.lots(l))
	if l.Carrier != None {
		t.back(leaves, Carrying, l.From, None, "on the way, "+x.p.Carriers[l.Carrier].Name)
	} else {
		t.back(leaves, Waiting, l.From, None, "waits between "+x.p.Ops[l.From].Name+" and "+x.p.Ops[l.To].Name)
	}
	return l.From
}

// keptBy says what keeps op from beginning before it does, if its station is taken right up to then: "" if it is not. Plans
// let the operations before such a one end just in time, so that their own waiting is not the cause.
func (x *explainer) keptBy(op int, turn *turn) string {
	others := x.inTheWay(turn, x.p.Now, turn.slot.Setup)
	if len(others) == 0 {
		return ""
	}
	o := &x.turns[others[len(others)-1]]
	n := inSetup
	for n < inRun && turn.parts[n].work == 0 {
		n++
	}
	if _, end := x.occupied(o); end < turn.slot.Setup && turn.parts[n].at.open.Work(end, turn.slot.Setup) > 0 {
		return ""
	}
	return "kept back: " + x.p.Ops[op].Name + " of " + x.jobOf(op) + " is behind " + x.jobOf(o.ops[0]) + " on " + x.p.Stations[turn.station].Name
}

// ready gives the instant from which op could have been loaded as far as others go, and the link that decided it; None
// if its material or release did, or nothing.
func (x *explainer) ready(op int) (plant.Time, int) {
	ready, link := max(x.p.Now, x.p.Ops[op].Earliest), None
	for _, i := range x.into[op] {
		l := &x.p.Links[i]
		if x.turnOf[l.From] == None {
			continue
		}
		if at := x.arrival(l, 1, x.lots(l)); at > ready && at < plant.Never {
			ready, link = at, i
		}
	}
	return ready, link
}

// material explains what Earliest waits for, and what it waits for before that: it reaches back to now.
func (t *trail) material(op int) {
	o := &t.x.p.Ops[op]
	why := o.Why
	for _, w := range slices.Backward(o.Also) {
		if w.Until > t.x.p.Now {
			t.back(w.Until, reasonOf(why), op, None, why)
		}
		why = w.Why
	}
	t.back(t.x.p.Now, reasonOf(why), op, None, why)
}

// reasonOf gives the reason that the words of a wait tell.
func reasonOf(why string) Reason {
	switch {
	case heldBy(why):
		return Held
	case strings.HasPrefix(why, "order line"):
		return NotYet
	case strings.HasPrefix(why, "pinned"), strings.HasPrefix(why, "not to begin, by hand"):
		return ByHand
	}
	return Material
}

func (x *explainer) jobOf(op int) string { return "job " + string(x.p.Jobs[x.p.Ops[op].Job].ID) }

// name says an operation: "robot weld of job 1042-1-1/jaw-4c".
func (x *explainer) name(op int) string {
	return fmt.Sprintf("%s of %s", x.p.Ops[op].Name, x.jobOf(op))
}
