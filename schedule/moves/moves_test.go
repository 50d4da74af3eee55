package moves

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
	"tackline/schedule/search"
)

const hour = 3600

var begin = plant.Time(1795586400) // Wed 25 Nov 2026 06:00 UTC

// shop has two robots, an assembly bench, and two units of a weld and an assembly each. Everything is open day and night.
func shop() *schedule.Problem {
	open := calendar.Make([]calendar.Span{{From: begin, To: begin + 1000*hour}})
	p := &schedule.Problem{Now: begin, Horizon: begin + 1000*hour, Freeze: begin + 24*hour, Centres: []schedule.Centre{{Name: "Weld"}, {Name: "Assembly"}},
		Families: []plant.Family{""}, Weights: schedule.Weights{Move: 1000}}
	for i, name := range []string{"Robot 1", "Robot 2", "Bench"} {
		p.Stations = append(p.Stations, schedule.Station{ID: plant.StationID(name), Name: name, Centre: i / 2, Open: open, Pallets: 1, Capacity: 1000})
	}
	for u, id := range []plant.UnitID{"1-1-1", "2-1-1"} {
		p.Jobs = append(p.Jobs, schedule.Job{ID: plant.JobID(id) + "/grab", Unit: u, Pieces: 1, Parent: schedule.None})
		weld := schedule.Op{Job: u, Seq: 10, Name: "weld", Earliest: begin, Can: []schedule.Alternative{{Station: 0, Run: 4 * hour}, {Station: 1, Run: 4 * hour}}}
		build := schedule.Op{Job: u, Seq: 20, Name: "build", Earliest: begin, Can: []schedule.Alternative{{Station: 2, Run: 2 * hour}}}
		p.Links = append(p.Links, schedule.Link{From: len(p.Ops), To: len(p.Ops) + 1, Carrier: schedule.None})
		p.Ops = append(p.Ops, weld, build)
		p.Units = append(p.Units, schedule.Unit{ID: id, Due: begin + 48*hour, LateDay: 40000, Last: len(p.Ops) - 1})
	}
	p.Adopted = slots(at(0, 0, 4), at(2, 4, 6), at(1, 0, 4), at(2, 6, 8))
	return p
}

func at(station, from, to int) schedule.Slot {
	b, e := begin+plant.Time(from*hour), begin+plant.Time(to*hour)
	return schedule.Slot{Station: station, Setup: b, Load: b, Run: b, Unload: e, End: e}
}

func slots(s ...schedule.Slot) []schedule.Slot { return s }

// Worked by hand: each case changes the shop, gives the new plan, and says the sentences that must come out.
func TestWhy(t *testing.T) {
	cases := []struct {
		name string
		edit func(p *schedule.Problem)
		plan []schedule.Slot
		want []string
	}{
		{"nothing", func(*schedule.Problem) {}, slots(at(0, 0, 4), at(2, 4, 6), at(1, 0, 4), at(2, 6, 8)), nil},
		{"station down", func(p *schedule.Problem) {
			p.Stations[1].Open = calendar.Make([]calendar.Span{{From: begin + 30*hour, To: begin + 1000*hour}})
		}, slots(at(0, 0, 4), at(2, 4, 6), at(0, 4, 8), at(2, 8, 10)), []string{
			"2-1-1/grab, 10 weld: from Robot 2, Wed 25 Nov 06:00, to Robot 1, Wed 25 Nov 10:00. Why: Robot 2 down until Thu 26 Nov 12:00.",
			"2-1-1/grab, 20 build: on Bench from Wed 25 Nov 12:00 to Wed 25 Nov 14:00, 2 h later. Why: Robot 2 down until Thu 26 Nov 12:00 → 2-1-1/grab, 10 weld moved to Robot 1."}},
		{"runs over", func(p *schedule.Problem) { p.Ops[0].State, p.Ops[0].Fixed = schedule.Running, at(0, 0, 7) },
			slots(at(0, 0, 7), at(2, 7, 9), at(1, 0, 4), at(2, 4, 6)), []string{
				"1-1-1/grab, 20 build: on Bench from Wed 25 Nov 10:00 to Wed 25 Nov 13:00, 3 h later. Why: 1-1-1/grab, 10 weld (running, until Wed 25 Nov 13:00) is there later.",
				"2-1-1/grab, 20 build: on Bench from Wed 25 Nov 12:00 to Wed 25 Nov 10:00, 2 h earlier. Why: 1-1-1/grab, 10 weld (running, until Wed 25 Nov 13:00) is there later → 1-1-1/grab, 20 build moved."}},
		{"kit late", func(p *schedule.Problem) {
			p.Ops[1].Earliest, p.Ops[1].Why = begin+9*hour, "kit, receipt PO-5, expected 15:00"
		},
			slots(at(0, 0, 4), at(2, 9, 11), at(1, 0, 4), at(2, 4, 6)), []string{
				"1-1-1/grab, 20 build: on Bench from Wed 25 Nov 10:00 to Wed 25 Nov 15:00, 5 h later. Why: kit, receipt PO-5, expected 15:00.",
				"2-1-1/grab, 20 build: on Bench from Wed 25 Nov 12:00 to Wed 25 Nov 10:00, 2 h earlier. Why: the plan costs less so."}},
		{"new order", func(p *schedule.Problem) {
			p.Adopted[0], p.Adopted[1] = schedule.Slot{Station: -1}, schedule.Slot{Station: -1}
		},
			slots(at(1, 0, 4), at(2, 4, 6), at(1, 4, 8), at(2, 8, 10)), []string{
				"2-1-1/grab, 10 weld: on Robot 2 from Wed 25 Nov 06:00 to Wed 25 Nov 10:00, 4 h later. Why: gives its place to 1-1-1/grab, 10 weld (new).",
				"2-1-1/grab, 20 build: on Bench from Wed 25 Nov 12:00 to Wed 25 Nov 14:00, 2 h later. Why: gives its place to 1-1-1/grab, 10 weld (new) → 2-1-1/grab, 10 weld moved."}},
		{"station gone", func(p *schedule.Problem) { p.Ops[2].Can = p.Ops[2].Can[:1] }, slots(at(0, 0, 4), at(2, 4, 6), at(0, 4, 8), at(2, 8, 10)), []string{
			"2-1-1/grab, 10 weld: from Robot 2, Wed 25 Nov 06:00, to Robot 1, Wed 25 Nov 10:00. Why: Robot 2 cannot do it any more.",
			"2-1-1/grab, 20 build: on Bench from Wed 25 Nov 12:00 to Wed 25 Nov 14:00, 2 h later. Why: Robot 2 cannot do it any more → 2-1-1/grab, 10 weld moved to Robot 1."}},
		{"not begun", func(p *schedule.Problem) { p.Now += 1 * hour }, slots(at(0, 1, 5), at(2, 5, 7), at(1, 1, 5), at(2, 7, 9)), []string{
			"1-1-1/grab, 10 weld: on Robot 1 from Wed 25 Nov 06:00 to Wed 25 Nov 07:00, 1 h later. Why: it has not begun.",
			"2-1-1/grab, 10 weld: on Robot 2 from Wed 25 Nov 06:00 to Wed 25 Nov 07:00, 1 h later. Why: it has not begun.",
			"1-1-1/grab, 20 build: on Bench from Wed 25 Nov 10:00 to Wed 25 Nov 11:00, 1 h later. Why: it has not begun → 1-1-1/grab, 10 weld moved.",
			"2-1-1/grab, 20 build: on Bench from Wed 25 Nov 12:00 to Wed 25 Nov 13:00, 1 h later. Why: it has not begun → 1-1-1/grab, 10 weld moved → 1-1-1/grab, 20 build moved."}},
		{"no crew", func(p *schedule.Problem) {
			p.Pools = []schedule.Pool{{Name: "Fitters", Heads: []schedule.Step{{At: begin - hour, N: 1}, {At: begin + 5*hour, N: 0}, {At: begin + 20*hour, N: 1}}}}
			p.Ops[3].Needs = []schedule.Need{{Pool: 0, Heads: 1, When: schedule.OnRun}}
		}, slots(at(0, 0, 4), at(2, 4, 6), at(1, 0, 4), at(2, 20, 22)), []string{
			"2-1-1/grab, 20 build: on Bench from Wed 25 Nov 12:00 to Thu 26 Nov 02:00, 14 h later. Why: too few of Fitters until Thu 26 Nov 02:00."}},
	}
	for _, c := range cases {
		p := shop()
		c.edit(p)
		plan := &schedule.Plan{Slots: c.plan, Status: schedule.Complete}
		if broken := schedule.Check(p, plan); len(broken) > 0 {
			t.Fatalf("%s: the plan of the test breaks %v", c.name, broken)
		}
		r := Between(p, plan)
		w := &Words{P: p, R: r, Closed: func(int, plant.Time) string { return "down" }}
		var got []string
		for i := range r.Moves {
			got = append(got, w.Sentence(i))
		}
		if strings.Join(got, "\n") != strings.Join(c.want, "\n") {
			t.Errorf("%s:\n%s\nwant:\n%s", c.name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
		if score := schedule.Measure(p, plan); score.Moves != r.Inside {
			t.Errorf("%s: %d moves inside, the score counts %d", c.name, r.Inside, score.Moves)
		}
	}
}

// The first unit ships 3 h later, the second 2 h earlier.
func TestShips(t *testing.T) {
	p := shop()
	p.Ops[0].State, p.Ops[0].Fixed = schedule.Running, at(0, 0, 7)
	r := Between(p, &schedule.Plan{Slots: slots(at(0, 0, 7), at(2, 7, 9), at(1, 0, 4), at(2, 4, 6))})
	w := &Words{P: p, R: r}
	want := []string{"ships Wed 25 Nov 15:00 instead of Wed 25 Nov 12:00, 3 h later", "ships Wed 25 Nov 12:00 instead of Wed 25 Nov 14:00, 2 h earlier"}
	for i := range want {
		if got := w.Ship(&r.Units[i]); got != want[i] || r.Units[i].Unit != i {
			t.Errorf("%q; want %q", got, want[i])
		}
	}
	if got, want := w.Summary(), "2 operations moved inside the freeze window, 0 operations after it; 0 are new. 1 unit ships later than before, 1 earlier."; got != want {
		t.Errorf("%q; want %q", got, want)
	}
}

// On odd plants and after every kind of event the report counts what the score counts, and each cause holds.
func TestCausesHold(t *testing.T) {
	for seed := range uint64(6) {
		p := scheduletest.Generate(seed, 250)
		plan, err := search.Run(context.Background(), p, search.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, event := range scheduletest.Events {
			q := scheduletest.Upset(p, plan, event, seed)
			again, err := search.Run(context.Background(), q, search.Options{Work: 4000})
			if err != nil {
				t.Fatal(err)
			}
			if broken := schedule.Check(q, again); len(broken) > 0 {
				t.Fatalf("%s: %v", event, broken[0])
			}
			checkReport(t, fmt.Sprintf("%d %s", seed, event), q, again)
		}
	}
}

func checkReport(t *testing.T, name string, p *schedule.Problem, plan *schedule.Plan) {
	t.Helper()
	r := Between(p, plan)
	if score := schedule.Measure(p, plan); score.Moves != r.Inside {
		t.Errorf("%s: %d moves inside, the score counts %d", name, r.Inside, score.Moves)
	}
	w := &Words{P: p, R: r}
	for i := range r.Moves {
		m := &r.Moves[i]
		c := &m.Cause
		switch c.Kind {
		case Behind, Place, Crew, Follows:
			if c.By == schedule.None || p.Adopted[c.By] == plan.Slots[c.By] {
				t.Errorf("%s: %s: %d stands where it stood", name, w.Sentence(i), c.By)
			}
		case Shut:
			if c.Until <= c.From || p.Stations[m.Was.Station].Open.Work(c.From, c.Until) > 0 {
				t.Errorf("%s: %s: open from %d to %d", name, w.Sentence(i), c.From, c.Until)
			}
		case Material:
			if p.Ops[m.Op].Earliest <= m.Was.Load {
				t.Errorf("%s: %s: it was there", name, w.Sentence(i))
			}
		}
		for _, k := range r.Chain(i) {
			if r.Moves[k].Op < 0 {
				t.Errorf("%s: chain of %d", name, i)
			}
		}
	}
	_ = w.Summary()
}

// Two operations that only change places have each other as cause: the chain goes in a circle, and says so.
func TestExchangedPlaces(t *testing.T) {
	p := shop()
	r := Between(p, &schedule.Plan{Slots: slots(at(0, 0, 4), at(2, 6, 8), at(1, 0, 4), at(2, 4, 6))})
	w := &Words{P: p, R: r}
	for i, want := range []string{"places exchanged with 2-1-1/grab, 20 build, as the plan costs less so", "places exchanged with 1-1-1/grab, 20 build, as the plan costs less so"} {
		if got := w.Why(i); got != want {
			t.Errorf("%q; want %q", got, want)
		}
	}
}
