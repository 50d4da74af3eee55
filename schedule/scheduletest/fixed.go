package scheduletest

import (
	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// fix makes some work done, running or frozen, and an adopted plan that holds it. Fixed work is consistent: it overlaps
// on no station, and its crew is there.
func (m *maker) fix() {
	p := m.p
	p.Adopted = make([]schedule.Slot, len(p.Ops))
	heads := make([]int, len(p.Pools)) // taken by fixed work, counted as if it all went on at once
	busy := make([]bool, len(p.Stations))
	into := make([]int, len(p.Ops))
	for _, l := range p.Links {
		into[l.To]++
	}
	for i := range p.Adopted {
		p.Adopted[i].Station = schedule.None
		if m.d.chance(5) {
			t := Now + plant.Time(m.d.below(48))*plant.Time(hour)
			p.Adopted[i] = schedule.Slot{Station: p.Ops[i].Can[0].Station, Setup: t, Load: t, Run: t, Unload: t, End: t}
		}
	}
	for j := range p.Jobs {
		op := m.first[j]
		if into[op] > 0 || !m.d.chance(25) {
			continue
		}
		if op < m.last[j] && into[op+1] == 1 && m.d.chance(50) {
			m.done(op)
			op++
		}
		m.begin(op, heads, busy)
	}
	for i, o := range p.Ops {
		if o.State != schedule.ToPlan {
			p.Adopted[i] = o.Fixed
		}
	}
}

// done puts op into the past.
func (m *maker) done(op int) {
	o := &m.p.Ops[op]
	end := Now - plant.Time(m.d.between(1, 24))*plant.Time(hour)
	o.State, o.Earliest = schedule.Done, 0
	o.Fixed = schedule.Slot{Station: o.Can[0].Station, Setup: end, Load: end, Run: end - 600, Unload: end, End: end}
	o.Fixed.Setup, o.Fixed.Load = o.Fixed.Run, o.Fixed.Run
}

// begin makes op running or frozen if its station is free and crew is left.
func (m *maker) begin(op int, heads []int, busy []bool) {
	o := &m.p.Ops[op]
	a := o.Can[m.d.below(len(o.Can))]
	s := m.p.Stations[a.Station]
	if busy[a.Station] {
		return
	}
	open := s.Open
	for _, n := range o.Needs {
		if heads[n.Pool]+n.Heads > 2 {
			return
		}
		open = calendar.Intersect(open, present(m.p.Pools[n.Pool], n.Heads, m.p.Horizon))
	}
	setup := o.Setup
	if m := m.p.Centres[s.Centre].Changeover; m != nil && o.Family > 0 {
		setup += m[s.Family][o.Family]
	}
	if s.Takes == schedule.Places || s.Takes == schedule.NoLimit {
		setup = 0
	}
	o.State, o.Earliest = schedule.Frozen, 0
	from := Now
	if m.d.chance(50) {
		o.State = schedule.Running
		from = Now - plant.Time(m.d.between(5, 50))*60
	}
	// All phases are taken to need station and crew, the run to fit without a break: it then meets every closed rule.
	f := schedule.Slot{Station: a.Station, Setup: open.Next(from)}
	f.Load = next(open, f.Setup, setup, a.Load)
	f.Run = open.Fit(next(open, f.Load, a.Load, 0), a.Run)
	f.Unload = next(open, f.Run.Add(a.Run), 0, a.Unload)
	f.End = max(open.Add(f.Unload, a.Unload), open.Add(f.Run, a.Beside))
	if a.Load == 0 {
		f.Load = f.Run
	}
	if setup == 0 {
		f.Setup = f.Load
	}
	if f.End >= m.p.Horizon || o.State == schedule.Running && f.Setup >= Now {
		o.State, o.Fixed = schedule.ToPlan, schedule.Slot{}
		return
	}
	if a.Unload == 0 {
		f.Unload = f.End
	}
	if a.Run == 0 {
		f.Run = f.Unload
	}
	if s.Takes == schedule.Batch {
		f.Batch = 1
	}
	busy[a.Station] = true
	for _, n := range o.Needs {
		heads[n.Pool] += n.Heads
	}
	o.Fixed = f
}

// next gives the instant at which the phase after work begun at t begins: at once if it takes no time, else in open time.
func next(open calendar.Open, t plant.Time, work, after plant.Seconds) plant.Time {
	t = open.Add(t, work)
	if after == 0 {
		return t
	}
	return open.Next(t)
}

// present gives the time in which a pool has at least n heads.
func present(pool schedule.Pool, n int, horizon plant.Time) calendar.Open {
	var spans []calendar.Span
	for i, s := range pool.Heads {
		to := horizon
		if i+1 < len(pool.Heads) {
			to = pool.Heads[i+1].At
		}
		if s.N >= n {
			spans = append(spans, calendar.Span{From: s.At, To: to})
		}
	}
	return calendar.Make(spans)
}
