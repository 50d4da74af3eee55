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

// TestSamePlanAgain: problem, seed and work decide the plan; the number of workers does not.
func TestSamePlanAgain(t *testing.T) {
	p := scheduletest.Generate(3, 600)
	opt := Options{Seed: 11, Work: 600 * 40}
	once := run(t, p, opt)
	again := run(t, p, opt)
	if d := cmp.Diff(once, again); d != "" {
		t.Errorf("the same search gave another plan:\n%s", d)
	}
	opt.Workers = 3
	if d := cmp.Diff(once, run(t, p, opt)); d != "" {
		t.Errorf("three workers gave another plan than one:\n%s", d)
	}
}

// TestMoreWorkIsNotWorse: a longer search with the same seed begins with the shorter one. On this plant it also finds
// better plans than the construction rules.
func TestMoreWorkIsNotWorse(t *testing.T) {
	m, err := newModel(scheduletest.Generate(5, 400))
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	r := newRunner(ctx, ctx, m, Options{Seed: 1})
	r.round()
	rules := r.best.cost
	for range 15 {
		last := r.best.cost
		r.learn()
		r.round()
		if last.less(r.best.cost) {
			t.Fatalf("a round more made the best plan dearer: %v, before %v", r.best.cost, last)
		}
	}
	if !r.best.cost.less(rules) {
		t.Errorf("fifteen rounds found nothing better than the rules: %v", rules)
	}
}
