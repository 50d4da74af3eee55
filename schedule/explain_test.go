package schedule_test

import (
	"testing"

	"pgregory.net/rapid"

	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
	"tackline/schedule/search"
)

// checkExplanations proves that the segments of every explanation run from now to the ship date without gap or overlap.
func checkExplanations(t interface{ Fatalf(string, ...any) }, p *schedule.Problem, plan *schedule.Plan) {
	for _, e := range schedule.Explain(p, plan) {
		if e.Ship >= plant.Never || e.Ship <= p.Now {
			if len(e.Segments) > 0 {
				t.Fatalf("unit %d ships at %d but has segments", e.Unit, e.Ship)
			}
			continue
		}
		at := p.Now
		for _, s := range e.Segments {
			if s.From != at || s.To <= s.From {
				t.Fatalf("unit %d: segment %+v does not follow on %d", e.Unit, s, at)
			}
			at = s.To
		}
		if at != e.Ship {
			t.Fatalf("unit %d: segments end at %d, it ships at %d", e.Unit, at, e.Ship)
		}
		if e.Slack != p.Units[e.Unit].Due.Sub(e.Ship) {
			t.Fatalf("unit %d: slack %d", e.Unit, e.Slack)
		}
		if e.Sentence == "" {
			t.Fatalf("unit %d: no sentence", e.Unit)
		}
	}
}

func TestExplanationsAddUpOnOddPlants(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Plant(t)
		plan, err := search.Run(t.Context(), p, search.Options{Seed: 1, Workers: 1})
		if err != nil {
			t.Fatalf("%v", err)
		}
		if broken := schedule.Check(p, plan); len(broken) > 0 {
			t.Fatalf("%d rules broken, first: %+v", len(broken), broken[0])
		}
		checkExplanations(t, p, plan)
		s := schedule.Measure(p, plan)
		if s.Bound > s.Total && plan.Status == schedule.Complete {
			t.Fatalf("bound %s above total %s", s.Bound, s.Total)
		}
		if s.Total != s.Lateness+s.Waiting+s.Setups+s.Overtime+s.Moved {
			t.Fatalf("terms do not add up: %+v", s)
		}
	})
}

func TestExplanationsAddUpOnALargePlant(t *testing.T) {
	p := scheduletest.Generate(3, 3000)
	plan, err := search.Run(t.Context(), p, search.Options{Seed: 1, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	checkExplanations(t, p, plan)
	if broken := schedule.Check(p, plan); len(broken) > 0 {
		t.Fatalf("%d rules broken, first: %+v", len(broken), broken[0])
	}
	s := schedule.Measure(p, plan)
	if s.Bound > s.Total {
		t.Fatalf("bound %s above total %s", s.Bound, s.Total)
	}
}
