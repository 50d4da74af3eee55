package setout_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"tackline/book"
	"tackline/demo"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/setout"
)

var wednesday plant.Time = 1795586400 // 2026-11-25T06:00Z

func laidOut(t rapid.TB, b *book.Book) (*needs.Result, *schedule.Problem) {
	t.Helper()
	_, r, p := indexedAndLaidOut(t, b)
	return r, p
}

func indexedAndLaidOut(t rapid.TB, b *book.Book) (*book.Index, *needs.Result, *schedule.Problem) {
	t.Helper()
	ix, err := book.NewIndex(b)
	if err != nil {
		t.Fatal(err)
	}
	r, err := needs.Explode(ix, wednesday)
	if err != nil {
		t.Fatal(err)
	}
	p, err := setout.Problem(ix, r)
	if err != nil {
		t.Fatal(err)
	}
	return ix, r, p
}

// What every Problem made of a whole plant must keep: indexes lead somewhere, times are not below 0, what is fixed is in
// order, links lead from earlier work to later without a circle.
func TestWholePlants(t *testing.T) {
	plantBook, err := demo.Plant(1, wednesday)
	if err != nil {
		t.Fatal(err)
	}
	small, err := demo.Small(wednesday)
	if err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string]*book.Book{"small": small, "demo": plantBook} {
		r, p := laidOut(t, b)
		if len(p.Ops) != len(r.Ops) || len(p.Jobs) != len(r.Jobs) || len(p.Units) != len(r.Units) || len(p.Ops) == 0 {
			t.Fatalf("%s: %d operations, %d jobs, %d units of %d, %d, %d", name, len(p.Ops), len(p.Jobs), len(p.Units), len(r.Ops), len(r.Jobs), len(r.Units))
		}
		for i := range p.Ops {
			if err := sound(p, &p.Ops[i]); err != nil {
				t.Errorf("%s: operation %d of %s: %v", name, p.Ops[i].Seq, p.Jobs[p.Ops[i].Job].ID, err)
			}
		}
		if n := circular(p); n > 0 {
			t.Errorf("%s: %d operations stand in circles of links", name, n)
		}
	}
}

func sound(p *schedule.Problem, o *schedule.Op) error {
	if len(o.Can) == 0 || o.Earliest < p.Now || o.Why == "" != (o.Earliest == p.Now) || o.Family >= len(p.Families) {
		return fmt.Errorf("%+v", o)
	}
	for _, a := range o.Can {
		if min(a.Load, a.Run, a.Unload, a.Beside) < 0 || p.Stations[a.Station].Takes != p.Stations[o.Can[0].Station].Takes {
			return fmt.Errorf("alternative %+v", a)
		}
	}
	for _, n := range o.Needs {
		if n.Heads < 1 || n.When == 0 || n.Pool >= len(p.Pools) {
			return fmt.Errorf("need %+v", n)
		}
	}
	f := o.Fixed
	switch {
	case o.State == schedule.ToPlan:
		return nil
	case f.Setup > f.Load || f.Load > f.Run || f.Run > f.Unload || f.Unload > f.End:
		return fmt.Errorf("fixed out of order: %+v", f)
	case o.State == schedule.Done && f.End > p.Now, o.State == schedule.Running && (f.Load > p.Now || f.End < p.Now), o.State == schedule.Frozen && f.Setup < p.Now:
		return fmt.Errorf("state %d at %+v", o.State, f)
	}
	return nil
}

// circular counts the operations that are never free of unfinished ones before them.
func circular(p *schedule.Problem) int {
	before := make([]int, len(p.Ops))
	after := make([][]int, len(p.Ops))
	for _, l := range p.Links {
		before[l.To]++
		after[l.From] = append(after[l.From], l.To)
	}
	var free []int
	for i, n := range before {
		if n == 0 {
			free = append(free, i)
		}
	}
	done := 0
	for ; done < len(free); done++ {
		for _, to := range after[free[done]] {
			if before[to]--; before[to] == 0 {
				free = append(free, to)
			}
		}
	}
	return len(p.Ops) - done
}

// BenchmarkProblem sets out the demo plant with its quantities raised until it has about 100,000 operations.
func BenchmarkProblem(b *testing.B) {
	plantBook, err := demo.Plant(1, wednesday)
	if err != nil {
		b.Fatal(err)
	}
	r, _ := laidOut(b, plantBook)
	factor := 100_000/len(r.Ops) + 1
	for i := range plantBook.Lines {
		plantBook.Lines[i].Quantity *= factor
	}
	ix, err := book.NewIndex(plantBook)
	if err != nil {
		b.Fatal(err)
	}
	if r, err = needs.Explode(ix, wednesday); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := setout.Problem(ix, r); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(r.Ops)), "operations")
}
