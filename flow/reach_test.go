package flow_test

import (
	"testing"

	"tackline/book/booktest"
	"tackline/flow"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
)

// An order line that must not be begun before a day far past the usual horizon is planned all the same: one doubling of the
// horizon does not reach that day. What waits for longer than calendars are ever laid out is left out, and named.
func TestHorizonReachesWhatIsWaitedFor(t *testing.T) {
	now := plant.Time(1795586400) // 2026-11-25T06:00:00Z
	for release, want := range map[plant.Wall]schedule.Status{
		"2027-12-01T06:00": schedule.Complete, "2028-11-27T10:00": schedule.Complete, "2126-11-27T10:00": schedule.Incomplete,
	} {
		b := booktest.Small()
		b.Lines[0].Release = release
		v, err := flow.Compute(ctx, b, now, search.Options{Work: 100, Workers: 1})
		must(t, err)
		if v.Plan.Status != want || len(v.Broken) > 0 {
			t.Errorf("not before %s: status %v, left %v, broken %v", release, v.Plan.Status, v.Plan.Left, v.Broken)
		}
	}
}
