package needs_test

import (
	"fmt"
	"testing"

	"tackline/needs"
	"tackline/order"
	"tackline/plant"
)

// BenchmarkExplode explodes about 100,000 operations: 20,000 grabs and the jobs made to stock.
func BenchmarkExplode(b *testing.B) { explodeMany(b, false) }

// BenchmarkExplodeLike does the same with the pegs of that explosion.
func BenchmarkExplodeLike(b *testing.B) { explodeMany(b, true) }

func explodeMany(b *testing.B, again bool) {
	bk := grabs()
	bk.Lines = nil
	for i := range 2000 {
		bk.Lines = append(bk.Lines, order.Line{Order: "1042", Line: i + 1, Product: "grab", Quantity: 10,
			Due: plant.Wall(fmt.Sprintf("2027-%02d-%02dT16:00", 1+i%12, 1+i/12%28)), Options: order.Choices(fmt.Sprintf("jaws=%d", 3+i%2))})
	}
	ix := index(b, bk)
	var before []needs.Peg
	if again {
		r, err := needs.Explode(ix, now)
		if err != nil {
			b.Fatal(err)
		}
		before = r.Pegs()
	}
	b.ReportAllocs()
	for b.Loop() {
		r, err := needs.ExplodeLike(ix, now, before)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(r.Ops)), "operations")
	}
}
