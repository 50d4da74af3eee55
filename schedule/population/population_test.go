package population

import (
	"slices"
	"testing"

	"tackline/schedule/dice"
)

// line is a plan of operations one after the other on one machine.
type line struct {
	order []int32
	span  int32
}

func (l *line) Makespan() int32        { return l.span }
func (l *line) Middle(o int32) float64 { return float64(slices.Index(l.order, o)) + 0.5 }
func (l *line) CopyFrom(m *line)       { l.order, l.span = slices.Clone(m.order), m.span }
func (l *line) Distance(m *line) (d int) {
	for i := range l.order {
		if l.order[i] != m.order[i] {
			d++
		}
	}
	return d
}

func fresh() *line { return &line{span: 1 << 30} }

// TestKeep: the best stays known, a copy is kept, the worst gives way, and what is there already is not kept twice.
func TestKeep(t *testing.T) {
	p := New(2, 1, []int32{0, 1, 2}, fresh)
	found := &line{[]int32{0, 1, 2}, 9}
	p.Keep(found)
	found.order[0], found.span = 1, 7
	found.order[1] = 0
	p.Keep(found)
	if !p.full() || p.Shortest() != 7 || p.all[0].span != 9 || p.all[0].order[0] != 0 {
		t.Fatalf("two plans were to be kept, of 9 and 7: best %+v, first %+v", p.best, p.all[0])
	}
	p.Keep(found)
	if p.all[0].span != 9 {
		t.Error("a plan that is there was kept again, in the place of another")
	}
	p.Keep(&line{[]int32{2, 1, 0}, 8})
	if p.all[0].span != 8 || p.all[1].span != 7 || p.Best().span != 7 {
		t.Errorf("the worst was to give way: %+v %+v, best %+v", p.all[0], p.all[1], p.best)
	}
}

// TestNext: plans are made from scratch until there are enough, then combined while that brings something new.
func TestNext(t *testing.T) {
	p := New(2, 1, []int32{0, 1, 2}, fresh)
	d := dice.New(1)
	found := []*line{{[]int32{0, 1, 2}, 9}, {[]int32{1, 0, 2}, 7}, {[]int32{2, 1, 0}, 8}}
	kept := 0
	next := func() bool {
		made := 0
		combined := p.Next(d, func() { made++ }, func(x, y *line) {
			if made++; x == y {
				t.Fatal("a plan was combined with itself")
			}
		})
		if made != 1 {
			t.Fatalf("%d plans were made, one expected", made)
		}
		p.Keep(found[min(kept, 2)])
		kept++
		return combined
	}
	for n, want := range []bool{false, false, true, true, true, true, true, true, false, false, true} {
		if got := next(); got != want {
			t.Fatalf("plan %d: combined %v, want %v", n, got, want)
		}
	}
	if p.Shortest() != 7 {
		t.Errorf("the best was to stay known: %d", p.Shortest())
	}
}

// TestBetween: what both parents do in one order is done in that order, and each operation comes once.
func TestBetween(t *testing.T) {
	topo := []int32{0, 1, 2, 3, 4}
	p := New(2, 1, topo, fresh)
	x, y := &line{[]int32{0, 1, 2, 3, 4}, 5}, &line{[]int32{3, 0, 4, 1, 2}, 5}
	d := dice.New(1)
	for range 50 {
		var got []int32
		for o, from := range p.Between(d, x, y) {
			if from != x && from != y {
				t.Fatal("an operation follows a plan that is no parent")
			}
			got = append(got, o)
		}
		for _, pair := range [][2]int32{{0, 1}, {1, 2}, {0, 2}, {3, 4}, {0, 4}} {
			if slices.Index(got, pair[0]) > slices.Index(got, pair[1]) {
				t.Fatalf("%v: both parents do %d before %d", got, pair[0], pair[1])
			}
		}
		if slices.Sort(got); !slices.Equal(got, topo) {
			t.Fatalf("each operation was to come once: %v", got)
		}
	}
}
