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

// BenchmarkSteps is the inner loop of the search: one change of a plan, kept or taken back.
func BenchmarkSteps(b *testing.B) {
	p := scheduletest.Generate(1, 2000)
	m, err := newModel(p)
	if err != nil {
		b.Fatal(err)
	}
	plan, err := Run(context.Background(), p, Options{Work: 1})
	if err != nil {
		b.Fatal(err)
	}
	c := newChain(newState(m), plan.Slots, 1)
	c.measureHeat()
	c.cool(0.5)
	for range 20_000 { // buffers grow to their size
		c.step()
	}
	b.ReportAllocs()
	for b.Loop() {
		c.step()
	}
}
