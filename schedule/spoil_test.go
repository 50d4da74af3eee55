package schedule_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
	"tackline/schedule/search"
)

// spoil changes a plan at random: one operation moved, stretched, put elsewhere, into another's batch, or left out; or its
// problem: less room or a station of another kind, fewer people.
func spoil(t *rapid.T, p *schedule.Problem, plan *schedule.Plan) {
	i := rapid.IntRange(0, len(p.Ops)-1).Draw(t, "op")
	s := &plan.Slots[i]
	by := plant.Time(rapid.SampledFrom([]int{1, 60, 600, 3600, 4 * 3600, 24 * 3600, 72 * 3600}).Draw(t, "by"))
	if rapid.Bool().Draw(t, "back") {
		by = -by
	}
	phases := []*plant.Time{&s.Setup, &s.Load, &s.Run, &s.Unload, &s.End}
	switch rapid.IntRange(0, 9).Draw(t, "how") {
	case 0, 1, 2: // move from some phase on
		for _, x := range phases[rapid.IntRange(0, 4).Draw(t, "phase"):] {
			*x += by
		}
	case 3: // move up to some phase
		for _, x := range phases[:rapid.IntRange(1, 5).Draw(t, "phase")] {
			*x += by
		}
	case 4:
		s.Station = rapid.SampledFrom(p.Ops[i].Can).Draw(t, "station").Station
	case 5, 7: // where and when another is, that can be there
		*s = rapid.SampledFrom(alike(p, plan, i)).Draw(t, "like")
	case 8: // less room
		if s.Station >= 0 {
			st := &p.Stations[s.Station]
			st.Capacity, st.Pallets = max(plant.Pieces(1), st.Capacity/3), max(1, st.Pallets-1)
			st.Takes = rapid.SampledFrom([]schedule.Takes{st.Takes, schedule.Batch, schedule.Places, schedule.One}).Draw(t, "takes")
		}
	case 9: // fewer people
		for _, x := range p.Pools {
			for k := range x.Heads {
				x.Heads[k].N = max(0, x.Heads[k].N-1)
			}
		}
	case 6:
		if p.Ops[i].State == schedule.ToPlan && !slices.ContainsFunc(plan.Left, func(l schedule.Left) bool { return l.Op == i }) {
			*s = schedule.Slot{Station: schedule.None}
			plan.Left, plan.Status = append(plan.Left, schedule.Left{Op: i}), schedule.Incomplete
		}
	}
}

// alike gives the slots that are on stations which can do operation i.
func alike(p *schedule.Problem, plan *schedule.Plan, i int) []schedule.Slot {
	var out []schedule.Slot
	for _, s := range plan.Slots {
		if slices.ContainsFunc(p.Ops[i].Can, func(a schedule.Alternative) bool { return a.Station == s.Station }) {
			out = append(out, s)
		}
	}
	return append(out, plan.Slots[i])
}

func planned(t interface {
	Helper()
	Fatalf(string, ...any)
}, p *schedule.Problem) *schedule.Plan {
	t.Helper()
	plan, err := search.Run(context.Background(), p, search.Options{Seed: 1, Workers: 1})
	if err != nil {
		t.Fatalf("%v", err)
	}
	return plan
}

func brokenBy(violations []schedule.Violation) []int {
	var out []int
	for _, v := range violations {
		out = append(out, 1+slices.Index(schedule.Rules, v.Rule))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func TestCheckAgreesWithTwin(t *testing.T) {
	hits := map[int]int{}
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Make(scheduletest.DrawShape(t, 16))
		plan := planned(t, p)
		for range rapid.IntRange(0, 3).Draw(t, "mutations") {
			spoil(t, p, plan)
		}
		fast, slow := schedule.Check(p, plan), slowly(p, plan)
		if !slices.Equal(brokenBy(fast), slow) {
			t.Fatalf("Check: %v, twin: %v\n%v", brokenBy(fast), slow, fast)
		}
		for _, rule := range slow {
			hits[rule]++
		}
	})
	t.Logf("plans that break each rule: %v", hits)
}

// TestCheckSurvivesGarbage gives plans that make no sense: they are refused, nothing panics.
func TestCheckSurvivesGarbage(t *testing.T) {
	wild := rapid.OneOf(rapid.Just(int64(math.MaxInt64)), rapid.Just(int64(math.MinInt64)), rapid.Int64(),
		rapid.Int64Range(int64(scheduletest.Now)-1e5, int64(scheduletest.Now)+1e6))
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Plant(t)
		plan := planned(t, p)
		i := rapid.IntRange(0, len(p.Ops)-1).Draw(t, "op")
		s := &plan.Slots[i]
		for _, x := range []*plant.Time{&s.Setup, &s.Load, &s.Run, &s.Unload, &s.End} {
			*x = plant.Time(wild.Draw(t, "time"))
		}
		s.Station = rapid.IntRange(-3, len(p.Stations)+3).Draw(t, "station")
		s.Batch = int(wild.Draw(t, "batch"))
		if rapid.Bool().Draw(t, "left") {
			plan.Left = append(plan.Left, schedule.Left{Op: rapid.IntRange(-2, len(p.Ops)+2).Draw(t, "left op")})
		}
		broken := schedule.Check(p, plan)
		if bad := s.Station < 0 || s.Station >= len(p.Stations) || s.Setup > s.End || s.Setup < p.Now; bad && len(broken) == 0 {
			t.Fatalf("slot %+v passes", *s)
		}
		schedule.Measure(p, plan)
		schedule.Explain(p, plan)
		schedule.Branches(p, plan, 0)
	})
	p := scheduletest.Generate(1, 5)
	for _, plan := range []*schedule.Plan{nil, {}, {Slots: make([]schedule.Slot, 4)}, {Slots: make([]schedule.Slot, 6)}} {
		if len(schedule.Check(p, plan)) != 1 {
			t.Errorf("a plan of the wrong length passes: %+v", plan)
		}
	}
}
