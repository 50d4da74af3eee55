package search

import (
	"encoding/binary"
	"slices"

	"tackline/calendar"
	"tackline/schedule"
)

// none is the index of nothing.
const none = int32(-1)

// addStations numbers the different open times of the stations.
func (b *builder) addStations() {
	for _, s := range b.p.Stations {
		var key []byte
		for _, x := range s.Open.Spans() {
			key = binary.AppendVarint(key, int64(x.From))
			key = binary.AppendVarint(key, int64(x.To))
		}
		n, ok := b.stationOf[string(key)]
		if !ok {
			n = int32(len(b.opens))
			b.stationOf[string(key)] = n
			b.opens = append(b.opens, b.clip(s.Open))
		}
		b.openOf = append(b.openOf, n)
	}
}

// clip closes what is after the horizon.
func (b *builder) clip(o calendar.Open) calendar.Open {
	s := o.Spans()
	if len(s) == 0 || s[len(s)-1].To <= b.p.Horizon {
		return o
	}
	return calendar.Intersect(o, calendar.Make([]calendar.Span{{From: s[0].From, To: b.p.Horizon}}))
}

// addOp makes an operation ready.
func (b *builder) addOp(o int32) {
	op := &b.p.Ops[o]
	takes := b.p.Stations[op.Can[0].Station].Takes
	load, run := gather(op.Needs, schedule.OnLoad), gather(op.Needs, schedule.OnRun)
	if op.Closed == schedule.Through {
		run = nil
	}
	w := &b.ops[o]
	*w = work{from: int32(len(b.choices)), family: int32(op.Family), class: none, earliest: op.Earliest, setup: op.Setup,
		size: int64(op.Size), priority: op.Priority, takes: takes, closed: op.Closed, fixed: op.State != schedule.ToPlan,
		binds:    op.State == schedule.ToPlan || op.State == schedule.Frozen,
		loadTeam: b.team(load), runTeam: b.team(run), bothTeam: b.team(add(load, run)), twiceTeam: b.team(add(load, load))}
	if takes == schedule.Places || takes == schedule.NoLimit {
		w.setup, w.family = 0, 0
	}
	for _, a := range b.alternatives(op, w) {
		c := choice{station: int32(a.Station), load: a.Load, run: a.Run, unload: a.Unload,
			loadHours: b.phaseHours(a.Station, w.loadTeam), runHours: b.phaseHours(a.Station, w.runTeam)}
		if w.takes == schedule.One && b.p.Stations[a.Station].Pallets >= 2 {
			c.beside = a.Beside
		}
		b.choices = append(b.choices, c)
	}
	w.to = int32(len(b.choices))
	if !w.fixed {
		w.group = b.group(op)
	}
	if takes == schedule.Batch && !w.fixed {
		w.class = b.class(op, w)
	}
	b.maxBatch = max(b.maxBatch, op.Fixed.Batch)
	if b.p.Adopted != nil {
		b.maxBatch = max(b.maxBatch, b.p.Adopted[o].Batch)
	}
}

// alternatives gives the stations and times of an operation; of a fixed one the station and the times that its slot says.
func (b *builder) alternatives(op *schedule.Op, w *work) []schedule.Alternative {
	f := op.Fixed
	switch {
	case !w.fixed:
		return op.Can
	case f.Station == schedule.None:
		return nil
	}
	w.takes = b.p.Stations[f.Station].Takes
	a := schedule.Alternative{Station: f.Station, Run: f.Unload.Sub(f.Run)}
	load := &b.hours[b.phaseHours(f.Station, w.loadTeam)]
	a.Load, a.Unload = load.Work(f.Load, f.Run), load.Work(f.Unload, f.End)
	if w.closed != schedule.Through {
		a.Run = b.hours[b.phaseHours(f.Station, w.runTeam)].Work(f.Run, f.Unload)
	}
	w.fixedSetup = load.Work(f.Setup, f.Load)
	for _, x := range op.Can {
		if x.Station == f.Station {
			a.Beside = x.Beside
		}
	}
	return []schedule.Alternative{a}
}

// class numbers what may share a batch: equal in key, family, closed rule, crew and stations.
func (b *builder) class(op *schedule.Op, w *work) int32 {
	k := batchKey{key: op.Key, family: w.family, closed: w.closed, load: w.loadTeam, run: w.runTeam, group: w.group}
	n, ok := b.classOf[k]
	if !ok {
		n = int32(len(b.classOf))
		b.classOf[k] = n
	}
	return n
}

// group numbers a set of stations.
func (b *builder) group(op *schedule.Op) int32 {
	stations := make([]int32, 0, len(op.Can))
	for _, a := range op.Can {
		stations = append(stations, int32(a.Station))
	}
	slices.Sort(stations)
	stations = slices.Compact(stations)
	var key []byte
	for _, m := range stations {
		key = binary.AppendVarint(key, int64(m))
	}
	g, ok := b.groupOf[string(key)]
	if !ok {
		g = int32(len(b.groups))
		b.groupOf[string(key)] = g
		b.groups = append(b.groups, stations)
	}
	return g
}

// gather sums the needs of some phases by pool.
func gather(needs []schedule.Need, when uint8) team {
	var t team
	for _, n := range needs {
		if n.When&when != 0 && n.Heads > 0 {
			t = add(t, team{{int32(n.Pool), int64(n.Heads)}})
		}
	}
	return t
}

// add sums two teams.
func add(a, b team) team {
	sum := slices.Clone(a)
	for _, n := range b {
		i, ok := slices.BinarySearchFunc(sum, n.pool, func(x need, p int32) int { return int(x.pool) - int(p) })
		if ok {
			sum[i].heads += n.heads
		} else {
			sum = slices.Insert(sum, i, n)
		}
	}
	return sum
}

// team numbers a set of needs.
func (b *builder) team(t team) int32 {
	var key []byte
	for _, n := range t {
		key = binary.AppendVarint(key, int64(n.pool))
		key = binary.AppendVarint(key, n.heads)
	}
	i, ok := b.teamOf[string(key)]
	if !ok {
		i = int32(len(b.teams))
		b.teamOf[string(key)] = i
		b.teams = append(b.teams, t)
	}
	return i
}

// phaseHours numbers the open time of a phase: the station's, while everybody needed is there.
func (b *builder) phaseHours(station int, t int32) int32 {
	k := [2]int32{b.openOf[station], t}
	i, ok := b.hoursOf[k]
	if ok {
		return i
	}
	open := b.opens[k[0]]
	for _, n := range b.teams[t] {
		open = calendar.Intersect(open, b.present(n))
	}
	i = int32(len(b.hours))
	b.hoursOf[k] = i
	b.hours = append(b.hours, makeHours(open))
	return i
}

// present gives the time in which a pool has the heads needed.
func (b *builder) present(n need) calendar.Open {
	open, ok := b.presence[n]
	if ok {
		return open
	}
	steps := b.p.Pools[n.pool].Heads
	var spans []calendar.Span
	for i, s := range steps {
		to := b.p.Horizon
		if i+1 < len(steps) {
			to = min(to, steps[i+1].At)
		}
		if int64(s.N) >= n.heads {
			spans = append(spans, calendar.Span{From: s.At, To: to})
		}
	}
	open = calendar.Make(spans)
	b.presence[n] = open
	return open
}
