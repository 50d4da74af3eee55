package disjunct

import (
	"context"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Instances as published. In each line of a job: the number of operations; for each the number of machines, then pairs of
// machine (from 1) and time. The first line has jobs and machines.
const (
	tenByTen = `10 10
0 29 1 78 2 9 3 36 4 49 5 11 6 62 7 56 8 44 9 21
0 43 2 90 4 75 9 11 3 69 1 28 6 46 5 46 7 72 8 30
1 91 0 85 3 39 2 74 8 90 5 10 7 12 6 89 9 45 4 33
1 81 2 95 0 71 4 99 6 9 8 52 7 85 3 98 9 22 5 43
2 14 0 6 1 22 5 61 3 26 4 69 8 21 7 49 9 72 6 53
2 84 1 2 5 52 3 95 8 48 9 72 0 47 6 65 4 6 7 25
1 46 0 37 3 61 2 13 6 32 5 21 9 32 8 89 7 30 4 55
2 31 0 86 1 46 5 74 4 32 6 88 8 19 9 48 7 36 3 79
0 76 1 69 3 76 5 51 2 85 9 11 6 40 7 89 4 26 8 74
1 85 0 13 2 61 6 7 8 64 9 76 5 47 3 52 4 90 7 45` // Fisher and Thompson 1963, in its usual form: pairs of machine (from 0) and time

	brandimarte1 = `10 6
6 2 1 5 3 4 3 5 3 3 5 2 1 2 3 4 6 2 3 6 5 2 6 1 1 1 3 1 3 6 6 3 6 4 3
5 1 2 6 1 3 1 1 1 2 2 2 6 4 6 3 6 5 2 6 1 1
5 1 2 6 2 3 4 6 2 3 6 5 2 6 1 1 3 3 4 2 6 6 6 2 1 1 5 5
5 3 6 5 2 6 1 1 1 2 6 1 3 1 3 5 3 3 5 2 1 2 3 4 6 2
6 3 5 3 3 5 2 1 3 6 5 2 6 1 1 1 2 6 2 1 5 3 4 2 2 6 4 6 3 3 4 2 6 6 6
6 2 3 4 6 2 1 1 2 3 3 4 2 6 6 6 1 2 6 3 6 5 2 6 1 1 2 1 3 4 2
5 1 6 1 2 1 3 4 2 3 3 4 2 6 6 6 3 2 6 5 1 1 6 1 3 1
5 2 3 4 6 2 3 3 4 2 6 6 6 3 6 5 2 6 1 1 1 2 6 2 2 6 4 6
6 1 6 1 2 1 1 5 5 3 6 6 3 6 4 3 1 1 2 3 3 4 2 6 6 6 2 2 6 4 6
6 2 3 4 6 2 3 3 4 2 6 6 6 3 5 3 3 5 2 1 1 6 1 2 2 6 4 6 2 1 3 4 2` // Brandimarte, "Routing and scheduling in a flexible job shop by tabu search", Annals of OR 41, 1993: MK01

	kacem1 = `4 5
3 5 1 2 2 5 3 4 4 1 5 2 5 1 5 2 4 3 5 4 7 5 5 5 1 4 2 5 3 5 4 4 5 5
3 5 1 2 2 5 3 4 4 7 5 8 5 1 5 2 6 3 9 4 8 5 5 5 1 4 2 5 3 4 4 54 5 5
4 5 1 9 2 8 3 6 4 7 5 9 5 1 6 2 1 3 2 4 5 5 4 5 1 2 2 5 3 4 4 2 5 4 5 1 4 2 5 3 2 4 1 5 5
2 5 1 1 2 5 3 2 4 4 5 12 5 1 5 2 1 3 2 4 1 5 2` // Kacem, Hammadi and Borne 2002: 4 jobs, 5 machines
)

func numbers(text string) func() int {
	words := strings.Fields(text)
	return func() int {
		n, err := strconv.Atoi(words[0])
		if err != nil {
			panic(err)
		}
		words = words[1:]
		return n
	}
}

func addTo(in *Instance, k int, options []Option) {
	var after []int
	if k > 0 {
		after = []int{len(in.Options) - 1}
	}
	in.Options, in.After = append(in.Options, options), append(in.After, after)
}

func readJobShop(text string) *Instance {
	next := numbers(text)
	jobs, machines := next(), next()
	in := &Instance{Machines: machines}
	for range jobs {
		for k := range machines {
			addTo(in, k, []Option{{next(), next()}})
		}
	}
	return in
}

func readFlexible(text string) *Instance {
	next := numbers(text)
	jobs, machines := next(), next()
	in := &Instance{Machines: machines}
	for range jobs {
		for k := range next() {
			options := make([]Option, next())
			for i := range options {
				options[i] = Option{next() - 1, next()}
			}
			addTo(in, k, options)
		}
	}
	return in
}

// The values are the proved optima of the list of instances and bounds at github.com/ScheduleOpt/benchmarks (2026); 930 was proved
// first by Carlier and Pinson 1989. The least bound is what the methods gave here: it must not become worse unseen.
func TestPublished(t *testing.T) {
	for _, c := range []struct {
		name           string
		in             *Instance
		rounds         int
		optimum, least int
	}{
		{"10 by 10", readJobShop(tenByTen), 60, 930, 880},
		{"MK01", readFlexible(brandimarte1), 5, 40, 40},
		{"4 by 5", readFlexible(kacem1), 3, 11, 11},
	} {
		r, err := Solve(context.Background(), c.in, Options{Workers: 1, Seed: 1, Rounds: c.rounds})
		if err != nil {
			t.Fatal(err)
		}
		if err := Verify(c.in, r.Slots); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if r.Span != c.optimum {
			t.Errorf("%s: makespan %d, the optimum is %d", c.name, r.Span, c.optimum)
		}
		if r.Bound < c.least || r.Bound > c.optimum {
			t.Errorf("%s: bound %d, want %d to %d", c.name, r.Bound, c.least, c.optimum)
		}
	}
}

// No method of bounding may go past the shortest plan, whatever it is told of a plan that exists.
func TestBoundsAgainstEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := little(t)
		want := shortest(in)
		high := want + rapid.IntRange(0, 8).Draw(t, "more")
		p := newProver(in, func() bool { return false })
		low := Bound(in)
		if low > want {
			t.Fatalf("bound %d above the shortest %d", low, want)
		}
		alone := p.raise(low, high, false, 0)
		tried := p.raise(alone, high, true, 1<<30)
		if alone < low || tried < alone || tried > want {
			t.Fatalf("bounds %d, %d, %d; the shortest is %d", low, alone, tried, want)
		}
	})
}
