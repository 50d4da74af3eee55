package web

import (
	"bytes"
	"encoding/csv"
	"net/http"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// TestPages renders each sheet with the story and looks for what it must show.
func TestPages(t *testing.T) {
	v := signIn(t, testServer(t, storyView(t)), "planner")
	cases := []struct {
		path, selector string
		count          int    // elements that match
		says           string // in the first of them
	}{
		{"/", "h1", 1, "Thursday 26 November, 06:02. Seven decisions wait"},
		{"/", "#stopped", 1, "Stopped"},
		{"/", "table.list tbody tr", 23, "Re-plan: Weld robot 2 is out of order"},
		{"/", ".glance dd a", 8, ""},
		{"/orders", "table.list tbody tr", 5, "1043-2-2"},
		{"/orders?slack=late", "table.list tbody tr", 2, "no date"},
		{"/orders?q=HARBOUR", "table.list tbody tr", 1, "1042-1-1"},
		{"/orders?sort=-unit", "table.list tbody th span.under", 5, "Tine grab, 4 jaws, closed: jaws 4, closed, rotator"},
		{"/orders?q=nothing+like+it", "p.empty", 1, "Widen the filter"},
		{"/orders?sort=unit", "table.list tbody tr", 5, "1042-1-1"},
		{"/orders?sort=-unit", "table.list tbody tr", 5, "1043-2-2"},
		{"/units/1042-1-1", "h1", 1, "1042-1-1: Log grapple"},
		{"/units/1042-1-1", "figure.figure svg a", 16, "turn of Pin 80 x 210"}, // 17 operations, two of them done and drawn as one,
		{"/units/1042-1-1", "figure.figure path.heavy", 4, ""},
		{"/units/1042-1-1", "table.why tbody tr", 8, "1 h 30 min"}, // material, closed and, at work, setup and run are folded
		{"/units/1042-1-1", "details.more tbody tr", 10, "1 h 30 min"},
		{"/units/1042-1-1", "table.why tfoot", 1, "95 h 30 min"},
		{"/units/1043-2-2", "p.sub", 1, "no ship date"},
		{"/stations", "table.list tbody tr", 14, "Tack station 1"},
		{"/stations?state=down", "table.list tbody tr", 1, "wire feeder"},
		{"/stations/weld-robot-2", "ul.blocks li", 1, "WG-77 is not approved"},
		{"/stations/weld-robot-2", "ul.blocks li b", 1, "programming"},
		{"/kits", "table.list tbody tr", 7, "10 gun drill"}, // two more are for work that has begun
		{"/kits?begun=yes", "table.list tbody tr", 9, "10 tack"},
		{"/kits?state=short", "table.list tbody tr", 3, "PO-5512"},
		{"/kit?job=1042-1-1%2Fjaw-4c&op=30", "table.list tbody tr", 2, "lot L-2041, rack B4"},
		{"/load", ".bars svg", 7, "114 %"},
		{"/load?full=yes", "table.list tbody tr", 19, "Tack stations"},
		{"/load/operations?centre=tack&week=2026-11-23", "table.list tbody tr", 2, "tack"},
		{"/materials", "table.list tbody tr", 4, "kit-head-4 expedite"},
		{"/materials?kind=buy", "table.list tbody tr", 1, "Bar 80 mm"},
		{"/shortages", "table.list tbody tr", 4, "Plate kit"},
		{"/times?job=1042-1-1%2Fjaw-4c&op=20", "section.sum code", 4, "10"}, // setup, load, run and the function that run calls,
		{"/account", "form.stack input", 4, ""},
	}
	for _, c := range cases {
		found := find(v.page(t, c.path), c.selector)
		if len(found) != c.count {
			t.Errorf("%s: %d of %q, want %d", c.path, len(found), c.selector, c.count)
			continue
		}
		if got := textOf(found[0]); !strings.Contains(got, c.says) {
			t.Errorf("%s: %q says %q, want %q in it", c.path, c.selector, got, c.says)
		}
	}
}

// TestEmptySheets shows that every sheet says what to do while there is no plan.
func TestEmptySheets(t *testing.T) {
	s := testServer(t, nil)
	for _, path := range []string{"/", "/orders", "/units/1", "/stations", "/stations/x", "/kits", "/kit", "/load", "/load/operations", "/materials", "/shortages", "/times"} {
		if got := textOf(find(signIn(t, s, "planner").page(t, path), "main")[0]); !strings.Contains(got, "Make a plan") {
			t.Errorf("%s for a planner: %q", path, got)
		}
		if got := textOf(find(signIn(t, s, "viewer").page(t, path), "main")[0]); !strings.Contains(got, "Ask a planner") {
			t.Errorf("%s for a viewer: %q", path, got)
		}
	}
}

// TestMissing shows that what is not there is a 404 in words.
func TestMissing(t *testing.T) {
	v := signIn(t, testServer(t, storyView(t)), "planner")
	for _, path := range []string{"/no-such-sheet", "/units/9", "/stations/none", "/kit?job=9&op=1", "/times?job=9&op=x", "/load/operations?centre=tack&week=1999-01-01", "/assets/none.css"} {
		w := v.get(path)
		if w.Code != http.StatusNotFound {
			t.Errorf("%s: status %d, want 404", path, w.Code)
		}
		if len(find(parse(t, w.Body.String()), ".faults li")) != 1 {
			t.Errorf("%s: no sentence", path)
		}
	}
}

// TestExports checks that a list's files hold the filtered rows with machine-readable times and numbers.
func TestExports(t *testing.T) {
	v := signIn(t, testServer(t, storyView(t)), "planner")
	w := v.get("/orders?q=1042&format=csv")
	rows, err := csv.NewReader(w.Body).ReadAll()
	if err != nil || len(rows) != 2 {
		t.Fatalf("orders.csv: %v, %d rows", err, len(rows))
	}
	// Due: 90 h after Thu 26 Nov 06:02 is Mon 30 Nov 00:02. Slack: 90 - 95.5 h.
	want := map[string]string{"Unit": "1042-1-1", "Due": "2026-11-30T00:02:00Z", "Ships": "2026-11-30T05:32:00Z", "Slack": "-5.5", "State": "running"}
	for i, title := range rows[0] {
		if x, ok := want[title]; ok && rows[1][i] != x {
			t.Errorf("%s: %q, want %q", title, rows[1][i], x)
		}
	}
	for _, path := range []string{"/orders", "/units/1042-1-1", "/stations", "/stations/weld-robot-2", "/kits", "/kit?job=1042-1-1%2Fjaw-4c&op=30", "/load",
		"/load/operations?centre=tack&week=2026-11-23", "/materials", "/shortages"} {
		join := "?"
		if strings.Contains(path, "?") {
			join = "&"
		}
		w := v.get(path + join + "format=xlsx")
		f, err := excelize.OpenReader(bytes.NewReader(w.Body.Bytes()))
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		rows, err := f.GetRows(f.GetSheetName(0))
		if err != nil || len(rows) < 2 {
			t.Errorf("%s: %d rows in the workbook, %v", path, len(rows), err)
		}
		if w := v.get(path + join + "format=pdf"); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s as pdf: status %d", path, w.Code)
		}
	}
}

// TestCSVText: a spreadsheet must not take a text for a formula.
func TestCSVText(t *testing.T) {
	for in, want := range map[string]string{"=1+1": "'=1+1", "@x": "'@x", "-a": "'-a", "plain": "plain", "": ""} {
		if got := csvText(in); got != want {
			t.Errorf("csvText(%q) = %q, want %q", in, got, want)
		}
	}
	if got := csvText(-5.5); got != "-5.5" {
		t.Errorf("csvText(-5.5) = %q", got)
	}
}
