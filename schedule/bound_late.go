package schedule

import (
	"sort"

	"tackline/plant"
)

// lateness bounds the cents of lateness: what the critical path of each unit costs, and what comes on top because not
// everything fits through stations and crews in time.
func (e *earliest) lateness() float64 {
	var cents float64
	over := newOvertake(e)
	for i := range e.p.Units {
		u := &e.p.Units[i]
		if u.Last < 0 || u.Last >= len(e.p.Ops) {
			continue
		}
		ship := min(e.end[u.Last], e.p.Horizon) // what is left counts as late until the horizon
		if late := ship.Sub(u.Due); late > 0 {
			cents += float64(u.LateDay) * late.Hours() / 24
		}
		if u.LateDay > 0 && ship < e.p.Horizon {
			over.add(i, max(ship, u.Due))
		}
	}
	return cents + over.beyond()
}

// overtake asks how much later than alone units must be because of each other.
type overtake struct {
	e      *earliest
	unit   []int           // by operation: the unit whose lateness it bounds, or None
	next   []int           // by operation: the link that leads there, or None
	due    []plant.Time    // by unit: the ship date that costs nothing on top
	levels []plant.Seconds // how much later, in steps
	latest [][]plant.Time  // by level and operation: if it ends after that, its unit ships later than due + level
}

func newOvertake(e *earliest) *overtake {
	n := len(e.p.Ops)
	o := &overtake{e: e, unit: make([]int, n), next: make([]int, n), due: make([]plant.Time, len(e.p.Units))}
	for i := range o.unit {
		o.unit[i], o.next[i] = None, None
	}
	for i := range o.due {
		o.due[i] = plant.Never
	}
	return o
}

// add has a unit that could ship at due if it were alone.
func (o *overtake) add(unit int, due plant.Time) {
	if last := o.e.p.Units[unit].Last; o.e.p.Ops[last].State == ToPlan && (o.unit[last] == None || due < o.due[o.unit[last]]) {
		o.unit[last], o.due[unit] = unit, due
	}
}

// Sizes of problems up to which levels are close together, and from which they are far apart.
const (
	fewOps  = 500
	manyOps = 50_000
)

// steps sets the levels of lateness.
func (o *overtake) steps() {
	hours := []plant.Seconds{0, 2, 8, 24, 48, 96, 168, 336, 720, 1440, 2880}
	switch n := len(o.e.p.Ops); {
	case n >= manyOps:
		hours = []plant.Seconds{0, 24, 72, 168, 336, 720, 2160}
	case n <= fewOps:
		for l := plant.Seconds(0); l < 400*3600; l += quarter + l/24/quarter*quarter {
			o.levels = append(o.levels, l)
		}
		return
	}
	for _, h := range hours {
		o.levels = append(o.levels, h*3600)
	}
}

// quarter is a quarter of an hour.
const quarter plant.Seconds = 900

// back works out the latest ends for a level, from the ship dates backwards along the link of each operation that leaves it least
// time. A plan that keeps later ends cannot keep the dates.
func (o *overtake) back(level plant.Seconds, first bool) []plant.Time {
	p := o.e.p
	latest := make([]plant.Time, len(p.Ops))
	for k := len(o.e.order) - 1; k >= 0; k-- {
		i := o.e.order[k]
		latest[i] = plant.Never
		if o.unit[i] != None && o.next[i] == None {
			latest[i] = o.due[o.unit[i]].Add(level)
		}
		if first {
			for _, l := range o.e.out[i] {
				if at := o.leave(&p.Links[l], latest); at < latest[i] {
					latest[i], o.next[i], o.unit[i] = at, l, o.unit[p.Links[l].To]
				}
			}
			continue
		}
		if l := o.next[i]; l != None {
			latest[i] = o.leave(&p.Links[l], latest)
		}
	}
	return latest
}

// leave gives the latest instant at which the last pieces leave over a link if To ends by its latest end.
func (o *overtake) leave(l *Link, latest []plant.Time) plant.Time {
	p := o.e.p
	to := &p.Ops[l.To]
	if to.State != ToPlan || latest[l.To] >= plant.Never {
		return plant.Never
	}
	at := -plant.Never
	for i := range to.Can {
		at = max(at, o.begin(to, &to.Can[i], &o.e.place[o.e.from[l.To]+i], l, latest[l.To]))
	}
	if at <= -plant.Never {
		return -plant.Never
	}
	if l.Carrier != None {
		c := &p.Carriers[l.Carrier]
		at = at.Add(-c.Transit)
		k := sort.Search(len(c.Departures), func(k int) bool { return c.Departures[k] > at }) - 1
		if k < 0 {
			return -plant.Never
		}
		at = c.Departures[k]
	}
	return at.Add(-l.Lag)
}

// begin gives the latest instant at which the last pieces may come if the operation is to end by end on a station: before the
// load, or with lots passed on before the work that is then left.
func (o *overtake) begin(op *Op, a *Alternative, at *places, l *Link, end plant.Time) plant.Time {
	t := end
	if a.Unload > 0 {
		t = at.loads.open.Sub(t, a.Unload)
	}
	run := a.Run
	whole := l.Transfer <= 0 || l.Pieces <= l.Transfer || a.Run <= 0
	if !whole {
		lots := (l.Pieces + l.Transfer - 1) / l.Transfer
		run -= portion(l, lots-1, a.Run)
	}
	switch {
	case t <= -plant.Never || run <= 0:
	case op.Closed == Through:
		if t = t.Add(-run); whole {
			if !at.runs.open.IsOpen(t) {
				t = at.runs.open.Prev(t)
			}
		}
	case op.Closed == Whole && whole:
		t = at.runs.open.FitBefore(t, run)
	default:
		t = at.runs.open.Sub(t, run)
	}
	if whole && a.Load > 0 && t > -plant.Never {
		t = at.loads.open.Sub(t, a.Load)
	}
	return t
}
