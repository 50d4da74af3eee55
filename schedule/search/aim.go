package search

import (
	"tackline/plant"
	"tackline/schedule"
)

// aim is what an operation works towards, by its units: estimates that the rules order by.
type aim struct {
	due    plant.Time    // earliest due date of a unit it goes into, or the horizon
	latest plant.Time    // it should begin by then: due less the work and ways after it
	meets  plant.Time    // as latest, with the earliest date its unit can meet in place of a due date already lost
	length plant.Seconds // its own time, closed time spread over it
	tail   plant.Seconds // its own time and the longest way after it to the end of a unit
	ops    int32         // operations on the way, itself counted
	weight float64       // cost of a day late of the dearest unit it goes into, at least 1
}

// aim works the aims out from the last operation to the first.
func (m *model) aim() {
	m.aims = make([]aim, len(m.ops))
	for o := range m.aims {
		m.aims[o] = aim{due: m.p.Horizon, latest: m.p.Horizon, meets: m.p.Horizon, length: m.length(int32(o)), weight: 1}
	}
	for _, u := range m.p.Units {
		if u.Last < 0 {
			continue
		}
		a := &m.aims[u.Last]
		a.due = min(a.due, u.Due)
		a.latest = min(a.latest, u.Due)
		a.weight = max(a.weight, float64(u.LateDay))
	}
	m.hopes()
	for i := len(m.order) - 1; i >= 0; i-- {
		o := m.order[i]
		a := &m.aims[o]
		for _, k := range m.out.of(o) {
			l := &m.p.Links[k]
			to := &m.aims[l.To]
			way := l.Lag
			if l.Carrier != schedule.None {
				way += m.p.Carriers[l.Carrier].Transit
			}
			a.due = min(a.due, to.due)
			a.latest = min(a.latest, to.latest.Add(-way))
			a.meets = min(a.meets, to.meets.Add(-way))
			a.weight = max(a.weight, to.weight)
			a.tail = max(a.tail, to.tail+way)
			a.ops = max(a.ops, to.ops)
		}
		a.latest = a.latest.Add(-a.length)
		a.meets = a.meets.Add(-a.length)
		if w := &m.ops[o]; w.deadline < m.p.Horizon {
			a.latest = min(a.latest, w.deadline.Add(-a.length-30*day))
			a.meets = min(a.meets, a.latest)
		}
		a.tail += a.length
		a.ops++
	}
}

// hopes sets the dates that units can still meet: due dates, or the earliest end with nothing in the way, if later.
func (m *model) hopes() {
	end := make([]plant.Time, len(m.ops))
	for _, o := range m.order {
		op := &m.p.Ops[o]
		if m.ops[o].fixed {
			end[o] = op.Fixed.End
			continue
		}
		begin := max(m.p.Now, op.Earliest)
		for _, i := range m.in.of(o) {
			l := &m.p.Links[i]
			begin = max(begin, min(m.p.Horizon, m.arrival(l, end[l.From])))
		}
		end[o] = begin.Add(m.aims[o].length)
	}
	for _, u := range m.p.Units {
		if u.Last >= 0 {
			a := &m.aims[u.Last]
			a.meets = min(a.meets, max(u.Due, end[u.Last]))
		}
	}
}

// length estimates how long an operation takes with its station's closed time spread evenly over it.
func (m *model) length(o int32) plant.Seconds {
	w := &m.ops[o]
	if w.fixed {
		return 0
	}
	best := plant.Seconds(plant.Never)
	for _, c := range m.choices[w.from:w.to] {
		hand := float64(c.load+c.unload+w.setup) / m.hours[c.loadHours].openPart(m.p.Now, m.p.Horizon)
		run := float64(c.run)
		if w.closed != schedule.Through {
			run /= m.hours[c.runHours].openPart(m.p.Now, m.p.Horizon)
		}
		best = min(best, plant.Seconds(min(hand+run, float64(m.p.Horizon-m.p.Now))))
	}
	return best
}

// means takes the averages that the tardiness cost is measured by.
func (m *model) means() {
	var sum float64
	n := 0
	for o := range m.ops {
		if !m.ops[o].fixed {
			sum += float64(m.aims[o].length)
			n++
		}
	}
	m.meanLength = max(60, sum/float64(max(1, n)))
	sum, n = 0, 0
	for _, c := range m.p.Centres {
		for _, row := range c.Changeover {
			for _, x := range row {
				if x > 0 {
					sum += float64(x)
					n++
				}
			}
		}
	}
	m.meanSetup = max(60, sum/float64(max(1, n)))
}
