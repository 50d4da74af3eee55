package flow_test

import (
	"testing"

	"tackline/fault"
	"tackline/flow"
	"tackline/schedule"
)

// A plant can be put in row by row, planned, and taken out row by row. A row that something uses cannot go first.
func TestABookIsBuiltAndTakenDownRowByRow(t *testing.T) {
	shop := newShop(t, nil)
	rows := []struct {
		table, key string
		pairs      []string
	}{
		{"plants", "p", []string{"plant", "p", "name", "P", "time_zone", "Europe/Dublin"}},
		{"calendars", "c", []string{"calendar", "c", "plant", "p"}},
		{"shifts", "c / early / mon-fri / 06:00", []string{"calendar", "c", "shift", "early", "days", "mon-fri", "from", "06:00", "to", "14:00"}},
		{"centres", "w", []string{"centre", "w", "plant", "p", "name", "W"}},
		{"stations", "s", []string{"station", "s", "centre", "w", "name", "S", "calendar", "c"}},
		{"items", "pin", []string{"item", "pin", "name", "Pin", "kind", "made", "plant", "p"}},
		{"operations", "pin / 10", []string{"item", "pin", "op", "10", "name", "turn", "centre", "w", "nature", "attended", "run", "5"}},
		{"items", "grab", []string{"item", "grab", "name", "Grab", "kind", "made", "plant", "p", "product", "yes"}},
		{"operations", "grab / 10", []string{"item", "grab", "op", "10", "name", "weld", "centre", "w", "nature", "attended", "run", "30"}},
		{"parts", "grab / 10", []string{"parent", "grab", "line", "10", "component", "p{'in'}", "quantity", "2"}},
		{"classes", "std", []string{"class", "std"}},
		{"orders", "1", []string{"order", "1", "customer", "A yard", "plant", "p", "class", "std"}},
		{"lines", "1 / 1", []string{"order", "1", "line", "1", "product", "grab", "quantity", "1", "due", "2026-12-01T10:00"}},
	}
	for _, r := range rows {
		add(t, shop, r.table, r.pairs...)
	}
	v := view(t, shop, draft(t, shop, "first"))
	if v.Plan.Status != schedule.Complete || len(v.Needs.Units) != 1 || len(v.Needs.Ops) != 2 {
		t.Errorf("planned %s: %d units, %d operations", v.Plan.Status, len(v.Needs.Units), len(v.Needs.Ops))
	}
	// What is in use must stay finished: the calendar is followed, the pin is a part by a pattern, the grab is ordered.
	for _, r := range []int{2, 6, 8} {
		err := shop.DeleteRow(ctx, boss, rows[r].table, rows[r].key, revision(t, shop))
		refused(t, err, fault.Invalid, "removing "+rows[r].key+" from "+rows[r].table)
	}
	for i := len(rows) - 1; i >= 0; i-- {
		must(t, shop.DeleteRow(ctx, boss, rows[i].table, rows[i].key, revision(t, shop)))
	}
	changes, err := shop.History(ctx, flow.HistoryFilter{})
	must(t, err)
	if len(changes) != 2*len(rows) {
		t.Errorf("%d changes in the history, want %d", len(changes), 2*len(rows))
	}
}
