package flow_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tackline/assume"
	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
	"tackline/schedule"
)

// under plans the book of a shop under assumptions and gives the draft's number.
func under(t *testing.T, shop *flow.Shop, list ...assume.Assumption) int64 {
	t.Helper()
	p := until(t, shop, start(t, shop, flow.PlanRequest{Workers: 1, Seed: 1, Assume: list}), over)
	if p.State != flow.RunDone || p.PlanID == 0 {
		t.Fatalf("planning run under %+v: %+v", list, p)
	}
	return p.PlanID
}

// lists are assumptions that fit booktest.Small, some together.
var lists = [][]assume.Assumption{
	{{Kind: assume.StationDown, Station: "robot-1", From: "2026-11-26T06:00", To: "2026-12-02T12:00", Reason: "drive"}},
	{{Kind: assume.Overtime, Calendar: "day", From: "2026-11-28T06:00", To: "2026-11-28T12:00"}},
	{{Kind: assume.Overtime, Station: "bench-1", Heads: 1, From: "2026-11-28T06:00", To: "2026-11-28T18:00"}},
	{{Kind: assume.ExtraShift, Calendar: "day", Days: "mon-fri", Hours: "18:00-22:00"}},
	{{Kind: assume.ExtraShift, Calendar: "day", Days: "sat", Hours: "06:00-14:00", From: "2026-11-26T00:00", To: "2026-12-20T00:00"}},
	{{Kind: assume.Away, Pool: "fitters", From: "2026-11-26T00:00", To: "2026-12-05T00:00"}},
	{{Kind: assume.ExtraPeople, Pool: "welders", Heads: 1, From: "2026-11-26T00:00", To: "2026-12-05T00:00"}},
	{{Kind: assume.OrderAdded, Order: "1003", Customer: "Port of Lindale", Item: "grab", Options: "jaws=3", At: "2026-12-15T16:00"},
		{Kind: assume.DueMoved, Order: "1003", At: "2026-12-16T16:00"}},
	{{Kind: assume.OrderDropped, Order: "1001", Line: 2}},
	{{Kind: assume.DueMoved, Order: "1001", At: "2027-01-08T16:00"}},
	{{Kind: assume.ReceiptMoved, Receipt: "R-1", At: "2026-12-04T10:00"}},
	{{Kind: assume.DeliveryAdded, Item: "plate", Quantity: plant.Pieces(3), At: "2026-11-26T10:00"}},
	{{Kind: assume.WorkHeld, Job: "1001-2-1/grab", Op: 10, At: "2026-12-09T12:00", Reason: "drawing"}},
}

// TestAdoptAndUndo: a draft under assumptions is a plan of the assumed book, again and again; adopting it makes that book the
// stored one, as one act with its history; undoing brings the book and the plan back as they were.
func TestAdoptAndUndo(t *testing.T) {
	shop := newShop(t, small())
	first := draft(t, shop, "first")
	must(t, shop.Adopt(ctx, boss, first))
	for _, list := range lists {
		t.Run(assume.Sentence(small(), list[0], 0), func(t *testing.T) {
			want, err := flow.Assume(small(), list)
			must(t, err)
			plan := under(t, shop, list...)
			v := view(t, shop, plan)
			if d := cmp.Diff(want, v.Book); d != "" {
				t.Fatalf("the draft is of another book (-want +got):\n%s", d)
			}
			row := states(t, shop)[plan]
			if len(v.Broken) > 0 || len(v.Unfit) > 0 || row.Score != v.Score || row.Older || !cmp.Equal(row.Assumed, list) {
				t.Fatalf("the draft: %+v, broken %v, unfit %v, score %+v", row, v.Broken, v.Unfit, v.Score)
			}
			if v.Problem.Adopted == nil {
				t.Error("the draft is not beside the plan in force")
			}
			stored, _, err := shop.Book(ctx)
			must(t, err)
			if d := cmp.Diff(small(), stored); d != "" {
				t.Fatalf("a draft has changed the book:\n%s", d)
			}
			adoptAndUndo(t, shop, first, plan, v)
		})
	}
}

func adoptAndUndo(t *testing.T, shop *flow.Shop, first, plan int64, v *flow.View) {
	must(t, shop.Adopt(ctx, boss, plan))
	stored, _, err := shop.Book(ctx)
	must(t, err)
	if d := cmp.Diff(v.Book, stored); d != "" {
		t.Fatalf("the book after the adoption (-want +got):\n%s", d)
	}
	now, err := shop.Current(ctx)
	must(t, err)
	row := states(t, shop)[plan]
	if now.PlanID != plan || len(now.Broken) > 0 || now.State != flow.Adopted || row.Older || now.Score != v.Score && now.Score.Moves == v.Score.Moves {
		t.Errorf("after the adoption: plan %d %s, broken %v, %+v, score %+v", now.PlanID, now.State, now.Broken, row, now.Score)
	}
	acts, err := shop.Acts(ctx, 1)
	must(t, err)
	changes, err := shop.History(ctx, flow.HistoryFilter{Act: acts[0].ID})
	must(t, err)
	if acts[0].Kind != flow.ActAdopt || acts[0].Who != "mara" || len(changes) == 0 || !strings.Contains(acts[0].Note, "its assumptions are in the shop book") {
		t.Errorf("the act %+v with %d changes", acts[0], len(changes))
	}

	must(t, shop.UndoAdoption(ctx, boss, plan, false))
	stored, _, err = shop.Book(ctx)
	must(t, err)
	if d := cmp.Diff(small(), stored); d != "" {
		t.Fatalf("the book after undoing (-want +got):\n%s", d)
	}
	rows := states(t, shop)
	if rows[first].State != flow.Adopted || rows[plan].State != flow.Draft || rows[plan].Older {
		t.Errorf("after undoing: %+v, %+v", rows[first], rows[plan])
	}
	again := view(t, shop, plan)
	if d := cmp.Diff(v.Plan.Slots, again.Plan.Slots); d != "" || len(again.Broken) > 0 {
		t.Errorf("the draft after undoing differs (broken %v):\n%s", again.Broken, d)
	}
	list, err := shop.Adoptions(ctx)
	must(t, err)
	if a := list[0]; a.Plan != plan || a.Before != first || a.UndoneBy != "mara" || a.UndoneAt == 0 {
		t.Errorf("the adoption undone: %+v", a)
	}
}

// TestManyAssumptionsTogether: those of every kind in one draft, adopted as one act and undone as one.
func TestManyAssumptionsTogether(t *testing.T) {
	shop := newShop(t, small())
	first := draft(t, shop, "first")
	must(t, shop.Adopt(ctx, boss, first))
	var all []assume.Assumption
	for _, list := range lists {
		if list[0].Kind != assume.WorkHeld { // its unit is dropped by another
			all = append(all, list...)
		}
	}
	plan := under(t, shop, all...)
	adoptAndUndo(t, shop, first, plan, view(t, shop, plan))
	must(t, shop.UndoAdoption(ctx, boss, first, false))
	if v, err := shop.Current(ctx); err != nil || v.State != flow.Draft {
		t.Errorf("after undoing the first adoption too: %v, %v", v.State, err)
	}
}

// TestUndoMindsLaterChanges: rows that somebody changed after the adoption are told, and left alone if wished.
func TestUndoMindsLaterChanges(t *testing.T) {
	shop := newShop(t, small())
	first := draft(t, shop, "first")
	must(t, shop.Adopt(ctx, boss, first))
	plan := under(t, shop, assume.Assumption{Kind: assume.DueMoved, Order: "1001", At: "2027-01-08T16:00"},
		assume.Assumption{Kind: assume.ReceiptMoved, Receipt: "R-1", At: "2026-12-04T10:00"})
	must(t, shop.Adopt(ctx, boss, plan))
	set(t, shop, "lines", "1001 / 2", "priority", "3")
	before := revision(t, shop)

	err := shop.UndoAdoption(ctx, boss, plan, false)
	refused(t, err, fault.Conflict, "undoing over a later change")
	if n := len(fault.All(err)); n != 1 || !strings.Contains(err.Error(), "lines: 1001 / 2 was changed by the adoption, and again since by mara on") {
		t.Errorf("%d faults: %v", n, err)
	}
	if revision(t, shop) != before || states(t, shop)[plan].State != flow.Adopted {
		t.Error("a refused undoing has changed something")
	}
	must(t, shop.UndoAdoption(ctx, boss, plan, true))
	if got := cells(t, shop, "lines", "1001 / 2"); got[4] != "2027-01-08T16:00" || got[7] != "3" {
		t.Errorf("the row changed since: %v", got)
	}
	if got := cells(t, shop, "lines", "1001 / 1"); got[4] != "2026-12-18T16:00" {
		t.Errorf("the other line: %v", got)
	}
	if got := cells(t, shop, "receipts", "R-1"); got[5] != "2026-11-30T10:00" {
		t.Errorf("the receipt: %v", got)
	}
	acts, err := shop.Acts(ctx, 1)
	must(t, err)
	if acts[0].Kind != flow.ActUndo || !strings.Contains(acts[0].Note, "1 rows left as changed since") {
		t.Errorf("the act: %+v", acts[0])
	}
}

// TestUndoRefuses: whoever may not adopt may not undo, and only the plan in force can be undone.
func TestUndoRefuses(t *testing.T) {
	shop := newShop(t, small())
	refused(t, shop.UndoAdoption(ctx, boss, 1, false), fault.NotFound, "undoing without an adopted plan")
	first := draft(t, shop, "first")
	must(t, shop.Adopt(ctx, boss, first))
	refused(t, shop.UndoAdoption(ctx, looker, first, false), fault.Denied, "undoing by a viewer")
	refused(t, shop.UndoAdoption(ctx, boss, first+1, false), fault.Conflict, "undoing another plan")
	must(t, shop.UndoAdoption(ctx, boss, first, false))
	if s := states(t, shop)[first].State; s != flow.Draft {
		t.Errorf("the only plan is %s after undoing", s)
	}
	refused(t, shop.UndoAdoption(ctx, boss, first, false), fault.NotFound, "undoing twice")
}

// TestDraftWhoseBookMovedOn: a draft under assumptions stays in sight when the book moves on, says which assumption does not fit
// any more, and is not adopted.
func TestDraftWhoseBookMovedOn(t *testing.T) {
	shop := newShop(t, small())
	must(t, shop.Adopt(ctx, boss, draft(t, shop, "first")))
	list := []assume.Assumption{{Kind: assume.OrderDropped, Order: "1001", Line: 2}, {Kind: assume.ReceiptMoved, Receipt: "R-1", At: "2026-12-04T10:00"}}
	plan := under(t, shop, list...)
	set(t, shop, "lines", "1001 / 2", "state", "cancelled")
	v := view(t, shop, plan)
	if len(v.Unfit) != 1 || v.Unfit[0].Row != 1 {
		t.Fatalf("unfit: %v", v.Unfit)
	}
	if r := v.Book.Receipts[0].Expected; r != "2026-12-04T10:00" {
		t.Errorf("the assumption that still fits does not hold: %s", r)
	}
	err := shop.Adopt(ctx, boss, plan)
	refused(t, err, fault.Conflict, "adopting a draft whose book moved on")
	if !strings.Contains(err.Error(), "Assumption 1 does not fit the shop book any more: Order 1001, line 2 for Harbour yard is dropped. (") {
		t.Errorf("refused with %v", err)
	}
}

// TestBrokenRulesAreToldInLocalTime: in the zone of the plant, not in UTC.
func TestBrokenRulesAreToldInLocalTime(t *testing.T) {
	shop := newShop(t, small())
	plan := draft(t, shop, "first")
	set(t, shop, "operations", "grab / 10", "run", "600")
	err := shop.Adopt(ctx, boss, plan)
	refused(t, err, fault.Conflict, "a plan that does not fit")
	if list := fault.All(err); len(list) < 2 || strings.Contains(err.Error(), "Z has") || strings.Contains(err.Error(), ":00Z") || !strings.Contains(list[1].Text, "Rule ") {
		t.Errorf("refused with %v", err)
	}
}

// TestWrongAssumptionsAreRefused before anything is planned, with their place in the list.
func TestWrongAssumptionsAreRefused(t *testing.T) {
	shop := newShop(t, small())
	good := assume.Assumption{Kind: assume.ReceiptMoved, Receipt: "R-1", At: "2026-12-04T10:00"}
	for _, c := range []struct {
		a    assume.Assumption
		says string
	}{
		{assume.Assumption{Kind: assume.StationDown, Station: "robot-9", From: "2026-11-26T06:00", To: "2026-11-27T06:00"}, "assumptions row 2, station"},
		{assume.Assumption{Kind: assume.OrderAdded, Order: "1003", Item: "grab", Options: "jaws=7", At: "2026-12-15T16:00"}, "assumptions row 2, options"},
		{assume.Assumption{Kind: assume.WorkHeld, Job: "1001-1-1/jow-closed", Op: 10, At: "2026-12-15T16:00"}, "assumptions row 2, job"},
		{assume.Assumption{Kind: assume.StationDown, Station: "bench-1", From: "2026-11-01T06:00", To: "2029-11-27T06:00"}, "assumptions row 2"},
	} {
		_, err := shop.StartPlan(ctx, boss, flow.PlanRequest{Assume: []assume.Assumption{good, c.a, good}})
		refused(t, err, fault.Invalid, c.says)
		if err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v is refused with %v; expected %q", c.a, err, c.says)
		}
	}
	if many := make([]assume.Assumption, 61); true {
		_, err := shop.StartPlan(ctx, boss, flow.PlanRequest{Assume: many})
		refused(t, err, fault.Invalid, "a long list")
	}
	if list, err := shop.PlanRuns(ctx); err != nil || len(list) != 0 {
		t.Errorf("runs: %v, %v", list, err)
	}
}

// TestAssumptionsMatter: what is assumed changes the plan in the way it must.
func TestAssumptionsMatter(t *testing.T) {
	shop := newShop(t, small())
	base := view(t, shop, draft(t, shop, "first"))
	down := view(t, shop, under(t, shop, assume.Assumption{Kind: assume.StationDown, Station: "bench-1", From: "2026-11-25T06:00", To: "2027-01-01T00:00"}))
	if down.Score.LateDays <= base.Score.LateDays {
		t.Errorf("with the only bench down for five weeks %.1f days late, without %.1f", down.Score.LateDays, base.Score.LateDays)
	}
	less := view(t, shop, under(t, shop, assume.Assumption{Kind: assume.OrderDropped, Order: "1001", Line: 2}))
	if len(less.Needs.Units) != len(base.Needs.Units)-1 {
		t.Errorf("%d units without one line, %d with it", len(less.Needs.Units), len(base.Needs.Units))
	}
	for op, x := range down.Plan.Slots {
		o := &down.Problem.Ops[op]
		if x.Station != schedule.None && o.State == schedule.ToPlan && down.Problem.Stations[x.Station].ID == "bench-1" && x.Load.In(down.Index.Zone("north")).Year() == 2026 {
			t.Errorf("work on the bench at %v", x.Load.In(down.Index.Zone("north")))
		}
	}
}
