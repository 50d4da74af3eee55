package web

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"tackline/book"
	"tackline/flow"
	"tackline/plant"
)

// TestDraft changes the book under an adopted plan: the row saved is told, the broken rules are one decision in the plant's
// time, and the next draft shows its units beside the plan in force.
func TestDraft(t *testing.T) {
	shop, v := draftShop(t)
	at := change(t, v, shop, "operations", func(row []string) bool { return row[0] == "jaw" && row[1] == "10" }, "run", "75")
	if got := textOf(find(v.page(t, at), ".good")[0]); !strings.Contains(got, "Saved: jaw / 10") {
		t.Errorf("after saving: %q", got)
	}
	change(t, v, shop, "lines", func(row []string) bool { return row[0] == "2" }, "quantity", "2")

	again := 0
	for _, row := range find(v.page(t, "/"), "table.list tbody tr") {
		if got := textOf(row); strings.Contains(got, "Re-plan") {
			again++
			if strings.Contains(got, "Z has") {
				t.Errorf("an instant is not in the plant's time: %q", got)
			}
		}
	}
	if again != 1 {
		t.Errorf("%d decisions to re-plan, want 1", again)
	}
	if got := textOf(find(v.page(t, "/plan"), ".faults")[0]); !strings.Contains(got, "Since the book has changed") {
		t.Errorf("the plan that no longer fits: %q", got)
	}

	for path, want := range map[string]int{"/book/history": 2, "/book/history?q=LINES": 1, "/book/history?table=operations": 1} {
		if n := len(find(v.page(t, path), "table.list tbody tr")); n != want {
			t.Errorf("%s: %d changes, want %d", path, n, want)
		}
	}

	draft := strconv.FormatInt(planOnce(t, shop, planner), 10)
	rows := find(v.page(t, "/plan/compare?plan="+draft), "table.list tbody tr")
	if len(rows) != 4 {
		t.Fatalf("%d units in the draft, want 4", len(rows))
	}
	fresh := textOf(find(v.page(t, "/plan/compare?q=2-1-2&plan="+draft), "table.list tbody")[0])
	if !strings.Contains(fresh, "new") {
		t.Errorf("a unit that the plan in force does not know: %q", fresh)
	}
	if body := v.get("/plan/compare?q=2-1-2&plan=" + draft).Body.String(); !strings.Contains(body, `href="/plan/compare?plan=`+draft+`">Show all`) {
		t.Error("no way back to all units of the draft")
	}
	if w := v.get("/plan/compare?plan=9999"); w.Code != http.StatusNotFound {
		t.Errorf("a plan that is not there: status %d", w.Code)
	}
}

// change saves one cell of the first row that is wanted through its form, and gives the address that the form leads to.
func change(t *testing.T, v *visitor, shop *flow.Shop, name string, want func([]string) bool, column, value string) string {
	t.Helper()
	b, revision, err := shop.Book(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	tb, _ := book.TableNamed(name)
	for i := range tb.Len(b) {
		cells := tb.Cells(b, i)
		if !want(cells) {
			continue
		}
		form := url.Values{"row": {tb.KeyOf(cells)}, "base": {strconv.FormatInt(revision, 10)}, "act": {"save"}}
		for j := range tb.Columns {
			form.Set("c."+tb.Columns[j].Name, cells[j])
		}
		form.Set("c."+column, value)
		w := v.post("/book/"+name+"/row", form)
		if w.Code != http.StatusSeeOther {
			t.Fatalf("saving %s: status %d: %s", name, w.Code, w.Body.String())
		}
		return w.Header().Get("Location")
	}
	t.Fatalf("no such row in %s", name)
	return ""
}

// TestMove checks the words for what a draft does to a unit.
func TestMove(t *testing.T) {
	row := func(ship plant.Time) *unitRow { return &unitRow{planned: ship > 0, ship: ship} }
	for _, c := range []struct {
		old, new *unitRow
		change   string
		want     string
	}{
		{row(0), row(0), shipsSame, "same"}, {row(100), row(0), losesDate, "has no date"}, {nil, row(100), isNew, "new"}, {row(100), nil, isGone, "gone"},
		{row(3600), row(3600), shipsSame, "same"}, {row(3600), row(3 * 3600), shipsLater, "2 h later"},
		{row(3600 * 100), row(3600 * 40), shipsEarlier, "2.5 days earlier"},
	} {
		if got := moveCell(&unitPair{old: c.old, new: c.new, change: c.change}).Text; got != c.want {
			t.Errorf("%+v to %+v: %q, want %q", c.old, c.new, got, c.want)
		}
	}
}

// TestCameFrom checks that only sheets of this program are a way back.
func TestCameFrom(t *testing.T) {
	for _, c := range []struct{ referer, want string }{
		{"", ""}, {"http://example.com/plan?plan=3", "/plan?plan=3"}, {"http://elsewhere.test/plan", ""}, {"http://example.com/plan/adopt", ""}, {"://", ""},
	} {
		r := httptest.NewRequest(http.MethodPost, "/plan/adopt", nil) // for example.com
		r.Header.Set("Referer", c.referer)
		if got := cameFrom(r); got != c.want {
			t.Errorf("from %q: %q, want %q", c.referer, got, c.want)
		}
	}
}
