package schedule

import (
	"slices"
	"sort"

	"tackline/calendar"
	"tackline/plant"
)

// gap explains the time from from to what is explained already, in which phase n of op, or the first after it that has work,
// could have begun as far as other operations of the unit go.
func (t *trail) gap(op int, turn *turn, n int, from plant.Time, link int) {
	for n < inUnload && turn.parts[n].work <= 0 {
		n++
	}
	n = min(n, inUnload)
	x := t.x
	from = max(from, x.p.Now)
	if st := &x.p.Stations[turn.station]; n == inLoad && st.Takes == One && st.Pallets >= 2 {
		t.pallets(op, turn, from, link)
		return
	}
	others := x.inTheWay(turn, from, t.cur)
	for i := len(others) - 1; i >= 0 && t.cur > from; i-- {
		o := &x.turns[others[i]]
		begin, end := x.occupied(o)
		t.idle(op, turn, n, min(max(end, from), t.cur), link)
		first := o.ops[0]
		t.back(max(begin, from), StationWait, op, first, "behind "+x.jobOf(first)+" on "+x.p.Stations[turn.station].Name)
	}
	t.idle(op, turn, n, from, link)
}

// pallets explains the time before a load beside the running piece: while no pallet is free, it is behind the piece that
// leaves one, before that behind the piece that left one to that, and so on.
func (t *trail) pallets(op int, turn *turn, from plant.Time, link int) {
	x := t.x
	on := x.p.Stations[turn.station].Name
	for _, b := range x.full(turn, from, t.cur) {
		t.idle(op, turn, inLoad, b.To, link)
		for k := x.leaving(turn, t.cur); k != None && t.cur > b.From; k = x.leaving(turn, t.cur) {
			first := x.turns[k].ops[0]
			t.back(max(x.turns[k].slot.Load, b.From), StationWait, op, first, "behind "+x.jobOf(first)+" on "+on)
		}
		t.back(b.From, StationWait, op, None, "no free pallet on "+on)
	}
	t.idle(op, turn, inLoad, from, link)
}

// leaving gives the turn before t that leaves the station at an instant, or None.
func (x *explainer) leaving(t *turn, at plant.Time) int {
	list := x.at[t.station]
	const most = 100 // those before left earlier
	for mine, i := x.place(t), 1; i <= most && mine-i >= 0; i++ {
		if k := list[mine-i]; x.turns[k].slot.End == at && x.turns[k].slot.Load < at {
			return k
		}
	}
	return None
}

// occupied gives the time in which a turn keeps its station from a setup, or a run, that comes after it.
func (x *explainer) occupied(t *turn) (from, to plant.Time) {
	if st := &x.p.Stations[t.station]; st.Takes == One && st.Pallets >= 2 {
		from = t.slot.Run
		if t.parts[inSetup].work > 0 {
			from = t.slot.Setup
		}
		return from, min(t.parts[inRun].done, t.slot.Unload)
	}
	return t.slot.Setup, t.slot.End
}

// place gives the place of a turn in the order of its station.
func (x *explainer) place(t *turn) int {
	list := x.at[t.station]
	return sort.Search(len(list), func(i int) bool {
		o := &x.turns[list[i]]
		return o.slot.Run > t.slot.Run || o.slot.Run == t.slot.Run && o.ops[0] >= t.ops[0]
	})
}

// inTheWay gives the turns of t's station that keep it from beginning in [from, to), in order of their end.
func (x *explainer) inTheWay(t *turn, from, to plant.Time) []int {
	st := &x.p.Stations[t.station]
	if st.Takes == Places || st.Takes == NoLimit {
		return nil
	}
	list := x.at[t.station]
	var out []int
	for i := x.place(t) - 1; i >= 0; i-- {
		begin, end := x.occupied(&x.turns[list[i]])
		if end <= from {
			break // those before ended earlier still
		}
		if begin < to {
			out = append(out, list[i])
		}
	}
	slices.Reverse(out)
	return out
}

// idle explains time in which nobody else is on the station: closed, crew missing or busy elsewhere, or left so by the plan.
func (t *trail) idle(op int, turn *turn, n int, from plant.Time, link int) {
	if t.cur <= from {
		return
	}
	y := &turn.parts[n]
	spans := within(y.at.open, from, t.cur)
	for i := len(spans) - 1; i >= 0 && t.cur > from; i-- {
		t.closedTo(turn, max(min(spans[i].To, t.cur), from), op)
		t.fits(op, turn, n, max(spans[i].From, from), link)
	}
	t.closedTo(turn, from, op)
}

// fits explains open time with a free station before a run that must not be broken: too late in a shift it cannot begin.
func (t *trail) fits(op int, turn *turn, n int, from plant.Time, link int) {
	if turn.closed == Whole && n <= inRun {
		var need plant.Seconds
		for x := n; x <= inRun; x++ {
			need += turn.parts[x].work
		}
		const text = "does not fit before closing time"
		spans := within(turn.parts[inRun].at.open, from, t.cur)
		for i := len(spans) - 1; i >= 0; i-- {
			t.back(max(spans[i].To.Add(-need)+1, spans[i].From, from), ShopClosed, op, None, text)
			t.free(op, turn, n, max(spans[i].From, from), link)
		}
		t.back(from, ShopClosed, op, None, text)
	}
	t.free(op, turn, n, from, link)
}

// free explains open time in which the operation fits on a free station: what it waits for itself is more pieces, or the last
// member of its batch to be ready; else the plan leaves it for later.
func (t *trail) free(op int, turn *turn, n int, from plant.Time, link int) {
	x := t.x
	reason, behind, text := Waiting, None, "the plan leaves it for later"
	if t.kept != "" {
		reason, text = KeptBack, t.kept
	}
	switch {
	case link != None && x.p.Links[link].Transfer > 0 && x.lots(&x.p.Links[link]) > 1:
		reason, text = SetWait, "waits for the rest of "+x.jobOf(x.p.Links[link].From)
	case len(turn.ops) > 1:
		if member, arrives := x.lastOf(turn); arrives > from && member != op {
			t.spare(turn, n, max(arrives, from), Segment{Reason: reason, Op: op, Behind: None, Text: text})
			reason, behind, text = SetWait, member, "waits for "+x.jobOf(member)+" of its batch"
		}
	}
	t.spare(turn, n, from, Segment{Reason: reason, Op: op, Behind: behind, Text: text})
}

// member is an operation of a batch, and when it is ready.
type member struct {
	op int
	at plant.Time
}

// lastOf gives the operation of a batch that is ready last, and when.
func (x *explainer) lastOf(turn *turn) (op int, at plant.Time) {
	last, known := x.last[turn]
	if !known {
		last = member{op: turn.ops[0]}
		for _, op := range turn.ops {
			if ready, _ := x.ready(op); ready > last.at {
				last = member{op, ready}
			}
		}
		x.last[turn] = last
	}
	return last.op, last.at
}

// spare explains time on a free station from from on: no place on the rack, crew busy elsewhere, else as otherwise says.
func (t *trail) spare(turn *turn, n int, from plant.Time, otherwise Segment) {
	x, op := t.x, otherwise.Op
	rest := func(from plant.Time) { t.back(from, otherwise.Reason, op, otherwise.Behind, otherwise.Text) }
	at := turn.parts[n].at
	if x.p.Stations[turn.station].Takes == Places {
		for _, b := range x.full(turn, from, t.cur) {
			rest(b.To)
			t.back(b.From, StationWait, op, None, "no free place on "+x.p.Stations[turn.station].Name)
		}
	}
	for _, b := range x.busy(at, from, t.cur) {
		rest(b.To)
		t.back(b.From, CrewWait, op, None, x.crewNames(at)+" busy elsewhere")
	}
	rest(from)
}

// busy gives the times in [from, to), the latest first, at which too few heads of some pool of a site are free.
func (x *explainer) busy(at *site, from, to plant.Time) []calendar.Span {
	var out []calendar.Span
	for _, n := range at.needs {
		list := x.used[n.Pool]
		i := max(sort.Search(len(list), func(i int) bool { return list[i].at > from })-1, 0)
		for ; i < len(list) && list[i].at < to; i++ {
			end := to
			if i+1 < len(list) {
				end = min(end, list[i+1].at)
			}
			begin := max(list[i].at, from)
			if begin < end && list[i].heads+n.Heads > x.heads(n.Pool, begin) {
				out = append(out, calendar.Span{From: begin, To: end})
			}
		}
	}
	merged := calendar.Make(out).Spans()
	rev := slices.Clone(merged)
	slices.Reverse(rev)
	return rev
}

// full gives the times in [from, to), the latest first, at which a rack has no room for turn t beside the others, or a
// station no pallet.
func (x *explainer) full(t *turn, from, to plant.Time) []calendar.Span {
	st := &x.p.Stations[t.station]
	room := int(st.Capacity - x.p.Ops[t.ops[0]].Size)
	if st.Takes == One {
		room = st.Pallets - 1
	}
	list := x.onStation(t.station)
	var out []calendar.Span
	i := max(sort.Search(len(list), func(i int) bool { return list[i].at > from })-1, 0)
	for ; i < len(list) && list[i].at < to; i++ {
		end := to
		if i+1 < len(list) {
			end = min(end, list[i+1].at)
		}
		if begin := max(list[i].at, from); begin < end && list[i].heads > room {
			out = append(out, calendar.Span{From: begin, To: end})
		}
	}
	merged := slices.Clone(calendar.Make(out).Spans())
	slices.Reverse(merged)
	return merged
}

// onStation gives the sizes on a rack, or the pallets taken, from each instant on.
func (x *explainer) onStation(station int) []use {
	if list, known := x.places[station]; known {
		return list
	}
	var list []use
	for _, k := range x.at[station] {
		o := &x.turns[k]
		from, size := o.slot.Run, int(x.p.Ops[o.ops[0]].Size)
		if x.p.Stations[station].Takes == One {
			from, size = o.slot.Load, 1
		}
		list = append(list, use{from, size}, use{o.slot.End, -size})
	}
	list = summed(list)
	x.places[station] = list
	return list
}

// heads gives the heads of a pool that are present at t.
func (x *explainer) heads(pool int, t plant.Time) int {
	steps := x.p.Pools[pool].Heads
	i := sort.Search(len(steps), func(i int) bool { return steps[i].At > t })
	if i == 0 || t >= x.p.Horizon {
		return 0
	}
	return steps[i-1].N
}

func (x *explainer) crewNames(at *site) string {
	text := ""
	for i, n := range at.needs {
		if i > 0 {
			text += " or "
		}
		text += x.p.Pools[n.Pool].Name
	}
	return text
}
