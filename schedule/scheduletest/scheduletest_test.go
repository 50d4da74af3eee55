package scheduletest

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

func TestSameShapeSameProblem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := DrawShape(t, 60)
		if !reflect.DeepEqual(Make(s), Make(s)) {
			t.Fatal("two problems of one shape differ")
		}
		if n := len(Make(s).Ops); n != s.Ops {
			t.Fatalf("%d operations, want %d", n, s.Ops)
		}
	})
}

// TestFeasible checks what the package promises: some station's open time, with the crew, holds each phase, links run
// forward through the routes without a cycle, and indexes are good.
func TestFeasible(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { feasible(t, Plant(t)) })
}

type fataler interface {
	Fatalf(format string, args ...any)
	Helper()
}

func feasible(t fataler, p *schedule.Problem) {
	t.Helper()
	for i, o := range p.Ops {
		for _, a := range o.Can {
			open := p.Stations[a.Station].Open
			for _, n := range o.Needs {
				open = calendar.Intersect(open, present(p.Pools[n.Pool], n.Heads, p.Horizon))
			}
			run := open.Next(max(p.Now, o.Earliest))
			if o.Closed == schedule.Whole {
				run = open.Fit(run, a.Run)
			}
			if end := open.Add(run, a.Run+a.Load+a.Unload+a.Beside+o.Setup+4*hour); run == plant.Never || end == plant.Never {
				t.Fatalf("operation %d does not fit on station %d", i, a.Station)
			}
		}
		if o.State == schedule.ToPlan && o.Fixed != (schedule.Slot{}) {
			t.Fatalf("operation %d is free and has a fixed slot", i)
		}
		if f := o.Fixed; o.State != schedule.ToPlan && (f.Setup > f.Load || f.Load > f.Run || f.Run > f.Unload || f.Unload > f.End) {
			t.Fatalf("operation %d: fixed slot out of order: %+v", i, f)
		}
	}
	if !acyclic(p) {
		t.Fatalf("links run in a circle")
	}
}

// acyclic takes operations away that nothing points at until none is left (Kahn, "Topological sorting of large
// networks", 1962).
func acyclic(p *schedule.Problem) bool {
	into, from := make([]int, len(p.Ops)), make([][]int, len(p.Ops))
	for _, l := range p.Links {
		into[l.To]++
		from[l.From] = append(from[l.From], l.To)
	}
	var free []int
	for i, n := range into {
		if n == 0 {
			free = append(free, i)
		}
	}
	gone := 0
	for ; len(free) > 0; gone++ {
		i := free[len(free)-1]
		free = free[:len(free)-1]
		for _, j := range from[i] {
			if into[j]--; into[j] == 0 {
				free = append(free, j)
			}
		}
	}
	return gone == len(p.Ops)
}

// TestFull looks for every feature in a problem of a thousand operations.
func TestFull(t *testing.T) {
	p := Generate(1, 1000)
	feasible(t, p)
	have := map[string]bool{}
	for _, s := range p.Stations {
		have["takes "+string(rune('0'+s.Takes))] = true
		have["pallets"] = have["pallets"] || s.Pallets > 1
		have["overtime"] = have["overtime"] || s.Overtime.Total() > 0
	}
	for _, o := range p.Ops {
		have["state "+string(rune('0'+o.State))] = true
		have["closed "+string(rune('0'+o.Closed))] = true
		have["earliest"] = have["earliest"] || o.Earliest > 0
		have["zero"] = have["zero"] || o.Can[0].Load+o.Can[0].Run+o.Can[0].Unload == 0
	}
	for _, l := range p.Links {
		have["carrier"] = have["carrier"] || l.Carrier >= 0
		have["overlap"] = have["overlap"] || l.Transfer > 0
		have["lag"] = have["lag"] || l.Lag > 0
	}
	for _, want := range []string{"takes 0", "takes 1", "takes 2", "takes 3", "pallets", "overtime", "state 0", "state 1", "state 2",
		"state 3", "closed 0", "closed 1", "closed 2", "earliest", "zero", "carrier", "overlap", "lag"} {
		if !have[want] {
			t.Errorf("no %s in the problem", want)
		}
	}
}

func BenchmarkGenerate100k(b *testing.B) {
	for b.Loop() {
		Generate(1, 100_000)
	}
}

// TestSmall: small plants are feasible, count in whole hours, need every operation, and have between them every feature.
func TestSmall(t *testing.T) {
	have := map[string]bool{}
	for seed := range uint64(200) {
		p := Small(seed)
		if n := len(p.Ops); n < 6 || n > 10 {
			t.Fatalf("plant %d has %d operations", seed, n)
		}
		feasible(t, p)
		whole := func(at plant.Time) {
			if at != 0 && at.Sub(p.Now)%hour != 0 {
				t.Fatalf("plant %d: %d is not a whole hour from now", seed, at)
			}
		}
		needed := make([]bool, len(p.Ops))
		for _, u := range p.Units {
			needed[u.Last] = true
			whole(u.Due)
		}
		for _, l := range p.Links {
			needed[l.From] = true
			have["overlap"] = have["overlap"] || l.Transfer > 0
			have["join"] = have["join"] || l.Meeting
			have["truck"] = have["truck"] || l.Carrier >= 0
		}
		for i, o := range p.Ops {
			if !needed[i] {
				t.Errorf("plant %d: operation %d is for nothing", seed, i)
			}
			whole(o.Earliest)
			whole(o.Pinned)
			have["pin"] = have["pin"] || o.Pinned != 0
			have["setup"] = have["setup"] || o.Setup > 0
			have["takes "+string(rune('0'+p.Stations[o.Can[0].Station].Takes))] = true
			have["beside"] = have["beside"] || o.Can[0].Beside > 0
			have["two stations"] = have["two stations"] || len(o.Can) > 1
			have["closed "+string(rune('0'+o.Closed))] = true
		}
		have["adopted"] = have["adopted"] || p.Adopted != nil
	}
	for _, want := range []string{"overlap", "join", "truck", "pin", "setup", "takes 0", "takes 1", "takes 2", "takes 3", "beside", "two stations",
		"closed 0", "closed 1", "closed 2", "adopted"} {
		if !have[want] {
			t.Errorf("no plant has %s", want)
		}
	}
}
