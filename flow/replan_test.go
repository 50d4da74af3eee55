package flow_test

import (
	"strings"
	"testing"

	"tackline/book"
	"tackline/flow"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
)

// saved imports a changed book into a shop and makes a draft of it.
func saved(t *testing.T, shop *flow.Shop, edit func(b *book.Book)) *flow.View {
	t.Helper()
	b, _, err := shop.Book(ctx)
	must(t, err)
	b = b.Clone()
	edit(b)
	must(t, shop.ImportBook(ctx, boss, b, nil))
	return view(t, shop, draft(t, shop, "again"))
}

// jobsOf gives the pieces of each job of a view.
func jobsOf(v *flow.View) map[plant.JobID]int {
	m := map[plant.JobID]int{}
	for i := range v.Needs.Jobs {
		m[v.Needs.Jobs[i].ID] = v.Needs.Jobs[i].Pieces
	}
	return m
}

// A rush order leaves the plan in force whole: every job is there with its pieces, every slot is found again, and the plan, seen
// against the changed book, breaks no rule. The draft that takes the order in moves nothing inside the freeze window for
// nothing, and what it moves has a cause.
func TestRushOrderLeavesThePlanInForceWhole(t *testing.T) {
	shop, first := planned(t, small())
	before := view(t, shop, first)
	rush := func(b *book.Book) {
		b.Lines = append(b.Lines, order.Line{Order: "1001", Line: 7, Product: "grab", Quantity: 1, Due: "2026-12-01T16:00",
			Options: "jaws=4", Priority: 9, State: order.Open})
	}
	again := saved(t, shop, rush)
	is := jobsOf(again)
	stock := 0
	for id, pieces := range jobsOf(before) {
		if is[id] != pieces {
			t.Errorf("job %s has %d pieces, had %d", id, is[id], pieces)
		}
		if strings.HasPrefix(string(id), "stock/") {
			stock++
		}
	}
	if stock == 0 {
		t.Fatal("no job is made to stock: the test says little")
	}
	held := 0
	for op := range again.Problem.Ops {
		unit := again.Needs.Jobs[again.Needs.Ops[op].Job].ID
		if again.Problem.Adopted[op].Station != schedule.None {
			held++
		} else if _, known := jobsOf(before)[unit]; known {
			t.Errorf("operation %d of %s is not found in the plan in force", again.Problem.Ops[op].Seq, unit)
		}
	}
	if held != len(before.Needs.Ops) {
		t.Errorf("%d operations of the plan in force are found, it has %d", held, len(before.Needs.Ops))
	}
	if now := view(t, shop, first); len(now.Broken) > 0 {
		t.Errorf("the plan in force breaks %v because an order came", now.Broken[0])
	}
	w := flow.Moved(again)
	if len(w.R.New) == 0 || w.R.Inside != again.Score.Moves {
		t.Errorf("%s; the score counts %d moves", w.Summary(), again.Score.Moves)
	}
	for i := range w.R.Moves {
		if w.Why(i) == "" {
			t.Errorf("no reason: %s", w.Sentence(i))
		}
	}
	anew, err := shop.StartPlan(ctx, boss, flow.PlanRequest{Name: "anew", Workers: 1, Seed: 1, Anew: true})
	must(t, err)
	if p := until(t, shop, anew, over); p.State != flow.RunDone {
		t.Errorf("settled anew: %+v", p)
	}
}

// A station that goes down is named with its reason.
func TestWhatMovedNamesTheReason(t *testing.T) {
	shop, first := planned(t, small())
	v := view(t, shop, first)
	op := opOf(t, v, jaws, 10)
	s := v.Plan.Slots[op]
	id := v.Problem.Stations[s.Station].ID
	loc := v.Index.StationZone(id)
	again := saved(t, shop, func(b *book.Book) {
		b.Exceptions = append(b.Exceptions, plant.Exception{Station: id, From: plant.WallAt(s.Setup.Add(-3600), loc), To: plant.WallAt(s.End.Add(36*3600), loc),
			Kind: "down", Reason: "spindle"})
	})
	w := flow.Moved(again)
	for i := range w.R.Moves {
		if w.R.Moves[i].Op == opOf(t, again, jaws, 10) {
			if text := w.Sentence(i); !strings.Contains(text, "down (spindle) until") {
				t.Errorf("%s", text)
			}
			return
		}
	}
	t.Errorf("it did not move: %s", w.Summary())
}
