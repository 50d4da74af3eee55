package demo

import (
	"context"
	"fmt"

	"tackline/flow"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/stock"
)

// worked is how many days of work the floor has behind it when the demo begins.
const worked = 12

// floor lets the plant work to its own plan for the last days: what that plan had done by now is done, what it had begun is
// running, parts used have left the stock, finished lots have entered it.
func (d *maker) floor() error {
	from := d.now.Add(-worked * 24 * 3600)
	v, err := flow.Compute(context.Background(), d.b, from, search.Options{Work: 1, Workers: 1, Seed: 1})
	if err != nil {
		return fmt.Errorf("plan the days before the demo begins: %w", err)
	}
	f := floor{d: d, v: v, drawn: map[plant.LotID]plant.Qty{}, received: map[plant.ReceiptID]plant.Qty{}, used: make([]plant.Qty, len(v.Needs.Jobs))}
	f.consume()
	f.record()
	f.settleStock()
	f.ship()
	return nil
}

type floor struct {
	d        *maker
	v        *flow.View
	drawn    map[plant.LotID]plant.Qty
	received map[plant.ReceiptID]plant.Qty
	used     []plant.Qty // pieces of a job consumed so far
}

func (f *floor) begun(op int) bool {
	s := f.v.Plan.Slots[op]
	return s.Station != schedule.None && s.Load <= f.d.now
}

func (f *floor) over(op int) bool {
	s := f.v.Plan.Slots[op]
	return s.Station != schedule.None && s.End <= f.d.now
}

// consume adds up what begun operations have taken.
func (f *floor) consume() {
	for _, demand := range f.v.Needs.Demands {
		if !f.begun(demand.Op) {
			continue
		}
		for _, c := range demand.Covers {
			switch c.Kind {
			case needs.FromStock:
				f.drawn[c.Lot] += c.Qty
			case needs.FromReceipt:
				f.received[c.Receipt] += c.Qty
			case needs.FromJob:
				f.used[c.Job] += c.Qty
			}
		}
	}
}

// record writes the work rows and, for jobs made to stock, the release or the lot.
func (f *floor) record() {
	for j := range f.v.Needs.Jobs {
		job := &f.v.Needs.Jobs[j]
		begun, over := 0, 0
		for _, op := range job.Ops {
			if f.begun(op) {
				begun++
			}
			if f.over(op) {
				over++
			}
		}
		if begun == 0 {
			continue
		}
		if job.Unit == needs.None && over == len(job.Ops) {
			f.lot(j)
			continue
		}
		if job.Unit == needs.None {
			f.d.b.Releases = append(f.d.b.Releases, stock.Release{Job: job.ID, Item: job.Item, Pieces: job.Pieces,
				At: plant.WallAt(f.v.Plan.Slots[job.Ops[0]].Load, f.d.zone)})
		}
		for _, op := range job.Ops {
			if f.begun(op) {
				f.work(job, op)
			}
		}
	}
}

func (f *floor) work(job *needs.Job, op int) {
	s, state := f.v.Plan.Slots[op], stock.Done
	if !f.over(op) {
		state = stock.Running
	}
	wall := func(t plant.Time) plant.Wall { return plant.WallAt(t, f.d.zone) }
	f.d.b.Work = append(f.d.b.Work, stock.Work{Job: job.ID, Seq: f.v.Needs.Ops[op].Seq, State: state,
		Station: f.v.Problem.Stations[s.Station].ID, Setup: wall(s.Setup), Start: wall(s.Load), End: wall(s.End)})
}

// lot puts what is left of a finished job made to stock into stock.
func (f *floor) lot(j int) {
	job := &f.v.Needs.Jobs[j]
	left := plant.Pieces(job.Need) - f.used[j]
	if left <= 0 {
		return
	}
	last := f.v.Plan.Slots[job.Ops[len(job.Ops)-1]].End
	f.d.b.Lots = append(f.d.b.Lots, stock.Lot{ID: plant.LotID(fmt.Sprintf("L-%d", 3001+j)), Item: job.Item, Plant: job.Plant, Quantity: left,
		Place: "cylinder store", Received: plant.DateAt(last, f.d.zone)})
}

// settleStock takes what was drawn out of lots and receipts; receipts that have come by now are lots.
func (f *floor) settleStock() {
	b := f.d.b
	var lots []stock.Lot
	for _, l := range b.Lots {
		if l.Quantity -= f.drawn[l.ID]; l.Quantity > 0 {
			lots = append(lots, l)
		}
	}
	var receipts []stock.Receipt
	for _, r := range b.Receipts {
		at, _ := r.Expected.Time(f.d.zone)
		r.Quantity -= f.received[r.ID]
		switch {
		case r.Quantity <= 0:
		case at <= f.d.now:
			lots = append(lots, stock.Lot{ID: plant.LotID("R" + string(r.ID)), Item: r.Item, Plant: r.Plant, Quantity: r.Quantity,
				Place: "receiving", Received: plant.DateAt(at, f.d.zone), Heat: heatOf(f.d.itemNamed(string(r.Item)).Kind, f.d.rnd)})
		default:
			receipts = append(receipts, r)
		}
	}
	b.Lots, b.Receipts = lots, receipts
}

// ship closes the lines whose units are all gone and drops their work rows.
func (f *floor) ship() {
	type key struct {
		order plant.OrderID
		line  int
	}
	gone := map[key]plant.Time{}
	open := map[key]bool{}
	for u := range f.v.Needs.Units {
		unit, last := &f.v.Needs.Units[u], f.v.Problem.Units[u].Last
		k := key{unit.Order, unit.Line}
		if f.over(last) {
			gone[k] = max(gone[k], f.v.Plan.Slots[last].End)
		} else {
			open[k] = true
		}
	}
	closed := map[plant.UnitID]bool{}
	for i := range f.d.b.Lines {
		l := &f.d.b.Lines[i]
		k := key{l.Order, l.Line}
		if at, all := gone[k]; all && !open[k] {
			l.State, l.ShippedAt = order.Shipped, plant.WallAt(at, f.d.zone)
			for n := range l.Quantity {
				closed[plant.UnitID(fmt.Sprintf("%s-%d-%d", l.Order, l.Line, n+1))] = true
			}
		}
	}
	var work []stock.Work
	for _, w := range f.d.b.Work {
		if !closed[unitOf(w.Job)] {
			work = append(work, w)
		}
	}
	f.d.b.Work = work
}

// unitOf gives the unit in the ID of a job made for a unit.
func unitOf(j plant.JobID) plant.UnitID {
	for i := range j {
		if j[i] == '/' {
			return plant.UnitID(j[:i])
		}
	}
	return plant.UnitID(j)
}
