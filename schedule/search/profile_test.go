package search

import (
	"testing"

	"pgregory.net/rapid"

	"tackline/plant"
)

// TestProfile compares with one number for each instant.
func TestProfile(t *testing.T) {
	const end = 400
	rapid.Check(t, func(t *rapid.T) {
		var p profile
		p.set([]plant.Time{0, 50, 300}, []int64{3, 5, 0})
		var slow [end + 1]int64
		for i := range slow {
			slow[i] = []int64{3, 5, 0}[btoi(i >= 50)+btoi(i >= 300)]
		}
		for range rapid.IntRange(1, 300).Draw(t, "steps") {
			from := rapid.IntRange(0, end-1).Draw(t, "from")
			to := min(end, from+rapid.IntRange(0, 40).Draw(t, "length"))
			n := int64(rapid.IntRange(-2, 2).Draw(t, "n"))
			p.take(plant.Time(from), plant.Time(to), n)
			for i := from; i < to; i++ {
				slow[i] -= n
			}
			need := int64(rapid.IntRange(1, 6).Draw(t, "need"))
			a, b := rapid.IntRange(0, end-1).Draw(t, "a"), rapid.IntRange(0, end).Draw(t, "b")
			again, ok := p.clear(plant.Time(a), plant.Time(b), need)
			wantAgain, wantOK := slowClear(slow[:], a, b, need)
			if ok != wantOK || !ok && again != wantAgain {
				t.Fatalf("clear(%d, %d, %d) = %d %v, want %d %v", a, b, need, again, ok, wantAgain, wantOK)
			}
		}
	})
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// slowClear looks at each instant.
func slowClear(free []int64, a, b int, need int64) (plant.Time, bool) {
	last := -1
	for i := a; i < b; i++ {
		if free[i] < need {
			last = i
		}
	}
	if last < 0 {
		return 0, true
	}
	for i := last; i < len(free); i++ {
		if free[i] >= need {
			return plant.Time(i), false
		}
	}
	return plant.Never, false
}
