package disjunct

import (
	"context"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tackline/schedule/dice"
)

// medium draws an instance of up to 5 jobs of up to 6 operations on up to 4 machines.
func medium(t *rapid.T) *Instance {
	in := &Instance{Name: "medium", Machines: rapid.IntRange(1, 4).Draw(t, "machines")}
	least := rapid.IntRange(0, 1).Draw(t, "least")
	for j := range rapid.IntRange(2, 5).Draw(t, "jobs") {
		for k := range rapid.IntRange(1, 6).Draw(t, "length") {
			var after []int
			if n := len(in.Options); k > 0 {
				after = []int{n - 1}
				if b := rapid.IntRange(0, n-1).Draw(t, "branch"); b < n-1 && rapid.IntRange(0, 4).Draw(t, "joins") == 0 {
					after = append(after, b)
				}
			}
			var options []Option
			for m := range in.Machines {
				if len(options) == 0 && m == in.Machines-1 || rapid.Bool().Draw(t, "can") {
					options = append(options, Option{m, rapid.IntRange(least, 12).Draw(t, "time")})
				}
			}
			in.Options, in.After = append(in.Options, options), append(in.After, after)
			in.Job, in.Place = append(in.Job, j), append(in.Place, k)
		}
	}
	return in
}

// What a step brings up to date must be what working the plan out from nothing gives, and no step makes a circle.
func TestStepsKeepThePlanExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := newGraph(medium(t))
		b := newBreeder(g, dice.New(rapid.Uint64().Draw(t, "seed")), 0, &shared{ctx: context.Background(), fixed: true})
		b.scratch()
		s, fresh := b.t, newPlan(g)
		s.cur.CopyFrom(b.child)
		s.best.CopyFrom(b.child)
		for range 60 {
			m, ok := s.choose()
			if !ok {
				return
			}
			s.forbid(&m)
			s.cur.relocate(g, m.o, m.after, m.to, s.moved, s.mark)
			s.step++
			p := s.cur
			fresh.clear()
			for machine, list := range p.order {
				for _, o := range list {
					fresh.put(o, option{int32(machine), p.dur[o]})
				}
			}
			if !fresh.evaluate(g, s.waits) {
				t.Fatal("a step made a circle")
			}
			if fresh.span != p.span || !slices.Equal(fresh.end, p.end) || !slices.Equal(fresh.rest, p.rest) || !slices.Equal(fresh.jobHead, p.jobHead) ||
				!slices.Equal(fresh.jobTail, p.jobTail) || !slices.Equal(fresh.prev, p.prev) || !slices.Equal(fresh.next, p.next) || !slices.Equal(fresh.place, p.place) {
				t.Fatalf("after a step: %+v\nfrom nothing: %+v", p, fresh)
			}
			if slices.Contains(s.mark, true) {
				t.Fatal("a mark was left")
			}
		}
	})
}
