package web

import (
	"context"
	"encoding/csv"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"tackline/flow"
)

// draftShop is the small plant with an adopted plan, and a planner at its screens.
func draftShop(t *testing.T) (*flow.Shop, *visitor) {
	t.Helper()
	shop := smallShop(t)
	return shop, enter(t, realServer(t, shop), "planner", "planner-pass-word")
}

// follow gets an address and those that it leads to, and gives the last answer's text and address.
func follow(t *testing.T, v *visitor, at string) (body, end string) {
	t.Helper()
	for range 5 {
		w := v.get(at)
		if w.Code != http.StatusSeeOther {
			return w.Body.String(), at
		}
		at = w.Header().Get("Location")
	}
	t.Fatalf("%s leads on and on", at)
	return "", ""
}

// plannedAs posts a form that plans, and gives the number of the draft.
func plannedAs(t *testing.T, shop *flow.Shop, v *visitor, form url.Values) string {
	t.Helper()
	if w := v.post("/plan/runs", form); w.Code != http.StatusSeeOther {
		t.Fatalf("planning: status %d: %s", w.Code, textOf(parse(t, w.Body.String())))
	}
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		runs, err := shop.PlanRuns(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if runs[0].Over() {
			if runs[0].PlanID == 0 {
				t.Fatalf("planning run: %+v", runs[0])
			}
			return strconv.FormatInt(runs[0].PlanID, 10)
		}
	}
	t.Fatal("planning does not end")
	return ""
}

// TestDraftForm fills the form in without script: a wrong field is told beside it, a right one joins the list, and one can be
// taken out again.
func TestDraftForm(t *testing.T) {
	_, v := draftShop(t)
	form := parse(t, v.get("/plan/new?kind=due").Body.String())
	if n := len(find(form, "form.rowform input")); n < 4 {
		t.Fatalf("%d fields for a due date", n)
	}
	w := v.get("/plan/new?add=yes&kind=due&f.order=99&f.at=2026-12-20T16:00")
	if page := parse(t, w.Body.String()); w.Code != http.StatusUnprocessableEntity || !strings.Contains(textOf(find(page, ".wrong")[0]), "one of the orders") {
		t.Errorf("an unknown order: status %d, %s", w.Code, textOf(page))
	}
	w = v.get("/plan/new?add=yes&kind=order&f.order=77&f.item=grab&f.options=nonsense%3D1&f.at=2026-12-20T16:00")
	if page := parse(t, w.Body.String()); w.Code != http.StatusUnprocessableEntity || len(find(page, ".wrong")) == 0 {
		t.Errorf("wrong options: status %d, %s", w.Code, textOf(page))
	}
	body, at := follow(t, v, "/plan/new?add=yes&kind=due&f.order=1&f.at=2026-12-20T16:00&f.reason=asked+for")
	line := find(parse(t, body), ".assumes li")
	if len(line) != 1 || !strings.Contains(textOf(line[0]), "is due Sun 20 Dec 16:00 (asked for).") {
		t.Fatalf("the list after adding: %s", textOf(parse(t, body)))
	}
	second := strings.Replace(at, "/plan/new?", "/plan/new?add=yes&kind=drop&f.order=2&", 1)
	body, at = follow(t, v, second)
	if n := len(find(parse(t, body), ".assumes li")); n != 2 {
		t.Fatalf("%d assumptions after adding a second at %s", n, at)
	}
	out := attr(find(parse(t, body), ".assumes li a")[0], "href")
	body, _ = follow(t, v, out)
	if left := find(parse(t, body), ".assumes li"); len(left) != 1 || !strings.Contains(textOf(left[0]), "Order 2") {
		t.Errorf("after taking the first out: %s", textOf(parse(t, body)))
	}
	if w := v.get("/plan/new?a=rubbish"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a list that cannot be read: status %d", w.Code)
	}
	stale := url.Values{"seconds": {"0"}, "a": {`{"kind":"drop","order":"1"}`, `{"kind":"drop","order":"1"}`}}
	if w := v.post("/plan/runs", stale); w.Code != http.StatusUnprocessableEntity || len(find(parse(t, w.Body.String()), ".assumes .wrong")) != 1 {
		t.Errorf("planning under what does not fit together: status %d", w.Code)
	}
}

// TestCompare plans a draft under assumptions, looks at it beside the plan in force in every part and file, adopts it, and
// undoes the adoption.
func TestCompare(t *testing.T) {
	shop, v := draftShop(t)
	before, _, err := shop.Book(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if w := v.get("/plan/compare"); w.Code != http.StatusNotFound || !strings.Contains(w.Body.String(), "only one plan") {
		t.Errorf("one plan alone: status %d", w.Code)
	}
	draft := plannedAs(t, shop, v, url.Values{"name": {"less"}, "seconds": {"0"}, "a": {`{"kind":"drop","order":"2"}`, `{"kind":"due","order":"1","line":1,"at":"2026-12-20T16:00"}`}})
	page := v.page(t, "/plan/compare?plan="+draft)
	if got := textOf(find(page, "#differs")[0]); !strings.Contains(got, "not in it any more") || !strings.Contains(got, "It costs") {
		t.Errorf("the difference: %q", got)
	}
	if sides := find(page, ".side"); len(sides) != 2 || !strings.Contains(textOf(sides[0]), "Order 2") || !strings.Contains(textOf(sides[1]), "nothing beside the shop book") {
		t.Errorf("the two plans: %s", textOf(page))
	}
	unit := attr(find(v.page(t, "/plan/compare?q=1-1&plan="+draft), "#list tbody th a")[0], "href")
	if got := v.page(t, unit); !strings.Contains(unit, "plan="+draft) || !strings.Contains(textOf(got), "This is a draft") || !strings.Contains(textOf(got), "Ships") {
		t.Errorf("the unit by the draft at %s: %s", unit, textOf(got))
	}
	gone := v.page(t, "/plan/compare?change=gone&plan="+draft)
	for _, row := range find(gone, "#list tbody tr") {
		if !strings.Contains(textOf(row), "not in this plan") {
			t.Errorf("filtered by what is gone: %s", textOf(row))
		}
	}
	for part, least := range map[string]int{"orders": 3, "load": 1, "cost": 9} {
		rows, err := csv.NewReader(strings.NewReader(v.get("/plan/compare?format=csv&alike=yes&part=" + part + "&plan=" + draft).Body.String())).ReadAll()
		if err != nil || len(rows) <= least {
			t.Errorf("%s as a file: %d rows, %v", part, len(rows), err)
		}
		shown := v.page(t, "/plan/compare?sort=-"+map[string]string{"orders": "ships", "load": "busy", "cost": "money"}[part]+"&alike=yes&part="+part+"&plan="+draft)
		if n := len(all(shown, func(n *html.Node) bool { return attr(n, "aria-sort") == "descending" })); n != 1 {
			t.Errorf("%s is not sorted", part)
		}
		if w := v.get("/plan/compare?format=xlsx&part=" + part + "&plan=" + draft); !strings.HasPrefix(w.Body.String(), "PK") {
			t.Errorf("%s as a workbook: status %d", part, w.Code)
		}
	}
	for path, want := range map[string]int{"/plan/kept": 2, "/plan/kept?q=dropped": 1, "/plan/kept?state=adopted": 1, "/plan/kept?assumed=yes": 1, "/plan/kept?q=nothing+like+it": 0} {
		if n := len(find(v.page(t, path), "#list tbody tr")); n != want {
			t.Errorf("%s: %d plans, want %d", path, n, want)
		}
	}

	adoptAndUndo(t, shop, v, draft)
	after, _, _ := shop.Book(context.Background())
	if after.Lines[0].Due != "2026-12-20T16:00" || after.Lines[len(after.Lines)-1].State != before.Lines[len(before.Lines)-1].State {
		t.Errorf("the book after undoing: %+v", after.Lines)
	}
	if w := v.post("/plan/discard", url.Values{"plan": {draft}}); w.Code != http.StatusSeeOther || len(find(v.page(t, "/plan/kept"), "#list tbody tr")) != 1 {
		t.Errorf("discarding: status %d", w.Code)
	}
}

// adoptAndUndo adopts a draft that moves a due date, has the line changed by hand, and undoes the adoption but for that line.
func adoptAndUndo(t *testing.T, shop *flow.Shop, v *visitor, draft string) {
	t.Helper()
	if w := v.post("/plan/adopt", url.Values{"plan": {draft}}); w.Code != http.StatusSeeOther {
		t.Fatalf("adopting: status %d", w.Code)
	}
	adopted, _, _ := shop.Book(context.Background())
	if adopted.Lines[0].Due != "2026-12-20T16:00" {
		t.Errorf("the due date after the adoption: %s", adopted.Lines[0].Due)
	}
	if got := textOf(find(v.page(t, "/plan"), ".assumes")[0]); !strings.Contains(got, "The adoption wrote it into the shop book") {
		t.Errorf("what the adopted plan assumed: %q", got)
	}
	if got := textOf(find(v.page(t, "/plan/kept?state=adopted"), "#list tbody")[0]); !strings.Contains(got, "Thu 26 Nov 06:02 by planner") {
		t.Errorf("who adopted the plan: %q", got)
	}
	undo := v.page(t, "/plan/undo?plan="+draft)
	if n := len(find(undo, "tbody tr")); n < 2 {
		t.Errorf("%d rows to take back", n)
	}
	change(t, v, shop, "lines", func(row []string) bool { return row[0] == "1" && row[1] == "1" }, "priority", "4")
	w := v.post("/plan/undo", url.Values{"plan": {draft}})
	if refused := parse(t, w.Body.String()); w.Code != http.StatusConflict || !strings.Contains(textOf(refused), "1 / 1 was changed by the adoption, and again since by planner") ||
		len(all(refused, func(n *html.Node) bool { return attr(n, "name") == "leave" })) != 1 {
		t.Errorf("undoing over a later change: status %d, %s", w.Code, textOf(refused))
	}
	if w := v.post("/plan/undo", url.Values{"plan": {draft}, "leave": {"yes"}}); w.Code != http.StatusSeeOther {
		t.Errorf("undoing: status %d", w.Code)
	}
	if w := v.get("/plan/undo?plan=" + draft); w.Code != http.StatusConflict {
		t.Errorf("undoing what is undone: status %d", w.Code)
	}
}

// TestUsersFilter finds users by name, role and state.
func TestUsersFilter(t *testing.T) {
	shop, _ := draftShop(t)
	boss := enter(t, realServer(t, shop), "manager", "manager-pass-word")
	everybody := len(flow.Roles())
	for path, want := range map[string]int{"/users": everybody, "/users?q=PLANN": 1, "/users?in=viewer": 1, "/users?state=out": 0, "/users?state=in": everybody} {
		if n := len(find(boss.page(t, path), "#list tbody tr")); n != want {
			t.Errorf("%s: %d users, want %d", path, n, want)
		}
	}
}
