package setout

import (
	"math"
	"slices"
	"strconv"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
)

// hands lays what planners decided by hand over what is still to be planned; see the package comment.
func (b *builder) hands() {
	for i, factor := range factors(b.ix, b.r) {
		b.p.Units[i].LateDay = plant.Money(math.Round(float64(b.p.Units[i].LateDay) * factor))
	}
	if len(b.ix.Pins)+len(b.ix.ForbidsOf) == 0 {
		return
	}
	for i := range b.p.Ops {
		op, o := &b.p.Ops[i], &b.r.Ops[i]
		if op.State != schedule.ToPlan {
			continue
		}
		key := book.JobOp{Job: b.r.Jobs[o.Job].ID, Seq: o.Seq}
		pin := b.ix.Pins[key]
		b.forbid(op, o, b.ix.ForbidsOf[key])
		if pin != nil {
			b.pin(op, o, pin)
		}
	}
}

func (b *builder) forbid(op *schedule.Op, o *needs.Op, rows []*order.Forbid) {
	for _, f := range rows {
		if at, ok := f.Before.Time(b.ix.CentreZone(o.Centre)); ok {
			b.notBefore(op, o, at, "not to begin, by hand, before")
		}
	}
	if free := b.without(op.Can, rows); len(free) > 0 {
		op.Can = free
	}
}

// without gives the alternatives that no row forbids.
func (b *builder) without(can []schedule.Alternative, rows []*order.Forbid) []schedule.Alternative {
	if len(rows) == 0 {
		return can
	}
	var free []schedule.Alternative
	for _, a := range can {
		if !slices.ContainsFunc(rows, func(f *order.Forbid) bool { return f.Station == b.p.Stations[a.Station].ID }) {
			free = append(free, a)
		}
	}
	return free
}

func (b *builder) pin(op *schedule.Op, o *needs.Op, pin *order.Pin) {
	for i, a := range op.Can {
		if b.p.Stations[a.Station].ID == pin.Station {
			op.Can = op.Can[i : i+1 : i+1]
			break
		}
	}
	if at, ok := pin.Begin.Time(b.ix.CentreZone(o.Centre)); ok {
		op.Pinned = max(at, b.now)
		b.notBefore(op, o, at, "pinned to begin")
	}
}

func (b *builder) notBefore(op *schedule.Op, o *needs.Op, at plant.Time, why string) {
	w := &wait{at: op.Earliest, why: op.Why, loc: b.ix.CentreZone(o.Centre)}
	w.until(at, "%s", why)
	if w.at > op.Earliest && op.Why != "" {
		op.Also = append(op.Also, schedule.Wait{Until: op.Earliest, Why: op.Why})
	}
	op.Earliest, op.Why = w.at, w.why
}

// factors gives what a day late of each unit costs, as a multiple of what its class says: the priority of a job that goes
// into it counts (of several the largest), else that of the unit, its line, its order, else 1.
func factors(ix *book.Index, r *needs.Result) []float64 {
	if len(ix.Priorities) == 0 {
		return nil
	}
	out := make([]float64, len(r.Units))
	for i := range r.Jobs {
		p := ix.Priorities[book.Prior{Of: order.OfJob, Name: string(r.Jobs[i].ID)}]
		if p == nil {
			continue
		}
		for _, u := range unitsOf(&r.Jobs[i]) {
			out[u] = max(out[u], p.Factor)
		}
	}
	for i := range r.Units {
		u := &r.Units[i]
		for _, of := range []book.Prior{{Of: order.OfUnit, Name: string(u.ID)}, {Of: order.OfLine, Name: lineName(u)}, {Of: order.OfOrder, Name: string(u.Order)}} {
			if p := ix.Priorities[of]; p != nil && out[i] == 0 {
				out[i] = p.Factor
			}
		}
		if out[i] == 0 {
			out[i] = 1
		}
	}
	return out
}

func lineName(u *needs.Unit) string { return string(u.Order) + "-" + strconv.Itoa(u.Line) }

// unitsOf gives the units that the pieces of a job go into.
func unitsOf(j *needs.Job) []int {
	if j.Unit >= 0 {
		return []int{j.Unit}
	}
	return j.For
}
