package flow

import (
	"context"
	"fmt"

	"tackline/fault"
	"tackline/store"
)

// Adopt makes a draft the adopted plan; the plan adopted before becomes past. A draft that breaks a rule against the book
// as it is now is refused with a Conflict.
func (s *Shop) Adopt(ctx context.Context, who Who, planID int64) error {
	if err := need(who, MayAdopt); err != nil {
		return err
	}
	s.edit.Lock() // the book must not change between the check and the adoption
	defer s.edit.Unlock()
	v, err := s.ViewOf(ctx, planID)
	if err != nil {
		return err
	}
	if len(v.Broken) > 0 {
		return fault.New(fault.Conflict, "The shop book has changed since plan %d was made, and the plan does not fit it any more (%s: %s). Plan again.",
			planID, v.Broken[0].Rule, v.Broken[0].Text)
	}
	act := store.Act{At: s.now(), Who: who.Name, Kind: ActAdopt, Note: fmt.Sprintf("plan %d, %s", planID, v.Name)}
	if err := s.store.AdoptPlan(ctx, planID, act); err != nil {
		return err
	}
	s.warm()
	return nil
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
