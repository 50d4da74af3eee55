package book

import (
	"testing"

	"pgregory.net/rapid"

	"tackline/calendar"
	"tackline/plant"
)

// TestAtLeastAgainstCounting compares the sweep over changes of heads with counting the heads at every instant.
func TestAtLeastAgainstCounting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var people []calendar.Open
		var steps []step
		for n := rapid.IntRange(0, 4).Draw(t, "people"); n > 0; n-- {
			var spans []calendar.Span
			for k := rapid.IntRange(0, 3).Draw(t, "spans"); k > 0; k-- {
				from := plant.Time(rapid.IntRange(0, 25).Draw(t, "from"))
				spans = append(spans, calendar.Span{From: from, To: from + plant.Time(rapid.IntRange(0, 8).Draw(t, "length"))})
			}
			open := calendar.Make(spans)
			people = append(people, open)
			steps = append(steps, changes(open, 1)...)
		}
		sortSteps(steps)
		need := rapid.IntRange(1, 3).Draw(t, "need")
		got := atLeast(steps, need)
		for at := plant.Time(0); at < 40; at++ {
			heads := 0
			for _, p := range people {
				if p.IsOpen(at) {
					heads++
				}
			}
			if got.IsOpen(at) != (heads >= need) {
				t.Fatalf("at %d there are %d heads, and %d are needed: got %v", at, heads, need, got.IsOpen(at))
			}
		}
	})
}
