package search

import (
	"context"
	"testing"

	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

func BenchmarkFirstPlan20k(b *testing.B)  { benchmarkFirst(b, 20_000) }
func BenchmarkFirstPlan100k(b *testing.B) { benchmarkFirst(b, 100_000) }

// benchmarkFirst times the way from a problem to its first complete plan.
func benchmarkFirst(b *testing.B, n int) {
	p := scheduletest.Generate(1, n)
	b.ReportAllocs()
	for b.Loop() {
		plan, err := Run(context.Background(), p, Options{Workers: 2, Work: 1})
		if err != nil || plan.Status != schedule.Complete {
			b.Fatal(plan.Status, err)
		}
	}
}

// BenchmarkRules20k times the round of all construction rules.
func BenchmarkRules20k(b *testing.B) {
	p := scheduletest.Generate(1, 20_000)
	for b.Loop() {
		if _, err := Run(context.Background(), p, Options{Workers: 2}); err != nil {
			b.Fatal(err)
		}
	}
}
