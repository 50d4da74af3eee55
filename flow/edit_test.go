package flow_test

import (
	"slices"
	"strings"
	"testing"

	"tackline/fault"
	"tackline/flow"
)

func TestImportIsAllOrNothing(t *testing.T) {
	shop := newShop(t, small())
	before := revision(t, shop)

	bad := small()
	bad.Orders[0].Customer = "Changed yard"
	bad.Stations[1].Centre = "no-such-centre"
	bad.Lines[0].Product = "no-such-product"
	err := shop.ImportBook(ctx, boss, bad, map[string][]int{"stations": {11, 12, 13, 14, 15, 16, 17, 18}})
	refused(t, err, fault.Invalid, "a book with faults")
	var stations, lines bool
	for _, f := range fault.All(err) {
		stations = stations || f.Table == "stations" && f.Row == 12 && f.Column == "centre" && f.Value == "no-such-centre"
		lines = lines || f.Table == "lines" && f.Row == 2 && f.Column == "product"
	}
	if !stations || !lines {
		t.Errorf("the faults do not name stations row 12 centre and lines row 2 product:\n%v", err)
	}
	if revision(t, shop) != before || cells(t, shop, "orders", "1001")[1] != "Harbour yard" {
		t.Error("a refused import changed the book")
	}
	list, err := shop.History(ctx, flow.HistoryFilter{})
	must(t, err)
	if len(list) != 0 {
		t.Errorf("a refused import left %d changes in the history", len(list))
	}
	refused(t, shop.ImportBook(ctx, looker, small(), nil), fault.Denied, "import by a viewer")
}

func TestASecondImportRecordsWhatDiffers(t *testing.T) {
	shop := newShop(t, small())
	must(t, shop.ImportBook(ctx, boss, small(), nil))
	if n := revision(t, shop); n != 1 {
		t.Errorf("the same book again moved the revision to %d", n)
	}
	b := small()
	b.Orders[1].Note = "call twice"                           // changed
	b.Lots = b.Lots[:1]                                       // L-2 removed
	b.People[0].ID, b.Qualifications[0].Person = "p-9", "p-9" // p-1 removed, p-9 added, in two tables
	must(t, shop.ImportBook(ctx, boss, b, nil))
	list, err := shop.History(ctx, flow.HistoryFilter{})
	must(t, err)
	var got []string
	for _, c := range list {
		kind := "changed"
		if c.Before == nil {
			kind = "added"
		} else if c.After == nil {
			kind = "removed"
		}
		got = append(got, c.Table+" "+c.Key+" "+kind)
		if c.Who != "mara" || c.Revision != 2 {
			t.Errorf("%s %s by %s in revision %d", c.Table, c.Key, c.Who, c.Revision)
		}
	}
	slices.Sort(got)
	want := []string{"lots L-2 removed", "orders 1002 changed", "people p-1 removed", "people p-9 added",
		"qualifications p-1 / weld-fillet removed", "qualifications p-9 / weld-fillet added"}
	if !slices.Equal(got, want) {
		t.Errorf("history:\n%s\nexpected:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestAnEditIsCheckedAgainstTheWholeBook(t *testing.T) {
	shop := newShop(t, small())
	base := revision(t, shop)
	station := cells(t, shop, "stations", "saw-1")
	order := cells(t, shop, "orders", "1001")
	for _, c := range []struct {
		what       string
		table, key string
		row        []string
		kind       fault.Kind
		names      string
	}{
		{"a cell that is no number", "stations", "saw-1", with(t, "stations", station, "speed", "fast"), fault.Invalid, "speed"},
		{"a reference to nothing", "stations", "saw-1", with(t, "stations", station, "centre", "nowhere"), fault.Invalid, "nowhere"},
		{"a key that is taken", "orders", "1001", with(t, "orders", order, "order", "1002"), fault.Invalid, "1002"},
		{"an added row with a key that is taken", "orders", "", order, fault.Invalid, "1001"},
		{"a key that others refer to", "orders", "1001", with(t, "orders", order, "order", "1009"), fault.Invalid, "1001"},
		{"too few cells", "orders", "1001", order[:2], fault.Invalid, "cells"},
		{"no such row", "orders", "7777", order, fault.NotFound, "7777"},
		{"no such table", "colours", "x", order, fault.NotFound, "colours"},
	} {
		err := shop.EditRow(ctx, boss, c.table, c.key, c.row, base)
		refused(t, err, c.kind, c.what)
		if err != nil && !strings.Contains(err.Error(), c.names) {
			t.Errorf("%s: %q does not name %q", c.what, err, c.names)
		}
	}
	refused(t, shop.DeleteRow(ctx, boss, "stations", "bench-1", base), fault.Invalid, "removing the only station of a centre in use")
	refused(t, shop.DeleteRow(ctx, boss, "orders", "", base), fault.NotFound, "removing no row")
	refused(t, shop.EditRow(ctx, looker, "orders", "1001", order, base), fault.Denied, "a viewer's edit")
	if revision(t, shop) != base {
		t.Error("a refused edit moved the revision")
	}
}

func TestTwoPeopleOneRow(t *testing.T) {
	shop := newShop(t, small())
	seen := revision(t, shop)
	first, second := cells(t, shop, "orders", "1001"), cells(t, shop, "orders", "1002")
	other := flow.Who{Name: "piet", Role: flow.Planner}
	must(t, shop.EditRow(ctx, other, "orders", "1001", with(t, "orders", first, "note", "from piet"), seen))
	err := shop.EditRow(ctx, boss, "orders", "1001", with(t, "orders", first, "note", "from mara"), seen)
	refused(t, err, fault.Conflict, "a row that another changed meanwhile")
	if err != nil && !strings.Contains(err.Error(), "piet") {
		t.Errorf("the conflict does not say who: %v", err)
	}
	refused(t, shop.DeleteRow(ctx, boss, "orders", "1001", seen), fault.Conflict, "removing a row that another changed meanwhile")
	must(t, shop.EditRow(ctx, boss, "orders", "1002", with(t, "orders", second, "note", "from mara"), seen)) // another row: no conflict
	if got := cells(t, shop, "orders", "1001"); got[len(got)-1] != "from piet" {
		t.Errorf("order 1001 holds %v", got)
	}
}

func TestHistoryHoldsBeforeAndAfter(t *testing.T) {
	shop := newShop(t, small())
	before := cells(t, shop, "lots", "L-2")
	changed := with(t, "lots", before, "place", "shelf 9")
	renamed := with(t, "lots", changed, "lot", "L-3")
	must(t, shop.EditRow(ctx, boss, "lots", "L-2", before, 1)) // nothing changed: no revision
	must(t, shop.EditRow(ctx, boss, "lots", "L-2", changed, 1))
	must(t, shop.EditRow(ctx, boss, "lots", "L-2", renamed, 2))
	must(t, shop.DeleteRow(ctx, boss, "lots", "L-3", 3))
	if n := revision(t, shop); n != 4 {
		t.Fatalf("revision %d after three changes of revision 1", n)
	}
	list, err := shop.History(ctx, flow.HistoryFilter{Table: "lots"})
	must(t, err)
	want := []struct {
		key           string
		before, after []string
		revision      int64
	}{{"L-3", renamed, nil, 4}, {"L-3", nil, renamed, 3}, {"L-2", changed, nil, 3}, {"L-2", before, changed, 2}}
	if len(list) != len(want) {
		t.Fatalf("%d changes, expected %d: %+v", len(list), len(want), list)
	}
	for i, w := range want {
		c := list[i]
		if c.Key != w.key || c.Revision != w.revision || !slices.Equal(c.Before, w.before) || !slices.Equal(c.After, w.after) {
			t.Errorf("change %d: %+v, expected %+v", i, c, w)
		}
	}
	one, err := shop.History(ctx, flow.HistoryFilter{Table: "lots", Key: "L-2", Limit: 1})
	must(t, err)
	if len(one) != 1 || one[0].Revision != 3 {
		t.Errorf("the newest change of L-2: %+v", one)
	}
	// who saw L-2 before its key changed must not bring it back by an edit
	refused(t, shop.EditRow(ctx, boss, "lots", "L-2", changed, 2), fault.Conflict, "the row under its old key")
}

func TestRolesTable(t *testing.T) {
	all := flow.Roles()
	if len(all) != 8 {
		t.Fatalf("roles: %v", all)
	}
	acts := map[flow.Act][]string{
		flow.MayLook: all, flow.MayExport: all,
		flow.MayImport: {"manager", "planner"}, flow.MayPlan: {"manager", "planner"}, flow.MayAdopt: {"manager", "planner"},
		flow.MayKeepPeople: {"manager"},
	}
	for act, roles := range acts {
		for _, role := range append(all, "", "boss") {
			if got, want := flow.May(role, act), slices.Contains(roles, role); got != want {
				t.Errorf("%q may %s: %v", role, act, got)
			}
		}
	}
	for _, c := range []struct {
		role, table string
		may         bool
	}{
		{"manager", "orders", true}, {"planner", "stations", true}, {"viewer", "orders", false}, {"", "orders", false},
		{"operator", "work", true}, {"operator", "lots", false}, {"materials", "lots", true}, {"materials", "receipts", true},
		{"inspector", "finished", true}, {"inspector", "orders", false}, {"maintenance", "exceptions", true}, {"maintenance", "shifts", false},
		{"shipper", "lines", true}, {"shipper", "orders", false},
	} {
		if got := flow.MayEdit(c.role, c.table); got != c.may {
			t.Errorf("%q may edit %s: %v", c.role, c.table, got)
		}
	}
}
