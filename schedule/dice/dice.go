// Package dice draws the random numbers of the searches on bare problems. The generator is written out here, so that equal
// seeds give equal plans with every version of the language.
package dice

import "math/bits"

// Dice is a small generator (xorshift*; Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8, 2003; Vigna, "An
// experimental exploration of Marsaglia's xorshift generators, scrambled", ACM Transactions on Mathematical Software 42, 2016).
type Dice uint64

// New gives dice that depend on the seed alone.
func New(seed uint64) *Dice {
	d := Dice(seed*0x9e3779b97f4a7c15 + 0x1234567)
	if d == 0 {
		d = 1
	}
	for range 8 {
		d.next()
	}
	return &d
}

func (d *Dice) next() uint64 {
	x := uint64(*d)
	x ^= x >> 12
	x ^= x << 25
	x ^= x >> 27
	*d = Dice(x)
	return x * 0x2545f4914f6cdd1d
}

// Below gives a number from 0 to n-1.
func (d *Dice) Below(n int) int {
	hi, _ := bits.Mul64(d.next(), uint64(n))
	return int(hi)
}

// Unit gives a number from 0 up to but not including 1.
func (d *Dice) Unit() float64 { return float64(d.next()>>11) / (1 << 53) }
