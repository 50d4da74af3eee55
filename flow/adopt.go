package flow

import (
	"context"
	"fmt"

	"tackline/assume"
	"tackline/fault"
	"tackline/schedule"
	"tackline/store"
)

// Adopt makes a draft the adopted plan; the plan adopted before becomes past. What the draft assumes is written into the book
// by the same act, with its history. A draft that breaks a rule against the book as it is now, or whose assumptions do not fit
// that book any more, is refused with a Conflict that lists what does not fit. See UndoAdoption.
func (s *Shop) Adopt(ctx context.Context, who Who, planID int64) error {
	if err := need(who, MayAdopt); err != nil {
		return err
	}
	s.edit.Lock() // the book must not change between the check and the adoption
	defer s.edit.Unlock()
	l, err := s.load(ctx)
	if err != nil {
		return err
	}
	v, err := s.ViewOf(ctx, planID)
	if err != nil {
		return err
	}
	if err := stillFits(v, l); err != nil {
		return err
	}
	act := store.Act{At: s.now(), Who: who.Name, Kind: ActAdopt, Note: fmt.Sprintf("plan %d, %s", planID, v.Name)}
	change, err := changeOf(who, l, v)
	if err != nil {
		return err
	}
	if change != nil {
		act.Note += "; its assumptions are in the shop book: " + countChanges(change.Changes)
	}
	if _, err := s.store.AdoptPlan(ctx, planID, act, change); err != nil {
		return err
	}
	if change != nil {
		s.loaded.Store(nil)
	}
	s.warm()
	return nil
}

// changeOf gives what a draft changes in the book, nil if nothing.
func changeOf(who Who, l *loadedBook, v *View) (*store.BookChange, error) {
	if len(v.Assumed) == 0 {
		return nil, nil
	}
	tables, changes := difference(l.book, v.Book)
	if len(tables) == 0 {
		return nil, nil // the book says so already
	}
	for _, name := range tables {
		if err := needEdit(who, name); err != nil {
			return nil, err
		}
	}
	return &store.BookChange{Base: l.revision, Book: v.Book, Tables: tables, Changes: changes}, nil
}

// mostTold bounds how many things that do not fit are listed.
const mostTold = 12

// stillFits gives a list of what does not fit any more in a draft, in the time of the first plant.
func stillFits(v *View, l *loadedBook) error {
	var list fault.List
	for _, f := range v.Unfit {
		said := ""
		if n := f.Row - 1; n >= 0 && n < len(v.Assumed) {
			said = " " + assume.Sentence(l.book, v.Assumed[n], v.Problem.Now)
		}
		list = append(list, fault.New(fault.Conflict, "Assumption %d does not fit the shop book any more:%s (%s)", f.Row, said, f.Says()))
	}
	for i, b := range v.Broken {
		if i == mostTold {
			list = append(list, fault.New(fault.Conflict, "and %d more", len(v.Broken)-i))
			break
		}
		list = append(list, fault.New(fault.Conflict, "Rule %s: %s", b.Rule, schedule.LocalTimes(b.Text, firstZone(v.Index))))
	}
	if len(list) == 0 {
		return nil
	}
	return append(fault.List{fault.New(fault.Conflict,
		"The shop book has changed since plan %d was made, and the plan does not fit it any more. Plan again.", v.PlanID)}, list...)
}

// Discard removes a draft.
func (s *Shop) Discard(ctx context.Context, who Who, planID int64) error {
	if err := need(who, MayPlan); err != nil {
		return err
	}
	act := store.Act{At: s.now(), Who: who.Name, Kind: ActDiscard, Note: fmt.Sprintf("plan %d", planID)}
	if err := s.store.DiscardPlan(ctx, planID, act); err != nil {
		return err
	}
	s.views.forgetPlan(planID)
	return nil
}
