package schedule

import (
	"math"

	"tackline/plant"
)

// Least says what no complete plan costs less than, term by term. Each term is bounded by itself, so their sum is a bound
// too; what one term costs to make another one small is not counted. Lateness holds for incomplete plans as well.
type Least struct {
	Lateness plant.Money // the critical path of each unit, and what does not fit through stations and crews in time
	Waiting  plant.Money // of branches that are there already, and of those that cannot all end just in time
	Setups   plant.Money // own setups, the fewest batches, and the cheapest way to have every family once
	Moved    plant.Money // work that cannot stay where the adopted plan has it
	Pins     plant.Money // pinned work that cannot begin at its pin
	Total    plant.Money
}

// Covers says in plain words what Least counts, after "the bound counts".
const Covers = "the critical path of each unit, with calendars and the hours of crews; what stations and crews together cannot do in time; " +
	"own setups, the fewest batches and the cheapest changeovers; branches that are there already or cannot all end just in time; and moves and pins that cannot be kept. " +
	"It does not count what one of these costs to spare another, nor overtime, so the cheapest plan may cost more."

// Gap gives the share of the cost that a better plan could save at most, from 0 to 1; at 0 no plan is cheaper.
func (s *Score) Gap() float64 {
	if s.Total <= s.Bound || s.Total <= 0 {
		return 0
	}
	return float64(s.Total-s.Bound) / float64(s.Total)
}

// Bound gives a cost that no complete plan is below; see LeastCost.
func Bound(p *Problem) plant.Money { return LeastCost(p).Total }

// LeastCost bounds the objective from below. Overtime can be avoided by being late and counts nothing. docs/planning.md
// gives the formulas with their sources and why they hold. It takes O(n log n).
func LeastCost(p *Problem) Least {
	e := earliestOf(p)
	l := Least{Lateness: floor(e.lateness()), Waiting: floor(e.waiting()), Setups: floor(e.leastSetup().Hours() * float64(p.Weights.Setup)),
		Moved: plant.Money(e.moved()) * p.Weights.Move, Pins: floor(e.pinHours() * float64(p.Weights.Pin))}
	l.Total = l.Lateness + l.Waiting + l.Setups + l.Moved + l.Pins
	return l
}

// floor rounds down, by a hair more than sums of fractions can be wrong.
func floor(cents float64) plant.Money { return plant.Money(math.Floor(cents * (1 + 1e-12))) }

func earliestOf(p *Problem) *earliest {
	n := len(p.Ops)
	e := &earliest{p: p, r: read(p, fixedSlots(p)), load: make([]plant.Time, n), run: make([]plant.Time, n), end: make([]plant.Time, n),
		into: make([][]int, n), out: make([][]int, n), order: make([]int, 0, n), from: make([]int, n)}
	for i := range p.Ops {
		e.from[i] = len(e.place)
		o := &p.Ops[i]
		for k := range o.Can {
			x := places{loads: e.r.siteOf(o.Can[k].Station, o.Needs, OnLoad)}
			if o.Closed == Through {
				x.runs = e.r.siteOf(o.Can[k].Station, nil, OnRun)
			} else {
				x.runs = e.r.siteOf(o.Can[k].Station, o.Needs, OnRun)
			}
			e.place = append(e.place, x)
		}
	}
	e.all()
	return e
}

func fixedSlots(p *Problem) []Slot {
	slots := make([]Slot, len(p.Ops))
	for i := range slots {
		slots[i].Station = None
	}
	return slots
}

// earliest works out when each operation could be over at the earliest: the longest path through the links (Kelley and
// Walker, "Critical-Path Planning and Scheduling", 1959), with calendars, crews' hours and trucks counted, on the quickest
// station, with nobody else in the way.
type earliest struct {
	p     *Problem
	r     *reading
	load  []plant.Time // earliest begin
	run   []plant.Time // earliest begin of the run
	end   []plant.Time
	into  [][]int // links by To
	out   [][]int // links by From
	order []int   // operations, each after those before it
	from  []int   // by operation: its first alternative in places
	place []places
}

// places are where an operation works on one of its stations.
type places struct{ loads, runs *site }

// all goes through the operations in the order of the links.
func (e *earliest) all() {
	waits := make([]int, len(e.p.Ops))
	for i := range e.p.Links {
		l := &e.p.Links[i]
		waits[l.To]++
		e.out[l.From] = append(e.out[l.From], i)
		e.into[l.To] = append(e.into[l.To], i)
	}
	for o := range waits {
		if waits[o] == 0 {
			e.order = append(e.order, o)
		}
	}
	for k := 0; k < len(e.order); k++ {
		o := e.order[k]
		e.one(o, e.into[o])
		for _, i := range e.out[o] {
			to := e.p.Links[i].To
			if waits[to]--; waits[to] == 0 {
				e.order = append(e.order, to)
			}
		}
	}
}

func (e *earliest) one(o int, into []int) {
	op := &e.p.Ops[o]
	if op.State != ToPlan {
		e.load[o], e.run[o], e.end[o] = op.Fixed.Load, op.Fixed.Run, op.Fixed.End
		return
	}
	begin, last := max(e.p.Now, op.Earliest), plant.Time(0)
	for _, i := range into {
		l := &e.p.Links[i]
		begin = max(begin, e.p.Arrives(l, e.passed(l)))
		last = max(last, e.p.Arrives(l, e.end[l.From]))
	}
	e.load[o], e.run[o], e.end[o] = plant.Never, plant.Never, plant.Never
	for i := range op.Can {
		load, run, end := e.on(op, &op.Can[i], &e.place[e.from[o]+i], begin)
		e.load[o], e.run[o], e.end[o] = min(e.load[o], load), min(e.run[o], run), min(e.end[o], end)
	}
	e.end[o] = max(e.end[o], last)
}

// passed gives the earliest instant at which From can have passed on its first lot.
func (e *earliest) passed(l *Link) plant.Time {
	if l.Transfer <= 0 || l.Pieces <= l.Transfer || len(e.p.Ops[l.From].Can) == 0 {
		return e.end[l.From]
	}
	if e.p.Ops[l.From].State != ToPlan {
		if e.r.turnOf[l.From] == None {
			return e.end[l.From]
		}
		run := &e.r.turns[e.r.turnOf[l.From]].parts[inRun]
		return min(e.end[l.From], run.finished(portion(l, 1, run.work)))
	}
	least := plant.Seconds(math.MaxInt64)
	for _, a := range e.p.Ops[l.From].Can {
		least = min(least, portion(l, 1, a.Run))
	}
	return min(e.end[l.From], e.run[l.From].Add(least)) // closed time left out: it can only add
}

// on gives the earliest begin, begin of the run and end of an operation that begins at t or later on a station.
func (e *earliest) on(op *Op, a *Alternative, at *places, t plant.Time) (load, run, end plant.Time) {
	run = after(at.loads, t, a.Load)
	switch {
	case op.Closed == Through && a.Run > 0:
		run = at.runs.open.Next(run)
		end = run.Add(a.Run)
	case op.Closed == Whole && a.Run > 0:
		run = at.runs.open.Fit(run, a.Run)
		end = run.Add(a.Run)
	default:
		if a.Run > 0 {
			run = at.runs.open.Next(run)
		}
		end = after(at.runs, run, a.Run)
	}
	load = run
	if a.Load > 0 {
		load = min(run, at.loads.open.Next(t))
	}
	return load, run, min(after(at.loads, end, a.Unload), plant.Never)
}

// after gives the earliest end of work that begins at t or later.
func after(s *site, t plant.Time, work plant.Seconds) plant.Time {
	if work <= 0 || t >= plant.Never {
		return min(t, plant.Never)
	}
	return s.open.Add(t, work)
}
