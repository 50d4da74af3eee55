package web

import (
	"strings"
	"testing"

	"tackline/dispatch"
	"tackline/floor"
	"tackline/plant"
)

// TestWallRow: what a station does or waits for, how it stands, and what is wrong come before it.
func TestWallRow(t *testing.T) {
	view := storyView(t)
	ix, err := newIndex(view)
	if err != nil {
		t.Fatal(err)
	}
	desk := dispatch.NewDesk(ix.book, view.Needs, view.Problem, view.Plan, view.Kits)
	st := ix.book.Stations["assembly-1"]
	now := view.Problem.Now
	state := floor.NewState()
	runs := ix.runsOf(st.ID)
	first := desk.Key(runs[0].Op)
	began := now.Add(-3600)
	state.SetOp(first, floor.Op{Phase: floor.Running, Station: st.ID, Began: began})
	end := runs[0].End.Add(10 * 3600)
	row, ok := ix.wallRow(desk, st, end, state)
	if !ok || row.State != running || !strings.Contains(row.Doing, string(first.Job)) || !row.Late || !strings.HasPrefix(row.Pace, "behind 10 h") {
		t.Errorf("ten hours after the planned end: %+v %v", row, ok)
	}
	state.Stations[st.ID] = floor.Station{Down: &floor.Stop{Reason: "crane cable"}}
	if row, _ := ix.wallRow(desk, st, now, state); row.State != stopped || row.Doing != "crane cable" || row.Pace != "" {
		t.Errorf("out of order: %+v", row)
	}
	for behind, want := range map[plant.Seconds]string{0: "in time", 900: "in time", 1800: "behind 30 min", -900: "in time", -5400: "ahead 1.5 h"} {
		if got, late := paceText(behind); got != want || late != (behind > 900) {
			t.Errorf("%d s: %q, late %v, want %q", behind, got, late, want)
		}
	}
	if got := wallSentence([]wallRow{{Late: true, State: stopped}, {Late: true}, {}, {}}); got != "2 in time, 1 behind, 1 down" {
		t.Errorf("sentence: %s", got)
	}
}
