package schedule_test

import (
	"strconv"
	"testing"

	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

// BenchmarkReading measures what is done with every plan, at 100,000 operations with every feature.
func BenchmarkReading(b *testing.B) {
	p := scheduletest.Generate(1, 100_000)
	plan := planned(b, p)
	b.Logf("%d units, plan %s", len(p.Units), plan.Status)
	b.Run("Check", func(b *testing.B) {
		for b.Loop() {
			if v := schedule.Check(p, plan); v != nil {
				b.Fatalf("%d broken, first: %v", len(v), v[0])
			}
		}
	})
	b.Run("Measure", func(b *testing.B) {
		for b.Loop() {
			schedule.Measure(p, plan)
		}
	})
	b.Run("Explain", func(b *testing.B) {
		for b.Loop() {
			schedule.Explain(p, plan)
		}
	})
	b.Run("Branches", func(b *testing.B) {
		for b.Loop() {
			schedule.Branches(p, plan, 0)
		}
	})
}

// BenchmarkBound measures the bound at 5,000 and 100,000 operations.
func BenchmarkBound(b *testing.B) {
	for _, n := range []int{5_000, 100_000} {
		p := scheduletest.Generate(1, n)
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			for b.Loop() {
				schedule.LeastCost(p)
			}
		})
	}
}
