package search

import (
	"context"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tackline/calendar"
	"tackline/fault"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

// TestAdoptedWorkStays: planned again at once, every rule that keeps adopted work has nothing inside the freeze window
// elsewhere or at another time.
func TestAdoptedWorkStays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Plant(t)
		p.Adopted = nil
		p.Adopted = run(t, p, Options{Work: int64(8 * len(p.Ops))}).Slots
		p.Freeze = p.Now + plant.Time(rapid.IntRange(1, 20).Draw(t, "freeze days"))*day
		m, err := newModel(p)
		if err != nil {
			t.Fatal(err)
		}
		s := newState(m)
		for _, r := range firstRules() {
			if r.keep {
				proved(t, s, &r)
				if n := s.moves(); n > 0 {
					t.Fatalf("%s moved %d operations", r.name, n)
				}
			}
		}
	})
}

// TestStopped: a search cancelled before it begins gives an empty plan that says so, one cancelled later its best plan.
func TestStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := scheduletest.Generate(1, 300)
	plan, err := Run(ctx, p, Options{})
	if err != nil || plan.Status != schedule.Stopped || len(plan.Left) == 0 {
		t.Errorf("cancelled before: %v, status %s, %d left", err, plan.Status, len(plan.Left))
	}
	ctx, cancel = context.WithCancel(context.Background())
	calls := 0
	plan, err = Run(ctx, p, Options{Work: 1 << 40, Progress: func(done float64, text string) {
		if calls++; calls == 12 {
			cancel()
		}
		if done < 0 || done > 1 || text == "" {
			t.Errorf("progress %v %q", done, text)
		}
	}})
	if err != nil || plan.Status != schedule.Complete || calls < 12 {
		t.Errorf("cancelled later: %v, status %s, %d reports", err, plan.Status, calls)
	}
	if v := schedule.Check(p, plan); len(v) > 0 {
		t.Errorf("cancelled later: %v", v[0])
	}
}

// TestSecondsStop: with no time at all there still is a first plan.
func TestSecondsStop(t *testing.T) {
	p := scheduletest.Generate(1, 500)
	if plan := run(t, p, Options{Seconds: 1e-9}); plan.Status != schedule.Complete {
		t.Errorf("status %s", plan.Status)
	}
}

// TestShortHorizon: what finds no place is left out with a reason, and what is planned still keeps the rules.
func TestShortHorizon(t *testing.T) {
	p := scheduletest.Make(scheduletest.Shape{Seed: 2, Ops: 200, Days: 30, Crews: true, Setups: true, Batches: true, Places: true})
	p.Horizon = p.Now + 2*day
	plan, err := Run(context.Background(), p, Options{Work: 200 * 10})
	if err != nil {
		t.Fatal(err)
	}
	if plan.Status != schedule.Incomplete || len(plan.Left) == 0 {
		t.Fatalf("status %s, %d left", plan.Status, len(plan.Left))
	}
	for _, l := range plan.Left {
		if l.Why == "" || plan.Slots[l.Op].Station != schedule.None {
			t.Errorf("operation %d: reason %q, slot %v", l.Op, l.Why, plan.Slots[l.Op])
		}
	}
	for _, v := range schedule.Check(p, plan) {
		t.Errorf("%s %s", v.Rule, v.Text)
	}
}

// TestReasons: each case has one operation that can not be planned.
func TestReasons(t *testing.T) {
	open := calendar.Make([]calendar.Span{{From: 0, To: 8 * 3600}})
	base := func() *schedule.Problem {
		return &schedule.Problem{Horizon: 10 * 3600, Centres: []schedule.Centre{{}}, Jobs: []schedule.Job{{ID: "7"}},
			Stations: []schedule.Station{{Open: open}}, Pools: []schedule.Pool{{Name: "Welders", Heads: []schedule.Step{{At: 0, N: 1}}}},
			Ops: []schedule.Op{{Name: "Tack", Can: []schedule.Alternative{{Run: 3600}}}}}
	}
	cases := []struct {
		want   string
		change func(p *schedule.Problem)
	}{
		{"free long enough", func(p *schedule.Problem) { p.Ops[0].Can[0].Run = 9 * 3600 }},
		{"only after the plan ends", func(p *schedule.Problem) { p.Ops[0].Earliest = 20 * 3600 }},
		{"plate 20 mm", func(p *schedule.Problem) { p.Ops[0].Earliest, p.Ops[0].Why = 20*3600, "plate 20 mm" }},
		{"never open while the crew", func(p *schedule.Problem) {
			p.Ops[0].Needs = []schedule.Need{{Heads: 2, When: schedule.OnRun}}
		}},
		{"waits for Tack of job 7", func(p *schedule.Problem) {
			p.Ops[0].Can[0].Run = 9 * 3600
			p.Ops = append(p.Ops, schedule.Op{Name: "Weld", Can: []schedule.Alternative{{Run: 60}}})
			p.Links = []schedule.Link{{From: 0, To: 1, Carrier: schedule.None}}
		}},
		{"no truck", func(p *schedule.Problem) {
			p.Carriers = []schedule.Carrier{{Departures: []plant.Time{1800}}}
			p.Ops = append(p.Ops, schedule.Op{Name: "Weld", Can: []schedule.Alternative{{Run: 60}}})
			p.Links = []schedule.Link{{From: 0, To: 1, Carrier: 0}}
		}},
		{"frozen work", func(p *schedule.Problem) {
			p.Ops = append(p.Ops, schedule.Op{Name: "Weld", Can: []schedule.Alternative{{Run: 60}}, State: schedule.Frozen,
				Fixed: schedule.Slot{Setup: 1800, Load: 1800, Run: 1800, Unload: 1860, End: 1860}})
			p.Links = []schedule.Link{{From: 0, To: 1, Carrier: schedule.None}}
		}},
	}
	for _, c := range cases {
		p := base()
		c.change(p)
		plan, err := Run(context.Background(), p, Options{})
		if err != nil {
			t.Errorf("%s: %v", c.want, err)
			continue
		}
		last := ""
		if n := len(plan.Left); n > 0 {
			last = plan.Left[n-1].Why
		}
		if !strings.Contains(last, c.want) {
			t.Errorf("reason %q, want %q", last, c.want)
		}
	}
}

// TestMalformed: a problem without meaning is refused with every fault.
func TestMalformed(t *testing.T) {
	p := &schedule.Problem{Now: 5, Horizon: 5, Jobs: []schedule.Job{{}}, Centres: []schedule.Centre{{}},
		Stations: []schedule.Station{{Centre: 3}}, Ops: []schedule.Op{{}, {Job: 9, Can: []schedule.Alternative{{Run: -1}}}},
		Links: []schedule.Link{{From: 0, To: 7, Carrier: schedule.None}}}
	_, err := Run(context.Background(), p, Options{})
	if n := len(fault.All(err)); fault.KindOf(err) != fault.Invalid || n != 6 {
		t.Errorf("%d faults:\n%v", n, err)
	}
	circle := &schedule.Problem{Horizon: 10, Jobs: []schedule.Job{{ID: "7"}}, Centres: []schedule.Centre{{}},
		Stations: []schedule.Station{{}}, Ops: []schedule.Op{{Can: []schedule.Alternative{{}}}, {Can: []schedule.Alternative{{}}}},
		Links: []schedule.Link{{From: 0, To: 1, Carrier: schedule.None}, {From: 1, To: 0, Carrier: schedule.None}}}
	if _, err = Run(context.Background(), circle, Options{}); err == nil || !strings.Contains(err.Error(), "circle") {
		t.Errorf("circle: %v", err)
	}
	if plan, err := Run(context.Background(), &schedule.Problem{Horizon: 1}, Options{Seconds: 1}); err != nil || plan.Status != schedule.Complete {
		t.Errorf("nothing to plan: %v %v", plan, err)
	}
}
