package calendar

import (
	"testing"

	"tackline/plant"

	"pgregory.net/rapid"
)

// The slow twin: open time as a table of small steps. Every function of Open is answered by walking it.
type slow []bool

const steps = 120 // instants 0..steps; step i is [i, i+1)

func (s slow) at(t plant.Time) bool { return t >= 0 && int(t) < len(s) && s[t] }

func (s slow) work(from, to plant.Time) (n plant.Seconds) {
	for t := from; t < to; t++ {
		if s.at(t) {
			n++
		}
	}
	return n
}

func (s slow) add(t plant.Time, work plant.Seconds) plant.Time {
	for e := t; e <= steps+1; e++ {
		if s.work(t, e) == max(0, work) {
			return e
		}
	}
	return plant.Never
}

func (s slow) sub(t plant.Time, work plant.Seconds) plant.Time {
	for b := t; b >= -2; b-- {
		if s.work(b, t) == max(0, work) {
			return b
		}
	}
	return -plant.Never
}

func (s slow) fits(t plant.Time, work plant.Seconds) bool {
	return s.work(t, t.Add(work)) == max(0, work)
}

func (s slow) fit(t plant.Time, work plant.Seconds) plant.Time {
	for b := t; b <= steps+1; b++ {
		if s.fits(b, work) {
			return b
		}
	}
	return plant.Never
}

func (s slow) fitBefore(t plant.Time, work plant.Seconds) plant.Time {
	for b := t.Add(-max(0, work)); b >= -2; b-- {
		if s.fits(b, work) {
			return b
		}
	}
	return -plant.Never
}

func (s slow) next(t plant.Time) plant.Time {
	for ; t <= steps; t++ {
		if s.at(t) {
			return t
		}
	}
	return plant.Never
}

func (s slow) prev(t plant.Time) plant.Time {
	for ; t >= 0; t-- {
		if s.at(t - 1) {
			return t
		}
	}
	return -plant.Never
}

func drawSpans(t *rapid.T, name string) []Span {
	n := rapid.IntRange(0, 45).Draw(t, name+" spans")
	out := make([]Span, n)
	for i := range out {
		from := plant.Time(rapid.IntRange(0, steps).Draw(t, "from"))
		out[i] = Span{from, min(steps, from.Add(plant.Seconds(rapid.IntRange(-1, 3).Draw(t, "length"))))}
	}
	return out
}

func slowOf(spans []Span) slow {
	s := make(slow, steps)
	for _, x := range spans {
		for t := x.From; t < x.To; t++ {
			s[t] = true
		}
	}
	return s
}

func TestAgainstSlowTwin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans := drawSpans(t, "a")
		o, s := Make(spans), slowOf(spans)
		checkShape(t, o)
		at := plant.Time(rapid.IntRange(-1, steps+1).Draw(t, "t"))
		to := plant.Time(rapid.IntRange(-1, steps+1).Draw(t, "to"))
		work := plant.Seconds(rapid.IntRange(-1, 40).Draw(t, "work"))
		length := plant.Seconds(rapid.IntRange(-1, 9).Draw(t, "length"))
		same := func(what string, got, want any) {
			if got != want {
				t.Fatalf("%s at %d to %d, work %d, length %d: got %v, want %v, open %v", what, at, to, work, length, got, want, o.Spans())
			}
		}
		same("Total", o.Total(), s.work(-1, steps+1))
		same("IsOpen", o.IsOpen(at), s.at(at))
		same("Next", o.Next(at), s.next(at))
		same("Prev", o.Prev(at), s.prev(at))
		same("Work", o.Work(at, to), s.work(at, to))
		same("Add", o.Add(at, work), s.add(at, work))
		same("Sub", o.Sub(at, work), s.sub(at, work))
		same("Fit", o.Fit(at, length), s.fit(at, length))
		same("FitBefore", o.FitBefore(at, length), s.fitBefore(at, length))
	})
}

func TestCombineAgainstSlowTwin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawSpans(t, "a"), drawSpans(t, "b")
		a, b, p, q := Make(x), Make(y), slowOf(x), slowOf(y)
		both, either, only := Intersect(a, b), Union(a, b), Without(a, b)
		for _, o := range []Open{both, either, only} {
			checkShape(t, o)
		}
		for i := plant.Time(-1); i <= steps; i++ {
			if both.IsOpen(i) != (p.at(i) && q.at(i)) || either.IsOpen(i) != (p.at(i) || q.at(i)) || only.IsOpen(i) != (p.at(i) && !q.at(i)) {
				t.Fatalf("at %d: a %v b %v, intersect %v union %v without %v", i, p.at(i), q.at(i), both.IsOpen(i), either.IsOpen(i), only.IsOpen(i))
			}
		}
	})
}

func checkShape(t *rapid.T, o Open) {
	for i, x := range o.Spans() {
		if x.From >= x.To || i > 0 && o.Spans()[i-1].To >= x.From {
			t.Fatalf("spans are not sorted, disjoint, apart and not empty: %v", o.Spans())
		}
	}
}

// Sub undoes Add: the work begun at a working instant and done at e could have begun no later than there.
func TestAddAndSubAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := Make(drawSpans(t, "a"))
		at := o.Next(plant.Time(rapid.IntRange(-1, steps).Draw(t, "t")))
		work := plant.Seconds(rapid.IntRange(1, 40).Draw(t, "work"))
		if at == plant.Never {
			return
		}
		if e := o.Add(at, work); e != plant.Never && o.Sub(e, work) != at {
			t.Fatalf("Add(%d, %d) = %d, but Sub gives %d; open %v", at, work, e, o.Sub(e, work), o.Spans())
		}
		more := plant.Seconds(rapid.IntRange(0, 40).Draw(t, "more"))
		if e := o.Add(at, work); e != plant.Never && o.Add(e, more) != o.Add(at, work+more) {
			t.Fatalf("Add in two steps of %d and %d from %d differs from one", work, more, at)
		}
	})
}
