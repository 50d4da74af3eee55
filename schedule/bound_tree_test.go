package schedule

import (
	"testing"

	"pgregory.net/rapid"

	"tackline/plant"
)

// TestCheapestTrees compares with every choice of a parent for each node: the cheapest tree from node 0, and a bound on the
// cheapest in which only so many arcs leave it.
func TestCheapestTrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "nodes")
		arcs := make([][]plant.Seconds, n)
		var most plant.Seconds
		for a := range arcs {
			arcs[a] = make([]plant.Seconds, n)
			for b := range arcs[a] {
				arcs[a][b] = plant.Seconds(rapid.IntRange(0, 12).Draw(t, "cost"))
				most = max(most, arcs[a][b])
			}
		}
		leaving := rapid.IntRange(1, 6).Draw(t, "leaving")
		any, few := cheapestTree(arcs, n), cheapestTree(arcs, leaving)
		if got := arborescence(arcs); got != any {
			t.Fatalf("%v: %d, the cheapest tree costs %d", arcs, got, any)
		}
		if got := spanning(arcs, leaving, most); got > few || got < any {
			t.Fatalf("%v, at most %d from the root: %d, the cheapest costs %d, without limit %d", arcs, leaving, got, few, any)
		}
	})
}

// cheapestTree tries all parents.
func cheapestTree(arcs [][]plant.Seconds, leaving int) plant.Seconds {
	n := len(arcs)
	parent := make([]int, n)
	best := plant.Seconds(plant.Never)
	var try func(b int, cost plant.Seconds, left int)
	try = func(b int, cost plant.Seconds, left int) {
		if b == n {
			for x := range n {
				steps := 0
				for y := x; y != 0; y = parent[y] {
					if steps++; steps > n {
						return // a circle
					}
				}
			}
			best = min(best, cost)
			return
		}
		for a := range n {
			if a == b || a == 0 && left == 0 {
				continue
			}
			parent[b] = a
			if a == 0 {
				try(b+1, cost+arcs[a][b], left-1)
			} else {
				try(b+1, cost+arcs[a][b], left)
			}
		}
	}
	try(1, 0, leaving)
	return best
}
