package precedence

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// draw makes a precedence without circle: operations are named at random, and each waits for some of those drawn before it.
func draw(t *rapid.T) [][]int {
	names := rapid.Permutation([]int{0, 1, 2, 3, 4, 5, 6, 7}[:rapid.IntRange(0, 8).Draw(t, "operations")]).Draw(t, "names")
	after := make([][]int, len(names))
	for i, o := range names {
		for _, b := range names[:i] {
			if rapid.IntRange(0, 2).Draw(t, "waits") == 0 {
				after[o] = append(after[o], b)
			}
		}
	}
	return after
}

// longestFrom goes every way.
func longestFrom(o int, next [][]int, time []int) int {
	way := 0
	for _, x := range next[o] {
		way = max(way, longestFrom(x, next, time))
	}
	return way + time[o]
}

func TestAgainstEveryWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		after := draw(t)
		if err := Check(after); err != nil {
			t.Fatal(err)
		}
		order := Order(after)
		for i, o := range order {
			for _, b := range after[o] {
				if !slices.Contains(order[:i], b) {
					t.Fatalf("%d waits for %d, but comes first in %v", o, b, order)
				}
			}
		}
		time := make([]int, len(after))
		for o := range time {
			time[o] = rapid.IntRange(0, 9).Draw(t, "time")
		}
		head, tail, longest := Ways(after, time)
		next, most := Next(after), 0
		for o := range after {
			if want := longestFrom(o, after, time) - time[o]; head[o] != want {
				t.Fatalf("way before %d is %d, want %d", o, head[o], want)
			}
			if want := longestFrom(o, next, time) - time[o]; tail[o] != want {
				t.Fatalf("way after %d is %d, want %d", o, tail[o], want)
			}
			most = max(most, longestFrom(o, next, time))
		}
		if longest != most {
			t.Fatalf("longest way %d, want %d", longest, most)
		}
	})
}

func TestCheckRefuses(t *testing.T) {
	for name, after := range map[string][][]int{
		"unknown":      {{1}},
		"below 0":      {{-1}},
		"after itself": {{0}},
		"circle":       {{1}, {0}},
		"far circle":   {nil, {0, 3}, {1}, {2}},
	} {
		if Check(after) == nil {
			t.Errorf("%s: not refused", name)
		}
	}
}
