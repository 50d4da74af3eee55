package search

import (
	"fmt"
	"os"
	"testing"

	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

func TestDbg(t *testing.T) {
	var seed uint64
	if _, err := fmt.Sscan(os.Getenv("DBG"), &seed); err != nil {
		t.Skip()
	}
	for _, o := range smallOptima(t) {
		if o.seed != seed {
			continue
		}
		p := scheduletest.Small(seed)
		plan := run(t, p, Options{Seed: 1, Work: smallWork})
		h := func(x schedule.Slot) string {
			f := func(t any) string { return fmt.Sprint(t) }
			_ = f
			n := scheduletest.Now
			return fmt.Sprintf("st %d setup %d load %d run %d unload %d end %d b%d", x.Station, (x.Setup-n)/3600, (x.Load-n)/3600, (x.Run-n)/3600, (x.Unload-n)/3600, (x.End-n)/3600, x.Batch)
		}
		for i := range p.Ops {
			op := p.Ops[i]
			t.Logf("%d job %d earliest %d %+v fam %d closed %d takes %d pinned %d state %d needs %v", i, op.Job, (op.Earliest-scheduletest.Now)/3600, op.Can, op.Family, op.Closed, p.Stations[op.Can[0].Station].Takes, op.Pinned, op.State, op.Needs)
			if p.Adopted != nil {
				t.Logf("   home  %s", h(p.Adopted[i]))
			}
			t.Logf("   found %s", h(plan.Slots[i]))
			t.Logf("   exact %s", h(o.slots[i]))
		}
		for _, l := range p.Links {
			t.Logf("%+v value %v", l, p.Jobs[p.Ops[l.From].Job].Value)
		}
		for _, u := range p.Units {
			t.Logf("unit last %d due %d late %v", u.Last, (u.Due-scheduletest.Now)/3600, u.LateDay)
		}
		t.Logf("%+v", p.Weights)
		t.Logf("found %+v", schedule.Measure(p, plan))
		t.Logf("exact %+v", schedule.Measure(p, &schedule.Plan{Slots: o.slots}))
	}
}
