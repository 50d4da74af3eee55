package whatif

import (
	"context"
	"fmt"
	"testing"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
	"tackline/schedule/search"
)

// On odd plants a change that is said to help does so when it is replayed: the problem is changed, planned with the same work
// and seed, proved by the checker, and the unit is on time. The questions do not change the problem.
func TestWhatHelpsHelpsWhenReplayed(t *testing.T) {
	helped := map[Kind]int{}
	for seed := range uint64(8) {
		s := scheduletest.Full(seed, 100)
		s.Days = 120
		p := scheduletest.Make(s)
		plan, err := search.Run(context.Background(), p, search.Options{Work: 3000})
		if err != nil {
			t.Fatal(err)
		}
		for u := range p.Units { // every other unit is late by a few hours
			if ship := shipOf(p, plan, u); u%2 == 0 && ship < plant.Never {
				p.Units[u].Due = ship.Add(-plant.Seconds(u%5+1) * 3 * hour)
			}
		}
		opt := Options{Work: 2000, Seed: 3, Most: 8, Know: Knowledge{MaySplit: func(int) bool { return true }}}
		a, err := NewAsker(context.Background(), p, plan, opt)
		if err != nil {
			t.Fatal(err)
		}
		for i, u := range a.Late() {
			if i == 3 {
				break
			}
			ans, err := a.Ask(context.Background(), u)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range ans.Effects {
				helped[e.Change.Kind]++
				replay(t, fmt.Sprint(seed, " ", p.Units[u].ID, " ", e.Change.Kind), a, &e)
			}
		}
	}
	t.Log(helped)
	if len(helped) < 3 {
		t.Errorf("only %v ever helped: the test says little", helped)
	}
}

func replay(t *testing.T, name string, a *Asker, e *Effect) {
	t.Helper()
	q := Apply(a.p, &e.Change)
	start := q
	if e.Loose {
		start = Loosen(q, &e.Change)
	}
	plan, err := search.Run(context.Background(), start, search.Options{Work: a.opt.Work, Seed: a.opt.Seed, Workers: a.opt.Workers})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if broken := schedule.Check(q, plan); len(broken) > 0 {
		t.Errorf("%s: the plan breaks %v", name, broken[0])
	}
	last := plan.Slots[q.Units[e.Change.Unit].Last]
	if last.Station == schedule.None || last.End > q.Units[e.Change.Unit].Due || last.End != e.Ship {
		t.Errorf("%s: ships %d when replayed, said %d, due %d", name, last.End, e.Ship, q.Units[e.Change.Unit].Due)
	}
}

// Every change that is proposed gives a problem that can be planned, and the plan keeps the rules.
func TestChangesCanBePlanned(t *testing.T) {
	seen := map[Kind]int{}
	for seed := range uint64(12) {
		s := scheduletest.Full(seed, 60)
		s.Days = 120
		p := scheduletest.Make(s)
		plan, err := search.Run(context.Background(), p, search.Options{})
		if err != nil {
			t.Fatal(err)
		}
		why := schedule.Explain(p, plan)
		for u := range why {
			if why[u].Ship >= plant.Never {
				continue
			}
			for _, c := range Changes(p, plan, &why[u], Knowledge{MaySplit: func(int) bool { return true }}) {
				seen[c.Kind]++
				if seen[c.Kind] > 60 {
					continue
				}
				q := Apply(p, &c)
				again, err := search.Run(context.Background(), q, search.Options{Work: 100})
				if err != nil {
					t.Fatalf("%d %+v: %v", seed, c, err)
				}
				if broken := schedule.Check(q, again); len(broken) > 0 {
					t.Fatalf("%d %+v: %v", seed, c, broken[0])
				}
			}
		}
	}
	for _, k := range []Kind{Overtime, Person, Sooner, Swap, Split, Priority} {
		if seen[k] == 0 {
			t.Errorf("no %s was ever proposed: %v", k, seen)
		}
	}
}

var begin = plant.Time(1795586400) // Wed 25 Nov 2026 06:00 UTC

// shop has one bench, open from 06:00 to 14:00 on each of ten days, and two units that each need six hours there; the second is
// due on the first evening.
func shop() (*schedule.Problem, *schedule.Plan) {
	var spans []calendar.Span
	for d := range 10 {
		b := begin.Add(plant.Seconds(d) * day)
		spans = append(spans, calendar.Span{From: b, To: b.Add(8 * hour)})
	}
	p := &schedule.Problem{Now: begin, Horizon: begin.Add(10 * day), Freeze: begin, Centres: []schedule.Centre{{Name: "Assembly"}},
		Stations: []schedule.Station{{ID: "bench", Name: "Bench", Open: calendar.Make(spans), Pallets: 1, Capacity: 1000}},
		Families: []plant.Family{""}, Weights: schedule.Weights{Overtime: 6000},
		Pools: []schedule.Pool{{Name: "Fitters", Heads: []schedule.Step{{At: begin - 1, N: 0}, {At: begin, N: 1}, {At: begin.Add(8 * hour), N: 0},
			{At: begin.Add(day), N: 1}, {At: begin.Add(day + 8*hour), N: 0}, {At: begin.Add(2 * day), N: 1}, {At: begin.Add(3 * day), N: 0}}}}}
	for u, id := range []plant.UnitID{"1", "2"} {
		p.Jobs = append(p.Jobs, schedule.Job{ID: plant.JobID(id) + "/grab", Unit: u, Pieces: 1, Parent: schedule.None})
		p.Ops = append(p.Ops, schedule.Op{Job: u, Seq: 10, Name: "build", Earliest: begin, Can: []schedule.Alternative{{Station: 0, Run: 6 * hour}},
			Needs: []schedule.Need{{Pool: 0, Heads: 1, When: schedule.OnRun}}})
		p.Units = append(p.Units, schedule.Unit{ID: id, Due: begin.Add(plant.Seconds(2-u*1)*day - 6*hour), LateDay: 24000, Last: u})
	}
	at := func(from, to plant.Seconds) schedule.Slot {
		b, e := begin.Add(from), begin.Add(to)
		return schedule.Slot{Station: 0, Setup: b, Load: b, Run: b, Unload: e, End: e}
	}
	// unit 2 goes on the first day from 12:00 and ends on the second, at 10:00
	return p, &schedule.Plan{Slots: []schedule.Slot{at(0, 6*hour), at(6*hour, day+4*hour)}, Status: schedule.Complete}
}

// Worked by hand. Unit 2, due on Thursday at 00:00, ends at 10:00: ten hours late. Overtime from 14:00 to 22:00 with a fitter
// ends it at 18:00, for four hours at 60.00; before unit 1 it ends at 12:00, and unit 1 at 10:00 on Thursday, in time. A second
// person does not help: it waits for the bench.
func TestByHand(t *testing.T) {
	p, plan := shop()
	if broken := schedule.Check(p, plan); len(broken) > 0 {
		t.Fatal(broken)
	}
	why := schedule.Explain(p, plan)
	found := map[Kind]Change{}
	for _, c := range Changes(p, plan, &why[1], Knowledge{}) {
		if _, known := found[c.Kind]; !known {
			found[c.Kind] = c
		}
	}
	over := found[Overtime]
	if over.From != begin.Add(8*hour) || over.Until != begin.Add(16*hour) || len(over.Crew) != 1 || over.Crew[0].Heads != 1 {
		t.Fatalf("overtime %+v", over)
	}
	if s := found[Swap]; s.Op != 1 || s.Behind != 0 || s.From != begin {
		t.Fatalf("swap %+v", s)
	}
	slot := func(from, to plant.Seconds) schedule.Slot {
		b, e := begin.Add(from), begin.Add(to)
		return schedule.Slot{Station: 0, Setup: b, Load: b, Run: b, Unload: e, End: e}
	}
	q := Apply(p, &over)
	longer := &schedule.Plan{Slots: []schedule.Slot{slot(0, 6*hour), slot(6*hour, 12*hour)}, Status: schedule.Complete}
	if broken := schedule.Check(q, longer); len(broken) > 0 {
		t.Fatalf("overtime: %v", broken)
	}
	// lateness of ten hours at 240.00 a day is 100.00; four hours of overtime cost 240.00
	e := Weigh(over, p, plan, q, longer)
	if !e.Helps() || e.Slack != 6*hour || e.Money != 24000 || e.Total != 14000 || len(e.Later)+len(e.Sooner) != 0 {
		t.Errorf("overtime %+v", e)
	}
	swap := found[Swap]
	q = Apply(p, &swap)
	turned := &schedule.Plan{Slots: []schedule.Slot{slot(6*hour, day+4*hour), slot(0, 6*hour)}, Status: schedule.Complete}
	if broken := schedule.Check(q, turned); len(broken) > 0 {
		t.Fatalf("swap: %v", broken)
	}
	e = Weigh(swap, p, plan, q, turned)
	if !e.Helps() || e.Money != 0 || e.Total != -10000 || len(e.Later) != 1 || e.Later[0].Unit != 0 || e.Late != 0 {
		t.Errorf("swap %+v", e)
	}
}
