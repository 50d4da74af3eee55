package search

import (
	"context"
	"fmt"
	"testing"

	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

// TestDispatchRules: the plans of the dispatching rules keep all rules, and a search of any length is cheaper than each.
func TestDispatchRules(t *testing.T) {
	p := scheduletest.Generate(3, 500)
	best := run(t, p, Options{Work: 500 * 30})
	for _, name := range DispatchRules() {
		plan, err := Dispatch(p, name)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range schedule.Check(p, plan) {
			t.Fatalf("%s: rule %s: %s", name, v.Rule, v.Text)
		}
		if rule, search := schedule.Measure(p, plan).Total, schedule.Measure(p, best).Total; search >= rule {
			t.Errorf("%s costs %s, the search %s", name, rule, search)
		}
	}
	if _, err := Dispatch(p, "by heart"); err == nil {
		t.Error("a rule that does not exist made a plan")
	}
}

// BenchmarkAgainstRules compares a minute's search with the best of six dispatching rules.
func BenchmarkAgainstRules(b *testing.B) {
	for _, n := range []int{2000, 20_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			p := scheduletest.Generate(0, n)
			for b.Loop() {
				least, by := 0.0, ""
				for _, name := range DispatchRules() {
					plan, err := Dispatch(p, name)
					if err != nil {
						b.Fatal(err)
					}
					if c := schedule.Measure(p, plan).Total.Float(); by == "" || c < least {
						least, by = c, name
					}
				}
				plan, err := Run(context.Background(), p, Options{Seconds: 60, Workers: 2})
				if err != nil {
					b.Fatal(err)
				}
				score := schedule.Measure(p, plan)
				b.Logf("best rule %s %.0f, search %.0f", by, least, score.Total.Float())
				b.ReportMetric(least, "rule-cost")
				b.ReportMetric(score.Total.Float(), "search-cost")
				b.ReportMetric(score.Bound.Float(), "bound")
				b.ReportMetric(100*(1-score.Total.Float()/least), "%below")
			}
		})
	}
}
