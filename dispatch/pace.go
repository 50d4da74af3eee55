package dispatch

import (
	"tackline/floor"
	"tackline/plant"
	"tackline/schedule"
)

// Pace is how a station stands against the plan at an instant.
type Pace struct {
	Op     int           // that it works on, or that comes next; -1: nothing is left to do there
	Begun  bool          // it works on Op
	Behind plant.Seconds // against the plan; negative: ahead
	Next   plant.Time    // planned begin of Op, if it has not begun
}

// Pace gives how a station stands, by the first operation of its list that is not over. One that was begun is behind by as much as it will
// end later than planned if it takes the planned time from its begin, and at least by what it runs over already; one that has not
// begun, by how long it should have begun. list is the station's run list in the order of the plan.
func (d *Desk) Pace(list []Run, now plant.Time, s *floor.State) Pace {
	p := Pace{Op: -1}
	for _, r := range list {
		if d.Over(r.Op, s) {
			continue
		}
		o := s.Ops[d.Key(r.Op)]
		slot, ok := d.f.slot(r.Op)
		if !ok {
			continue
		}
		begun := o.Phase == floor.Running || o.Phase == floor.Paused
		if p.Op >= 0 && !begun {
			continue // it waits behind the first; one that was begun out of turn counts before it
		}
		if begun {
			end := max(now, o.Began.Add(slot.End.Sub(slot.Load)))
			return Pace{Op: r.Op, Begun: true, Behind: end.Sub(slot.End)}
		}
		if d.f.p.Ops[r.Op].State == schedule.Running {
			p = Pace{Op: r.Op, Begun: true, Behind: max(0, now.Sub(slot.End))}
			continue
		}
		p = Pace{Op: r.Op, Behind: max(0, now.Sub(slot.Load)), Next: slot.Load}
	}
	return p
}

// Truck is a truck that leaves a plant for another.
type Truck struct {
	Name    string
	Leaves  plant.Time
	Arrives plant.Time
}

// Trucks gives the next trucks from now on, the first to leave first, at most n.
func (d *Desk) Trucks(now plant.Time, n int) (out []Truck) {
	at := make([]int, len(d.f.p.Carriers))
	for len(out) < n {
		best := -1
		for i := range d.f.p.Carriers {
			c := &d.f.p.Carriers[i]
			for at[i] < len(c.Departures) && c.Departures[at[i]] < now {
				at[i]++
			}
			if at[i] < len(c.Departures) && (best < 0 || c.Departures[at[i]] < d.f.p.Carriers[best].Departures[at[best]]) {
				best = i
			}
		}
		if best < 0 {
			return out
		}
		c := &d.f.p.Carriers[best]
		leaves := c.Departures[at[best]]
		at[best]++
		out = append(out, Truck{c.Name, leaves, leaves.Add(c.Transit)})
	}
	return out
}
