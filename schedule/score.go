package schedule

import (
	"math"

	"tackline/plant"
)

// Measure gives the objective of a plan, each term in its own unit and as money. What has no slot counts as late until the
// horizon. Fixed work costs no setup or overtime: it is a fact. A plan of the wrong length measures as nothing.
func Measure(p *Problem, plan *Plan) Score {
	if len(plan.Slots) != len(p.Ops) {
		return Score{}
	}
	r := read(p, plan.Slots)
	var s Score
	r.lateness(&s)
	r.waiting(&s)
	r.hands(&s)
	r.moves(&s)
	r.pins(&s)
	s.Total = s.Lateness + s.Waiting + s.Setups + s.Overtime + s.Moved + s.Pins
	s.Least = LeastCost(p)
	if !r.complete() {
		s.Least = Least{Lateness: s.Least.Lateness, Total: s.Least.Lateness}
	}
	s.Bound = s.Least.Total
	return s
}

// complete says whether everything to be planned has a slot.
func (r *reading) complete() bool {
	for i, k := range r.turnOf {
		if k == None && r.p.Ops[i].State == ToPlan {
			return false
		}
	}
	return true
}

// ship gives the instant at which a unit ships, and whether it is planned to.
func (r *reading) ship(u *Unit) (plant.Time, bool) {
	if u.Last < 0 || u.Last >= len(r.slots) || r.turnOf[u.Last] == None && r.p.Ops[u.Last].State == ToPlan {
		return r.p.Horizon, false
	}
	return r.slots[u.Last].End, true
}

func (r *reading) lateness(s *Score) {
	var cost float64
	for i := range r.p.Units {
		u := &r.p.Units[i]
		end, _ := r.ship(u)
		if late := end.Sub(u.Due); late > 0 {
			s.LateUnits++
			s.LateDays += late.Hours() / 24
			cost += float64(u.LateDay) * late.Hours() / 24
		}
	}
	s.Lateness = plant.Money(math.Round(cost))
}

// waiting adds up what branches wait for the rest, at a share of their value: at meeting points, and before that from the load
// of their last operation on whenever nothing is done to them. A plan is not better for leaving a piece on the machine, nor
// for letting it wait before a dwell: what is wet goes onto the rack at once.
func (r *reading) waiting(s *Score) {
	var cost float64
	for i := range r.p.Links {
		l := &r.p.Links[i]
		if !l.Meeting || r.turnOf[l.From] == None || r.turnOf[l.To] == None {
			continue
		}
		wait := r.held(r.turnOf[l.From]) + r.beforeDwell(l.From) + max(0, r.slots[l.To].Load.Sub(r.slots[l.From].End)-r.p.way(l))
		if wait > 0 {
			s.WaitHours += wait.Hours()
			cost += wait.Hours() * float64(r.p.Jobs[r.p.Ops[l.From].Job].Value) * r.p.Weights.Wait
		}
	}
	s.Waiting = plant.Money(math.Round(cost))
}

// hands adds up setup and overtime of what is not fixed, once for each batch.
func (r *reading) hands(s *Score) {
	var setup, over plant.Seconds
	for k := range r.turns {
		t := &r.turns[k]
		if t.fixed {
			continue
		}
		setup += t.parts[inSetup].work
		overtime := r.p.Stations[t.station].Overtime
		for x := inSetup; x <= inUnload; x++ {
			from, to := t.span(x)
			if from < to {
				over += overtime.Work(from, to)
			}
		}
	}
	s.SetupHours, s.OvertimeHour = setup.Hours(), over.Hours()
	s.Setups = plant.Money(math.Round(s.SetupHours * float64(r.p.Weights.Setup)))
	s.Overtime = plant.Money(math.Round(s.OvertimeHour * float64(r.p.Weights.Overtime)))
}

// moves counts the operations that the adopted plan has begin before the freeze and this one has elsewhere or at another time.
func (r *reading) moves(s *Score) {
	for i, a := range r.p.Adopted {
		if i >= len(r.slots) || a.Station == None || a.Setup >= r.p.Freeze || r.p.Ops[i].State != ToPlan || r.turnOf[i] == None {
			continue
		}
		if now := r.slots[i]; now.Station != a.Station || now.Setup != a.Setup {
			s.Moves++
		}
	}
	s.Moved = plant.Money(s.Moves) * r.p.Weights.Move
}

// pins adds up the hours by which pinned work begins to load after its pin.
func (r *reading) pins(s *Score) {
	for i := range r.p.Ops {
		o := &r.p.Ops[i]
		if o.Pinned == 0 || o.State != ToPlan || r.turnOf[i] == None {
			continue
		}
		s.PinHours += max(0, r.slots[i].Load.Sub(o.Pinned).Hours())
	}
	s.Pins = plant.Money(math.Round(s.PinHours * float64(r.p.Weights.Pin)))
}

// way gives the time that pieces are under way on a link: its lag, and the drive of its truck. They wait for the truck.
func (p *Problem) way(l *Link) plant.Seconds {
	if l.Carrier == None {
		return l.Lag
	}
	return l.Lag + p.Carriers[l.Carrier].Transit
}

// held gives the time from the load of a turn to its end in which nothing is done to it: closed time, and time that it stays on
// its station. It does not matter where in that time the work lies, so that nothing is won by leaving a last bit of it undone.
func (r *reading) held(k int) plant.Seconds {
	t := &r.turns[k]
	if t.fixed {
		return 0
	}
	x := &t.parts
	return max(0, t.slot.End.Sub(t.slot.Load)-x[inLoad].work-max(x[inRun].work+x[inUnload].work, x[inBeside].work))
}

// beforeDwell gives the time for which an operation on a station of places waits to begin after what comes before it has
// brought its pieces, what it was kept on its station included.
func (r *reading) beforeDwell(op int) plant.Seconds {
	o := &r.p.Ops[op]
	if o.State != ToPlan || r.p.Stations[r.slots[op].Station].Takes != Places {
		return 0
	}
	if r.into == nil {
		r.into = make([][]int, len(r.p.Ops))
		for i := range r.p.Links {
			r.into[r.p.Links[i].To] = append(r.into[r.p.Links[i].To], i)
		}
	}
	if len(r.into[op]) == 0 {
		return 0
	}
	ready := max(r.p.Now, o.Earliest)
	for _, i := range r.into[op] {
		l := &r.p.Links[i]
		if r.p.Ops[l.From].State == ToPlan && r.turnOf[l.From] == None {
			return 0
		}
		at := r.slots[l.From].End.Add(r.p.way(l))
		if k := r.turnOf[l.From]; k != None {
			at = at.Add(-r.held(k))
		}
		ready = max(ready, at)
	}
	return max(0, r.slots[op].Load.Sub(ready))
}
