package needs_test

import (
	"fmt"
	"testing"

	"tackline/needs"
	"tackline/order"
	"tackline/plant"
)

// BenchmarkExplode explodes about 100,000 operations: 20,000 grabs and the jobs made to stock.
func BenchmarkExplode(b *testing.B) {
	bk := grabs()
	bk.Lines = nil
	for i := range 2000 {
		bk.Lines = append(bk.Lines, order.Line{Order: "1042", Line: i + 1, Product: "grab", Quantity: 10,
			Due: plant.Wall(fmt.Sprintf("2027-%02d-%02dT16:00", 1+i%12, 1+i/12%28)), Options: order.Choices(fmt.Sprintf("jaws=%d", 3+i%2))})
	}
	ix := index(b, bk)
	b.ReportAllocs()
	for b.Loop() {
		r, err := needs.Explode(ix, now)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(r.Ops)), "operations")
	}
}
