package scheduletest

import (
	"fmt"
	"slices"
	"time"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// Now is the instant at which generated problems begin: a Monday, six days before the clocks change in Europe.
var Now = plant.At(time.Date(2026, 3, 23, 7, 0, 0, 0, time.UTC))

const (
	day  = plant.Time(24 * 3600)
	hour = plant.Seconds(3600)
)

// kind is what a centre does.
type kind int

const (
	tack kind = iota
	robot
	mill
	blast
	paint
	rack
	away
	assembly
	kinds
)

var kindNames = [kinds]string{"Tack bench", "Weld robot", "Pallet mill", "Blast", "Paint booth", "Drying rack", "Plating shop", "Assembly bay"}

// share is the part of all operations, in per cent, that a kind gets; it sets the number of stations.
var share = [kinds]int{18, 14, 22, 10, 10, 6, 2, 18}

// opsPerStation keeps the load of the biggest problems well inside the horizon.
const opsPerStation = 500

// works is a plant under construction.
type works struct {
	zone    *time.Location
	open    map[string]calendar.Open // shift patterns
	over    map[string]calendar.Open // their overtime
	centres [kinds][]int             // centres by kind
	pool    [kinds]int               // crew pool of a kind, or None
}

func zone(name string) *time.Location {
	loc, err := time.LoadLocation(name)
	if err != nil {
		return time.UTC
	}
	return loc
}

func (m *maker) addWorks(name, tz string) *works {
	w := &works{zone: zone(tz), open: map[string]calendar.Open{}, over: map[string]calendar.Open{}}
	w.expand(m.p.Horizon)
	for k := range w.pool {
		w.pool[k] = schedule.None
	}
	if m.s.Crews {
		m.addPools(w, name)
	}
	for k := range kinds {
		m.addCentres(w, name, k)
	}
	return w
}

// expand makes the shift patterns: early and late shifts, the night, and around the clock, with a holiday, Saturday
// overtime and clocks that change.
func (w *works) expand(horizon plant.Time) {
	shift := func(name, days string, from, to plant.Clock) plant.Shift {
		return plant.Shift{Calendar: "x", Name: name, Days: days, From: from, To: to}
	}
	early, late := shift("early", "mon-fri", 360, 840), shift("late", "mon-fri", 840, 1320)
	patterns := map[string][]plant.Shift{
		"early": {early}, "two": {early, late}, "night": {shift("night", "sun-thu", 1320, 360)},
		"always": {shift("all", "all", 0, 1440)},
	}
	exceptions := []plant.Exception{
		{Calendar: "x", From: "2026-04-06T00:00", To: "2026-04-07T00:00", Kind: "holiday"},
		{Calendar: "x", From: "2026-03-28T06:00", To: "2026-03-28T12:00", Kind: "overtime"},
		{Calendar: "x", From: "2026-04-11T06:00", To: "2026-04-11T12:00", Kind: "overtime"},
	}
	for name, shifts := range patterns {
		ex := exceptions
		if name == "always" || name == "night" {
			ex = nil
		}
		open, over, err := calendar.Expand(shifts, ex, w.zone, Now-4*day, horizon)
		if err != nil {
			panic(err) // the patterns above are wrong: a programmer's fault
		}
		w.open[name], w.over[name] = open, over
	}
}

func (m *maker) addPools(w *works, name string) {
	for i, x := range []struct {
		name  string
		kinds []kind
	}{{"Welders", []kind{tack}}, {"Machine crew", []kind{robot, mill}}, {"Paint crew", []kind{blast, paint}}, {"Fitters", []kind{assembly}}} {
		stations := 0
		for _, k := range x.kinds {
			stations += m.stationsOf(k)
			w.pool[k] = len(m.p.Pools)
		}
		heads := 2 + stations*8/10
		shifts := map[string]int{"early": heads, "late": max(2, heads*2/3)}
		if !m.s.NoNightCrew {
			shifts["night"] = m.d.between(0, 2)
		}
		m.p.Pools = append(m.p.Pools, schedule.Pool{ID: plant.PoolID(fmt.Sprintf("%s-pool-%d", name, i)), Name: x.name,
			Heads: w.heads(shifts, m.p.Horizon)})
	}
}

// heads adds up people by shift to a step function.
func (w *works) heads(people map[string]int, horizon plant.Time) []schedule.Step {
	change := map[plant.Time]int{Now - 4*day: 0, horizon: 0}
	for shift, n := range people {
		open := w.open[shift]
		if shift == "late" {
			open = calendar.Without(w.open["two"], w.open["early"])
		}
		for _, s := range open.Spans() {
			change[s.From] += n
			change[s.To] -= n
		}
	}
	at := make([]plant.Time, 0, len(change))
	for t := range change {
		at = append(at, t)
	}
	slices.Sort(at)
	steps := make([]schedule.Step, 0, len(at))
	n := 0
	for _, t := range at {
		n += change[t]
		steps = append(steps, schedule.Step{At: t, N: n})
	}
	return steps
}

func (m *maker) stationsOf(k kind) int { return 1 + m.s.Ops*share[k]/100/opsPerStation }

// addCentres makes the centres of a kind, each with up to four stations.
func (m *maker) addCentres(w *works, name string, k kind) {
	left := m.stationsOf(k) + m.d.below(2)
	for left > 0 {
		n := min(left, 4)
		left -= n
		c := schedule.Centre{ID: plant.CentreID(fmt.Sprintf("%s-c%d", name, len(m.p.Centres))), Name: kindNames[k]}
		if m.s.Setups && (k == robot || k == mill || k == paint) {
			c.Changeover = m.matrix()
		}
		w.centres[k] = append(w.centres[k], len(m.p.Centres))
		m.p.Centres = append(m.p.Centres, c)
		m.byCentre = append(m.byCentre, nil)
		for range n {
			m.addStation(w, name, k, len(m.p.Centres)-1)
		}
	}
}

func (m *maker) addStation(w *works, name string, k kind, centre int) {
	pattern := []string{"two", "two", "early", "always"}[m.d.below(4)]
	if m.s.NoNightCrew && k != assembly || k == rack {
		pattern = "always"
	}
	s := schedule.Station{Centre: centre, Open: w.open[pattern], Overtime: w.over[pattern], Pallets: 1, Capacity: plant.Pieces(1)}
	s.ID = plant.StationID(fmt.Sprintf("%s-s%d", name, len(m.p.Stations)))
	s.Name = fmt.Sprintf("%s %d", kindNames[k], len(m.p.Stations)+1)
	switch {
	case (k == blast || k == paint) && m.s.Batches:
		s.Takes = schedule.Batch
		s.Capacity = plant.Pieces(m.d.between(4, 8))
		if m.s.BatchOfOne {
			s.Capacity = plant.Pieces(1)
		}
	case k == rack && m.s.Places:
		s.Takes, s.Capacity = schedule.Places, plant.Pieces(m.d.between(4, 12))
	case k == away && m.s.Away:
		s.Takes = schedule.NoLimit
	case (k == robot || k == mill) && m.s.Pallets && m.d.chance(60):
		s.Pallets = m.d.between(2, 3)
	}
	if m.s.Setups && m.d.chance(50) {
		s.Family = m.d.below(len(m.p.Families))
	}
	if m.d.chance(20) { // down for two days
		from := Now + plant.Time(m.d.below(20*24))*plant.Time(hour)
		s.Open = calendar.Without(s.Open, calendar.Make([]calendar.Span{{From: from, To: from + 2*day}}))
		s.Overtime = calendar.Intersect(s.Overtime, s.Open)
	}
	m.byCentre[centre] = append(m.byCentre[centre], len(m.p.Stations))
	m.p.Stations = append(m.p.Stations, s)
}

// matrix gives an asymmetric changeover matrix: nothing within a family, or from and to none.
func (m *maker) matrix() [][]plant.Seconds {
	n := len(m.p.Families)
	out := make([][]plant.Seconds, n)
	for i := range out {
		out[i] = make([]plant.Seconds, n)
		for j := range out[i] {
			if i != j && j > 0 {
				out[i][j] = plant.Seconds(m.d.between(0, 12) * 300)
			}
		}
	}
	return out
}
