package flow

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"slices"
	"sync"

	"tackline/assume"
	"tackline/book"
	"tackline/fault"
	"tackline/floor"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/schedule/whatif"
	"tackline/store"
)

// WhatIf is what was found, or is being looked for, that would make a unit on time. It is of the plan in force and the book
// as they were when it was asked.
type WhatIf struct {
	Unit      plant.UnitID
	State     string // RunWaiting, RunRunning, RunDone, RunFailed or RunCancelled
	Done      float64
	Text      string // what it is doing, in words
	Error     string
	Tried     int
	Dear      int        // changes that help too, at many times what the lateness costs
	Proposals []Proposal // that make it on time, the cheapest for the whole plan first
	Nearest   *Proposal  // if there is none: what brings it nearest
}

// Over says whether the question has come to its end.
func (w *WhatIf) Over() bool { return w.State != RunWaiting && w.State != RunRunning }

// Proposal is one change that was planned and makes the unit on time.
type Proposal struct {
	Effect whatif.Effect // units as the problem that was asked has them
	Text   string        // the change, in words
	Does   string        // what it does
	Total  string        // what the whole plan then costs
	Assume []assume.Assumption
	Hand   *Hand // done by hand; else nil
	Later  []plant.UnitID

	proved *proved // nil: nothing can be made of it here
}

// Draftable says whether the proposal can be made a draft, or tried by hand.
func (p *Proposal) Draftable() bool { return p.proved != nil }

// proved is a plan of the book under a proposal.
type proved struct {
	framed *Framed
	plan   *schedule.Plan
	book   *book.Book
	base   *schedule.Problem // without it, planned again for as long
	again  *schedule.Plan
}

// askKey names a question.
type askKey struct {
	plan, revision int64
	unit           plant.UnitID
}

// questionsKept is how many answers are held.
const questionsKept = 40

// askTable holds questions and answers, the oldest first, and the asker that the latest plan and book made.
type askTable struct {
	one   sync.Mutex // one question at a time: it uses every processor
	mu    sync.Mutex
	held  map[askKey]*question
	order []askKey
	asker *asker // used with one held
}

type question struct {
	mu   sync.Mutex
	is   WhatIf
	by   string
	stop context.CancelFunc
}

func newAskTable() *askTable { return &askTable{held: map[askKey]*question{}} }

func (q *question) get() WhatIf {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.is
}

func (q *question) set(change func(w *WhatIf)) {
	q.mu.Lock()
	defer q.mu.Unlock()
	change(&q.is)
}

// askKey gives the name of a question about the plan in force.
func (s *Shop) askKey(ctx context.Context, unit plant.UnitID) (askKey, error) {
	_, adopted, err := s.store.CurrentPlan(ctx)
	if err != nil {
		return askKey{}, err
	}
	if adopted == 0 {
		return askKey{}, fault.New(fault.Conflict, "No plan is in force. Adopt one first.")
	}
	revision, err := s.store.Revision(ctx)
	return askKey{adopted, revision, unit}, err
}

// AskWhatIf asks what would make a unit on time, and gives how far that is. Asking again gives the answer that is there.
func (s *Shop) AskWhatIf(ctx context.Context, who Who, unit plant.UnitID) (WhatIf, error) {
	if err := need(who, MayPlan); err != nil {
		return WhatIf{}, err
	}
	key, err := s.askKey(ctx, unit)
	if err != nil {
		return WhatIf{}, err
	}
	t := s.asks
	t.mu.Lock()
	defer t.mu.Unlock()
	if q := t.held[key]; q != nil {
		if is := q.get(); is.State != RunFailed && is.State != RunCancelled {
			return is, nil
		}
	} else if t.order = append(t.order, key); len(t.order) > questionsKept {
		t.held[t.order[0]].stop()
		delete(t.held, t.order[0])
		t.order = t.order[1:]
	}
	life, stop := context.WithCancel(s.life)
	q := &question{is: WhatIf{Unit: unit, State: RunWaiting, Text: "waits for its turn"}, by: who.Name, stop: stop}
	t.held[key] = q
	s.spawn("what would make a unit on time", func(context.Context) error {
		defer stop()
		s.answer(life, key, q)
		return nil
	})
	return q.get(), nil
}

// WhatIf gives what is known of a question about the plan in force; ok is false if nobody has asked since the plan or the book
// changed.
func (s *Shop) WhatIf(ctx context.Context, unit plant.UnitID) (w WhatIf, ok bool, err error) {
	key, err := s.askKey(ctx, unit)
	if fault.KindOf(err) == fault.Conflict {
		return WhatIf{}, false, nil
	}
	if err != nil {
		return WhatIf{}, false, err
	}
	s.asks.mu.Lock()
	q := s.asks.held[key]
	s.asks.mu.Unlock()
	if q == nil {
		return WhatIf{}, false, nil
	}
	return q.get(), true, nil
}

// StopWhatIf stops a question.
func (s *Shop) StopWhatIf(ctx context.Context, who Who, unit plant.UnitID) error {
	if err := need(who, MayPlan); err != nil {
		return err
	}
	key, err := s.askKey(ctx, unit)
	if err != nil {
		return err
	}
	s.asks.mu.Lock()
	defer s.asks.mu.Unlock()
	if q := s.asks.held[key]; q != nil {
		q.stop()
		q.set(func(w *WhatIf) {
			if !w.Over() {
				w.State, w.Text = RunCancelled, "stopped by "+who.Name
			}
		})
	}
	return nil
}

// answer works out one question from beginning to end. A panic ends it, not the program.
func (s *Shop) answer(ctx context.Context, key askKey, q *question) {
	s.asks.one.Lock()
	defer s.asks.one.Unlock()
	err := ctx.Err()
	func() {
		defer func() {
			if v := recover(); v != nil {
				err = fmt.Errorf("what-if panicked: %v\n%s", v, debug.Stack())
			}
		}()
		if err == nil {
			err = s.findAnswer(ctx, key, q)
		}
	}()
	q.set(func(w *WhatIf) {
		switch {
		case w.State == RunCancelled:
		case err == nil:
			w.State, w.Done, w.Text = RunDone, 1, ""
		case errors.Is(err, context.Canceled):
			w.State, w.Text = RunCancelled, "stopped"
		case fault.KindOf(err) != fault.Internal:
			w.State, w.Error = RunFailed, err.Error()
		default:
			w.State, w.Error = RunFailed, "This is a defect of the program; it is written in the log."
			s.log.Error("what-if failed", "unit", string(key.unit), "error", err)
		}
	})
}

// asker is what questions about one plan and book share.
type asker struct {
	key    askKey // without a unit
	now    plant.Time
	force  *store.Plan
	book   *book.Book
	facts  floor.Facts // what the floor had recorded
	framed *Framed
	*whatif.Asker
	tell func(done float64, text string)
}

// askerFor gives the asker of a plan and a book, the last one if it is still that.
func (s *Shop) askerFor(ctx context.Context, key askKey) (*asker, error) {
	key.unit = ""
	l, err := s.load(ctx)
	if err != nil {
		return nil, err
	}
	now, err := StartOf(l.book, s.now())
	if err != nil {
		return nil, err
	}
	const fresh = 15 * 60
	if a := s.asks.asker; a != nil && a.key == key && now.Sub(a.now) < fresh {
		return a, nil
	}
	force, err := s.store.Plan(ctx, key.plan)
	if err != nil {
		return nil, err
	}
	a := &asker{key: key, now: now, force: force, book: l.book, tell: func(float64, string) {}}
	if a.facts, err = s.facts(ctx, now); err != nil {
		return nil, err
	}
	if a.framed, err = a.frame(l.book); err != nil {
		return nil, err
	}
	f := a.framed
	v := &View{Needs: f.Needs, Problem: f.Problem}
	opt := whatif.Options{Workers: runtime.NumCPU(), Seed: 1, Progress: func(done float64, text string) { a.tell(done, text) },
		Know: whatif.Knowledge{Together: f.together(), MaySplit: func(job int) bool { return Splittable(v, &f.Needs.Jobs[job]) == nil }}}
	if a.Asker, err = whatif.NewAsker(ctx, f.Problem, planOf(f, force), opt); err != nil {
		return nil, err
	}
	s.asks.asker = a
	return a, nil
}

// frame sets a book out beside the plan in force, as far as that reaches.
func (a *asker) frame(b *book.Book) (*Framed, error) {
	f, err := frameAgainst(b, a.now, a.force, false, a.facts)
	if err != nil {
		return nil, err
	}
	return f.Until(lastEnd(a.force))
}

// findAnswer asks, proves what was found against the book, and writes the answer down.
func (s *Shop) findAnswer(ctx context.Context, key askKey, q *question) error {
	q.set(func(w *WhatIf) { w.State, w.Text = RunRunning, "plans again without a change" })
	a, err := s.askerFor(ctx, key)
	if err != nil {
		return err
	}
	unit := slices.IndexFunc(a.framed.Needs.Units, func(u needs.Unit) bool { return u.ID == key.unit })
	if unit < 0 {
		return fault.New(fault.NotFound, "The shop book has no open unit %s.", key.unit)
	}
	const asking = 0.7 // of the work; the rest proves
	a.tell = func(done float64, text string) {
		q.set(func(w *WhatIf) { w.Done, w.Text = done*asking, text })
	}
	ans, err := a.Ask(ctx, unit)
	if err != nil {
		return err
	}
	q.set(func(w *WhatIf) { w.Tried, w.Dear = ans.Tried, ans.Dear })
	for i := range ans.Effects[:min(len(ans.Effects), mostProposed)] {
		q.set(func(w *WhatIf) {
			w.Done, w.Text = asking+(1-asking)*float64(i)/float64(len(ans.Effects)), "plans the shop book under it"
		})
		p, ok, err := a.prove(ctx, &ans.Effects[i], q.by)
		if err != nil {
			return err
		}
		if ok {
			q.set(func(w *WhatIf) { w.Proposals = inOrderOfTotal(w.Proposals, p) })
		}
	}
	if ans.Nearest != nil {
		p := a.proposal(ans.Nearest)
		q.set(func(w *WhatIf) { w.Nearest = &p })
	}
	return nil
}

// mostProposed is how many of the changes that help are proved and shown.
const mostProposed = 6

// inOrderOfTotal puts a proposal in its place.
func inOrderOfTotal(list []Proposal, p Proposal) []Proposal {
	i := 0
	for i < len(list) && list[i].Effect.Total <= p.Effect.Total {
		i++
	}
	out := append(append([]Proposal{}, list[:i]...), p)
	return append(out, list[i:]...)
}

// prove plans the book under a change as a draft of it would be planned. What cannot be written into a book stays as the
// problem said it; ok is false if the unit is not on time then.
func (a *asker) prove(ctx context.Context, e *whatif.Effect, by string) (Proposal, bool, error) {
	p := a.proposal(e)
	f, b := a.under(&p, by)
	if f == nil {
		return p, true, nil
	}
	start := f.Problem
	if e.Loose {
		start = whatif.Loosen(f.Problem, &e.Change)
	}
	plan, err := search.Run(ctx, start, search.Options{Work: a.Work(), Workers: runtime.NumCPU(), Seed: 1})
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return p, false, err
	}
	base, again := a.Base()
	if len(f.Needs.Units) != len(a.framed.Needs.Units) || len(schedule.Check(f.Problem, plan)) > 0 {
		return p, false, nil
	}
	weighed := whatif.Weigh(e.Change, base, again, f.Problem, plan)
	p.Effect = weighed
	a.say(&p)
	p.proved = &proved{f, plan, b, base, again}
	return p, weighed.Helps(), nil
}
