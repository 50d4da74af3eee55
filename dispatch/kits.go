package dispatch

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"tackline/book"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// floor is what the views of a plan share.
type floor struct {
	ix   *book.Index
	r    *needs.Result
	p    *schedule.Problem
	plan *schedule.Plan
	into [][]int      // links by the operation they lead to
	by   []plant.Time // see needBy
}

func newFloor(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) *floor {
	f := &floor{ix: ix, r: r, p: p, plan: plan, into: make([][]int, len(p.Ops))}
	for i := range p.Links {
		f.into[p.Links[i].To] = append(f.into[p.Links[i].To], i)
	}
	f.by = f.needBy()
	return f
}

// slot gives the slot of an operation: the fixed one where there is one.
func (f *floor) slot(op int) (schedule.Slot, bool) {
	s := f.plan.Slots[op]
	if f.p.Ops[op].State != schedule.ToPlan {
		s = f.p.Ops[op].Fixed
	}
	return s, s.Station != schedule.None
}

// end gives the planned end of an operation; plant.Never if it has none.
func (f *floor) end(op int) plant.Time {
	if s, ok := f.slot(op); ok {
		return s.End
	}
	return plant.Never
}

func (f *floor) over(op int) bool { return f.p.Ops[op].State == schedule.Done }

// zone gives the time zone of the plant in which an operation is done.
func (f *floor) zone(op int) *time.Location { return f.ix.CentreZone(f.r.Ops[op].Centre) }

// when shows an instant for people: "Mon 30 Nov 10:00".
func when(t plant.Time, loc *time.Location) string {
	if t >= plant.Never {
		return "not known"
	}
	return t.In(loc).Format("Mon 2 Jan 15:04")
}

// needBy gives for each operation the latest begin that keeps the due dates of the units it is for, if everything after it
// goes as planned but no later: a backward pass over the links (Kelley and Walker 1959), each operation and each way
// taking the elapsed time that it has in the plan. plant.Never where nothing waits for it.
func (f *floor) needBy() []plant.Time {
	n := len(f.p.Ops)
	by := make([]plant.Time, n)
	waits := make([]int, n)
	for i := range by {
		by[i] = plant.Never
	}
	for i := range f.p.Units {
		if u := &f.p.Units[i]; u.Last >= 0 && u.Last < n {
			by[u.Last] = u.Due
		}
	}
	for i := range f.p.Links {
		waits[f.p.Links[i].From]++
	}
	var ready []int
	for op := range waits {
		if waits[op] == 0 {
			ready = append(ready, op)
		}
	}
	for ; len(ready) > 0; ready = ready[1:] {
		op := ready[0]
		s, ok := f.slot(op)
		if ok && by[op] < plant.Never {
			by[op] -= plant.Time(s.End.Sub(s.Load)) // until here the latest end, from here on the latest begin
		}
		for _, i := range f.into[op] {
			l := &f.p.Links[i]
			if from, planned := f.slot(l.From); planned && by[op] < plant.Never {
				by[l.From] = min(by[l.From], by[op]-plant.Time(f.p.Arrives(l, from.End).Sub(from.End)))
			}
			if waits[l.From]--; waits[l.From] == 0 {
				ready = append(ready, l.From)
			}
		}
	}
	return by
}

// Kits gives the kit of every operation that consumes parts and is not over, by the time at which it is due: the begin of
// the operation. A part is complete if it is there now, short if it is bought or expected and comes later than the
// operation must begin to keep the due dates, else planned. A kit is as bad as its worst part.
func Kits(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) []Kit {
	f := newFloor(ix, r, p, plan)
	var out []Kit
	for op := range r.Ops {
		if len(r.Ops[op].Demands) == 0 || f.over(op) {
			continue
		}
		out = append(out, f.kit(op))
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Due < out[j].Due })
	return out
}

var worse = map[string]int{KitComplete: 0, KitPlanned: 1, KitShort: 2}

func (f *floor) kit(op int) Kit {
	k := Kit{Op: op, Due: plant.Never, State: KitComplete}
	if s, ok := f.slot(op); ok {
		k.Due = s.Load
	}
	for _, d := range f.r.Ops[op].Demands {
		line := f.line(op, &f.r.Demands[d])
		k.Lines = append(k.Lines, line)
		if worse[line.State] > worse[k.State] {
			k.State = line.State
		}
	}
	return k
}

func (f *floor) line(op int, d *needs.Demand) KitLine {
	l := KitLine{Item: d.Item, Name: string(d.Item), Qty: d.Qty, State: KitComplete, Covers: d.Covers}
	if it := f.ix.Items[d.Item]; it != nil {
		l.Name, l.Unit = it.Name, it.Unit
	}
	var sources []string
	for i := range d.Covers {
		c := &d.Covers[i]
		at, text := f.source(op, d, c)
		sources = append(sources, text)
		l.Comes = max(l.Comes, at)
		state := KitComplete
		if at > f.p.Now {
			state = KitPlanned
			if c.Kind != needs.FromJob && at > f.by[op] || at >= plant.Never {
				state = KitShort
			}
		}
		if worse[state] > worse[l.State] {
			l.State = state
		}
	}
	l.Source = strings.Join(sources, "; ")
	return l
}

// source says where a cover comes from and when it is there.
func (f *floor) source(op int, d *needs.Demand, c *needs.Cover) (plant.Time, string) {
	loc := f.zone(op)
	at := f.carried(d, c)
	switch c.Kind {
	case needs.Issued:
		return f.p.Now, "issued"
	case needs.FromStock:
		text := "lot " + string(c.Lot)
		for _, lot := range f.ix.LotsOf[d.Item] {
			if lot.ID == c.Lot && lot.Place != "" {
				text += ", " + lot.Place
			}
		}
		if c.Plant != "" && c.Plant != d.Plant {
			text += ", from " + string(c.Plant) + " " + when(at, loc)
		}
		return at, text
	case needs.FromReceipt:
		return at, string(c.Receipt) + ", expected " + when(at, loc) + f.lateReceipt(d.Item, c.Receipt)
	case needs.FromJob:
		return f.fromJob(op, c, loc)
	}
	return at, "to be bought, there " + when(at, loc) + " if ordered now"
}

// carried gives when a cover from stock, a receipt or a purchase is at the plant that needs it.
func (f *floor) carried(d *needs.Demand, c *needs.Cover) plant.Time {
	if c.Plant == "" || c.Plant == d.Plant || c.Kind == needs.Issued {
		return c.At
	}
	name := "truck from " + f.plantName(c.Plant) + " to " + f.plantName(d.Plant) // as package setout names them
	for i := range f.p.Carriers {
		if f.p.Carriers[i].Name == name {
			return f.p.Arrives(&schedule.Link{Carrier: i}, max(c.At, f.p.Now))
		}
	}
	return c.At
}

func (f *floor) plantName(id plant.ID) string {
	if p := f.ix.Plants[id]; p != nil && p.Name != "" {
		return p.Name
	}
	return string(id)
}

func (f *floor) lateReceipt(item plant.ItemID, id plant.ReceiptID) string {
	for _, r := range f.ix.ReceiptsOf[item] {
		if r.ID != id {
			continue
		}
		loc := f.ix.Zone(r.Plant)
		promised, ok1 := r.Promised.Time(loc)
		expected, ok2 := r.Expected.Time(loc)
		if days := expected.Sub(promised).Hours() / 24; ok1 && ok2 && days >= 0.5 {
			return fmt.Sprintf(", late by %.0f days", days)
		}
	}
	return ""
}

func (f *floor) fromJob(op int, c *needs.Cover, loc *time.Location) (plant.Time, string) {
	job := &f.r.Jobs[c.Job]
	if len(job.Ops) == 0 {
		return c.At, "job " + string(job.ID)
	}
	last := job.Ops[len(job.Ops)-1]
	at := f.end(last)
	for _, i := range f.into[op] {
		if l := &f.p.Links[i]; l.From == last && at < plant.Never {
			at = f.p.Arrives(l, at)
		}
	}
	if f.over(last) {
		return min(at, max(f.p.Now, at)), "job " + string(job.ID) + ", made"
	}
	return at, "job " + string(job.ID) + ", there " + when(at, loc)
}
