package schedule_test

import (
	"strings"
	"testing"

	"tackline/plant"
	"tackline/schedule"
)

// TestKeptBack: the plan lets A end just in time for B, whose station is taken until then. What decides the date is the
// station of B, not that A could have begun at 0.
//
//	station 0  0        4 A 5
//	station 1  0 X          5 B 6
func TestKeptBack(t *testing.T) {
	w := newWorld()
	first, second := w.station(daily(0, 24), schedule.Station{}), w.station(daily(0, 24), schedule.Station{})
	a := w.op(first, 0, 1, 0, running(4, 5))
	w.op(second, 0, 5, 0, running(0, 5))
	b := w.op(second, 0, 1, 0, running(5, 6))
	w.link(a, b, schedule.Link{})
	w.Units = []schedule.Unit{{ID: "1", Due: at(4), LateDay: plant.MoneyOf(100), Last: b}}
	e := schedule.Explain(&w.Problem, &w.plan)[0]
	want := []struct {
		from, to float64
		reason   schedule.Reason
	}{{0, 4, schedule.KeptBack}, {4, 5, schedule.Working}, {5, 6, schedule.Working}}
	if len(e.Segments) != len(want) {
		t.Fatalf("segments %+v", e.Segments)
	}
	for i, s := range e.Segments {
		if s.From != at(want[i].from) || s.To != at(want[i].to) || s.Reason != want[i].reason {
			t.Errorf("segment %d: %+v, want %+v", i, s, want[i])
		}
	}
	if !strings.Contains(e.Segments[0].Text, "is behind job 1/part on Station 1") || !strings.Contains(e.Sentence, "kept back") {
		t.Errorf("%q; %q", e.Segments[0].Text, e.Sentence)
	}

	// Without X, nothing keeps A: the plan leaves it for later.
	w.plan.Slots[1], w.Ops[1].Can[0].Run = slotOf(second, running(0, 1)), span(1)
	if e := schedule.Explain(&w.Problem, &w.plan)[0]; e.Segments[0].Reason != schedule.Waiting {
		t.Errorf("segments %+v", e.Segments)
	}
}
