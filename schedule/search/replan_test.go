package search

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

// BenchmarkReplan plans again after one event, from the adopted plan: time, operations moved inside the freeze window, and
// what the plan costs beside one that is only repaired.
func BenchmarkReplan(b *testing.B) {
	for _, c := range []struct {
		ops     int
		seconds float64
	}{{2000, 0.25}, {20_000, 1.5}} {
		b.Run(fmt.Sprint(c.ops), func(b *testing.B) {
			p := scheduletest.Generate(1, c.ops)
			plan, err := Run(context.Background(), p, Options{Workers: 2, Work: int64(20 * c.ops)})
			if err != nil {
				b.Fatal(err)
			}
			var moved, took, gain []float64
			for b.Loop() {
				for k, event := range scheduletest.Events {
					q := scheduletest.Upset(p, plan, event, uint64(k))
					begin := time.Now()
					again, err := Run(context.Background(), q, Options{Workers: 2, Seconds: c.seconds, Seed: uint64(k)})
					if err != nil {
						b.Fatal(err)
					}
					took = append(took, float64(time.Since(begin).Milliseconds()))
					score := schedule.Measure(q, again)
					moved = append(moved, float64(score.Moves))
					repaired, _ := Run(context.Background(), q, Options{Workers: 2, Seconds: 1e-9})
					gain = append(gain, 100*(1-float64(score.Total)/float64(schedule.Measure(q, repaired).Total)))
					b.Logf("%s: %.0f ms, %d moved, total %s, repaired %s with %d moved", event, took[len(took)-1], score.Moves, score.Total, schedule.Measure(q, repaired).Total, schedule.Measure(q, repaired).Moves)
				}
			}
			middle := func(x []float64) float64 { slices.Sort(x); return x[len(x)/2] }
			b.ReportMetric(middle(took), "median-ms")
			b.ReportMetric(took[len(took)-1], "worst-ms")
			b.ReportMetric(middle(moved), "moved")
			b.ReportMetric(middle(gain), "%gain")
		})
	}
}

// TestNothingHappened: planned again without an event, nothing moves and nothing becomes dearer, on plants with every feature.
func TestNothingHappened(t *testing.T) {
	again := func(t *testing.T, name string, p *schedule.Problem, plan *schedule.Plan) {
		q := *p
		q.Adopted, q.Freeze = plan.Slots, p.Horizon
		same := run(t, &q, Options{Work: 1})
		if score, was := schedule.Measure(&q, same), schedule.Measure(&q, plan); score.Moves > 0 || score.Total > was.Total {
			t.Errorf("%s: %d moved, cost %s, before %s", name, score.Moves, score.Total, was.Total)
		}
	}
	for seed := range uint64(6) {
		p := scheduletest.Generate(seed, 400)
		again(t, fmt.Sprint("plant of 400, seed ", seed), p, run(t, p, Options{Seed: seed, Work: 400 * 40}))
	}
	for seed := range uint64(150) {
		p := scheduletest.Small(seed)
		again(t, fmt.Sprint("small plant ", seed), p, run(t, p, Options{Seed: seed, Work: 3000}))
	}
}
