package web

import (
	"strings"
	"testing"

	"tackline/floor"
)

// TestLive: what was finished on the floor is not in a run list any more, and what is paused or held there says so, though the plan
// knows nothing of it; a draft does not.
func TestLive(t *testing.T) {
	view := storyView(t)
	var runs []floor.OpKey
	for _, l := range view.Runs {
		if l.Station == "assembly-1" {
			for _, r := range l.Runs {
				o := view.Needs.Ops[r.Op]
				runs = append(runs, floor.OpKey{Job: view.Needs.Jobs[o.Job].ID, Seq: o.Seq})
			}
		}
	}
	if len(runs) < 2 {
		t.Fatalf("%d operations on the bench", len(runs))
	}
	state := map[floor.OpKey]floor.Op{}
	s := testServer(t, view)
	s.floorOp = func(k floor.OpKey) (floor.Op, bool) { o, ok := state[k]; return o, ok }
	v := signIn(t, s, "planner")
	rows := func() []string {
		var out []string
		for _, n := range find(v.page(t, "/stations/assembly-1"), "table.list tbody tr") {
			out = append(out, textOf(n))
		}
		return out
	}
	before := rows()
	state[runs[0]] = floor.Op{Phase: floor.Done}
	state[runs[1]] = floor.Op{Phase: floor.Paused}
	after := rows()
	if len(after) != len(before)-1 {
		t.Fatalf("%d rows, %d before the first was finished", len(after), len(before))
	}
	if !strings.Contains(after[0], "paused") {
		t.Errorf("first row: %s", after[0])
	}
	state[runs[1]] = floor.Op{Phase: floor.Paused, Holds: []floor.Stop{{Reason: "undercut"}}}
	if got := rows(); !strings.Contains(got[0], "held") {
		t.Errorf("first row: %s", got[0])
	}
	view.State = "draft"
	if got := rows(); len(got) != len(before) {
		t.Errorf("a draft shows %d rows, want %d", len(got), len(before))
	}
}
