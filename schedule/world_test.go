package schedule_test

import (
	"fmt"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// world is a small problem built by hand. Its clock begins at 0, a midnight; times are in hours.
type world struct {
	schedule.Problem
	plan schedule.Plan
}

func newWorld() *world {
	w := &world{}
	w.Horizon, w.Freeze = at(10*24), at(24)
	w.Centres = []schedule.Centre{{ID: "c", Name: "Centre"}}
	w.Families = []plant.Family{"", "short", "long"}
	w.plan.Status = schedule.Complete
	return w
}

func at(hours float64) plant.Time { return plant.Time(hours * 3600) }

func span(hours float64) plant.Seconds { return plant.Seconds(hours * 3600) }

// daily is open every day of the problem between two hours.
func daily(from, to float64) calendar.Open {
	var s []calendar.Span
	for d := range 10 {
		s = append(s, calendar.Span{From: at(float64(24*d) + from), To: at(float64(24*d) + to)})
	}
	return calendar.Make(s)
}

func (w *world) station(open calendar.Open, s schedule.Station) int {
	s.Open = open
	s.Name = fmt.Sprintf("Station %d", len(w.Stations))
	s.Pallets = max(s.Pallets, 1)
	w.Stations = append(w.Stations, s)
	return len(w.Stations) - 1
}

// pool has heads from given hours on: hour, heads, hour, heads.
func (w *world) pool(steps ...float64) int {
	p := schedule.Pool{Name: fmt.Sprintf("Crew %d", len(w.Pools))}
	for i := 0; i < len(steps); i += 2 {
		p.Heads = append(p.Heads, schedule.Step{At: at(steps[i]), N: int(steps[i+1])})
	}
	w.Pools = append(w.Pools, p)
	return len(w.Pools) - 1
}

// job adds a job of its own unit.
func (w *world) job() int {
	j := len(w.Jobs)
	w.Jobs = append(w.Jobs, schedule.Job{ID: plant.JobID(fmt.Sprintf("%d/part", j)), Unit: schedule.None, Parent: schedule.None, Pieces: 1})
	return j
}

// op adds an operation of a new job that takes load, run and unload hours on station, with its slot: begin of setup, load,
// run, unload and end in hours.
func (w *world) op(station int, load, run, unload float64, slot [5]float64, change ...func(*schedule.Op)) int {
	o := schedule.Op{Job: w.job(), Seq: 10, Name: "work", Size: plant.Pieces(1),
		Can: []schedule.Alternative{{Station: station, Load: span(load), Run: span(run), Unload: span(unload)}}}
	for _, f := range change {
		f(&o)
	}
	w.Ops = append(w.Ops, o)
	w.plan.Slots = append(w.plan.Slots, slotOf(station, slot))
	if o.State != schedule.ToPlan {
		w.Ops[len(w.Ops)-1].Fixed = w.plan.Slots[len(w.Ops)-1]
	}
	return len(w.Ops) - 1
}

func slotOf(station int, s [5]float64) schedule.Slot {
	return schedule.Slot{Station: station, Setup: at(s[0]), Load: at(s[1]), Run: at(s[2]), Unload: at(s[3]), End: at(s[4])}
}

// running is the slot of a plain run.
func running(from, to float64) [5]float64 { return [5]float64{from, from, from, to, to} }

func (w *world) link(from, to int, l schedule.Link) {
	l.From, l.To = from, to
	if l.Carrier == 0 {
		l.Carrier = schedule.None
	}
	w.Links = append(w.Links, l)
}

func setup(hours float64, family int) func(*schedule.Op) {
	return func(o *schedule.Op) { o.Setup, o.Family = span(hours), family }
}

func needs(pool, heads int, when uint8) func(*schedule.Op) {
	return func(o *schedule.Op) { o.Needs = append(o.Needs, schedule.Need{Pool: pool, Heads: heads, When: when}) }
}

func closed(c schedule.Closed) func(*schedule.Op) { return func(o *schedule.Op) { o.Closed = c } }

func state(s schedule.State) func(*schedule.Op) { return func(o *schedule.Op) { o.State = s } }
