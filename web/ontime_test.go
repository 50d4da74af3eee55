package web

import (
	"context"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"tackline/flow"
	"tackline/plant"
	"tackline/schedule/whatif"
)

// The unit sheet of a late unit offers to ask, shows how far a question is, and its answer: changes with their cost, or that
// nothing single helps. A viewer sees the answer and no buttons.
func TestOnTimeSection(t *testing.T) {
	v := storyView(t)
	late := ""
	for u := range v.Why {
		if v.Why[u].Slack < 0 {
			late = string(v.Needs.Units[u].ID)
		}
	}
	if late == "" {
		t.Fatal("the story has no late unit")
	}
	s := testServer(t, v)
	var w flow.WhatIf
	asked := false
	s.whatIf = func(context.Context, plant.UnitID) (flow.WhatIf, bool, error) { return w, asked, nil }
	section := func(role string) (string, []string) {
		page := signIn(t, s, role).page(t, "/units/"+late)
		found := find(page, "#ontime")
		if len(found) != 1 {
			t.Fatalf("%d sections", len(found))
		}
		var buttons []string
		for _, b := range find(found[0], "button") {
			buttons = append(buttons, textOf(b))
		}
		return textOf(found[0]), buttons
	}
	text, buttons := section("planner")
	if len(buttons) != 1 || buttons[0] != "Find out" {
		t.Errorf("not asked: %q, buttons %q", text, buttons)
	}
	if _, buttons = section("viewer"); len(buttons) != 0 {
		t.Errorf("a viewer has buttons %q", buttons)
	}
	asked, w = true, flow.WhatIf{State: flow.RunRunning, Done: 0.25, Text: "unit 1: overtime"}
	if text, buttons = section("planner"); !strings.Contains(text, "unit 1: overtime") || len(buttons) != 1 || buttons[0] != "Stop" {
		t.Errorf("under way: %q, buttons %q", text, buttons)
	}
	w = flow.WhatIf{State: flow.RunDone, Tried: 7}
	if text, _ = section("planner"); !strings.Contains(text, "Nothing single helps: of 7 changes") {
		t.Errorf("nothing helps: %q", text)
	}
	w.Proposals = []flow.Proposal{{Text: "Overtime on Bench", Does: "ships Wed", Total: "the plan costs EUR 5.00 more", Effect: whatif.Effect{}, Later: []plant.UnitID{"7-1-1"}}}
	if text, _ = section("planner"); !strings.Contains(text, "Overtime on Bench") || !strings.Contains(text, "EUR 5.00 more") || !strings.Contains(text, "7-1-1") || strings.Contains(text, "Nothing single") {
		t.Errorf("an answer: %q", text)
	}
}

// A question is asked and answered over the web, its answer made a draft, and the draft says what it moves.
func TestAskAndDraftOverTheWeb(t *testing.T) {
	shop, ctx := smallShop(t), context.Background()
	view, err := shop.Current(ctx)
	if err != nil {
		t.Fatal(err)
	}
	c := view.Book.Clone()
	for i := range c.Lines { // everything is due at once
		c.Lines[i].Due = plant.WallAt(view.Problem.Now.Add(3*3600), time.UTC)
	}
	if err := shop.ImportBook(ctx, planner, c, nil); err != nil {
		t.Fatal(err)
	}
	v := enter(t, realServer(t, shop), "planner", "planner-pass-word")
	if got := textOf(v.page(t, "/")); !strings.Contains(got, "Re-plan") {
		t.Errorf("the morning does not propose to re-plan: %q", got)
	}
	unit := string(view.Needs.Units[0].ID)
	v.post("/units/"+unit+"/on-time", url.Values{"do": {"ask"}})
	for end := time.Now().Add(time.Minute); ; time.Sleep(20 * time.Millisecond) {
		w, ok, err := shop.WhatIf(ctx, plant.UnitID(unit))
		if err != nil || time.Now().After(end) {
			t.Fatal(w, err)
		}
		if ok && w.Over() {
			if w.State != flow.RunDone {
				t.Fatalf("%+v", w)
			}
			break
		}
	}
	if w := v.get("/units/" + unit + "/on-time"); w.Code != 200 || !strings.Contains(w.Body.String(), "on time") {
		t.Errorf("the part: status %d", w.Code)
	}
	draft := strconv.FormatInt(planOnce(t, shop, planner), 10)
	if got := textOf(find(v.page(t, "/plan?plan="+draft), ".moved")[0]); !strings.Contains(got, "Against the plan in force") {
		t.Errorf("what moves: %q", got)
	}
}
