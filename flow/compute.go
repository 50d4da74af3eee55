package flow

import (
	"context"
	"time"

	"tackline/book"
	"tackline/dispatch"
	"tackline/floor"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/setout"
)

// Framed is a book set out for planning: what must be made, and with what. Needs and Problem have the same indexes.
type Framed struct {
	Index   *book.Index
	Needs   *needs.Result
	Problem *schedule.Problem
	Facts   floor.Facts // what the floor had recorded
}

// longestHorizon bounds how far a horizon is stretched: past it, what finds no place never will.
const longestHorizon = 8 * 366 * 24 * 3600

// StartOf gives the instant that planning of a book starts from: the setting plan_from if set, else now.
func StartOf(b *book.Book, now plant.Time) (plant.Time, error) {
	ix, err := book.NewIndex(b)
	if err != nil {
		return 0, err
	}
	if t, ok := ix.PlanFrom(); ok {
		return t, nil
	}
	return now, nil
}

// Frame sets a checked book out for planning from now on. An error is a fault.List. The book must not change while the
// Framed is in use.
func Frame(b *book.Book, now plant.Time) (*Framed, error) { return FrameLike(b, now, nil) }

// FrameLike is Frame with what an earlier plan settled: who is planned there keeps his cover, and proposed lots keep
// their numbers and sizes (needs.ExplodeLike).
func FrameLike(b *book.Book, now plant.Time, before []needs.Peg) (*Framed, error) {
	return frameAt(b, now, before, floor.Facts{})
}

// frameAt is FrameLike with what the floor has recorded.
func frameAt(b *book.Book, now plant.Time, before []needs.Peg, facts floor.Facts) (*Framed, error) {
	ix, err := book.NewIndex(b)
	if err != nil {
		return nil, err
	}
	ix.Report(facts.Work, facts.Down)
	r, err := needs.ExplodeLike(ix, now, before)
	if err != nil {
		return nil, err
	}
	p, err := setout.Problem(ix, r)
	if err != nil {
		return nil, err
	}
	return &Framed{ix, r, p, facts}, nil
}

// Until gives f with its horizon doubled until it reaches past t, or f itself if it does already.
func (f *Framed) Until(t plant.Time) (*Framed, error) {
	ahead := f.Problem.Horizon.Sub(f.Problem.Now)
	if f.Problem.Horizon > t || ahead <= 0 {
		return f, nil
	}
	for f.Problem.Now.Add(ahead) <= t && ahead < longestHorizon {
		ahead *= 2
	}
	p, err := setout.ProblemUntil(f.Index, f.Needs, f.Problem.Now.Add(ahead))
	if err != nil {
		return nil, err
	}
	p.Adopted = f.Problem.Adopted
	return &Framed{f.Index, f.Needs, p, f.Facts}, nil
}

// Derive works out everything that follows from a plan of f: score, explanations, kits, run lists, shortages, load, and
// what the checker finds.
func Derive(f *Framed, plan *schedule.Plan) *View {
	v := &View{
		State: Draft, Made: f.Problem.Now, Facts: f.Facts,
		Book: f.Index.Book, Index: f.Index, Needs: f.Needs, Problem: f.Problem, Plan: plan,
		Broken: schedule.Check(f.Problem, plan),
		Score:  schedule.Measure(f.Problem, plan),
		Why:    schedule.Explain(f.Problem, plan),
	}
	for i := range v.Why { // in the time of the plant that ships
		v.Why[i].Sentence = schedule.Sentence(f.Problem, &v.Why[i], f.Index.Zone(f.Needs.Units[i].Plant))
	}
	v.Loose = setout.LooseRows(f.Index, f.Needs, f.Problem)
	v.Kits = dispatch.Kits(f.Index, f.Needs, f.Problem, plan)
	v.Runs = dispatch.RunLists(f.Index, f.Needs, f.Problem, plan, v.Kits)
	v.Shorts = dispatch.Shorts(f.Index, f.Needs, f.Problem, plan)
	v.Load = dispatch.Loads(f.Index, f.Needs, f.Problem, plan)
	return v
}

// Compute plans a checked book and derives everything from the plan. If work does not fit before the horizon, the horizon is
// doubled and the search repeated, as long as that finds room for more.
func Compute(ctx context.Context, b *book.Book, now plant.Time, o search.Options) (*View, error) {
	return Replan(ctx, b, now, nil, false, o)
}

// reach gives the latest instant that operations left out of a plan wait for, such as a receipt or the release of an order
// line; at least the horizon.
func (f *Framed) reach(plan *schedule.Plan) plant.Time {
	latest, last := f.Problem.Horizon, f.Problem.Now.Add(longestHorizon)
	for _, l := range plan.Left {
		if at := f.Problem.Ops[l.Op].Earliest; at < last {
			latest = max(latest, at)
		}
	}
	return latest
}

// plan searches a plan of f, stretching its horizon where needed; it gives the Framed that the plan is of.
func (f *Framed) plan(ctx context.Context, o search.Options) (*Framed, *schedule.Plan, error) {
	plan, err := search.Run(ctx, f.Problem, o)
	for err == nil && plan.Status == schedule.Incomplete && ctx.Err() == nil {
		wider, err := f.Until(f.reach(plan))
		if err != nil {
			return nil, nil, err
		}
		if wider == f || wider.Problem.Horizon <= f.Problem.Horizon {
			break
		}
		again, err := search.Run(ctx, wider.Problem, o)
		if err != nil {
			return nil, nil, err
		}
		if again.Status == schedule.Stopped || len(again.Left) >= len(plan.Left) {
			break
		}
		f, plan = wider, again
	}
	return f, plan, err
}

// firstZone gives the time zone of the first plant.
func firstZone(ix *book.Index) *time.Location {
	if len(ix.Book.Plants) == 0 {
		return time.UTC
	}
	return ix.Zone(ix.Book.Plants[0].ID)
}
