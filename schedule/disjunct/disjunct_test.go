package disjunct

import (
	"context"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"tackline/schedule/dice"
)

// little draws an instance small enough to try every order: at most 3 jobs, 7 operations, 3 machines, sometimes with
// operations of no length and branches that join.
func little(t *rapid.T) *Instance {
	in := &Instance{Name: "little", Machines: rapid.IntRange(1, 3).Draw(t, "machines")}
	jobs := rapid.IntRange(1, 3).Draw(t, "jobs")
	for j := range jobs {
		for k := range rapid.IntRange(1, 3).Draw(t, "length") {
			if len(in.Options) == 7 {
				break
			}
			var after []int
			if k > 0 {
				after = []int{len(in.Options) - 1}
			}
			if n := len(in.Options); n > 0 && rapid.IntRange(0, 5).Draw(t, "joins") == 0 {
				if b := rapid.IntRange(0, n-1).Draw(t, "branch"); len(after) == 0 || b != after[0] {
					after = append(after, b)
				}
			}
			var options []Option
			for m := range in.Machines {
				if len(options) == 0 && m == in.Machines-1 || rapid.Bool().Draw(t, "can") {
					options = append(options, Option{m, rapid.IntRange(0, 9).Draw(t, "time")})
				}
			}
			in.Options, in.After = append(in.Options, options), append(in.After, after)
			in.Job, in.Place = append(in.Job, j), append(in.Place, k)
		}
	}
	return in
}

// shortest tries every order of operations and every choice of machines, each begun as soon as it can: among those is a
// shortest plan (French, Sequencing and Scheduling, 1982, theorem on semi-active schedules).
func shortest(in *Instance) int {
	n := len(in.Options)
	end := make([]int, n)
	free := make([]int, in.Machines)
	placed := make([]bool, n)
	best := 1 << 30
	var try func(done, span int)
	try = func(done, span int) {
		if span >= best {
			return
		}
		if done == n {
			best = span
			return
		}
		for o := range n {
			at, ready := 0, !placed[o]
			for _, b := range in.After[o] {
				ready = ready && placed[b]
				at = max(at, end[b])
			}
			if !ready {
				continue
			}
			for _, x := range in.Options[o] {
				was := free[x.Machine]
				placed[o], end[o] = true, max(at, was)+x.Time
				free[x.Machine] = end[o]
				try(done+1, max(span, end[o]))
				placed[o], free[x.Machine] = false, was
			}
		}
	}
	try(0, 0)
	return best
}

func TestAgainstEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := little(t)
		want := shortest(in)
		r, err := Solve(context.Background(), in, Options{Workers: 1, Seed: 1, Rounds: 3})
		if err != nil {
			t.Fatal(err)
		}
		if err := Verify(in, r.Slots); err != nil {
			t.Fatal(err)
		}
		if r.Span != want {
			t.Fatalf("found %d, the shortest is %d", r.Span, want)
		}
		if r.Bound > want {
			t.Fatalf("bound %d above the shortest %d", r.Bound, want)
		}
	})
}

// classic is the instance of 6 jobs and 6 machines of Fisher and Thompson 1963; its shortest plan is 55.
func classic() *Instance {
	rows := [][]int{{2, 1, 0, 3, 1, 6, 3, 7, 5, 3, 4, 6}, {1, 8, 2, 5, 4, 10, 5, 10, 0, 10, 3, 4}, {2, 5, 3, 4, 5, 8, 0, 9, 1, 1, 4, 7},
		{1, 5, 0, 5, 2, 5, 3, 3, 4, 8, 5, 9}, {2, 9, 1, 3, 4, 5, 5, 4, 0, 3, 3, 1}, {1, 3, 3, 3, 5, 9, 0, 10, 4, 4, 2, 1}}
	in := &Instance{Name: "6 by 6", Machines: 6}
	for j, row := range rows {
		for k := 0; k < len(row); k += 2 {
			var after []int
			if k > 0 {
				after = []int{len(in.Options) - 1}
			}
			in.Options, in.After = append(in.Options, []Option{{row[k], row[k+1]}}), append(in.After, after)
			in.Job, in.Place = append(in.Job, j), append(in.Place, k/2)
		}
	}
	return in
}

func TestClassic(t *testing.T) {
	r, err := Solve(context.Background(), classic(), Options{Workers: 1, Seed: 3, Rounds: 2})
	if err != nil {
		t.Fatal(err)
	}
	if r.Span != 55 {
		t.Errorf("makespan %d, want 55", r.Span)
	}
}

func TestSameSeedSamePlan(t *testing.T) {
	var first *Result
	for range 2 {
		r, err := Solve(context.Background(), classic(), Options{Workers: 2, Seed: 7, Rounds: 2})
		if err != nil {
			t.Fatal(err)
		}
		if first != nil && !reflect.DeepEqual(first.Slots, r.Slots) {
			t.Error("equal seeds gave different plans")
		}
		first = r
	}
}

func TestVerifyFindsFaults(t *testing.T) {
	in := classic()
	r, err := Solve(context.Background(), in, Options{Workers: 1, Seed: 1, Rounds: 1})
	if err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func([]Slot) []Slot{
		"one slot too few": func(s []Slot) []Slot { return s[1:] },
		"wrong machine":    func(s []Slot) []Slot { s[0].Machine = (s[0].Machine + 1) % in.Machines; return s },
		"too short":        func(s []Slot) []Slot { s[3].End--; return s },
		"before its turn":  func(s []Slot) []Slot { s[5].Start, s[5].End = 0, s[5].End-s[5].Start; return s },
		"begins before 0":  func(s []Slot) []Slot { s[0].Start, s[0].End = -1, s[0].End-s[0].Start-1; return s },
	} {
		s := append([]Slot{}, r.Slots...)
		if Verify(in, spoil(s)) == nil {
			t.Errorf("%s: not found", name)
		}
	}
}

func TestFaultyInstances(t *testing.T) {
	for name, in := range map[string]*Instance{
		"no machine":      {Machines: 1, Options: [][]Option{{}}, After: [][]int{nil}},
		"unknown machine": {Machines: 1, Options: [][]Option{{{1, 2}}}, After: [][]int{nil}},
		"negative time":   {Machines: 1, Options: [][]Option{{{0, -2}}}, After: [][]int{nil}},
		"circle":          {Machines: 1, Options: [][]Option{{{0, 1}}, {{0, 1}}}, After: [][]int{{1}, {0}}},
		"after itself":    {Machines: 1, Options: [][]Option{{{0, 1}}}, After: [][]int{{0}}},
		"lengths differ":  {Machines: 1, Options: [][]Option{{{0, 1}}}},
	} {
		if _, err := Solve(context.Background(), in, Options{Rounds: 1}); err == nil {
			t.Errorf("%s: not refused", name)
		}
	}
}

// started gives a tabu search that has made its scratch.
func started(in *Instance) *breeder {
	b := newBreeder(newGraph(in), dice.New(1), 0, &shared{ctx: context.Background(), fixed: true})
	b.scratch()
	b.t.run(b.child, 10)
	return b
}

func TestStepsAllocateNothing(t *testing.T) {
	for name, in := range map[string]*Instance{"job shop": readJobShop(tenByTen), "flexible": readFlexible(brandimarte1)} {
		b := started(in)
		if n := testing.AllocsPerRun(3, func() { b.t.run(b.child, 500) }); n > 0 {
			t.Errorf("%s: %v allocations in some 500 steps", name, n)
		}
	}
}

// BenchmarkSteps times a step of the inner loop and shows that it allocates nothing.
func BenchmarkSteps(b *testing.B) {
	for name, in := range map[string]*Instance{"job shop": readJobShop(tenByTen), "flexible": readFlexible(brandimarte1)} {
		b.Run(name, func(b *testing.B) {
			s := started(in)
			before := s.t.steps
			b.ReportAllocs()
			for b.Loop() {
				s.t.run(s.child, 1000)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(s.t.steps-before), "ns/step")
		})
	}
}
