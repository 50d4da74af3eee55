package dispatch

import (
	"cmp"
	"slices"
	"time"

	"tackline/book"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/stock"
)

// RunLists gives what each station does next, in the order of the plan: what runs, then what is planned. Each entry says
// what keeps it from starting now and who clears it; an entry without such is ready.
func RunLists(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan, kits []Kit) []RunList {
	f := newShared(ix, r, p, plan)
	f.arrives = schedule.Arrivals(p, plan)
	kitOf := make(map[int]*Kit, len(kits))
	for i := range kits {
		kitOf[kits[i].Op] = &kits[i]
	}
	out := make([]RunList, len(p.Stations))
	for s := range p.Stations {
		out[s].Station = p.Stations[s].ID
	}
	for op := range p.Ops {
		if s, ok := f.slot(op); ok && !f.over(op) {
			out[s.Station].Runs = append(out[s.Station].Runs, f.run(op, s, kitOf[op]))
		}
	}
	for s := range out {
		runs := out[s].Runs
		slices.SortStableFunc(runs, func(a, b Run) int { return cmp.Or(cmp.Compare(a.Setup, b.Setup), cmp.Compare(a.Start, b.Start)) })
		for i := range runs {
			runs[i].Slot = i
		}
	}
	return out
}

func (f *shared) run(op int, s schedule.Slot, kit *Kit) Run {
	run := Run{Op: op, Setup: s.Setup, Start: s.Load, End: s.End, Kit: KitNone}
	if kit != nil {
		run.Kit = kit.State
	}
	if f.p.Ops[op].State == schedule.Running {
		return run
	}
	run.Blocks = f.blocks(op, s, kit)
	run.Ready = len(run.Blocks) == 0
	return run
}

// blocks gives what keeps an operation from starting now.
func (f *shared) blocks(op int, s schedule.Slot, kit *Kit) []Block {
	var out []Block
	o := &f.r.Ops[op]
	loc := f.zone(op)
	if w := f.ix.Work[book.JobOp{Job: f.r.Jobs[o.Job].ID, Seq: o.Seq}]; w != nil && w.State == stock.Held {
		b := Block{What: "held", Clears: "quality"}
		if w.Note != "" {
			b.What += ": " + w.Note
		}
		b.Until, _ = w.End.Time(loc)
		out = append(out, b)
	}
	if u := f.r.Jobs[o.Job].Unit; u != needs.None && f.r.Units[u].Release > f.p.Now {
		out = append(out, Block{What: "order line not to be begun before " + f.when(f.r.Units[u].Release, loc), Clears: "planner", Until: f.r.Units[u].Release})
	}
	for _, i := range f.into[op] {
		if f.arrives[i] > f.p.Now {
			b := f.before(op, i)
			out = append(append(out, b), f.holdPoint(&f.p.Links[i], b.Until)...)
		}
	}
	out = append(out, f.missing(op, kit)...)
	out = append(out, f.papers(o, loc)...)
	if down := f.down(s); down != nil {
		return append(out, down...)
	}
	return append(out, f.crew(op, s)...)
}

// papers says that the program or the drawing of an operation is not approved, or not known where such are kept in the book.
func (f *shared) papers(o *needs.Op, loc *time.Location) []Block {
	var out []Block
	if p := f.ix.Programs[o.Program]; p != nil && !p.Approved {
		until, _ := p.Due.EndOfDay(loc)
		out = append(out, Block{What: "program " + string(p.ID) + " not approved", Clears: "programming", Until: until})
	} else if p == nil && o.Program != "" && len(f.ix.Programs) > 0 {
		out = append(out, Block{What: "program " + string(o.Program) + " is not in the shop book", Clears: "programming"})
	}
	if d := f.ix.Drawings[o.Drawing]; d != nil && !d.Approved {
		until, _ := d.Due.EndOfDay(loc)
		out = append(out, Block{What: "drawing " + string(d.ID) + " not approved", Clears: "drawing office", Until: until})
	} else if d == nil && o.Drawing != "" && len(f.ix.Drawings) > 0 {
		out = append(out, Block{What: "drawing " + string(o.Drawing) + " is not in the shop book", Clears: "drawing office"})
	}
	return out
}

// holdPoint says that what an operation waits for must be signed before anything goes on.
func (f *shared) holdPoint(l *schedule.Link, until plant.Time) []Block {
	from := &f.r.Ops[l.From]
	if !from.Hold || f.over(l.From) {
		return nil
	}
	return []Block{{What: "hold point: " + from.Name + " of job " + string(f.r.Jobs[from.Job].ID) + " must be signed", Clears: "quality", Until: until}}
}

// before says what an operation waits for over a link: the operation there, and where it is.
func (f *shared) before(op, link int) Block {
	l := &f.p.Links[link]
	from := &f.r.Ops[l.From]
	if f.over(l.From) {
		what := "job " + string(f.r.Jobs[from.Job].ID) + " is on its way"
		if l.Carrier != schedule.None {
			what += ", " + f.p.Carriers[l.Carrier].Name
		}
		return Block{What: what, Clears: "materials", Until: known(f.arrives[link])}
	}
	b := Block{What: "waits for " + from.Name, Clears: "planner"}
	if f.r.Ops[op].Job != from.Job {
		b.What += " of job " + string(f.r.Jobs[from.Job].ID)
	}
	if s, ok := f.slot(l.From); ok {
		station := &f.p.Stations[s.Station]
		b.What += " on " + station.Name
		b.Clears, b.Until = station.Name, known(f.arrives[link])
	}
	return b
}

// known gives an instant, 0 for never.
func known(t plant.Time) plant.Time {
	if t >= plant.Never {
		return 0
	}
	return t
}

// missing says which parts of the kit are not there yet, each as long as the last of what is bought, expected or carried;
// what other jobs make is said by their links.
func (f *shared) missing(op int, kit *Kit) []Block {
	if kit == nil {
		return nil
	}
	var out []Block
	for i := range kit.Lines {
		l := &kit.Lines[i]
		var last plant.Time
		open := false // something is overdue: nobody knows when it comes
		for c := range l.Covers {
			if l.Covers[c].Kind != needs.FromJob {
				last = max(last, f.carried(&f.r.Demands[f.r.Ops[op].Demands[i]], &l.Covers[c]))
			}
			if l.Covers[c].Kind == needs.FromReceipt {
				_, late := f.overdue(l.Covers[c].Receipt)
				open = open || late
			}
		}
		if open {
			last = plant.Never
		}
		if last > f.p.Now {
			out = append(out, Block{What: "waits for " + l.Name + " (" + l.Source + ")", Clears: "materials", Until: known(last)})
		}
	}
	return out
}

// down says that the station is out of order now.
func (f *shared) down(s schedule.Slot) []Block {
	id := f.p.Stations[s.Station].ID
	loc := f.ix.StationZone(id)
	list := f.ix.Closures[id]
	for i := len(list) - 1; i >= 0; i-- { // later rows win
		from, ok1 := list[i].From.Time(loc)
		to, ok2 := list[i].To.Time(loc)
		if !ok1 || !ok2 || f.p.Now < from || f.p.Now >= to {
			continue
		}
		if list[i].Kind != "down" && list[i].Kind != "maintenance" {
			return nil
		}
		what := f.p.Stations[s.Station].Name + " " + map[string]string{"down": "is down", "maintenance": "is in maintenance"}[list[i].Kind]
		if list[i].Reason != "" {
			what += ": " + list[i].Reason
		}
		return []Block{{What: what, Clears: "maintenance", Until: to}}
	}
	return nil
}
