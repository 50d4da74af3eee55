package search

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

// sixRules are dispatching rules of the literature: the waiting operation with the highest index goes onto the station that is
// free, nothing is kept back, nothing is moved afterwards.
func sixRules() []rule {
	return []rule{
		{name: "earliest due date", index: byDue, dispatch: true, patience: 1},
		{name: "apparent tardiness cost", index: byCost, dispatch: true, near: 2, change: 1e9, patience: 1},
		{name: "apparent tardiness cost with setups", index: byCost, dispatch: true, near: 2, change: 0.5, setupBias: 1, patience: 1},
		{name: "critical ratio", index: byRatio, dispatch: true, patience: 1},
		{name: "slack per operation", index: bySlackPerOp, dispatch: true, patience: 1},
		{name: "first come", index: byArrival, dispatch: true, patience: 1},
	}
}

// TestAgainst prints costs: go test -run Against -v with TACKLINE_AGAINST=operations,seconds.
func TestAgainst(t *testing.T) {
	v := os.Getenv("TACKLINE_AGAINST")
	if v == "" {
		t.Skip("set TACKLINE_AGAINST")
	}
	var n int
	var sec float64
	fmt.Sscanf(v, "%d,%g", &n, &sec)
	seed, _ := strconv.ParseUint(os.Getenv("TACKLINE_SEED"), 10, 64)
	p := scheduletest.Generate(seed, n)
	against(t, p, sec)
}

func against(t *testing.T, p *schedule.Problem, sec float64) {
	m, err := newModel(p)
	if err != nil {
		t.Fatal(err)
	}
	s := newState(m)
	show := func(name string) {
		slots, left := s.result()
		sc := schedule.Measure(p, &schedule.Plan{Slots: slots})
		t.Logf("%-40s left %d total %.0f late %d/%.1f = %.0f wait %.0f setup %.0f over %.0f moved %.0f bound %.0f", name, len(left), sc.Total.Float(), sc.LateUnits, sc.LateDays,
			sc.Lateness.Float(), sc.Waiting.Float(), sc.Setups.Float(), sc.Overtime.Float(), sc.Moved.Float(), sc.Bound.Float())
	}
	for _, r := range sixRules() {
		s.reset(&r)
		s.dispatch(func() bool { return false })
		show(r.name)
		s.polish()
		show("   polished")
	}
	start := time.Now()
	plan, err := Run(context.Background(), p, Options{Seconds: sec, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	sc := schedule.Measure(p, plan)
	t.Logf("search %s %.1fs total %.0f late %d/%.1f = %.0f wait %.0f setup %.0f over %.0f moved %.0f", plan.Rule, time.Since(start).Seconds(), sc.Total.Float(), sc.LateUnits, sc.LateDays,
		sc.Lateness.Float(), sc.Waiting.Float(), sc.Setups.Float(), sc.Overtime.Float(), sc.Moved.Float())
	if b := schedule.Check(p, plan); len(b) > 0 {
		t.Errorf("%d broken: %v", len(b), b[0])
	}
}

func TestChain(t *testing.T) {
	v := os.Getenv("TACKLINE_CHAIN")
	if v == "" {
		t.Skip("set TACKLINE_CHAIN")
	}
	var n int
	var sec, heat float64
	fmt.Sscanf(v, "%d,%g,%g", &n, &sec, &heat)
	seed, _ := strconv.ParseUint(os.Getenv("TACKLINE_SEED"), 10, 64)
	p := scheduletest.Generate(seed, n)
	m, err := newModel(p)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := Run(context.Background(), p, Options{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	c := newChain(newState(m), plan.Slots, 1)
	start := time.Now()
	steps := 0
	var ups []float64
	c.heat = 0
	for range 300 {
		c.watch = &ups
		c.step()
	}
	c.watch = nil
	slices.Sort(ups)
	if len(ups) > 0 {
		t.Logf("rejected: quartiles %.0f %.0f %.0f", ups[len(ups)/4]/100, ups[len(ups)/2]/100, ups[len(ups)*3/4]/100)
	}
	t.Logf("%.0f", c.best/100)
	last := time.Now()
	for {
		f := time.Since(start).Seconds() / sec
		if f >= 1 {
			break
		}
		c.heat = heat * 100 * math.Pow(0.01, f)
		c.step()
		steps++
		if time.Since(last) > time.Duration(sec/8*1e9) {
			last = time.Now()
			t.Logf("%6.1f s %d steps %d placed best %.0f now %.0f", time.Since(start).Seconds(), steps, c.s.placed, c.best/100, c.s.money/100)
		}
	}
	t.Logf("tried %v kept %v won %.0f", c.tried, c.kept, c.won)
	pl := &schedule.Plan{Slots: c.slots, Status: schedule.Complete}
	sc := schedule.Measure(p, pl)
	t.Logf("total %.0f late %d/%.1f = %.0f wait %.0f setup %.0f over %.0f moved %.0f", sc.Total.Float(), sc.LateUnits, sc.LateDays,
		sc.Lateness.Float(), sc.Waiting.Float(), sc.Setups.Float(), sc.Overtime.Float(), sc.Moved.Float())
	for i, b := range schedule.Check(p, pl) {
		if i < 10 {
			t.Errorf("%v", b)
		}
	}
}
