package flow

import (
	"cmp"
	"context"
	"reflect"
	"runtime"
	"slices"
	"sync"

	"tackline/book"
	"tackline/fault"
	"tackline/floor"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/store"
)

// Trial is what would come of something done by hand: a plan that is stored nowhere yet, and what it costs beside the plan
// before. It is not changed after it is made.
type Trial struct {
	ID     int64
	By     string
	Hand   Hand
	Text   string // in words
	Before *View
	View   *View
	Effect Effect

	assumed  string     // of the plan before, if that is a draft
	book     *book.Book // the shop book with the hand in it
	revision int64      // of the shop book without
}

// trialSeconds is how long a trial searches: a planner waits for it.
const trialSeconds = 1

// trialsKept is how many trials wait for their planners to decide.
const trialsKept = 4

// trialTable holds the trials, the oldest first.
type trialTable struct {
	seconds float64

	one  sync.Mutex // one trial at a time: it uses every processor, and what follows
	bare *attempt   // the plan on without a hand, from view of at now
	of   *View
	now  plant.Time

	mu   sync.Mutex
	last int64
	held []*Trial
}

func (t *trialTable) add(x *Trial) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.last++
	x.ID = t.last
	if t.held = append(t.held, x); len(t.held) > trialsKept {
		t.held = slices.Delete(t.held, 0, 1)
	}
}

func (t *trialTable) get(id int64, remove bool) (*Trial, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	i := slices.IndexFunc(t.held, func(x *Trial) bool { return x.ID == id })
	if i < 0 {
		return nil, fault.New(fault.NotFound, "This trial is over. Nothing was changed; do it again from the Plan sheet.")
	}
	x := t.held[i]
	if remove {
		t.held = slices.Delete(t.held, i, i+1)
	}
	return x, nil
}

// Try works out what comes of something done by hand to a plan (0: the current one): it re-plans from that plan for a
// moment. Nothing is stored before KeepTrial.
func (s *Shop) Try(ctx context.Context, who Who, planID int64, h Hand) (*Trial, error) {
	if err := need(who, MayPlan); err != nil {
		return nil, err
	}
	l, err := s.load(ctx)
	if err != nil {
		return nil, err
	}
	before, err := s.tried(ctx, planID)
	if err != nil {
		return nil, err
	}
	now, err := StartOf(l.book, s.now())
	if err != nil {
		return nil, err
	}
	h.At -= h.At % 60
	at, err := h.find(before, now-now%60)
	if err != nil {
		return nil, err
	}
	t := &Trial{By: who.Name, Hand: h, Text: h.Words(before), Before: before, revision: l.revision}
	if t.book, err = h.in(l.book, at, who.Name); err != nil {
		return nil, err
	}
	planned := t.book
	if before.Book != l.book { // a draft under assumptions
		if planned, err = h.in(before.Book, at, who.Name); err != nil {
			return nil, err
		}
		if t.assumed, err = assumedJSON(before.Assumed); err != nil {
			return nil, err
		}
	}
	if err := s.replan(ctx, t, planned, now); err != nil {
		return nil, err
	}
	s.trials.add(t)
	return t, nil
}

// tried gives the view of the plan that something is done to.
func (s *Shop) tried(ctx context.Context, planID int64) (*View, error) {
	var v *View
	var err error
	if planID == 0 {
		v, err = s.Current(ctx)
	} else {
		v, err = s.ViewOf(ctx, planID)
	}
	if err == nil && v == nil {
		return nil, fault.New(fault.Conflict, "There is no plan yet. Plan first.")
	}
	return v, err
}

// in gives a copy of a book with the hand in it, checked.
func (h *Hand) in(b *book.Book, at *target, by string) (*book.Book, error) {
	c := b.Clone()
	if err := h.change(c, at, by); err != nil {
		return nil, err
	}
	return c, harmful(book.Check(c, nil)).Err()
}

// replan plans a book from the plan before a trial, and the book as it was for as long, so that what more planning gains does
// not hide what the hand costs.
func (s *Shop) replan(ctx context.Context, t *Trial, b *book.Book, now plant.Time) error {
	adopted, err := s.adopted(ctx)
	if err != nil {
		return err
	}
	facts, err := s.facts(ctx, now)
	if err != nil {
		return err
	}
	s.trials.one.Lock()
	defer s.trials.one.Unlock()
	var with, without *attempt
	var wait sync.WaitGroup
	wait.Go(func() { without = s.trials.without(ctx, t.Before, now, facts) })
	with = again(ctx, t.Before, b, now, facts, s.trials.seconds)
	wait.Wait()
	if err := cmp.Or(with.err, without.err); err != nil {
		return err
	}
	if with.plan.Status == schedule.Stopped {
		return fault.New(fault.Conflict, "The trial was stopped before a plan was there.")
	}
	with.f.Problem.Adopted = adoptedSlots(with.f, adopted) // moves are counted against the plan in force
	v := Derive(with.f, with.plan)
	if len(v.Broken) > 0 {
		return brokenFault(v.Broken, firstZone(with.f.Index))
	}
	v.Revision, v.Name, v.By, v.Made, v.Assumed = t.revision, t.Text, t.By, s.now(), t.Before.Assumed
	t.View = v
	bare := *without.f.Problem
	bare.Adopted = adoptedSlots(without.f, adopted)
	t.Effect = effectOf(t.Before, v, &t.Hand)
	t.Effect.beside(&bare, without.plan, v.Problem)
	return nil
}

// attempt is one search of a trial and what came of it.
type attempt struct {
	f    *Framed
	plan *schedule.Plan
	err  error
}

// again plans a book for some seconds from a plan, with half of the processors: two searches of a trial go side by side.
func again(ctx context.Context, from *View, b *book.Book, now plant.Time, facts floor.Facts, seconds float64) *attempt {
	x := &attempt{}
	o := search.Options{Seconds: seconds, Workers: max(1, runtime.NumCPU()/2), Seed: 1}
	if b == from.Book && now == from.Problem.Now && reflect.DeepEqual(facts, from.Facts) { // set out already
		p := *from.Problem
		p.Adopted = from.Plan.Slots
		x.f = &Framed{from.Index, from.Needs, &p, facts}
		x.f, x.plan, x.err = x.f.plan(ctx, o)
		return x
	}
	if x.f, x.err = frameAt(b, now, from.Needs.Pegs(), facts); x.err != nil {
		return x
	}
	if x.f, x.err = x.f.Until(from.Problem.Horizon - 1); x.err != nil {
		return x
	}
	was, err := storable(from, "", "", 0)
	if err != nil {
		x.err = err
		return x
	}
	x.f.Problem.Adopted = start(ctx, x.f.Problem, adoptedSlots(x.f, was)) // the search begins there
	x.f, x.plan, x.err = x.f.plan(ctx, o)
	return x
}

// without gives the plan that comes of planning on from a view without any hand. It is kept for the next trial on that view.
func (t *trialTable) without(ctx context.Context, v *View, now plant.Time, facts floor.Facts) *attempt {
	if t.bare != nil && t.of == v && t.now == now && reflect.DeepEqual(facts, t.bare.f.Facts) {
		return t.bare
	}
	x := again(ctx, v, v.Book, now, facts, t.seconds)
	if x.err == nil && x.plan.Status != schedule.Stopped {
		t.bare, t.of, t.now = x, v, now
	}
	return x
}

// Trial gives a trial that waits for its planner to decide.
func (s *Shop) Trial(id int64) (*Trial, error) { return s.trials.get(id, false) }

// DropTrial takes a trial back: nothing of it is kept.
func (s *Shop) DropTrial(who Who, id int64) (*Trial, error) {
	if err := need(who, MayPlan); err != nil {
		return nil, err
	}
	return s.trials.get(id, true)
}

// KeepTrial writes what was done by hand into the shop book, with its history, and keeps the plan as a draft. If the book has
// changed since, a Conflict is returned and nothing is kept.
func (s *Shop) KeepTrial(ctx context.Context, who Who, id int64) (planID int64, err error) {
	if err := need(who, MayPlan); err != nil {
		return 0, err
	}
	s.edit.Lock()
	defer s.edit.Unlock()
	l, err := s.load(ctx)
	if err != nil {
		return 0, err
	}
	t, err := s.trials.get(id, true)
	if err != nil {
		return 0, err
	}
	if l.revision != t.revision {
		return 0, fault.New(fault.Conflict, "The shop book has changed since this was tried. Try it again.")
	}
	tables, changes := difference(l.book, t.book)
	for _, name := range tables {
		if err := needEdit(who, name); err != nil {
			return 0, err
		}
	}
	revision := l.revision
	if len(tables) > 0 {
		act := store.Act{At: s.now(), Who: who.Name, Kind: ActHand, Note: t.Text}
		if revision, err = s.store.SaveBook(ctx, l.revision, act, t.book, tables, changes); err != nil {
			return 0, err
		}
		s.loaded.Store(&loadedBook{book: t.book, revision: revision})
	}
	kept := *t.View
	kept.Revision = revision
	stored, err := storable(&kept, short(t.Text, 140), who.Name, s.now())
	if err != nil {
		return 0, err
	}
	stored.Assumed = t.assumed
	planID, err = s.store.AddPlan(ctx, stored, store.Act{At: s.now(), Who: who.Name, Kind: ActPlan, Note: t.Text})
	s.warm()
	return planID, err
}

// short cuts a text at its end.
func short(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}
