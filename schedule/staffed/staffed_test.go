package staffed

import (
	"context"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tackline/schedule/dice"
)

// little draws an instance small enough to try every order: at most 3 jobs, 6 operations, 2 machines and 3 workers, sometimes
// with operations of no length and branches that join.
func little(t *rapid.T) *Instance {
	in := &Instance{Name: "little", Machines: rapid.IntRange(1, 2).Draw(t, "machines"), Workers: rapid.IntRange(1, 3).Draw(t, "workers")}
	for j := range rapid.IntRange(1, 3).Draw(t, "jobs") {
		for k := range rapid.IntRange(1, 3).Draw(t, "length") {
			if len(in.Modes) == 6 {
				break
			}
			var after []int
			if k > 0 {
				after = []int{len(in.Modes) - 1}
			}
			if n := len(in.Modes); n > 0 && rapid.IntRange(0, 5).Draw(t, "joins") == 0 {
				if b := rapid.IntRange(0, n-1).Draw(t, "branch"); len(after) == 0 || b != after[0] {
					after = append(after, b)
				}
			}
			var modes []Mode
			for range rapid.IntRange(1, 3).Draw(t, "modes") {
				modes = append(modes, Mode{rapid.IntRange(0, in.Machines-1).Draw(t, "machine"), rapid.IntRange(0, in.Workers-1).Draw(t, "worker"),
					rapid.IntRange(0, 9).Draw(t, "time")})
			}
			in.Modes, in.After = append(in.Modes, modes), append(in.After, after)
			in.Job, in.Place = append(in.Job, j), append(in.Place, k)
		}
	}
	return in
}

// shortest tries every order of operations and every choice of modes, each begun as soon as machine and worker are free of
// what came before: among those is a shortest plan (French, Sequencing and Scheduling, 1982, theorem on semi-active schedules).
func shortest(in *Instance) int {
	n := len(in.Modes)
	end := make([]int, n)
	machine, worker := make([]int, in.Machines), make([]int, in.Workers)
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
			for _, x := range in.Modes[o] {
				m, w := machine[x.Machine], worker[x.Worker]
				placed[o], end[o] = true, max(at, m, w)+x.Time
				machine[x.Machine], worker[x.Worker] = end[o], end[o]
				try(done+1, max(span, end[o]))
				placed[o], machine[x.Machine], worker[x.Worker] = false, m, w
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
		r, err := Solve(context.Background(), in, Options{Workers: 1, Seed: 1, Rounds: 2})
		if err != nil {
			t.Fatal(err)
		}
		if err := Verify(in, r.Slots); err != nil {
			t.Fatal(err)
		}
		if r.Span != want {
			t.Fatalf("found %d, the shortest is %d", r.Span, want)
		}
		if b := Bound(in); b > want || r.Bound > want {
			t.Fatalf("bounds %d and %d above the shortest %d", b, r.Bound, want)
		}
		never := func() bool { return false }
		if !proved(in, want, never) {
			t.Fatalf("not proved that %d is the shortest", want)
		}
		if proved(in, want+1, never) {
			t.Fatalf("proved that nothing is shorter than %d, but %d is", want+1, want)
		}
	})
}

// larger draws an instance with all kinds of modes, too large to try every order.
func larger(t *rapid.T) *Instance {
	rnd := dice.New(rapid.Uint64().Draw(t, "seed"))
	least := rnd.Below(2)
	in := &Instance{Name: "larger", Machines: 2 + rnd.Below(4), Workers: 2 + rnd.Below(5)}
	for j := range 2 + rnd.Below(6) {
		for k := range 1 + rnd.Below(6) {
			var after []int
			if k > 0 {
				after = append(after, len(in.Modes)-1)
			}
			var modes []Mode
			for range 1 + rnd.Below(6) {
				modes = append(modes, Mode{rnd.Below(in.Machines), rnd.Below(in.Workers), least + rnd.Below(20)})
			}
			in.Modes, in.After = append(in.Modes, modes), append(in.After, after)
			in.Job, in.Place = append(in.Job, j), append(in.Place, k)
		}
	}
	return in
}

// TestMovesAreExact: the makespan that the chooser promises is the makespan after the move.
func TestMovesAreExact(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := larger(rt)
		g := newGraph(in)
		b := newBreeder(g, dice.New(5), 0, func() bool { return false })
		b.scratch()
		s, fresh := b.t, newPlan(g)
		s.cur.CopyFrom(b.child)
		s.best.CopyFrom(b.child)
		for range 60 {
			m, ok := s.choose()
			if !ok {
				return
			}
			s.apply(&m)
			fresh.CopyFrom(s.cur)
			if !fresh.evaluate(g, s.waits) {
				rt.Fatal("a move made a circle")
			}
			if !slices.Equal(fresh.head, s.cur.head) || !slices.Equal(fresh.tail, s.cur.tail) || fresh.span != s.cur.span {
				rt.Fatal("heads, tails or makespan brought up to date differ from those worked out anew")
			}
			for i, o := range s.cur.seq {
				if s.cur.rank[o] != int32(i) {
					rt.Fatal("ranks do not fit the order")
				}
			}
			if s.cur.span != m.span {
				rt.Fatalf("the move promised %d, the plan takes %d", m.span, s.cur.span)
			}
			if err := Verify(in, s.cur.slots(g)); err != nil {
				rt.Fatal(err)
			}
			s.step++
		}
	})
}

// shop is a fixed instance of jobs with 5 operations each, 4 machines and 6 workers.
func shop(jobs int) *Instance {
	rnd := dice.New(11)
	in := &Instance{Name: "shop", Machines: 4, Workers: 6}
	for j := range jobs {
		for k := range 5 {
			var after []int
			if k > 0 {
				after = []int{len(in.Modes) - 1}
			}
			var modes []Mode
			for m := range 4 {
				for w := range 6 {
					if (j+k+m)%2 == 0 && (m+w)%3 != 0 {
						modes = append(modes, Mode{m, w, 5 + rnd.Below(30)})
					}
				}
			}
			in.Modes, in.After = append(in.Modes, modes), append(in.After, after)
			in.Job, in.Place = append(in.Job, j), append(in.Place, k)
		}
	}
	return in
}

func TestSameSeedSamePlan(t *testing.T) {
	var first *Result
	for range 2 {
		r, err := Solve(context.Background(), shop(3), Options{Workers: 2, Seed: 7, Rounds: 2})
		if err != nil {
			t.Fatal(err)
		}
		if first != nil && !reflect.DeepEqual(first.Slots, r.Slots) {
			t.Error("equal seeds gave different plans")
		}
		first = r
	}
}

// TestBoundByHand: two operations that only worker 0 can do, 4 and 5 long, the second after an operation of 2, and 3 to do
// after it: 2 + 5 + 3 by precedence; the worker cannot begin the second before 2, has 4 + 5 to do, and after one of the two
// nothing may be left to do: 9. Two more operations of 6 that workers 0 and 1 share: 2 + 4 + 5 + 3 + 6 + 6 = 26 hours of two
// workers, at least 13.
func TestBoundByHand(t *testing.T) {
	in := &Instance{Machines: 4, Workers: 2,
		Modes: [][]Mode{{{0, 1, 2}}, {{1, 0, 5}}, {{0, 1, 3}}, {{2, 0, 4}}},
		After: [][]int{nil, {0}, {1}, nil}}
	if got := Bound(in); got != 10 {
		t.Errorf("bound %d, want 10", got)
	}
	for range 2 {
		in.Modes = append(in.Modes, []Mode{{2, 0, 6}, {3, 1, 6}})
		in.After = append(in.After, nil)
	}
	if got := Bound(in); got != 13 {
		t.Errorf("bound %d, want 13", got)
	}
}

func TestVerifyFindsFaults(t *testing.T) {
	in := &Instance{Machines: 2, Workers: 2, Modes: [][]Mode{{{0, 0, 3}}, {{0, 1, 3}, {1, 0, 3}}, {{1, 1, 3}}}, After: [][]int{nil, nil, {0}}}
	good := []Slot{{0, 0, 0, 3}, {1, 0, 3, 6}, {1, 1, 6, 9}}
	if err := Verify(in, good); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func([]Slot) []Slot{
		"one slot too few":     func(s []Slot) []Slot { return s[1:] },
		"wrong machine":        func(s []Slot) []Slot { s[0].Machine = 1; return s },
		"wrong worker":         func(s []Slot) []Slot { s[0].Worker = 1; return s },
		"too short":            func(s []Slot) []Slot { s[2].End--; return s },
		"begins before 0":      func(s []Slot) []Slot { s[0].Start, s[0].End = -1, 2; return s },
		"before its turn":      func(s []Slot) []Slot { s[2].Start, s[2].End = 2, 5; return s },
		"two on a machine":     func(s []Slot) []Slot { s[1] = Slot{0, 1, 2, 5}; return s },
		"two with one worker":  func(s []Slot) []Slot { s[1] = Slot{1, 0, 2, 5}; return s },
		"unknown machine":      func(s []Slot) []Slot { s[1].Machine = 7; return s },
		"ends before it began": func(s []Slot) []Slot { s[1].End = 1; return s },
	} {
		if Verify(in, spoil(append([]Slot{}, good...))) == nil {
			t.Errorf("%s: not found", name)
		}
	}
}

func TestFaultyInstances(t *testing.T) {
	for name, in := range map[string]*Instance{
		"no mode":         {Machines: 1, Workers: 1, Modes: [][]Mode{{}}, After: [][]int{nil}},
		"unknown machine": {Machines: 1, Workers: 2, Modes: [][]Mode{{{1, 1, 2}}}, After: [][]int{nil}},
		"unknown worker":  {Machines: 2, Workers: 1, Modes: [][]Mode{{{1, 1, 2}}}, After: [][]int{nil}},
		"negative time":   {Machines: 1, Workers: 1, Modes: [][]Mode{{{0, 0, -2}}}, After: [][]int{nil}},
		"too long":        {Machines: 1, Workers: 1, Modes: slices.Repeat([][]Mode{{{0, 0, longest}}}, 33), After: make([][]int, 33)},
		"circle":          {Machines: 1, Workers: 1, Modes: [][]Mode{{{0, 0, 1}}, {{0, 0, 1}}}, After: [][]int{{1}, {0}}},
		"after itself":    {Machines: 1, Workers: 1, Modes: [][]Mode{{{0, 0, 1}}}, After: [][]int{{0}}},
		"lengths differ":  {Machines: 1, Workers: 1, Modes: [][]Mode{{{0, 0, 1}}}},
	} {
		if _, err := Solve(context.Background(), in, Options{Rounds: 1}); err == nil {
			t.Errorf("%s: not refused", name)
		}
	}
}

// TestInnerLoopAllocatesNothing: a thousand steps of the search, once its scratch is made.
func TestInnerLoopAllocatesNothing(t *testing.T) {
	s, start := ready()
	if n := testing.AllocsPerRun(3, func() { s.run(start, 300) }); n > 0 {
		t.Errorf("%g allocations in a run of the inner loop", n)
	}
}

// BenchmarkSteps times the inner loop on 40 operations with 4 machines and 6 workers: it allocates nothing.
func BenchmarkSteps(b *testing.B) {
	s, start := ready()
	b.ReportAllocs()
	for b.Loop() {
		s.run(start, 1000)
	}
}

func ready() (*tabu, *plan) {
	b := newBreeder(newGraph(shop(8)), dice.New(1), 0, func() bool { return false })
	b.scratch()
	b.t.run(b.child, 1000)
	return b.t, b.child
}
