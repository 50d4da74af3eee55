package search

import (
	"os"
	"testing"

	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

func TestGap(t *testing.T) {
	if os.Getenv("GAP") == "" {
		t.Skip()
	}
	n, hit := 0, 0
	var diff schedule.Score
	for _, o := range smallOptima(t) {
		if !o.proved {
			continue
		}
		p := scheduletest.Small(o.seed)
		n++
		plan := run(t, p, Options{Seed: 1, Work: smallWork})
		a, b := schedule.Measure(p, plan), schedule.Measure(p, &schedule.Plan{Slots: o.slots})
		if a.Total == b.Total {
			hit++
			continue
		}
		diff.Lateness += max(0, a.Lateness-b.Lateness)
		diff.Waiting += max(0, a.Waiting-b.Waiting)
		diff.Setups += max(0, a.Setups-b.Setups)
		diff.Overtime += max(0, a.Overtime-b.Overtime)
		diff.Moved += max(0, a.Moved-b.Moved)
		if hit%5 == 0 || os.Getenv("GAP") == "all" {
			t.Logf("%d: late %s/%s wait %s/%s setup %s/%s over %s/%s moved %s/%s pins %s/%s", o.seed, a.Lateness, b.Lateness, a.Waiting, b.Waiting, a.Setups, b.Setups, a.Overtime, b.Overtime, a.Moved, b.Moved, a.Pins, b.Pins)
		}
	}
	t.Logf("%d of %d, lost late %s wait %s setup %s over %s moved %s", hit, n, diff.Lateness, diff.Waiting, diff.Setups, diff.Overtime, diff.Moved)
}
