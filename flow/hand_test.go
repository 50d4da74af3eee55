package flow_test

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tackline/book"
	"tackline/fault"
	"tackline/flow"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/stock"
)

// planned gives a shop on a book with an adopted plan, and that plan's number.
func planned(t *testing.T, b *book.Book) (*flow.Shop, int64) {
	t.Helper()
	shop := openShop(t, openStore(t, filepath.Join(t.TempDir(), "shop.db")), flow.Options{TrialSec: 0.05})
	must(t, shop.ImportBook(ctx, boss, b, nil))
	id := draft(t, shop, "first")
	must(t, shop.Adopt(ctx, boss, id))
	return shop, id
}

// opOf finds an operation in a view.
func opOf(t *testing.T, v *flow.View, job plant.JobID, seq int) int {
	t.Helper()
	for i := range v.Needs.Ops {
		if o := &v.Needs.Ops[i]; o.Seq == seq && v.Needs.Jobs[o.Job].ID == job {
			return i
		}
	}
	t.Fatalf("no operation %d of job %s", seq, job)
	return 0
}

func try(t *testing.T, shop *flow.Shop, plan int64, h flow.Hand) *flow.Trial {
	t.Helper()
	x, err := shop.Try(ctx, boss, plan, h)
	must(t, err)
	return x
}

const jaws plant.JobID = "1001-2-1/jaw-open"

func TestPinIsTriedKeptAndUndone(t *testing.T) {
	shop, first := planned(t, small())
	v := view(t, shop, first)
	op := opOf(t, v, jaws, 10)
	was := v.Problem.Stations[v.Plan.Slots[op].Station].ID
	other := plant.StationID("robot-1")
	if was == other {
		other = "robot-2"
	}
	begin := v.Plan.Slots[op].Load.Add(24 * 3600)
	x := try(t, shop, 0, flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10, Station: other, At: begin, Note: "trial weld"})
	if revision(t, shop) != 1 || len(states(t, shop)) != 1 {
		t.Error("a trial has changed the book or kept a plan")
	}
	at := opOf(t, x.View, jaws, 10)
	slot := x.View.Plan.Slots[at]
	if got := x.View.Problem.Stations[slot.Station].ID; got != other || slot.Load < begin-begin%60 {
		t.Errorf("pinned to %s at %d, planned on %s at %d", other, begin, got, slot.Load)
	}
	if hours := x.Effect.After.PinHours; hours != slot.Load.Sub(begin-begin%60).Hours() || (hours*60 >= 1) != (len(x.Effect.Pins) > 0) || x.Effect.Moved == 0 {
		t.Errorf("effect %+v", x.Effect)
	}
	if !strings.HasPrefix(x.Text, "Pin operation 10 (robot weld) of job 1001-2-1/jaw-open to Robot ") {
		t.Errorf("said as %q", x.Text)
	}

	id, err := shop.KeepTrial(ctx, boss, x.ID)
	must(t, err)
	kept := view(t, shop, id)
	if row := states(t, shop)[id]; row.State != flow.Draft || row.Older || !slices.Equal(kept.Plan.Slots, x.View.Plan.Slots) || len(kept.Broken) > 0 {
		t.Errorf("kept as %+v, broken %v", row, kept.Broken)
	}
	if row := cells(t, shop, "pins", "1001-2-1/jaw-open / 10"); row == nil || row[2] != string(other) || row[4] != "trial weld" || row[5] != "mara" {
		t.Errorf("the row is %v", row)
	}
	changes, err := shop.History(ctx, flow.HistoryFilter{Table: "pins"})
	must(t, err)
	acts, err := shop.Acts(ctx, 3)
	must(t, err)
	if len(changes) != 1 || changes[0].Who != "mara" || !slices.ContainsFunc(acts, func(a flow.ActRow) bool { return a.Kind == flow.ActHand && a.Note == x.Text }) {
		t.Errorf("history %+v, acts %+v", changes, acts)
	}
	if _, err := shop.KeepTrial(ctx, boss, x.ID); fault.KindOf(err) != fault.NotFound {
		t.Errorf("kept twice: %v", err)
	}

	must(t, shop.Adopt(ctx, boss, id))
	x = try(t, shop, id, flow.Hand{Kind: flow.Unpin, Job: jaws, Seq: 10})
	if o := &x.View.Problem.Ops[opOf(t, x.View, jaws, 10)]; len(o.Can) != 2 || o.Pinned != 0 {
		t.Errorf("still pinned: %+v", o)
	}
	_, err = shop.KeepTrial(ctx, boss, x.ID)
	must(t, err)
	if row := cells(t, shop, "pins", "1001-2-1/jaw-open / 10"); row != nil {
		t.Errorf("the row is still there: %v", row)
	}
}

func TestForbidAllowAndPriority(t *testing.T) {
	shop, first := planned(t, small())
	v := view(t, shop, first)
	was := v.Problem.Stations[v.Plan.Slots[opOf(t, v, jaws, 10)].Station].ID
	x := try(t, shop, first, flow.Hand{Kind: flow.Forbid, Job: jaws, Seq: 10, Station: was})
	if got := x.View.Plan.Slots[opOf(t, x.View, jaws, 10)]; x.View.Problem.Stations[got.Station].ID == was {
		t.Errorf("still on %s", was)
	}
	id, err := shop.KeepTrial(ctx, boss, x.ID)
	must(t, err)
	other := map[plant.StationID]plant.StationID{"robot-1": "robot-2", "robot-2": "robot-1"}[was]
	_, err = shop.Try(ctx, boss, id, flow.Hand{Kind: flow.Forbid, Job: jaws, Seq: 10, Station: other})
	refused(t, err, fault.Invalid, "every station forbidden")
	_, err = shop.Try(ctx, boss, id, flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10, Station: was})
	refused(t, err, fault.Invalid, "pinned where it is forbidden")
	try(t, shop, id, flow.Hand{Kind: flow.Allow, Job: jaws, Seq: 10})

	before := x.View.Problem.Units[2].LateDay
	x = try(t, shop, id, flow.Hand{Kind: flow.Prioritise, Of: "unit", Name: string(x.View.Needs.Units[2].ID), Factor: 2.5})
	if got := x.View.Problem.Units[2].LateDay; got != before*5/2 {
		t.Errorf("a late day costs %s, not 2.5 times %s", got, before)
	}
	_, err = shop.Try(ctx, boss, id, flow.Hand{Kind: flow.Prioritise, Of: "unit", Name: "1001-2-1", Factor: -1})
	refused(t, err, fault.Invalid, "a priority below 0")
}

// A lot goes apart and together again; what the floor did with all pieces is done for the part.
func TestSplitAndJoin(t *testing.T) {
	b := small()
	b.Work = append(b.Work, stock.Work{Job: "stock/pin/3", Seq: 10, State: stock.Done, Station: "mill-1", Start: "2026-11-24T08:00", End: "2026-11-24T12:00"})
	shop, first := planned(t, b)
	x := try(t, shop, first, flow.Hand{Kind: flow.Split, Job: "stock/pin/3", Pieces: 4})
	pieces := map[plant.JobID]int{}
	for _, j := range x.View.Needs.Jobs {
		pieces[j.ID] = j.Pieces
	}
	if pieces["stock/pin/3"] != 6 || pieces["stock/pin/3+b"] != 4 {
		t.Errorf("pieces %v", pieces)
	}
	if o := x.View.Problem.Ops[opOf(t, x.View, "stock/pin/3+b", 10)]; o.State != schedule.Done {
		t.Errorf("the milling of the part is %+v", o)
	}
	id, err := shop.KeepTrial(ctx, boss, x.ID)
	must(t, err)
	x = try(t, shop, id, flow.Hand{Kind: flow.Split, Job: "stock/pin/3+b", Pieces: 1})
	if got := x.View.Needs.Jobs; !slices.ContainsFunc(got, func(j needs.Job) bool { return j.ID == "stock/pin/3+c" && j.Pieces == 1 }) {
		t.Error("a part is not split further")
	}
	x = try(t, shop, id, flow.Hand{Kind: flow.Join, Job: "stock/pin/3"})
	_, err = shop.KeepTrial(ctx, boss, x.ID)
	must(t, err)
	after, _, err := shop.Book(ctx)
	must(t, err)
	if len(after.Splits) != 0 || len(after.Work) != len(b.Work) {
		t.Errorf("splits %v, work %v", after.Splits, after.Work)
	}
}

func TestHandsAreRefusedInWords(t *testing.T) {
	b := small()
	b.Work = append(b.Work, stock.Work{Job: "stock/pin/3", Seq: 10, State: stock.Running, Station: "mill-1", Start: "2026-11-25T05:00", End: "2026-11-25T09:00"})
	shop, first := planned(t, b)
	for _, c := range []struct {
		what string
		hand flow.Hand
		kind fault.Kind
		text string
	}{
		{"no such job", flow.Hand{Kind: flow.Pin, Job: "9-9-9/jaw-open", Seq: 10, Station: "robot-1"}, fault.NotFound, "its order has changed"},
		{"no such operation", flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 11, Station: "robot-1"}, fault.NotFound, "no operation 11"},
		{"no such station", flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10, Station: "robot-9"}, fault.Invalid, "a name from the sheet stations"},
		{"a station that cannot", flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10, Station: "mill-1"}, fault.Invalid, "cannot be done there"},
		{"nothing pinned", flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10}, fault.Invalid, "a station or a time"},
		{"in the past", flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10, At: plant.At(newClock().now()) - 3600}, fault.Invalid, "a time from now on"},
		{"running", flow.Hand{Kind: flow.Pin, Job: "stock/pin/3", Seq: 10, Station: "mill-1"}, fault.Conflict, "runs already"},
		{"split while it runs", flow.Hand{Kind: flow.Split, Job: "stock/pin/3", Pieces: 2}, fault.Conflict, "Split it when that is done"},
		{"split of a set", flow.Hand{Kind: flow.Split, Job: jaws, Pieces: 1}, fault.Conflict, ""},
		{"split of one piece", flow.Hand{Kind: flow.Split, Job: "1001-2-1/grab", Pieces: 1}, fault.Conflict, "one piece"},
		{"split of too many", flow.Hand{Kind: flow.Split, Job: "stock/pin/3", Pieces: 10}, fault.Invalid, "from 1 to 9"},
		{"not pinned", flow.Hand{Kind: flow.Unpin, Job: jaws, Seq: 10}, fault.NotFound, "not pinned"},
		{"not split", flow.Hand{Kind: flow.Join, Job: jaws}, fault.NotFound, "not split"},
		{"what", flow.Hand{Kind: "push", Job: jaws}, fault.Invalid, "pin, unpin"},
	} {
		_, err := shop.Try(ctx, boss, first, c.hand)
		refused(t, err, c.kind, c.what)
		if err != nil && !strings.Contains(err.Error(), c.text) {
			t.Errorf("%s: %v", c.what, err)
		}
	}
	_, err := shop.Try(ctx, looker, first, flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10, Station: "robot-1"})
	refused(t, err, fault.Denied, "a viewer")

	x := try(t, shop, first, flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10, Station: "robot-1"})
	_, err = shop.DropTrial(boss, x.ID)
	must(t, err)
	_, err = shop.KeepTrial(ctx, boss, x.ID)
	refused(t, err, fault.NotFound, "kept after it was taken back")
	x = try(t, shop, first, flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10, Station: "robot-1"})
	must(t, shop.EditRow(ctx, boss, "orders", "1002", with(t, "orders", cells(t, shop, "orders", "1002"), "note", "call twice"), revision(t, shop)))
	_, err = shop.KeepTrial(ctx, boss, x.ID)
	refused(t, err, fault.Conflict, "the book has changed meanwhile")
}

// A pin whose order goes stays in the book and is told; the plan is made without it.
func TestPinsOutliveTheirJobs(t *testing.T) {
	shop, first := planned(t, small())
	x := try(t, shop, first, flow.Hand{Kind: flow.Pin, Job: jaws, Seq: 10, Station: "robot-1"})
	_, err := shop.KeepTrial(ctx, boss, x.ID)
	must(t, err)
	must(t, shop.EditRow(ctx, boss, "lines", "1001 / 2", with(t, "lines", cells(t, shop, "lines", "1001 / 2"), "state", "cancelled"), revision(t, shop)))
	v := view(t, shop, draft(t, shop, "without"))
	if len(v.Broken) > 0 || len(v.Loose) != 1 || !strings.Contains(v.Loose[0].Text, "Take the row out") {
		t.Errorf("broken %v, loose %v", v.Broken, v.Loose)
	}
	x = try(t, shop, v.PlanID, flow.Hand{Kind: flow.Unpin, Job: jaws, Seq: 10})
	if len(x.View.Loose) > 0 {
		t.Errorf("loose %v", x.View.Loose)
	}
}

// Work that is pinned before its parts are made begins late, and says what it waits for.
func TestLatePinsSayWhy(t *testing.T) {
	shop, first := planned(t, small())
	x := try(t, shop, first, flow.Hand{Kind: flow.Pin, Job: "1001-1-2/grab", Seq: 10, At: plant.At(newClock().now())})
	if len(x.Effect.Pins) != 1 {
		t.Fatalf("late pins: %+v", x.Effect.Pins)
	}
	p := x.Effect.Pins[0]
	slot := x.View.Plan.Slots[opOf(t, x.View, "1001-1-2/grab", 10)]
	if p.Op != opOf(t, x.View, "1001-1-2/grab", 10) || p.Late != slot.Load.Sub(x.View.Problem.Now) || p.Why == "" {
		t.Errorf("late by %d, planned at %d: %+v", p.Late, slot.Load, p)
	}
	if x.Effect.After.Pins == 0 || x.Effect.After.Total-x.Effect.Without.Total < x.Effect.After.Pins/2 {
		t.Errorf("a pin that is late costs too little: %+v", x.Effect)
	}
}
