package dice

import "testing"

// The numbers are those of the published algorithm: xorshift64* with the shifts 12, 25, 27 gives, from state 1, the product of
// its multiplier with 0x2000001, the state after one step (by hand: 1; 1<<25 + 1; >>27 adds nothing).
func TestNext(t *testing.T) {
	d := Dice(1)
	want := uint64(0x2000001)
	want *= 0x2545f4914f6cdd1d
	if got := d.next(); got != want {
		t.Errorf("first number %#x, want %#x", got, want)
	}
}

func TestRanges(t *testing.T) {
	d := New(1)
	seen := make([]int, 6)
	sum := 0.0
	const n = 60_000
	for range n {
		seen[d.Below(6)]++
		x := d.Unit()
		if x < 0 || x >= 1 {
			t.Fatalf("%g is outside of 0 to 1", x)
		}
		sum += x
	}
	for face, k := range seen { // ten thousand each; a standard deviation is about 91
		if k < 9_500 || k > 10_500 {
			t.Errorf("face %d came %d times in %d", face, k, n)
		}
	}
	if mean := sum / n; mean < 0.49 || mean > 0.51 {
		t.Errorf("mean %g", mean)
	}
}

func TestSeeds(t *testing.T) {
	if a, b := New(7), New(7); a.next() != b.next() {
		t.Error("equal seeds gave different numbers")
	}
	if a, b := New(7), New(8); a.next() == b.next() {
		t.Error("different seeds gave equal numbers")
	}
	if New(zero()).next() == 0 {
		t.Error("a seed that would make the state 0 makes all numbers 0")
	}
}

// zero is the seed whose state would be 0: minus 0x1234567 times the inverse of the multiplier, found by Newton's iteration.
func zero() uint64 {
	m := uint64(0x9e3779b97f4a7c15)
	inverse := m
	for range 6 {
		inverse *= 2 - m*inverse
	}
	return (^uint64(0x1234567) + 1) * inverse
}
