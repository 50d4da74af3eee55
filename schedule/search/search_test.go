package search

import (
	"context"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

// run makes a plan and fails if it breaks a rule.
func run(t interface {
	Helper()
	Fatalf(string, ...any)
}, p *schedule.Problem, opt Options) *schedule.Plan {
	t.Helper()
	plan, err := Run(context.Background(), p, opt)
	if err != nil {
		t.Fatalf("%v", err)
	}
	for _, v := range schedule.Check(p, plan) {
		t.Fatalf("%s: rule %s: %s", plan.Rule, v.Rule, v.Text)
	}
	return plan
}

func never() bool { return false }

// TestEveryRuleKeepsTheRules proves the plans of every rule, not only of the best, on odd plants.
func TestEveryRuleKeepsTheRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Plant(t)
		m, err := newModel(p)
		if err != nil {
			t.Fatal(err)
		}
		s := newState(m)
		for _, r := range firstRules() {
			proved(t, s, &r)
		}
	})
}

// proved makes the plan of one rule and proves it.
func proved(t *rapid.T, s *state, r *rule) {
	t.Helper()
	s.reset(r)
	s.construct(never)
	slots, left := s.result()
	if len(left) > 0 {
		t.Fatalf("%s: no place for operation %d: %s", r.name, left[0].Op, left[0].Why)
	}
	plan := &schedule.Plan{Slots: slots, Status: schedule.Complete}
	for _, v := range schedule.Check(s.m.p, plan) {
		t.Fatalf("%s: rule %s: %s", r.name, v.Rule, v.Text)
	}
	// The cost that the search goes by is the one that the plan is measured by, but for rounding to hundredths in each term.
	if score := schedule.Measure(s.m.p, plan); math.Abs(s.cost().money-float64(score.Total)) > 5 {
		t.Fatalf("%s: cost %.2f, measured %d: %+v", r.name, s.cost().money, score.Total, score)
	}
}

func TestSearchedPlansKeepTheRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Plant(t)
		seed := rapid.Uint64().Draw(t, "seed")
		plan := run(t, p, Options{Seed: seed, Work: int64(len(p.Ops)) * 24})
		if plan.Status != schedule.Complete {
			t.Fatalf("%s: %v", plan.Status, plan.Left)
		}
	})
}

func TestBigPlantsKeepTheRules(t *testing.T) {
	for seed := range uint64(4) {
		p := scheduletest.Generate(seed, 2000)
		run(t, p, Options{Seed: seed, Workers: 2, Work: 2000 * 24})
	}
}

// TestSamePlanAgain: problem, seed, workers and work decide the plan.
func TestSamePlanAgain(t *testing.T) {
	p := scheduletest.Generate(3, 600)
	opt := Options{Seed: 11, Work: 600 * 40, Workers: 3}
	once := run(t, p, opt)
	again := run(t, p, opt)
	if d := cmp.Diff(once, again); d != "" {
		t.Errorf("the same search gave another plan:\n%s", d)
	}
}

// TestChanges: after every change, kept or taken back, the plan keeps all rules, and the cost kept up to date is the cost
// of the plan.
func TestChanges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Plant(t)
		for o := range p.Ops {
			if p.Ops[o].Earliest > 0 && rapid.IntRange(0, 5).Draw(t, "pinned") == 0 {
				p.Ops[o].Pinned = p.Ops[o].Earliest
				p.Weights.Pin = 100_00
			}
		}
		first := run(t, p, Options{})
		if rapid.Bool().Draw(t, "adopted") && p.Adopted == nil {
			p.Adopted = first.Slots
		}
		m, err := newModel(p)
		if err != nil {
			t.Fatal(err)
		}
		c := newChain(newState(m), first.Slots, rapid.Uint64().Draw(t, "seed"))
		c.heat = float64(rapid.SampledFrom([]int{0, 100, 10_000}).Draw(t, "heat"))
		for n := range 60 {
			c.step()
			if now := c.s.cost(); now.left > 0 || math.Abs(now.money-c.s.money) > 1 {
				t.Fatalf("after change %d: %d left, cost %.2f, kept up to date %.2f", n, now.left, now.money, c.s.money)
			}
			slots, _ := c.s.result()
			for _, v := range schedule.Check(p, &schedule.Plan{Slots: slots, Status: schedule.Complete}) {
				t.Fatalf("after change %d: rule %s: %s", n, v.Rule, v.Text)
			}
		}
		best := &schedule.Plan{Slots: c.slots, Status: schedule.Complete}
		for _, v := range schedule.Check(p, best) {
			t.Fatalf("the best plan: rule %s: %s", v.Rule, v.Text)
		}
		if score := schedule.Measure(p, best); math.Abs(c.best-float64(score.Total)) > 5 || c.best > float64(schedule.Measure(p, first).Total)+5 {
			t.Fatalf("best %.0f, measured %d", c.best, score.Total)
		}
	})
}
