package flow_test

import (
	"context"
	"testing"
	"time"

	"tackline/demo"
	"tackline/flow"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
)

// plannedDemo frames the demo plant with a first plan.
func plannedDemo(t *testing.T) (*schedule.Problem, *schedule.Plan) {
	t.Helper()
	now := plant.At(time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC))
	b, err := demo.Plant(1, now)
	if err != nil {
		t.Fatal(err)
	}
	f, err := flow.Frame(b, now)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := search.Run(t.Context(), f.Problem, search.Options{Seed: 1, Work: 1})
	if err != nil {
		t.Fatal(err)
	}
	return f.Problem, plan
}

// Work that is moved by hand goes first where planning begins, and costs no more than by keeping all slots that hold. What is not
// moved leaves the start as it is.
func TestStartMakesRoom(t *testing.T) {
	p, plan := plannedDemo(t)
	if got := flow.StartFrom(t.Context(), p, plan.Slots); &got[0] != &plan.Slots[0] {
		t.Error("nothing was moved, and the start is another")
	}
	tried := 0
	for u := 0; u < len(p.Units) && tried < 3; u += 17 {
		op := p.Units[u].Last
		if op == needs.None || p.Ops[op].State != schedule.ToPlan {
			continue
		}
		tried++
		q := *p
		q.Ops = append([]schedule.Op(nil), p.Ops...)
		o := &q.Ops[op]
		o.Pinned = plan.Slots[op].Load.Add(26 * 3600)
		o.Earliest, o.Why, q.Weights.Pin = o.Pinned, "pinned", 50000
		kept := q
		kept.Adopted = plan.Slots
		plain, err := search.Run(context.Background(), &kept, search.Options{Seed: 1, Work: 1})
		if err != nil {
			t.Fatal(err)
		}
		from := &schedule.Plan{Slots: flow.StartFrom(t.Context(), &q, plan.Slots), Status: schedule.Complete}
		if broken := schedule.Check(&q, from); len(broken) > 0 {
			t.Fatalf("unit %d: the start breaks rules: %v", u, broken[0])
		}
		if a, b := schedule.Measure(&q, from).Total, schedule.Measure(&q, plain).Total; a > b {
			t.Errorf("unit %d: the start costs %s, keeping what holds %s", u, a, b)
		}
	}
	if tried == 0 {
		t.Error("nothing was tried")
	}
}
