package schedule

import "tackline/plant"

// Stretch is an uninterrupted time in which a phase of an operation, or of a batch of them, works.
type Stretch struct {
	Ops      []int // more than one for a batch
	Station  int
	Setup    bool // setup; else load, run or unload
	From, To plant.Time
}

// EachStretch calls f for every stretch of work on the stations of a plan, station by station. Load work beside a run is left
// out: it does not occupy the station.
func EachStretch(p *Problem, plan *Plan, f func(Stretch)) {
	if len(plan.Slots) != len(p.Ops) {
		return
	}
	r := read(p, plan.Slots)
	for k := range r.turns {
		t := &r.turns[k]
		for x := inSetup; x <= inUnload; x++ {
			from, to := t.span(x)
			s := Stretch{Ops: t.ops, Station: t.station, Setup: x == inSetup, From: from, To: to}
			if from >= to || t.parts[x].work <= 0 {
				continue
			}
			if t.parts[x].through {
				f(s)
				continue
			}
			for _, o := range within(t.parts[x].at.open, from, to) {
				s.From, s.To = max(o.From, from), min(o.To, to)
				f(s)
			}
		}
	}
}

// Arrivals gives for each link the instant at which the first pieces that pass over it are at its To: all of them, or the
// first lot where pieces overlap; plant.Never if From has no slot or no truck goes.
func Arrivals(p *Problem, plan *Plan) []plant.Time {
	out := make([]plant.Time, len(p.Links))
	var r *reading
	if len(plan.Slots) == len(p.Ops) {
		r = read(p, plan.Slots)
	}
	for i := range p.Links {
		out[i] = plant.Never
		if l := &p.Links[i]; r != nil && r.turnOf[l.From] != None {
			out[i] = r.arrival(l, 1, r.lots(l))
		}
	}
	return out
}
