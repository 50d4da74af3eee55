package whatif

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
)

// Options say how hard to look.
type Options struct {
	Work     int64 // for each plan, two for a change; 0: four times the number of operations
	Workers  int   // below 1 is 1
	Seed     uint64
	Most     int // changes tried for a unit; 0: 12
	Know     Knowledge
	Progress func(done float64, text string) // may be nil
}

// Shift is a unit that ships at another time.
type Shift struct {
	Unit    int
	Was, Is plant.Time
}

// Effect is what a change does, as planned.
type Effect struct {
	Change Change
	Ship   plant.Time    // of the unit; plant.Never: not planned
	Slack  plant.Seconds // due - ship
	Money  plant.Money   // what the change costs itself: hours worked in overtime, hours of a further person at the overtime rate
	Total  plant.Money   // cost of the plan with it, Money included, less that of planning again without it
	Later  []Shift       // other units that ship later than without it, the largest loss first
	Sooner []Shift       // others that ship earlier
	Late   int           // other late units more (negative: less) than without it
	Loose  bool          // it was planned from the plan in force loosened; see Loosen
}

// Helps says whether the unit is on time.
func (e *Effect) Helps() bool { return e.Ship < plant.Never && e.Slack >= 0 }

// Answer is what was found for a unit.
type Answer struct {
	Unit    int
	Effects []Effect // changes that help, the cheapest in total first; of windows and dates of one thing only the first that helped
	Tried   int
	Dear    int     // changes that help too, but cost the plan more than dear times what the unit's lateness does
	Nearest *Effect // if none helps: the change after which it ships earliest, if it ships earlier at all
}

// Asker answers questions about one plan.
type Asker struct {
	p    *schedule.Problem // with the plan as the adopted one
	plan *schedule.Plan
	opt  Options
	why  []schedule.Explanation
	base *schedule.Plan // planned again without a change
}

// NewAsker prepares questions about a plan in force of p: it plans again once without a change. Where the plan in force
// breaks rules of p as it is now, that new plan takes its place. An error is that of the search, or of ctx.
func NewAsker(ctx context.Context, p *schedule.Problem, plan *schedule.Plan, opt Options) (*Asker, error) {
	if len(plan.Slots) != len(p.Ops) {
		return nil, fmt.Errorf("the plan has %d slots for %d operations", len(plan.Slots), len(p.Ops))
	}
	q := *p
	q.Adopted = plan.Slots
	if opt.Work <= 0 {
		opt.Work = 4 * int64(max(1, len(p.Ops)))
	}
	if opt.Most <= 0 {
		opt.Most = 12
	}
	a := &Asker{p: &q, plan: plan, opt: opt}
	var err error
	if a.base, err = a.search(ctx, a.p); err != nil {
		return nil, err
	}
	if len(schedule.Check(a.p, plan)) > 0 {
		a.plan = a.base
	}
	a.why = schedule.Explain(a.p, a.plan)
	return a, nil
}

func (a *Asker) search(ctx context.Context, q *schedule.Problem) (*schedule.Plan, error) {
	plan, err := search.Run(ctx, q, search.Options{Work: a.opt.Work, Workers: a.opt.Workers, Seed: a.opt.Seed})
	if err == nil {
		err = ctx.Err()
	}
	return plan, err
}

// Late gives the units that are late in the plan in force, the latest first.
func (a *Asker) Late() []int {
	var out []int
	for u := range a.why {
		if a.why[u].Slack < 0 || a.why[u].Ship >= plant.Never {
			out = append(out, u)
		}
	}
	slices.SortStableFunc(out, func(x, y int) int { return cmp.Compare(a.why[x].Slack, a.why[y].Slack) })
	return out
}

// Why gives the explanation of a unit that questions about it begin from.
func (a *Asker) Why(unit int) *schedule.Explanation { return &a.why[unit] }

// Base gives the problem with the plan in force as the adopted one, and the plan made again without a change.
func (a *Asker) Base() (*schedule.Problem, *schedule.Plan) { return a.p, a.base }

// Work gives the work that each plan of this asker takes.
func (a *Asker) Work() int64 { return a.opt.Work }

// dear is how many times the cost of a unit's lateness a change may cost all in all to be worth telling.
const dear = 5

// Ask tries single changes for a unit.
func (a *Asker) Ask(ctx context.Context, unit int) (Answer, error) {
	ans := Answer{Unit: unit}
	again := a.weigh(of(Nothing, unit), a.p, a.base)
	if again.Helps() {
		ans.Effects = append(ans.Effects, again)
	}
	if a.why[unit].Slack >= 0 && a.why[unit].Ship < plant.Never {
		return ans, nil
	}
	changes := Changes(a.p, a.plan, &a.why[unit], a.opt.Know)
	changes = changes[:min(len(changes), a.opt.Most)]
	lateCost := max(0, (-a.why[unit].Slack).Hours()/24) * float64(a.p.Units[unit].LateDay)
	if a.why[unit].Ship >= plant.Never {
		lateCost = math.Inf(1)
	}
	enough := map[group]bool{}
	for i := range changes {
		c := &changes[i]
		if enough[c.group()] {
			continue
		}
		a.tell(float64(i)/float64(len(changes)), fmt.Sprintf("unit %s: %s", a.p.Units[unit].ID, c.Kind))
		e, err := a.Try(ctx, *c)
		if err != nil {
			return ans, err
		}
		ans.Tried++
		if e.Helps() && float64(e.Total) > dear*lateCost {
			ans.Dear++
		} else if e.Helps() {
			enough[c.group()] = true
			ans.Effects = append(ans.Effects, e)
		} else if e.Ship < a.why[unit].Ship && (ans.Nearest == nil || e.Ship < ans.Nearest.Ship) {
			ans.Nearest = &e
		}
	}
	slices.SortStableFunc(ans.Effects, func(x, y Effect) int {
		return cmp.Or(cmp.Compare(x.Total, y.Total), cmp.Compare(x.Money, y.Money))
	})
	if len(ans.Effects) > 0 {
		ans.Nearest = nil
	}
	return ans, nil
}

func (a *Asker) tell(done float64, text string) {
	if a.opt.Progress != nil {
		a.opt.Progress(done, text)
	}
}

// Try plans with one change and gives its effect, the better of two plans: one from the plan in force as it is, one from it
// loosened. The same change gives the same effect.
func (a *Asker) Try(ctx context.Context, c Change) (Effect, error) {
	q := Apply(a.p, &c)
	best := Effect{Ship: plant.Never}
	for _, loose := range []bool{false, true} {
		start := q
		if loose {
			start = Loosen(q, &c)
		}
		plan, err := a.search(ctx, start)
		if err != nil {
			return Effect{}, err
		}
		e := a.weigh(c, q, plan)
		e.Loose = loose
		if !loose || e.Helps() != best.Helps() && e.Helps() || e.Helps() == best.Helps() && e.Total < best.Total {
			best = e
		}
	}
	return best, nil
}

// weigh compares a plan under a change with planning again without it.
func (a *Asker) weigh(c Change, q *schedule.Problem, plan *schedule.Plan) Effect {
	return Weigh(c, a.p, a.base, q, plan)
}

// Weigh gives the effect of a change: q is p with it, plan is a plan of q, base a plan of p. Both are scored with what a day
// late costs in p, and with the weight of no pin.
func Weigh(c Change, p *schedule.Problem, base *schedule.Plan, q *schedule.Problem, plan *schedule.Plan) Effect {
	fair := *q
	fair.Units = slices.Clone(q.Units)
	for u := range fair.Units {
		fair.Units[u].LateDay = p.Units[u].LateDay
	}
	if c.Kind == Swap { // the pin is a means
		fair.Ops = slices.Clone(q.Ops)
		fair.Ops[c.Op].Pinned = p.Ops[c.Op].Pinned
	}
	was, is := schedule.Measure(p, base), schedule.Measure(&fair, plan)
	e := Effect{Change: c, Ship: shipOf(q, plan, c.Unit), Total: is.Total - was.Total}
	e.Slack = q.Units[c.Unit].Due.Sub(e.Ship)
	switch c.Kind {
	case Overtime:
		e.Money = max(0, is.Overtime-was.Overtime)
	case Person:
		e.Money = plant.Money(presence(p.Pools[c.Pool].Heads, c.From, c.Until).Hours() * float64(p.Weights.Overtime))
		e.Total += e.Money
	}
	for u := range p.Units {
		if u == c.Unit {
			continue
		}
		s := Shift{u, shipOf(p, base, u), shipOf(q, plan, u)}
		switch due := p.Units[u].Due; {
		case s.Is > due && s.Was <= due:
			e.Late++
		case s.Is <= due && s.Was > due:
			e.Late--
		}
		switch {
		case s.Is > s.Was:
			e.Later = append(e.Later, s)
		case s.Is < s.Was:
			e.Sooner = append(e.Sooner, s)
		}
	}
	for _, list := range [][]Shift{e.Later, e.Sooner} {
		slices.SortStableFunc(list, func(x, y Shift) int { return cmp.Compare(abs(y.Is.Sub(y.Was)), abs(x.Is.Sub(x.Was))) })
	}
	return e
}

func abs(d plant.Seconds) plant.Seconds { return max(d, -d) }

func shipOf(p *schedule.Problem, plan *schedule.Plan, unit int) plant.Time {
	last := p.Units[unit].Last
	if last < 0 || last >= len(plan.Slots) || plan.Slots[last].Station == schedule.None {
		return plant.Never
	}
	return plan.Slots[last].End
}
