package disjunct

import "math/bits"

// random is a small generator of our own (xorshift*, Marsaglia 2003; Vigna 2016), so that equal seeds give equal plans
// with every version of the language.
type random uint64

func newRandom(seed uint64) *random {
	r := random(seed*0x9e3779b97f4a7c15 + 0x1234567)
	if r == 0 {
		r = 1
	}
	for range 8 {
		r.next()
	}
	return &r
}

func (r *random) next() uint64 {
	x := uint64(*r)
	x ^= x >> 12
	x ^= x << 25
	x ^= x >> 27
	*r = random(x)
	return x * 0x2545f4914f6cdd1d
}

// below gives a number from 0 to n-1.
func (r *random) below(n int) int {
	hi, _ := bits.Mul64(r.next(), uint64(n))
	return int(hi)
}

func (r *random) float() float64 { return float64(r.next()>>11) / (1 << 53) }
