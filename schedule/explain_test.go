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

// checkReasons proves that each segment is what it says: nobody works in closed time, a shop said to be closed is, who is in
// the way is on the station, and material is waited for only until it comes.
func checkReasons(t interface{ Fatalf(string, ...any) }, p *schedule.Problem, plan *schedule.Plan) {
	for _, e := range schedule.Explain(p, plan) {
		for _, s := range e.Segments {
			if s.Op == schedule.None {
				t.Fatalf("unit %d: nothing is said of %+v", e.Unit, s)
			}
			o, slot := &p.Ops[s.Op], plan.Slots[s.Op]
			st := &p.Stations[slot.Station]
			open := st.Open.Work(s.From, s.To)
			bad := false
			switch s.Reason {
			case schedule.Working, schedule.SettingUp:
				bad = open < s.To.Sub(s.From) && o.State == schedule.ToPlan && o.Closed != schedule.Through
				bad = bad || s.From < slot.Setup || s.To > slot.End
			case schedule.ShopClosed:
				bad = open > 0 && s.Text == st.Name+" closed"
			case schedule.CrewWait:
				bad = open < s.To.Sub(s.From) || len(o.Needs) == 0
			case schedule.StationWait:
				if s.Behind != schedule.None {
					other := plan.Slots[s.Behind]
					bad = other.Station != slot.Station || s.From < other.Setup || s.To > other.End || s.Behind == s.Op
				} else {
					bad = st.Takes != schedule.Places && st.Pallets < 2
				}
			case schedule.Material, schedule.Held:
				bad = s.To > o.Earliest || s.From != p.Now
			case schedule.Drying:
				bad = st.Takes != schedule.Places || s.From < slot.Load || s.To > slot.End
			case schedule.AwayWork:
				bad = st.Takes != schedule.NoLimit || s.From < slot.Load || s.To > slot.End
			}
			if bad {
				t.Fatalf("unit %d: %+v is not so: slot %+v", e.Unit, s, slot)
			}
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
		checkReasons(t, p, plan)
		s := schedule.Measure(p, plan)
		if s.Bound > s.Total {
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
	checkReasons(t, p, plan)
	if broken := schedule.Check(p, plan); len(broken) > 0 {
		t.Fatalf("%d rules broken, first: %+v", len(broken), broken[0])
	}
	s := schedule.Measure(p, plan)
	if s.Bound > s.Total {
		t.Fatalf("bound %s above total %s", s.Bound, s.Total)
	}
}
