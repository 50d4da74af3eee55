package web

import (
	"sort"
	"strconv"
	"strings"
	"time"

	"tackline/dispatch"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// decision is something that a person must decide, and by when.
type decision struct {
	what, why, who, href string
	by                   plant.Time // 0: at once
}

// decisions gathers what waits for a person: what upset the plan on the floor, broken rules or a changed book (older), holds, units without a place, approvals,
// and material to order or hurry within a day.
func (ix *index) decisions(now plant.Time, older bool, upsets []dispatch.Upset) []decision {
	var out []decision
	for _, u := range upsets {
		out = append(out, decision{"Re-plan: " + u.What, "The plan does not know of it; it may move what follows", "planner", "/plan", now})
	}
	if broken := ix.view.Broken; len(broken) > 0 {
		why := "The plan breaks rules in " + count(len(broken), "place", "places") + ", first rule " + broken[0].Rule + ": " + schedule.LocalTimes(broken[0].Text, ix.first)
		out = append(out, decision{"Re-plan", why, "planner", "/plan", now})
	} else if older {
		out = append(out, decision{"Re-plan", "The shop book has changed since the plan was made. The plan still keeps every rule, but it may not hold all there is to do", "planner", "/plan", now})
	}
	for _, op := range ix.heldOps {
		out = append(out, decision{"Hold: " + ix.op(op).Name + " of " + ix.job(op).Name, ix.held[op], "quality", ix.opHref(op), now})
	}
	out = append(out, ix.leftOut(now)...)
	out = append(out, ix.lateMaterial(now)...)
	out = append(out, ix.lateUnits(now)...)
	for _, p := range ix.papers(now) {
		out = append(out, decision{"Approve " + p.kind + " " + p.id, p.note, p.clears, ix.opHref(p.op), p.start})
	}
	for i := range ix.view.Needs.Actions {
		a := &ix.view.Needs.Actions[i]
		if a.By < now.Add(buyAhead) && (a.Kind == needs.Expedite || a.Kind == needs.Buy || a.Kind == needs.Transfer) {
			do := map[string]string{needs.Expedite: "Hurry ", needs.Buy: "Buy ", needs.Transfer: "Call "}[a.Kind]
			out = append(out, decision{do + ix.amount(a.Qty, a.Item, a.Plant) + " " + ix.itemName(a.Item), a.Reason, "materials",
				"/materials?" + query("q", string(a.Item)), a.By})
		}
	}
	return out
}

// leftOut gathers the operations that found no place, one decision for each reason.
func (ix *index) leftOut(now plant.Time) []decision {
	ops := map[string][]int{}
	for op, why := range ix.left {
		ops[why] = append(ops[why], op)
	}
	var out []decision
	for why, of := range ops {
		d := decision{strconv.Itoa(len(of)) + " operations have no place in the plan", why, "planner", "/plan", now}
		if op := of[0]; len(of) == 1 {
			d.what, d.href = "No place in the plan: "+ix.op(op).Name+" of "+string(ix.job(op).ID), ix.opHref(op)
		}
		out = append(out, d)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].why < out[j].why })
	return out
}

// decideAhead is how far ahead a late unit or a short part is something to decide this morning.
const decideAhead plant.Seconds = 14 * 24 * 3600

// lateMaterial gathers the parts that come too late to keep a due date, one decision for each item: hurry it, find it
// elsewhere, or tell the customers.
func (ix *index) lateMaterial(now plant.Time) []decision {
	type need struct {
		first *dispatch.Short
		qty   plant.Qty
		units []string
	}
	found := map[plant.ItemID]*need{}
	var order []plant.ItemID
	for i := range ix.view.Shorts {
		s := &ix.view.Shorts[i]
		if s.Wanted > now.Add(decideAhead) {
			continue
		}
		n := found[s.Item]
		if n == nil {
			n = &need{first: s}
			found[s.Item], order = n, append(order, s.Item)
		}
		n.qty += s.Qty
		for _, u := range s.Units {
			n.units = append(n.units, string(u))
		}
	}
	var out []decision
	for _, item := range order {
		n := found[item]
		out = append(out, decision{"Find " + ix.amount(n.qty, item, n.first.Plant) + " " + ix.itemName(item), n.first.Source + ". Holds up " + listed(n.units, 4),
			"materials", "/shortages?" + query("q", string(item)), max(n.first.Wanted, now)})
	}
	return out
}

// lateUnits gathers the units due soon that ship late for another reason than material.
func (ix *index) lateUnits(now plant.Time) []decision {
	short := map[plant.UnitID]bool{}
	for i := range ix.view.Shorts {
		for _, u := range ix.view.Shorts[i].Units {
			short[u] = true
		}
	}
	var out []decision
	for i := range ix.rows {
		u := &ix.rows[i]
		unit := &ix.view.Needs.Units[u.unit]
		if !u.planned || !u.isLate() || short[unit.ID] || unit.Due > now.Add(decideAhead) {
			continue
		}
		out = append(out, decision{string(unit.ID) + " ships " + slackText(u.slack) + ": make room or tell " + unit.Customer, u.why(), "planner", unitHref(unit.ID) + "#ontime", unit.Due})
	}
	return out
}

// listed names the first few of a list and counts the rest.
func listed(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return strings.Join(names[:most], ", ") + " and " + strconv.Itoa(len(names)-most) + " more"
}

func (ix *index) decisionList() *list[decision] {
	return &list[decision]{
		name: "decisions", one: "decision", many: "decisions", order: "by",
		empty: "Nothing waits for a decision.",
		columns: []column[decision]{
			{key: "what", title: "What", cell: func(d decision) cell { return link(d.what, d.href) }},
			{key: "who", title: "Who", cell: func(d decision) cell { return text(d.who) }},
			{key: "by", title: "By", number: true, cell: func(d decision) cell { return at(d.by, ix.first) }},
			{key: "why", title: "Why", wide: true, cell: func(d decision) cell { return text(d.why) }},
		},
	}
}

// stop is something that does not work today: a station, a person, a hold.
type stop struct {
	what, kind, why, href string
	state                 hatching
	from, to              plant.Time
	loc                   *time.Location
}

// stops gathers stations closed now beside their calendar, work held, people away, and qualifications that ran out.
func (ix *index) stops(now plant.Time) []stop {
	var out []stop
	for i := range ix.view.Book.Stations {
		st := &ix.view.Book.Stations[i]
		e := ix.downAt(st.ID, now)
		if e == nil {
			continue
		}
		loc := ix.book.StationZone(st.ID)
		from, _ := e.From.Time(loc)
		to, _ := e.To.Time(loc)
		out = append(out, stop{st.Name, e.Kind, e.Reason, stationHref(st.ID), stopped, from, to, loc})
	}
	for _, op := range ix.heldOps {
		out = append(out, stop{ix.op(op).Name + " of " + string(ix.job(op).ID), "held", ix.held[op], ix.opHref(op), held, 0, 0, ix.opZone(op)})
	}
	return append(out, ix.missingPeople(now)...)
}

func (ix *index) missingPeople(now plant.Time) []stop {
	var out []stop
	for i := range ix.view.Book.People {
		p := &ix.view.Book.People[i]
		loc := ix.book.CalendarZone(p.Calendar)
		for _, a := range ix.book.Absences[p.ID] {
			from, ok1 := a.From.Time(loc)
			to, ok2 := a.To.Time(loc)
			if ok1 && ok2 && from <= now && now < to {
				out = append(out, stop{p.Name, "absent", a.Reason, "", hatching{"none", "absent"}, from, to, loc})
			}
		}
		pool := ix.book.Pools[p.Pool]
		if pool == nil || pool.Qualification == "" {
			continue
		}
		for _, q := range ix.book.Qualifications[p.ID] {
			if end, ok := q.Expires.EndOfDay(loc); ok && q.Name == pool.Qualification && end <= now {
				out = append(out, stop{p.Name, "not qualified", "qualification " + string(q.Name) + " ran out; not counted in " + pool.Name, "",
					hatching{"none", "not qualified"}, end, 0, loc})
			}
		}
	}
	return out
}

func (ix *index) stopList() *list[stop] {
	return &list[stop]{
		name: "stopped", one: "stop", many: "stops",
		empty: "Every station is up, everybody is here, nothing is held.",
		columns: []column[stop]{
			{key: "what", title: "What", cell: func(s stop) cell { return text(s.what).to(s.href) }},
			{key: "state", title: "State", cell: func(s stop) cell { h := s.state; h.Word = s.kind; return lining(h) }},
			{key: "until", title: "Until", number: true, cell: func(s stop) cell { return at(s.to, s.loc) }},
			{key: "why", title: "Why", wide: true, cell: func(s stop) cell { return text(s.why) }},
		},
	}
}

// unapproved is a program or drawing that is not approved, and the first work that waits for it.
type unapproved struct {
	kind, id, revision, note, clears string
	due                              plant.Date
	op, ops                          int // the first operation, and how many there are
	start                            plant.Time
}

// papers gathers the programs and drawings not approved for work that begins within papersAhead, the soonest first.
func (ix *index) papers(now plant.Time) []*unapproved {
	found := map[string]*unapproved{}
	var out []*unapproved
	note := func(p unapproved, op int, start plant.Time) {
		k := found[p.kind+p.id]
		if k == nil {
			k = &p
			k.op, k.start = op, start
			found[p.kind+p.id] = k
			out = append(out, k)
		}
		if k.ops++; start < k.start {
			k.op, k.start = op, start
		}
	}
	for op := range ix.view.Needs.Ops {
		o := ix.op(op)
		sl, ok := ix.slot(op)
		if o.Program == "" && o.Drawing == "" || !ok || sl.Setup > now.Add(papersAhead) || ix.opState(op) == done {
			continue
		}
		if p := ix.book.Programs[o.Program]; o.Program != "" && (p == nil || !p.Approved) {
			x := unapproved{kind: "program", id: string(o.Program), clears: "programming", note: "not in the shop book"}
			if p != nil {
				x.revision, x.note, x.due = p.Revision, p.Note, p.Due
			}
			note(x, op, sl.Setup)
		}
		if d := ix.book.Drawings[o.Drawing]; o.Drawing != "" && (d == nil || !d.Approved) {
			x := unapproved{kind: "drawing", id: string(o.Drawing), clears: "engineering", note: "not in the shop book"}
			if d != nil {
				x.revision, x.note, x.due = d.Revision, d.Note, d.Due
			}
			note(x, op, sl.Setup)
		}
	}
	return out
}

func (ix *index) paperList() *list[*unapproved] {
	return &list[*unapproved]{
		name: "approvals", one: "approval", many: "approvals", order: "first",
		empty: "Every program and drawing needed soon is approved.",
		columns: []column[*unapproved]{
			{key: "what", title: "What", cell: func(p *unapproved) cell {
				return text(strings.TrimSpace(p.kind + " " + p.id + " rev " + p.revision)).under(p.note)
			}},
			{key: "expected", title: "Expected", cell: func(p *unapproved) cell {
				if p.due == "" {
					return text("no date")
				}
				t, _ := p.due.Time(ix.first)
				d := dayOf(t, ix.first)
				return cell{Text: d.Text, ISO: d.ISO, Late: t > p.start}
			}},
			{key: "first", title: "First work", number: true, cell: func(p *unapproved) cell { return at(p.start, ix.opZone(p.op)).to(ix.opHref(p.op)) }},
			{key: "ops", title: "Operations", number: true, cell: func(p *unapproved) cell { return whole(p.ops) }},
		},
	}
}

// shortKits gives the short kits due within kitsAhead.
func (ix *index) shortKits(now plant.Time) []*dispatch.Kit {
	var out []*dispatch.Kit
	for i := range ix.view.Kits {
		if k := &ix.view.Kits[i]; k.State == dispatch.KitShort && k.Due < now.Add(kitsAhead) && !ix.hasBegun(k.Op) {
			out = append(out, k)
		}
	}
	return out
}
