package dispatch

import (
	"fmt"
	"slices"
	"strings"

	"tackline/book"
	"tackline/floor"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// Desk says of single operations of a plan, as the floor is at an instant, what keeps them from starting and who could start them.
// RunLists says the same for all as the records were when the plan was made. It is safe for concurrent use.
type Desk struct {
	f     *shared
	kitOf map[int]*Kit
	opOf  map[floor.OpKey]int
}

// NewDesk makes a desk for a plan.
func NewDesk(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan, kits []Kit) *Desk {
	d := &Desk{f: newShared(ix, r, p, plan), kitOf: make(map[int]*Kit, len(kits)), opOf: make(map[floor.OpKey]int, len(r.Ops))}
	for i := range kits {
		d.kitOf[kits[i].Op] = &kits[i]
	}
	for op := range r.Ops {
		d.opOf[floor.OpKey{Job: r.Jobs[r.Ops[op].Job].ID, Seq: r.Ops[op].Seq}] = op
	}
	d.f.arrives = schedule.Arrivals(p, plan)
	return d
}

// Op finds an operation of the plan.
func (d *Desk) Op(k floor.OpKey) (op int, ok bool) {
	op, ok = d.opOf[k]
	return op, ok
}

// Key names an operation of the plan.
func (d *Desk) Key(op int) floor.OpKey {
	o := &d.f.r.Ops[op]
	return floor.OpKey{Job: d.f.r.Jobs[o.Job].ID, Seq: o.Seq}
}

// Over says whether an operation is done, by the record of the floor or by the shop book.
func (d *Desk) Over(op int, s *floor.State) bool {
	return s.Ops[d.Key(op)].Phase == floor.Done || d.f.over(op)
}

// Blocks gives what keeps an operation from starting at a station now: it, or what comes before it, is held; the order line is not to
// be begun yet; what comes before has not passed on enough; its kit is not there; program or drawing is not approved; the station is
// out of order. Only what it gives as a missing kit can be started short.
func (d *Desk) Blocks(op int, station plant.StationID, now plant.Time, s *floor.State) (blocks []Block, kitAlone bool) {
	f, o := d.f, &d.f.r.Ops[op]
	loc := f.zone(op)
	state := s.Ops[d.Key(op)]
	var out []Block
	for _, h := range state.Holds {
		out = append(out, Block{What: "held: " + h.Reason, Clears: "quality"})
	}
	if u := f.r.Jobs[o.Job].Unit; u != needs.None && f.r.Units[u].Release > now {
		out = append(out, Block{What: "order line not to be begun before " + f.when(f.r.Units[u].Release, loc), Clears: "planner", Until: f.r.Units[u].Release})
	}
	for _, i := range f.into[op] {
		out = append(out, d.notPassed(op, i, now, s)...)
	}
	out = append(out, f.papers(o, loc)...)
	if st := s.Stations[station]; st.Down != nil {
		out = append(out, Block{What: d.stationName(station) + " is down: " + st.Down.Reason, Clears: "maintenance"})
	}
	if state.Kit == floor.Delivered {
		return out, false
	}
	missing := d.missingParts(op, now)
	return append(out, missing...), len(out) == 0 && len(missing) > 0
}

// notPassed says what an operation waits for over a link.
func (d *Desk) notPassed(op, link int, now plant.Time, s *floor.State) []Block {
	f := d.f
	l := &f.p.Links[link]
	from := s.Ops[d.Key(l.From)]
	ended := from.Ended
	if len(from.Holds) > 0 {
		return []Block{{What: f.r.Ops[l.From].Name + " before it is held: " + from.Holds[0].Reason, Clears: "quality"}}
	}
	switch {
	case from.Phase == floor.Done:
	case f.over(l.From):
		ended = f.p.Ops[l.From].Fixed.End
	case l.Transfer > 0 && from.Good >= min(l.Transfer, l.Pieces):
		return nil
	default:
		b := f.before(op, link)
		return append([]Block{b}, f.holdPoint(l, b.Until)...)
	}
	if comes := f.p.Arrives(l, ended); comes > now && l.Carrier != schedule.None {
		what := "job " + string(f.r.Jobs[f.r.Ops[l.From].Job].ID) + " is on its way, " + f.p.Carriers[l.Carrier].Name
		return []Block{{What: what, Clears: "materials", Until: known(comes)}}
	} else if comes > now {
		return []Block{{What: "waits until " + f.when(comes, f.zone(op)) + " after " + f.r.Ops[l.From].Name, Until: comes}}
	}
	return nil
}

// missingParts says which parts of the kit are not there yet, but for what other jobs make: that is said by the links.
func (d *Desk) missingParts(op int, now plant.Time) (out []Block) {
	k := d.kitOf[op]
	if k == nil {
		return nil
	}
	for i := range k.Lines {
		l := &k.Lines[i]
		made := len(l.Covers) > 0 && !slices.ContainsFunc(l.Covers, func(c needs.Cover) bool { return c.Kind != needs.FromJob })
		if !made && l.State != KitComplete && l.Comes > now {
			out = append(out, Block{What: "waits for " + l.Name + " (" + l.Source + ")", Clears: "materials", Until: known(l.Comes)})
		}
	}
	return out
}

// Unfit says why a person may not do an operation: he does not hold, on the day of now, what the crew pools of the operation ask for. It
// names who does. It is "" if he may, or if the operation asks for nothing.
func (d *Desk) Unfit(op int, who plant.PersonID, now plant.Time) string {
	f, o := d.f, &d.f.r.Ops[op]
	var asked []plant.Qualifying
	for _, c := range o.Crew {
		p := f.ix.Pools[c.Pool]
		if p == nil || p.Qualification == "" {
			return "" // people without one may do their part of it
		}
		if d.holds(who, p.Qualification, now, op) {
			return ""
		}
		asked = append(asked, p.Qualification)
	}
	if len(asked) == 0 {
		return ""
	}
	what := fmt.Sprintf("%s does not hold %s.", d.personName(who), asked[0])
	for _, q := range f.ix.Book.Qualifications {
		if q.Person == who && q.Name == asked[0] {
			what = fmt.Sprintf("%s of %s expired on %s.", asked[0], d.personName(who), q.Expires)
		}
	}
	if can := d.holders(asked, now, op); len(can) > 0 {
		return what + " Who can: " + strings.Join(can, ", ") + "."
	}
	return what + " Nobody in the shop book can."
}

// holds says whether a person holds a qualification on the day of now.
func (d *Desk) holds(who plant.PersonID, q plant.Qualifying, now plant.Time, op int) bool {
	for _, x := range d.f.ix.Book.Qualifications {
		if x.Person != who || x.Name != q {
			continue
		}
		if end, given := x.Expires.EndOfDay(d.f.zone(op)); !given || now < end {
			return true
		}
	}
	return false
}

// mostNamed bounds the people named who can do an operation.
const mostNamed = 4

func (d *Desk) holders(asked []plant.Qualifying, now plant.Time, op int) (names []string) {
	for i := range d.f.ix.Book.People {
		p := &d.f.ix.Book.People[i]
		if len(names) < mostNamed && slices.ContainsFunc(asked, func(q plant.Qualifying) bool { return d.holds(p.ID, q, now, op) }) {
			names = append(names, p.Name)
		}
	}
	return names
}

func (d *Desk) personName(id plant.PersonID) string {
	if p := d.f.ix.People[id]; p != nil {
		return p.Name
	}
	return string(id)
}

func (d *Desk) stationName(id plant.StationID) string {
	if st := d.f.ix.Stations[id]; st != nil {
		return st.Name
	}
	return string(id)
}

// Limit gives how many operations, or loads, a station can run at one time: one, or as many as it has pallets; 0 for any number,
// where places or a sister plant take them.
func Limit(ix *book.Index, id plant.StationID) int {
	st := ix.Stations[id]
	if st == nil {
		return 1
	}
	if c := ix.Centres[st.Centre]; c != nil && (c.Takes == book.TakesPlaces || c.Takes == book.TakesAway) {
		return 0
	}
	return max(1, st.Pallets)
}
