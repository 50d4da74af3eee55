package dispatch

import (
	"fmt"
	"sort"

	"tackline/plant"
	"tackline/schedule"
)

// crew says that people are missing to begin an operation now, though its station is open. What runs keeps its crew.
func (f *shared) crew(op int, s schedule.Slot) []Block {
	now := f.p.Now
	if !f.p.Stations[s.Station].Open.IsOpen(now) {
		return nil
	}
	need, order := map[int]int{}, []int{}
	when := f.firstPhase(op, s)
	for _, n := range f.p.Ops[op].Needs {
		if n.When&when != 0 {
			if need[n.Pool] == 0 {
				order = append(order, n.Pool)
			}
			need[n.Pool] += n.Heads
		}
	}
	var out []Block
	for _, pool := range order {
		p := &f.p.Pools[pool]
		present := heads(p, now)
		free := present - f.inUse(pool)
		if free >= need[pool] {
			continue
		}
		b := Block{What: fmt.Sprintf("waits for crew: %d of %d of %s are free", max(free, 0), need[pool], p.Name),
			Clears: "manager", Until: f.crewBack(pool, need[pool])}
		if present >= need[pool] { // they are here, at other work
			b.Clears = p.Name
		}
		out = append(out, b)
	}
	return out
}

// firstPhase gives the phases, as bits, in which people are needed first: setup and load if there are any, else the run.
func (f *shared) firstPhase(op int, s schedule.Slot) uint8 {
	if s.Setup < s.Run {
		return schedule.OnLoad
	}
	return schedule.OnRun
}

// inUse counts the heads of a pool that running operations need at this moment.
func (f *shared) inUse(pool int) (n int) {
	for _, op := range f.running() {
		s, _ := f.slot(op)
		phase := schedule.OnLoad
		if f.p.Now >= s.Run && f.p.Now < s.Unload {
			phase = schedule.OnRun
		}
		for _, need := range f.p.Ops[op].Needs {
			if need.Pool == pool && need.When&phase != 0 {
				n += need.Heads
			}
		}
	}
	return n
}

// running gives the operations that run; of a batch, one.
func (f *shared) running() []int {
	if f.begun != nil {
		return f.begun
	}
	type batch struct{ station, number int }
	seen := map[batch]bool{}
	f.begun = []int{}
	for op := range f.p.Ops {
		s, ok := f.slot(op)
		if f.p.Ops[op].State != schedule.Running || !ok || seen[batch{s.Station, s.Batch}] {
			continue
		}
		if s.Batch != 0 {
			seen[batch{s.Station, s.Batch}] = true
		}
		f.begun = append(f.begun, op)
	}
	return f.begun
}

// crewBack gives the next instant at which enough heads are present and not held by what runs; 0 if that is not known.
func (f *shared) crewBack(pool, need int) plant.Time {
	key := schedule.Need{Pool: pool, Heads: need}
	at, known := f.back[key]
	if !known {
		at = f.findCrew(pool, need)
		f.back[key] = at
	}
	return at
}

func (f *shared) findCrew(pool, need int) plant.Time {
	var changes []plant.Time
	for _, op := range f.running() {
		changes = append(changes, f.end(op))
	}
	for _, step := range f.p.Pools[pool].Heads {
		if step.At > f.p.Now {
			changes = append(changes, step.At)
		}
	}
	sort.Slice(changes, func(i, j int) bool { return changes[i] < changes[j] })
	for _, at := range changes {
		if heads(&f.p.Pools[pool], at)-f.stillHeld(pool, at) >= need {
			return at
		}
	}
	return 0
}

// stillHeld counts the heads of a pool that what runs now may need at a later instant.
func (f *shared) stillHeld(pool int, at plant.Time) (n int) {
	for _, op := range f.running() {
		if f.end(op) <= at {
			continue
		}
		for _, need := range f.p.Ops[op].Needs {
			if need.Pool == pool {
				n += need.Heads
			}
		}
	}
	return n
}

// heads gives the heads of a pool present at t.
func heads(p *schedule.Pool, t plant.Time) int {
	i := sort.Search(len(p.Heads), func(i int) bool { return p.Heads[i].At > t })
	if i == 0 {
		return 0
	}
	return p.Heads[i-1].N
}
