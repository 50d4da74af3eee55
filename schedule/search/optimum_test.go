package search

import (
	"testing"

	"pgregory.net/rapid"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// shop makes a problem of one open station for each centre, with jobs that visit them in order; time is in hours.
func shop(stations int, times [][]int, due []int) *schedule.Problem {
	const hour = 3600
	p := &schedule.Problem{Horizon: 1000 * hour, Weights: schedule.Weights{}}
	open := calendar.Make([]calendar.Span{{From: 0, To: 1000 * hour}})
	for range stations {
		p.Centres = append(p.Centres, schedule.Centre{})
		p.Stations = append(p.Stations, schedule.Station{Centre: len(p.Centres) - 1, Open: open, Pallets: 1})
	}
	for j, row := range times {
		p.Jobs = append(p.Jobs, schedule.Job{Unit: j, Pieces: 1, Parent: schedule.None})
		for i, h := range row {
			p.Ops = append(p.Ops, schedule.Op{Job: j, Can: []schedule.Alternative{{Station: i, Run: plant.Seconds(h) * hour}}})
			if i > 0 {
				p.Links = append(p.Links, schedule.Link{From: len(p.Ops) - 2, To: len(p.Ops) - 1, Carrier: schedule.None})
			}
		}
		p.Units = append(p.Units, schedule.Unit{Due: plant.Time(due[j]) * hour, LateDay: 100_00, Last: len(p.Ops) - 1})
	}
	return p
}

// ends gives the ends of the units in hours, by the plan of one rule.
func ends(t *testing.T, p *schedule.Problem, name string) []int {
	t.Helper()
	m, err := newModel(p)
	if err != nil {
		t.Fatal(err)
	}
	s := newState(m)
	for _, r := range firstRules() {
		if r.name != name {
			continue
		}
		s.reset(&r)
		s.construct(never)
		var out []int
		slots, _ := s.result()
		for _, u := range p.Units {
			out = append(out, int(slots[u.Last].End/3600))
		}
		return out
	}
	t.Fatalf("no rule %q", name)
	return nil
}

// TestEarliestDueDate: on one machine the earliest due date first has the least maximum lateness (Jackson 1955). The five
// jobs of Pinedo, Scheduling, chapter 3, have Lmax 10; the second case has order 4 2 1 3 5 and Lmax 3, by enumeration.
func TestEarliestDueDate(t *testing.T) {
	for _, c := range []struct{ run, due, end, late []int }{
		{[]int{7, 8, 4, 6, 6}, []int{9, 17, 18, 19, 21}, []int{7, 15, 19, 25, 31}, []int{-2, -2, 1, 6, 10}},
		{[]int{5, 3, 6, 2, 4}, []int{9, 6, 13, 4, 20}, []int{10, 5, 16, 2, 20}, []int{1, -1, 3, -2, 0}},
	} {
		for i, e := range ends(t, shop(1, column(c.run), c.due), "earliest due date") {
			if e != c.end[i] || e-c.due[i] != c.late[i] {
				t.Errorf("job %d ends at %d, %d late; want %d, %d", i+1, e, e-c.due[i], c.end[i], c.late[i])
			}
		}
	}
}

// TestFirstCome: jobs A to E of Heizer and Render, Operations Management, short-term scheduling, in order of arrival have
// an average completion of 15.4 and an average lateness of 2.2; by due date 13.6 and 1.2. (From memory, recomputed.)
func TestFirstCome(t *testing.T) {
	run, due := []int{6, 2, 8, 3, 9}, []int{8, 6, 18, 15, 23}
	for _, c := range []struct {
		rule      string
		end, late int // sums over five jobs
	}{{"first come", 77, 11}, {"earliest due date", 68, 6}} {
		end, late := 0, 0
		for i, e := range ends(t, shop(1, column(run), due), c.rule) {
			end, late = end+e, late+max(0, e-due[i])
		}
		if end != c.end || late != c.late {
			t.Errorf("%s: completions sum to %d, lateness to %d; want %d, %d", c.rule, end, late, c.end, c.late)
		}
	}
}

func column(run []int) [][]int {
	var rows [][]int
	for _, h := range run {
		rows = append(rows, []int{h})
	}
	return rows
}

// TestTwoMachineFlow: Johnson's problem, "Optimal two- and three-stage production schedules with setup times included",
// 1954. Five jobs of Krajewski, Operations Management (Morris Machine), have a least makespan of 65; six jobs A to F 43;
// seven jobs 93 (by enumeration). With one late unit that waits for all jobs, cost is makespan, and search finds it.
func TestTwoMachineFlow(t *testing.T) {
	for _, c := range []struct {
		times [][]int
		want  int
	}{
		{[][]int{{12, 22}, {4, 5}, {5, 3}, {15, 16}, {10, 8}}, 65},
		{[][]int{{3, 8}, {12, 10}, {5, 9}, {2, 6}, {9, 3}, {11, 1}}, 43},
		{[][]int{{10, 11}, {8, 17}, {14, 10}, {13, 7}, {10, 8}, {25, 9}, {6, 15}}, 93},
	} {
		p := gathered(c.times)
		plan := run(t, p, Options{Seed: 1, Work: int64(len(p.Ops)) * 400})
		if got := int(plan.Slots[p.Units[0].Last].End / 3600); got != c.want {
			t.Errorf("makespan %d, want %d (%s)", got, c.want, plan.Rule)
		}
	}
}

// gathered makes a flow shop whose only unit ends when all jobs have.
func gathered(times [][]int) *schedule.Problem {
	p := shop(len(times[0])+1, times, make([]int, len(times)))
	p.Units = nil
	end := len(p.Ops)
	p.Jobs = append(p.Jobs, schedule.Job{Unit: 0, Parent: schedule.None})
	p.Ops = append(p.Ops, schedule.Op{Job: len(p.Jobs) - 1, Can: []schedule.Alternative{{Station: len(times[0])}}})
	for j := range times {
		last := (j+1)*len(times[0]) - 1
		p.Links = append(p.Links, schedule.Link{From: last, To: end, Carrier: schedule.None})
	}
	p.Units = []schedule.Unit{{LateDay: 100_00, Last: end}}
	return p
}

// TestWeightedCompletion: with all due at once the cost is the weighted sum of completions, least in order of run/weight
// (Smith, "Various optimizers for single-stage production", 1956): 182 for these five jobs.
func TestWeightedCompletion(t *testing.T) {
	run5, weight := []int{8, 6, 3, 10, 1}, []plant.Money{1, 4, 3, 5, 2}
	p := shop(1, column(run5), make([]int, 5))
	for i := range p.Units {
		p.Units[i].LateDay = weight[i] * 24_00
	}
	plan := run(t, p, Options{Seed: 1, Work: 5 * 400})
	sum := 0
	for i, u := range p.Units {
		sum += int(weight[i]) * int(plan.Slots[u.Last].End/3600)
	}
	if sum != 182 {
		t.Errorf("weighted completions sum to %d, want 182 (%s)", sum, plan.Rule)
	}
}

// TestAgainstEveryOrder compares with all orders of up to six operations on one machine with changeovers, lateness and setups
// together: the search finds the cheapest of up to five, and of six one within a twentieth.
func TestAgainstEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		times, due := make([][]int, n), make([]int, n)
		for i := range times {
			times[i] = []int{rapid.IntRange(1, 9).Draw(t, "run")}
			due[i] = rapid.IntRange(0, 40).Draw(t, "due")
		}
		p := shop(1, times, due)
		p.Weights.Setup = 90_00
		p.Families = []plant.Family{"", "a", "b", "c"}
		change := make([][]plant.Seconds, 4)
		for i := range change {
			change[i] = make([]plant.Seconds, 4)
			for j := 1; j < 4; j++ {
				if i != j {
					change[i][j] = plant.Seconds(rapid.IntRange(0, 4).Draw(t, "changeover")) * 1800
				}
			}
		}
		p.Centres[0].Changeover = change
		for i := range p.Ops {
			p.Ops[i].Family = rapid.IntRange(1, 3).Draw(t, "family")
			p.Units[i].LateDay = plant.Money(rapid.IntRange(1, 9).Draw(t, "weight")) * 100_00
		}
		plan := run(t, p, Options{Seed: 1, Work: int64(n) * 6000})
		order := make([]int, 0, n)
		got, least := costOf(p, plan), leastCost(p, order, make([]bool, n))
		if got < least-1 || got > least+1 && n < 6 || got > least*1.05+1 {
			t.Fatalf("cost %.0f, the cheapest order costs %.0f (%s)", got, least, plan.Rule)
		}
	})
}

// costOf is the cost of lateness and setups of a plan for one machine, counted from its slots alone.
func costOf(p *schedule.Problem, plan *schedule.Plan) float64 {
	sum := 0.0
	for i, s := range plan.Slots {
		sum += float64(p.Weights.Setup) * (s.Load.Sub(s.Setup)).Hours()
		sum += float64(p.Units[i].LateDay) * max(0, s.End.Sub(p.Units[i].Due)).Hours() / 24
	}
	return sum
}

// leastCost tries all orders that begin with order, without idle time.
func leastCost(p *schedule.Problem, order []int, used []bool) float64 {
	if len(order) == len(p.Ops) {
		sum, t, family := 0.0, plant.Time(0), 0
		for _, i := range order {
			setup := p.Centres[0].Changeover[family][p.Ops[i].Family]
			family = p.Ops[i].Family
			t = t.Add(setup + p.Ops[i].Can[0].Run)
			sum += float64(p.Weights.Setup)*setup.Hours() + float64(p.Units[i].LateDay)*max(0, t.Sub(p.Units[i].Due)).Hours()/24
		}
		return sum
	}
	best := 1e18
	for i := range used {
		if !used[i] {
			used[i] = true
			best = min(best, leastCost(p, append(order, i), used))
			used[i] = false
		}
	}
	return best
}
