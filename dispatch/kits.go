package dispatch

import (
	"math"
	"sort"
	"strconv"
	"strings"
	"time"

	"tackline/book"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// Kits gives the kit of every operation that consumes parts and is not over, by the time at which it is due: the begin of
// the operation. A part is complete if it is there now (what a receipt brings never is), short if it is bought or expected and comes later than the
// operation must begin to keep the due dates, else planned. A kit is as bad as its worst part.
func Kits(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) []Kit {
	f := newShared(ix, r, p, plan)
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

func (f *shared) kit(op int) Kit {
	k := Kit{Op: op, Due: plant.Never, State: KitComplete}
	if s, ok := f.slot(op); ok {
		k.Due = s.Load
	}
	for _, d := range f.r.Ops[op].Demands {
		line := f.line(op, &f.r.Demands[d])
		k.Lines = append(k.Lines, line)
		k.Comes = max(k.Comes, line.Comes)
		if worse[line.State] > worse[k.State] {
			k.State = line.State
		}
	}
	return k
}

func (f *shared) line(op int, d *needs.Demand) KitLine {
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
		if at > f.p.Now || c.Kind == needs.FromReceipt { // an overdue receipt is not there either
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
func (f *shared) source(op int, d *needs.Demand, c *needs.Cover) (plant.Time, string) {
	loc := f.zone(op)
	at := f.carried(d, c)
	switch c.Kind {
	case needs.Issued:
		return f.p.Now, "issued"
	case needs.FromStock:
		text := "lot " + string(c.Lot)
		if lot := f.lots[c.Lot]; lot != nil && lot.Place != "" {
			text += ", " + lot.Place
		}
		if c.Plant != "" && c.Plant != d.Plant {
			text += ", from " + string(c.Plant) + " " + f.when(at, loc)
		}
		return at, text
	case needs.FromReceipt:
		if since, late := f.overdue(c.Receipt); late {
			return at, string(c.Receipt) + ", overdue since " + f.when(since, loc)
		}
		return at, string(c.Receipt) + ", expected " + f.when(at, loc) + f.lateReceipt(c.Receipt)
	case needs.FromJob:
		return f.fromJob(op, c, loc)
	}
	return at, "to be bought, there " + f.when(at, loc) + " if ordered now"
}

// carried gives when a cover from stock, a receipt or a purchase is at the plant that needs it.
func (f *shared) carried(d *needs.Demand, c *needs.Cover) plant.Time {
	if c.Plant == "" || c.Plant == d.Plant || c.Kind == needs.Issued {
		return c.At
	}
	if i := f.truck(c.Plant, d.Plant); i != schedule.None {
		return f.p.Arrives(&schedule.Link{Carrier: i}, max(c.At, f.p.Now))
	}
	return c.At
}

// overdue says that a receipt was expected before now and has not come, and since when. Plans take it as there now.
func (f *shared) overdue(id plant.ReceiptID) (since plant.Time, late bool) {
	r := f.receipts[id]
	if r == nil {
		return 0, false
	}
	since, ok := r.Expected.Time(f.ix.Zone(r.Plant))
	return since, ok && since < f.p.Now
}

func (f *shared) lateReceipt(id plant.ReceiptID) string {
	r := f.receipts[id]
	if r == nil {
		return ""
	}
	loc := f.ix.Zone(r.Plant)
	promised, ok1 := r.Promised.Time(loc)
	expected, ok2 := r.Expected.Time(loc)
	if days := expected.Sub(promised).Hours() / 24; ok1 && ok2 && days >= 0.5 {
		return ", late by " + counted(int(math.Round(days)), "day")
	}
	return ""
}

// counted says "1 day", "2 days".
func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return strconv.Itoa(n) + " " + what
}

func (f *shared) fromJob(op int, c *needs.Cover, loc *time.Location) (plant.Time, string) {
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
		return at, "job " + string(job.ID) + ", made"
	}
	return at, "job " + string(job.ID) + ", there " + f.when(at, loc)
}
