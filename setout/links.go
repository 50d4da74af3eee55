package setout

import (
	"tackline/book"
	"tackline/calendar"
	"tackline/needs"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
)

// links draws the links of every operation: first the one before it in its job, then the jobs whose parts it consumes.
func (b *builder) links() {
	for j := range b.r.Jobs {
		ops := b.r.Jobs[j].Ops
		for i, op := range ops {
			first := len(b.p.Links)
			if i > 0 {
				b.p.Links = append(b.p.Links, b.route(ops[i-1], op))
			}
			b.joins(op, first)
			if into := b.p.Links[first:]; len(into) >= 2 {
				for k := range into {
					from := b.p.Ops[into[k].From].Job
					into[k].Meeting = b.r.Jobs[from].Unit != needs.None
				}
			}
		}
	}
}

// route links two operations of a job that follow each other.
func (b *builder) route(from, to int) schedule.Link {
	x, y := &b.r.Ops[from], &b.r.Ops[to]
	job := &b.r.Jobs[x.Job]
	l := schedule.Link{From: from, To: to, Carrier: b.between(from, to)}
	if x.Transfer > 0 && x.Transfer < job.Pieces && !job.Set && l.Carrier == schedule.None && b.byPieces(x) && b.byPieces(y) {
		l.Transfer, l.Pieces = x.Transfer, job.Pieces
	}
	return l
}

// byPieces says that an operation takes the pieces of its job one after the other.
func (b *builder) byPieces(o *needs.Op) bool {
	c := b.ix.Centres[o.Centre]
	return (o.Nature == product.Attended || o.Nature == product.Tended) && c != nil && takes[c.Takes] == schedule.One
}

// joins links the jobs that make parts for op to it, each once. Links of op begin at first.
func (b *builder) joins(op, first int) {
	for _, d := range b.r.Ops[op].Demands {
		for _, c := range b.r.Demands[d].Covers {
			if c.Kind != needs.FromJob {
				continue
			}
			ops := b.opsOf(c.Job)
			if len(ops) == 0 {
				b.fail("items", -1, "item", "%s is made here, but no operation makes it", b.r.Jobs[c.Job].Item)
				continue
			}
			last := ops[len(ops)-1]
			known := false
			for _, l := range b.p.Links[first:] {
				known = known || l.From == last
			}
			if !known {
				b.p.Links = append(b.p.Links, schedule.Link{From: last, To: op, Carrier: b.between(last, op)})
			}
		}
	}
}

// between gives the carrier from one operation to another: None within a plant.
func (b *builder) between(from, to int) int {
	item := b.r.Jobs[b.r.Ops[from].Job].Item
	if i, ok := b.carrier(b.standsIn(from), b.standsIn(to), item); ok {
		return i
	}
	return schedule.None
}

// standsIn gives the plant that an operation is done in; away work counts in the plant of its job, since its lead time
// includes the way.
func (b *builder) standsIn(op int) plant.ID {
	o := &b.r.Ops[op]
	if c := b.ix.Centres[o.Centre]; c != nil && o.Nature != product.Away {
		return c.Plant
	}
	return b.r.Jobs[o.Job].Plant
}

// carrier gives the truck between two plants. ok is false within a plant, and where there is none, which is a fault.
func (b *builder) carrier(from, to plant.ID, item plant.ItemID) (int, bool) {
	if from == to {
		return 0, false
	}
	way := book.Way{From: from, To: to}
	if i, known := b.carriers[way]; known {
		return i, i >= 0
	}
	b.carriers[way] = -1
	t := b.ix.Transits[way]
	if t == nil {
		b.fail("transits", -1, "", "%s goes from plant %s to plant %s, but no truck runs that way", item, from, to)
		return 0, false
	}
	departures, err := calendar.Departures(t.Days, t.Departs, b.ix.Zone(from), b.from, b.to)
	if err != nil {
		b.fail("transits", -1, "days", "from %s to %s: %v", from, to, err)
		return 0, false
	}
	i := len(b.p.Carriers)
	b.carriers[way] = i
	b.p.Carriers = append(b.p.Carriers, schedule.Carrier{Name: "truck from " + b.plantName(from) + " to " + b.plantName(to),
		Departures: departures, Transit: plant.HoursToSeconds(t.Hours)})
	return i, true
}

func (b *builder) plantName(id plant.ID) string {
	if p := b.ix.Plants[id]; p != nil && p.Name != "" {
		return p.Name
	}
	return string(id)
}
