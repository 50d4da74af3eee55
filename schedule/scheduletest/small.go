package scheduletest

import (
	"fmt"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// smallDays is the horizon of small plants.
const smallDays = 8

// small builds a small plant.
type small struct {
	d     dice
	p     *schedule.Problem
	kinds []smallKind // by centre
	at    [][]int     // stations by centre
}

type smallKind int

const (
	smallBench smallKind = iota
	smallMachine
	smallBooth
	smallRack
	smallAway
)

// SmallPlants is the number of small plants whose optimum is known: Small(0) and on.
const SmallPlants = 500

// Small makes a plant of six to ten operations in which everything is possible and every time and duration is a whole
// number of hours from Now and every cost a whole number of cents an hour, so that an exact solver that counts in hours
// finds its optimum: stations with shifts, overtime and stops, pallets, batches, places and work away, crews, changeovers, lots
// passed on, joins, lags, trucks, material, pins and an adopted plan. Every operation is needed for a unit.
func Small(seed uint64) *schedule.Problem {
	s := &small{d: dice{seed*0xd1342543de82ef95 + 0x2545f4914f6cdd1d}}
	s.p = &schedule.Problem{Now: Now, Horizon: Now + smallDays*day, Freeze: Now + day,
		Families: []plant.Family{"", "jaw", "tine", "head"},
		Weights: schedule.Weights{Wait: 0.001, Setup: s.money(0, 60), Overtime: s.money(0, 40), Move: s.money(0, 60),
			Pin: s.money(1, 30)}}
	s.pools()
	for _, k := range []smallKind{smallBench, smallMachine, smallBooth, smallRack, smallAway} {
		s.centre(k)
	}
	if s.d.chance(30) {
		s.truck()
	}
	for n, ops := 0, s.d.between(6, 10); len(s.p.Ops) < ops; n++ {
		s.unit(n, ops-len(s.p.Ops))
	}
	if s.d.chance(30) {
		s.adopt()
	}
	return s.p
}

func (s *small) money(from, to int) plant.Money { return plant.MoneyOf(float64(s.d.between(from, to))) }

func hoursFrom(n int) plant.Time { return Now + plant.Time(n)*plant.Time(hour) }

// pools makes two crews: heads in the first hours of each day, fewer in those after, and sometimes a day with one less.
func (s *small) pools() {
	for i, name := range []string{"Fitters", "Machine crew"} {
		early, late := s.d.between(1, 2), s.d.between(0, 2)
		short := s.d.below(smallDays * 2)
		var heads []schedule.Step
		for d := range smallDays {
			n := early
			if d == short && n > 1 {
				n--
			}
			heads = append(heads, schedule.Step{At: hoursFrom(24 * d), N: n}, schedule.Step{At: hoursFrom(24*d + 8), N: late},
				schedule.Step{At: hoursFrom(24*d + 16), N: 0})
		}
		s.p.Pools = append(s.p.Pools, schedule.Pool{ID: plant.PoolID(fmt.Sprintf("p%d", i)), Name: name, Heads: heads})
	}
}

// centre makes a centre of one or two stations.
func (s *small) centre(k smallKind) {
	c := len(s.p.Centres)
	centre := schedule.Centre{ID: plant.CentreID(fmt.Sprintf("c%d", c)), Name: []string{"Bench", "Machine", "Booth", "Rack", "Away"}[k]}
	if k == smallMachine || k == smallBooth && s.d.chance(50) {
		n := len(s.p.Families)
		centre.Changeover = make([][]plant.Seconds, n)
		for i := range n {
			centre.Changeover[i] = make([]plant.Seconds, n)
			for j := 1; j < n; j++ {
				if i != j {
					centre.Changeover[i][j] = plant.Seconds(s.d.between(0, 3)) * hour
				}
			}
		}
	}
	s.p.Centres = append(s.p.Centres, centre)
	s.kinds, s.at = append(s.kinds, k), append(s.at, nil)
	stations := 1
	if k == smallBench || k == smallMachine {
		stations = s.d.between(1, 2)
	}
	for range stations {
		s.station(k, c)
	}
}

func (s *small) station(k smallKind, c int) {
	i := len(s.p.Stations)
	st := schedule.Station{ID: plant.StationID(fmt.Sprintf("s%d", i)), Name: fmt.Sprintf("%s %d", s.p.Centres[c].Name, i+1), Centre: c,
		Pallets: 1, Capacity: plant.Pieces(1)}
	length := []int{8, 8, 16, 24}[s.d.below(4)]
	if k == smallRack || k == smallAway {
		length = 24
	}
	st.Open, st.Overtime = s.shifts(length)
	switch {
	case k == smallBooth:
		st.Takes, st.Capacity = schedule.Batch, plant.Pieces(s.d.between(2, 4))
	case k == smallRack:
		st.Takes, st.Capacity = schedule.Places, plant.Pieces(s.d.between(2, 3))
	case k == smallAway:
		st.Takes = schedule.NoLimit
	case k == smallMachine && s.d.chance(50):
		st.Pallets = s.d.between(2, 3)
	}
	if s.p.Centres[c].Changeover != nil && s.d.chance(60) {
		st.Family = s.d.below(len(s.p.Families))
	}
	s.at[c] = append(s.at[c], i)
	s.p.Stations = append(s.p.Stations, st)
}

// shifts opens the first hours of each day, some of them longer by overtime, with a stop now and then.
func (s *small) shifts(length int) (open, overtime calendar.Open) {
	var spans, over []calendar.Span
	for d := range smallDays {
		from := hoursFrom(24 * d)
		spans = append(spans, calendar.Span{From: from, To: from.Add(plant.Seconds(length) * hour)})
		if length < 24 && s.d.chance(25) {
			x := calendar.Span{From: from.Add(plant.Seconds(length) * hour), To: from.Add(plant.Seconds(length+s.d.between(2, 4)) * hour)}
			spans, over = append(spans, x), append(over, x)
		}
	}
	open, overtime = calendar.Make(spans), calendar.Make(over)
	if s.d.chance(25) {
		from := hoursFrom(s.d.below(30))
		stop := calendar.Make([]calendar.Span{{From: from, To: from.Add(plant.Seconds(s.d.between(2, 24)) * hour)}})
		open, overtime = calendar.Without(open, stop), calendar.Without(overtime, stop)
	}
	return open, overtime
}

func (s *small) truck() {
	c := schedule.Carrier{Name: "truck", Transit: plant.Seconds(s.d.between(1, 4)) * hour}
	for t, step := s.d.between(2, 12), s.d.between(6, 24); t < 24*smallDays; t += step {
		c.Departures = append(c.Departures, hoursFrom(t))
	}
	s.p.Carriers = append(s.p.Carriers, c)
}

// unit makes a unit: a root job and up to two branches that join it, or each other.
func (s *small) unit(n, budget int) {
	p := s.p
	u := len(p.Units)
	p.Units = append(p.Units, schedule.Unit{ID: plant.UnitID(fmt.Sprint(100 + n)), Due: hoursFrom(s.d.between(0, 60)),
		LateDay: s.money(1, 9) * 24})
	steps := min(budget, s.d.between(1, 3))
	root := s.job(u, schedule.None, steps)
	budget -= steps
	p.Units[u].Last = len(p.Ops) - 1
	first := len(p.Ops) - steps
	for branches := s.d.between(0, 2); branches > 0 && budget > 0; branches-- {
		steps := min(budget, s.d.between(1, 3))
		s.job(u, root, steps)
		budget -= steps
		s.join(len(p.Ops)-1, first)
		if s.d.chance(25) && u > 0 { // also for the unit before
			s.join(len(p.Ops)-1, p.Units[u-1].Last)
		}
	}
}

func (s *small) join(from, to int) {
	l := schedule.Link{From: from, To: to, Carrier: schedule.None, Meeting: s.d.chance(80)}
	if len(s.p.Carriers) > 0 && s.d.chance(50) {
		l.Carrier = 0
	} else if s.d.chance(15) {
		l.Lag = plant.Seconds(s.d.between(1, 4)) * hour
	}
	s.p.Links = append(s.p.Links, l)
}

// job makes a job of so many operations, one after the other.
func (s *small) job(u, parent, steps int) int {
	p := s.p
	j := len(p.Jobs)
	pieces := s.d.between(1, 3)
	p.Jobs = append(p.Jobs, schedule.Job{ID: plant.JobID(fmt.Sprintf("j%d", j)), Item: "part", Unit: u, Pieces: pieces,
		Value: s.money(1, 30) * 100, Parent: parent})
	for i := range steps {
		c := []int{0, 0, 1, 1, 1, 2, 2, 3, 4}[s.d.below(9)]
		s.op(j, (i+1)*10, c, pieces)
		if i == 0 {
			continue
		}
		o := len(p.Ops) - 1
		l := schedule.Link{From: o - 1, To: o, Carrier: schedule.None}
		a, b := p.Stations[p.Ops[o-1].Can[0].Station].Takes, p.Stations[p.Ops[o].Can[0].Station].Takes
		switch {
		case pieces > 1 && a == schedule.One && b == schedule.One && s.d.chance(60):
			l.Pieces, l.Transfer = pieces, s.d.between(1, pieces-1)
		case s.d.chance(15):
			l.Lag = plant.Seconds(s.d.between(1, 4)) * hour
		}
		p.Links = append(p.Links, l)
	}
	return j
}

func (s *small) op(j, seq, c, pieces int) {
	p := s.p
	o := schedule.Op{Job: j, Seq: seq, Name: p.Centres[c].Name, Size: plant.Pieces(1)}
	if s.d.chance(15) {
		o.Earliest, o.Why = hoursFrom(s.d.between(1, 30)), "plate, expected"
	}
	if s.d.chance(12) {
		o.Pinned = hoursFrom(s.d.between(0, 40))
		o.Earliest, o.Why = max(o.Earliest, o.Pinned), "pinned"
	}
	a := schedule.Alternative{Run: plant.Seconds(pieces*s.d.between(1, 2)) * hour}
	switch s.kinds[c] {
	case smallBench:
		o.Needs = []schedule.Need{{Pool: 0, Heads: 1, When: schedule.OnLoad | schedule.OnRun}}
		o.Closed = []schedule.Closed{schedule.Pause, schedule.Pause, schedule.Whole}[s.d.below(3)]
		o.Setup = plant.Seconds(s.d.below(2)) * hour
	case smallMachine:
		o.Needs = []schedule.Need{{Pool: 1, Heads: 1, When: schedule.OnLoad}}
		o.Closed = schedule.Closed(s.d.below(3))
		if s.d.chance(80) {
			o.Family = s.d.between(1, len(p.Families)-1)
		}
		a.Load, a.Unload = plant.Seconds(s.d.below(2))*hour, plant.Seconds(s.d.below(2))*hour
	case smallBooth:
		o.Needs = []schedule.Need{{Pool: 0, Heads: 1, When: schedule.OnLoad | schedule.OnRun}} // the same for a whole batch
		o.Closed = schedule.Pause
		o.Key = []string{"yellow", "grey"}[s.d.below(2)]
		o.Setup = plant.Seconds(s.d.below(2)) * hour
		if p.Centres[c].Changeover != nil {
			o.Family = map[string]int{"yellow": 1, "grey": 2}[o.Key]
		}
		a.Load, a.Run = plant.Seconds(s.d.below(2))*hour, plant.Seconds(s.d.between(1, 3))*hour
	case smallRack, smallAway:
		o.Closed = schedule.Through
		a.Run = plant.Seconds(s.d.between(2, 12)) * hour
	}
	for i, at := range s.at[c] {
		alt := a
		alt.Station = at
		if i > 0 && s.kinds[c] != smallBooth && s.d.chance(50) {
			alt.Run += plant.Seconds(pieces) * hour
		}
		if s.p.Stations[at].Pallets >= 2 && pieces > 1 {
			alt.Beside = plant.Seconds(pieces-1) * (alt.Load + alt.Unload)
		}
		o.Can = append(o.Can, alt)
	}
	if o.Closed == schedule.Whole { // it must fit into any shift
		for i := range o.Can {
			if o.Can[i].Run > 4*hour {
				o.Closed = schedule.Pause
			}
		}
	}
	p.Ops = append(p.Ops, o)
}

// adopt makes an adopted plan that knows where and when some operations were to be set up, whether or not that can be kept.
func (s *small) adopt() {
	s.p.Adopted = make([]schedule.Slot, len(s.p.Ops))
	for i := range s.p.Adopted {
		s.p.Adopted[i].Station = schedule.None
		if o := &s.p.Ops[i]; s.d.chance(50) {
			a := o.Can[s.d.below(len(o.Can))]
			t := hoursFrom(s.d.below(30))
			s.p.Adopted[i] = schedule.Slot{Station: a.Station, Setup: t, Load: t.Add(o.Setup), Run: t.Add(o.Setup + a.Load),
				Unload: t.Add(o.Setup + a.Load + a.Run), End: t.Add(o.Setup + a.Load + a.Run + a.Unload)}
		}
	}
}
