package schedule

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"tackline/calendar"
	"tackline/plant"
)

// Explain says for each unit why it ships when it does. It goes back from the unit's last operation along what each
// operation had to wait for last, and cuts the time from Problem.Now to the ship date into segments without gap or
// overlap: their lengths add up exactly. A unit without a ship date, or one that has shipped, has no segments.
func Explain(p *Problem, plan *Plan) []Explanation {
	out := make([]Explanation, len(p.Units))
	if len(plan.Slots) != len(p.Ops) {
		return out
	}
	x := newExplainer(p, plan)
	for u := range p.Units {
		out[u] = x.unit(u)
	}
	return out
}

// explainer holds what explanations of one plan share.
type explainer struct {
	*reading
	into [][]int // links by the operation they lead to
	why  map[int]string
	used [][]use // heads in use by pool, sorted by time

	places map[int][]use // size on a rack, by station
}

// use is a change of the heads in use: from at on there are heads.
type use struct {
	at    plant.Time
	heads int
}

func newExplainer(p *Problem, plan *Plan) *explainer {
	x := &explainer{reading: read(p, plan.Slots), into: make([][]int, len(p.Ops)), why: map[int]string{},
		used: make([][]use, len(p.Pools)), places: map[int][]use{}}
	for i := range p.Links {
		x.into[p.Links[i].To] = append(x.into[p.Links[i].To], i)
	}
	for _, l := range plan.Left {
		x.why[l.Op] = l.Why
	}
	x.countHeads()
	return x
}

// countHeads adds up the heads in use of each pool.
func (x *explainer) countHeads() {
	for k := range x.turns {
		for n := range x.turns[k].parts {
			y := &x.turns[k].parts[n]
			if len(y.at.needs) == 0 || y.work <= 0 {
				continue
			}
			for _, s := range within(y.at.open, y.begin, y.done) {
				for _, need := range y.at.needs {
					x.used[need.Pool] = append(x.used[need.Pool], use{max(s.From, y.begin), need.Heads}, use{min(s.To, y.done), -need.Heads})
				}
			}
		}
	}
	for i, list := range x.used {
		x.used[i] = summed(list)
	}
}

// summed turns changes into what is in use from each instant on.
func summed(list []use) []use {
	slices.SortFunc(list, func(a, b use) int { return cmp.Compare(a.at, b.at) })
	sum, w := 0, 0
	for _, u := range list {
		sum += u.heads
		if w > 0 && list[w-1].at == u.at {
			list[w-1].heads = sum
			continue
		}
		list[w] = use{u.at, sum}
		w++
	}
	return list[:w]
}

// trail is an explanation in the making, from its end backwards.
type trail struct {
	x   *explainer
	e   *Explanation
	cur plant.Time // everything from here on is explained
}

// back explains the time from from to what is explained already.
func (t *trail) back(from plant.Time, reason Reason, op, behind int, text string) {
	from = max(from, t.x.p.Now)
	if from >= t.cur {
		return
	}
	if n := len(t.e.Segments); n > 0 {
		if last := &t.e.Segments[n-1]; last.Reason == reason && last.Op == op && last.Behind == behind {
			last.From, t.cur = from, from
			return
		}
	}
	t.e.Segments = append(t.e.Segments, Segment{From: from, To: t.cur, Reason: reason, Op: op, Behind: behind, Text: text})
	t.cur = from
}

func (x *explainer) unit(u int) Explanation {
	unit := &x.p.Units[u]
	e := Explanation{Unit: u, Ship: plant.Never}
	ship, planned := x.ship(unit)
	if !planned {
		e.Sentence = "Has no ship date: " + x.reasonLeft(unit.Last) + "."
		return e
	}
	e.Ship, e.Slack = ship, unit.Due.Sub(ship)
	if ship > x.p.Now {
		t := &trail{x: x, e: &e, cur: ship}
		for op := unit.Last; op != None && t.cur > x.p.Now; {
			op = t.step(op)
		}
		t.back(x.p.Now, Waiting, None, None, "waits")
		slices.Reverse(e.Segments)
	}
	e.Sentence = Sentence(x.p, &e, nil)
	return e
}

func (x *explainer) reasonLeft(op int) string {
	if op < 0 || op >= len(x.p.Ops) {
		return "it has no last operation"
	}
	if why := x.why[op]; why != "" {
		return x.name(op) + " found no place, " + why
	}
	return x.name(op) + " found no place"
}

// step explains op back to the instant from which it waited for something else, and gives the operation that it waited
// for; None if there is none.
func (t *trail) step(op int) int {
	x := t.x
	if x.turnOf[op] == None {
		return None
	}
	turn := &x.turns[x.turnOf[op]]
	t.inside(op, turn)
	if t.cur <= x.p.Now {
		return None
	}
	ready, link := x.ready(op)
	t.before(op, turn, ready, link)
	if t.cur <= x.p.Now {
		return None
	}
	if link == None {
		t.material(op)
		return None
	}
	l := &x.p.Links[link]
	leaves := x.leaves(l, 1, x.lots(l))
	if l.Carrier != None {
		t.back(leaves, Carrying, l.From, None, "on the way, "+x.p.Carriers[l.Carrier].Name)
	} else {
		t.back(leaves, Waiting, l.From, None, "waits between "+x.p.Ops[l.From].Name+" and "+x.p.Ops[l.To].Name)
	}
	return l.From
}

// ready gives the instant from which op could have been loaded as far as others go, and the link that decided it; None
// if its material or release did, or nothing.
func (x *explainer) ready(op int) (plant.Time, int) {
	ready, link := max(x.p.Now, x.p.Ops[op].Earliest), None
	for _, i := range x.into[op] {
		l := &x.p.Links[i]
		if x.turnOf[l.From] == None {
			continue
		}
		if at := x.arrival(l, 1, x.lots(l)); at > ready && at < plant.Never {
			ready, link = at, i
		}
	}
	return ready, link
}

// material explains what Earliest waits for: it reaches back to now.
func (t *trail) material(op int) {
	o := &t.x.p.Ops[op]
	reason, text := Material, o.Why
	switch {
	case strings.HasPrefix(o.Why, "held"):
		reason = Held
	case strings.HasPrefix(o.Why, "order line"):
		reason = NotYet
	}
	t.back(t.x.p.Now, reason, op, None, text)
}

// inside explains the time from op's load to what is explained already: working, closed, drying, away.
func (t *trail) inside(op int, turn *turn) {
	x := t.x
	switch x.p.Stations[turn.station].Takes {
	case Places:
		t.back(turn.slot.Load, Drying, op, None, x.name(op)+" on "+x.p.Stations[turn.station].Name)
		return
	case NoLimit:
		t.back(turn.slot.Load, AwayWork, op, None, x.name(op)+" at "+x.p.Stations[turn.station].Name)
		return
	}
	for n := inUnload; n >= inLoad && t.cur > x.p.Now; n-- {
		y := &turn.parts[n]
		if t.cur > y.done && y.done >= y.begin && y.done < plant.Never {
			t.gap(op, turn, y.done, None)
		}
		t.phase(op, turn, n, Working)
	}
}

// phase explains the time of one phase: work in open time, shop closed between.
func (t *trail) phase(op int, turn *turn, n int, reason Reason) {
	y := &turn.parts[n]
	what := t.x.name(op)
	if y.through {
		t.back(y.begin, reason, op, None, what)
		return
	}
	spans := within(y.at.open, y.begin, t.cur)
	for i := len(spans) - 1; i >= 0; i-- {
		t.closedTo(turn, max(min(spans[i].To, t.cur), y.begin), op)
		t.back(max(spans[i].From, y.begin), reason, op, None, what)
	}
	if turn.fixed { // it happened, whatever the calendar says
		t.back(y.begin, reason, op, None, what)
	}
	t.closedTo(turn, y.begin, op)
}

// closedTo explains the time from from on as closed, or as crew away where only the crew is missing.
func (t *trail) closedTo(turn *turn, from plant.Time, op int) {
	st := &t.x.p.Stations[turn.station]
	spans := within(st.Open, from, t.cur)
	for i := len(spans) - 1; i >= 0; i-- {
		t.back(min(spans[i].To, t.cur), ShopClosed, op, None, st.Name+" closed")
		t.back(max(spans[i].From, from), CrewWait, op, None, "crew not there")
	}
	t.back(from, ShopClosed, op, None, st.Name+" closed")
}

// before explains the time from ready to op's load: its setup, others on the station, closed time, crew.
func (t *trail) before(op int, turn *turn, ready plant.Time, link int) {
	if t.cur <= ready {
		return
	}
	setup := &turn.parts[inSetup]
	if setup.work > 0 && setup.begin < t.cur {
		if t.cur > setup.done && setup.done >= setup.begin {
			t.gap(op, turn, max(setup.done, ready), link)
		}
		t.setup(op, turn, ready)
	}
	t.gap(op, turn, ready, link)
}

func (t *trail) setup(op int, turn *turn, ready plant.Time) {
	y := &turn.parts[inSetup]
	from := max(y.begin, ready)
	spans := within(y.at.open, from, t.cur)
	for i := len(spans) - 1; i >= 0; i-- {
		t.closedTo(turn, max(min(spans[i].To, t.cur), from), op)
		t.back(max(spans[i].From, from), SettingUp, op, None, "setup for "+t.x.name(op))
	}
	t.closedTo(turn, from, op)
}

// gap explains the time from from to what is explained already, in which op could have been on its station as far as
// other operations of the unit go.
func (t *trail) gap(op int, turn *turn, from plant.Time, link int) {
	x := t.x
	from = max(from, x.p.Now)
	others := x.inTheWay(turn, from, t.cur)
	for i := len(others) - 1; i >= 0 && t.cur > from; i-- {
		o := &x.turns[others[i]]
		t.idle(op, turn, min(max(x.until(turn, o), from), t.cur), link)
		first := o.ops[0]
		t.back(max(o.slot.Setup, from), StationWait, op, first, "behind "+x.jobOf(first)+" on "+x.p.Stations[turn.station].Name)
	}
	t.idle(op, turn, from, link)
}

// until gives how long turn o keeps the station from turn t.
func (x *explainer) until(t, o *turn) plant.Time {
	st := &x.p.Stations[t.station]
	if st.Takes == One && st.Pallets >= 2 {
		return min(o.parts[inRun].done, o.slot.Unload)
	}
	return o.slot.End
}

// inTheWay gives the turns of t's station that keep it from beginning in [from, to), in order of their end.
func (x *explainer) inTheWay(t *turn, from, to plant.Time) []int {
	st := &x.p.Stations[t.station]
	if st.Takes == Places || st.Takes == NoLimit {
		return nil
	}
	list := x.at[t.station]
	mine := sort.Search(len(list), func(i int) bool {
		o := &x.turns[list[i]]
		return o.slot.Run > t.slot.Run || o.slot.Run == t.slot.Run && o.ops[0] >= t.ops[0]
	})
	var out []int
	for i := mine - 1; i >= 0; i-- {
		o := &x.turns[list[i]]
		if x.until(t, o) <= from {
			break // those before ended earlier still
		}
		if o.slot.Setup < to {
			out = append(out, list[i])
		}
	}
	slices.Reverse(out)
	return out
}

// idle explains time in which nobody else is on the station: closed, crew missing or busy elsewhere, or left so by the plan.
func (t *trail) idle(op int, turn *turn, from plant.Time, link int) {
	if t.cur <= from {
		return
	}
	y := firstPhase(turn)
	spans := within(y.at.open, from, t.cur)
	for i := len(spans) - 1; i >= 0 && t.cur > from; i-- {
		t.closedTo(turn, max(min(spans[i].To, t.cur), from), op)
		t.open(op, turn, y.at, max(spans[i].From, from), link)
	}
	t.closedTo(turn, from, op)
}

// firstPhase gives the first phase of a turn that has work.
func firstPhase(t *turn) *part {
	for n := inSetup; n <= inUnload; n++ {
		if t.parts[n].work > 0 {
			return &t.parts[n]
		}
	}
	return &t.parts[inRun]
}

// open explains open time with a free station: crew busy elsewhere where too few heads are free, else what the operation
// itself waits for.
func (t *trail) open(op int, turn *turn, at *site, from plant.Time, link int) {
	x := t.x
	reason, text := Waiting, "the plan leaves it for later"
	switch {
	case link != None && x.p.Links[link].Transfer > 0 && x.lots(&x.p.Links[link]) > 1:
		reason, text = SetWait, "waits for the rest of "+x.jobOf(x.p.Links[link].From)
	case len(turn.ops) > 1:
		reason, text = SetWait, "waits for the rest of its batch"
	case turn.closed == Whole:
		reason, text = ShopClosed, "does not fit before closing time"
	}
	if x.p.Stations[turn.station].Takes == Places {
		for _, b := range x.full(turn, from, t.cur) {
			t.back(b.To, reason, op, None, text)
			t.back(b.From, StationWait, op, None, "no free place on "+x.p.Stations[turn.station].Name)
		}
	}
	for _, b := range x.busy(at, from, t.cur) {
		t.back(b.To, reason, op, None, text)
		t.back(b.From, CrewWait, op, None, x.crewNames(at)+" busy elsewhere")
	}
	t.back(from, reason, op, None, text)
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

// full gives the times in [from, to), the latest first, at which a rack has no room for turn t beside the others.
func (x *explainer) full(t *turn, from, to plant.Time) []calendar.Span {
	list := x.places[t.station]
	if list == nil {
		for _, k := range x.at[t.station] {
			o := &x.turns[k]
			size := int(x.p.Ops[o.ops[0]].Size)
			list = append(list, use{o.slot.Run, size}, use{o.slot.End, -size})
		}
		list = summed(list)
		x.places[t.station] = list
	}
	room := int(x.p.Stations[t.station].Capacity - x.p.Ops[t.ops[0]].Size)
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

func (x *explainer) jobOf(op int) string { return "job " + string(x.p.Jobs[x.p.Ops[op].Job].ID) }

// name says an operation: "robot weld of job 1042-1-1/jaw-4c".
func (x *explainer) name(op int) string {
	return fmt.Sprintf("%s of %s", x.p.Ops[op].Name, x.jobOf(op))
}
