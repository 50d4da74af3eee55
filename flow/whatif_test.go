package flow_test

import (
	"testing"
	"time"

	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
	"tackline/stock"
)

// asked waits for the answer to a question. The bound is for a program that hangs.
func asked(t *testing.T, shop *flow.Shop, unit plant.UnitID) flow.WhatIf {
	t.Helper()
	_, err := shop.AskWhatIf(ctx, boss, unit)
	must(t, err)
	for end := time.Now().Add(time.Minute); ; time.Sleep(10 * time.Millisecond) {
		w, ok, err := shop.WhatIf(ctx, unit)
		must(t, err)
		if ok && w.Over() {
			return w
		}
		if time.Now().After(end) {
			t.Fatalf("question about %s: %+v", unit, w)
		}
	}
}

// late gives a shop with a plan in force in which some units are a few hours late, and those units: more orders than the small
// plant can ship by then.
func late(t *testing.T) (*flow.Shop, []plant.UnitID) {
	t.Helper()
	b := small()
	b.Lines[0].Due, b.Lines[1].Due = "2026-12-15T16:00", "2026-12-07T16:00"
	more := b.Lines[1]
	more.Line, more.Quantity, more.Release, more.Due = 9, 9, "", "2026-11-27T15:00"
	b.Lines = append(b.Lines, more)
	b.Lots = append(b.Lots, stock.Lot{ID: "L-x", Item: "plate", Plant: "north", Quantity: plant.Pieces(80), Received: "2026-11-02"},
		stock.Lot{ID: "L-y", Item: "pin", Plant: "north", Quantity: plant.Pieces(200), Received: "2026-11-02"})
	shop, id := planned(t, b)
	v := view(t, shop, id)
	var out []plant.UnitID
	for u := range v.Why {
		if v.Why[u].Slack < 0 {
			out = append(out, v.Needs.Units[u].ID)
		}
	}
	if len(out) == 0 {
		t.Fatal("no unit is late")
	}
	return shop, out
}

// What is said to make a unit on time does: made a draft, the unit is on time in it and the draft breaks no rule. What is done
// by hand becomes a trial with the unit on time.
func TestProposalsMakeTheUnitOnTime(t *testing.T) {
	shop, units := late(t)
	drafts, trials := 0, 0
	for _, unit := range units {
		w := asked(t, shop, unit)
		if w.State != flow.RunDone || w.Unit != unit {
			t.Fatalf("%+v", w)
		}
		for n := range w.Proposals {
			p := &w.Proposals[n]
			t.Logf("%s: %s: %s; %s (%s)", unit, p.Text, p.Does, p.Total, p.Effect.Change.Kind)
			if !p.Draftable() {
				continue
			}
			plan, trial, err := shop.DraftOfWhatIf(ctx, boss, unit, n)
			must(t, err)
			var v *flow.View
			if plan != 0 {
				drafts++
				v = view(t, shop, plan)
			} else {
				trials++
				x, err := shop.Trial(trial)
				must(t, err)
				v = x.View
			}
			if len(v.Broken) > 0 || len(v.Unfit) > 0 {
				t.Errorf("%s: broken %v, unfit %v", p.Text, v.Broken, v.Unfit)
			}
			for u := range v.Why {
				if v.Needs.Units[u].ID == unit && (v.Why[u].Slack < 0 || v.Why[u].Ship != p.Effect.Ship) {
					t.Errorf("%s: %s ships %d, said %d, slack %d", p.Text, unit, v.Why[u].Ship, p.Effect.Ship, v.Why[u].Slack)
				}
			}
		}
	}
	t.Logf("%d drafts, %d trials", drafts, trials)
	if drafts == 0 || trials == 0 {
		t.Errorf("%d drafts, %d trials: the test says little", drafts, trials)
	}
}

func TestQuestionsAreStoppedForgottenAndRefused(t *testing.T) {
	shop, units := late(t)
	if _, err := shop.AskWhatIf(ctx, looker, units[0]); fault.KindOf(err) != fault.Denied {
		t.Errorf("a viewer asks: %v", err)
	}
	_, err := shop.AskWhatIf(ctx, boss, units[0])
	must(t, err)
	must(t, shop.StopWhatIf(ctx, boss, units[0]))
	w, ok, err := shop.WhatIf(ctx, units[0])
	must(t, err)
	if !ok || !w.Over() {
		t.Errorf("after it was stopped: %+v", w)
	}
	if w := asked(t, shop, "9-9-9"); w.State != flow.RunFailed || w.Error == "" {
		t.Errorf("an unknown unit: %+v", w)
	}
	asked(t, shop, units[0])
	b, _, err := shop.Book(ctx)
	must(t, err)
	b = b.Clone()
	b.Lots[0].Quantity++
	must(t, shop.ImportBook(ctx, boss, b, nil))
	if _, ok, _ := shop.WhatIf(ctx, units[0]); ok {
		t.Error("the answer outlives a change of the book")
	}
	if _, _, err := shop.DraftOfWhatIf(ctx, boss, units[0], 0); fault.KindOf(err) != fault.Conflict {
		t.Errorf("a draft of an old answer: %v", err)
	}
}
