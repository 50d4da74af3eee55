package moves

import (
	"context"
	"testing"

	"tackline/schedule/scheduletest"
	"tackline/schedule/search"
)

// BenchmarkBetween compares two plans of 20,000 operations that share little, and says every move.
func BenchmarkBetween(b *testing.B) {
	p := scheduletest.Generate(1, 20_000)
	p.Adopted = nil
	one, err := search.Run(context.Background(), p, search.Options{Work: 20_000})
	if err != nil {
		b.Fatal(err)
	}
	q := *p
	q.Adopted = one.Slots
	q.Units = append(q.Units[:0:0], q.Units...)
	for u := range q.Units {
		q.Units[u].Due = q.Units[len(q.Units)-1-u].Due
	}
	other := q
	other.Adopted = nil
	plan, err := search.Run(context.Background(), &other, search.Options{Work: 20_000})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		r := Between(&q, plan)
		w := &Words{P: &q, R: r}
		for i := range r.Moves {
			_ = w.Why(i)
		}
		b.ReportMetric(float64(len(r.Moves)), "moves")
	}
}
