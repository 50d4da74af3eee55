package search

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

// smallOptimum is a line of testdata/small-optima.tsv.
type smallOptimum struct {
	seed   uint64
	cost   plant.Money
	proved bool
	slots  []schedule.Slot
}

// smallOptima reads what the exact solver found.
func smallOptima(t *testing.T) []smallOptimum {
	t.Helper()
	const name = "testdata/small-optima.tsv"
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var out []smallOptimum
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Split(line, "\t")
		seed, err := strconv.ParseUint(f[0], 10, 64)
		if err != nil || len(f) < 3 {
			t.Fatalf("%s: %q", name, line)
		}
		cost, err := strconv.ParseInt(f[1], 10, 64)
		if err != nil {
			t.Errorf("plant %d: %s", seed, f[2])
			continue
		}
		out = append(out, smallOptimum{seed, plant.Money(cost), f[2] == "proved", slotsOf(t, f[len(f)-1])})
	}
	return out
}

// slotsOf reads a plan in hours: station, setup, load, run, unload, end, batch by operation.
func slotsOf(t *testing.T, text string) []schedule.Slot {
	t.Helper()
	var out []schedule.Slot
	for _, op := range strings.Fields(text) {
		var n [7]int64
		for i, x := range strings.Split(op, ",") {
			v, err := strconv.ParseInt(x, 10, 64)
			if err != nil || i >= len(n) {
				t.Fatalf("slot %q", op)
			}
			n[i] = v
		}
		at := func(h int64) plant.Time { return scheduletest.Now + plant.Time(h*3600) }
		out = append(out, schedule.Slot{Station: int(n[0]), Setup: at(n[1]), Load: at(n[2]), Run: at(n[3]), Unload: at(n[4]), End: at(n[5]), Batch: int(n[6])})
	}
	return out
}

// TestSmallOptima compares with optima that a general-purpose constraint solver proved (bench/solver/small.mjs), with a
// model of the rules that shares nothing with this program. Its plans keep all rules and cost what it says; no plan found
// here is cheaper; the bound is never above; and the search reaches nearly all within its budget.
func TestSmallOptima(t *testing.T) {
	var reached, proved atomic.Int64
	t.Run("plants", func(t *testing.T) {
		for part := range slices.Chunk(smallOptima(t), 50) {
			t.Run(fmt.Sprint(part[0].seed), func(t *testing.T) {
				t.Parallel()
				for _, o := range part {
					if o.proved {
						proved.Add(1)
					}
					if reaches(t, o) {
						reached.Add(1)
					}
				}
			})
		}
	})
	t.Logf("%d of %d proved optima reached", reached.Load(), proved.Load())
	if reached.Load()*100 < smallReached*proved.Load() {
		t.Errorf("the search reaches %d of %d optima, at least %d %% expected", reached.Load(), proved.Load(), smallReached)
	}
}

// reaches compares one plant with its optimum. It says whether the search finds it, if it is proved.
func reaches(t *testing.T, o smallOptimum) bool {
	p := scheduletest.Small(o.seed)
	exact := &schedule.Plan{Slots: o.slots, Status: schedule.Complete}
	for _, v := range schedule.Check(p, exact) {
		t.Errorf("plant %d: the solver's plan breaks rule %s: %s", o.seed, v.Rule, v.Text)
	}
	score := schedule.Measure(p, exact)
	if score.Total != o.cost {
		t.Errorf("plant %d: the solver's plan costs %s by our measure, %s by its own: %+v", o.seed, score.Total, o.cost, score)
	}
	if score.Bound > o.cost {
		t.Errorf("plant %d: the bound is %s, a plan costs %s", o.seed, score.Bound, o.cost)
	}
	if !o.proved {
		return false
	}
	switch got := schedule.Measure(p, run(t, p, Options{Seed: 1, Work: smallWork})).Total; {
	case got < o.cost-second:
		t.Errorf("plant %d: the search found %s, the proved optimum is %s", o.seed, got, o.cost)
		return false
	case got <= o.cost+second:
		return true
	default:
		t.Logf("plant %d: the search found %s, the optimum is %s", o.seed, got, o.cost)
		return false
	}
}

const (
	second       = 1       // cents: the solver plans in whole hours; work put off for a second may spare a second of something
	smallWork    = 100_000 // budget of the search for a small plant
	smallReached = 98      // per cent of the optima that the search must reach
)
