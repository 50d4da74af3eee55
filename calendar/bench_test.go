package calendar

import (
	"testing"

	"tackline/plant"
)

// many gives 10,000 spans of 8 hours, one a day, the last twice as long.
func many() Open {
	spans := make([]Span, 10_000)
	for i := range spans {
		from := plant.Time(i * 86400)
		spans[i] = Span{from, from.Add(8 * 3600)}
	}
	spans[len(spans)-1].To += 8 * 3600
	return Make(spans)
}

func BenchmarkAdd(b *testing.B) {
	o := many()
	for i := 0; b.Loop(); i++ {
		o.Add(plant.Time(i*7919%9000)*86400, 1_000_000)
	}
}

// BenchmarkFit looks for the one long span at the far end.
func BenchmarkFit(b *testing.B) {
	o := many()
	for i := 0; b.Loop(); i++ {
		if o.Fit(plant.Time(i%1000)*86400, 9*3600) == plant.Never {
			b.Fatal("the long span was not found")
		}
	}
}
