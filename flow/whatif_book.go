package flow

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"tackline/assume"
	"tackline/book"
	"tackline/fault"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/whatif"
	"tackline/store"
)

// proposal says an effect, and how a planner would write its change into the book.
func (a *asker) proposal(e *whatif.Effect) Proposal {
	p := Proposal{Effect: *e}
	c := &e.Change
	f := a.framed
	switch c.Kind {
	case whatif.Overtime:
		at := f.Index.StationZone(f.Problem.Stations[c.Station].ID)
		x := assume.Assumption{Kind: assume.Overtime, Station: f.Problem.Stations[c.Station].ID, From: wallIn(c.From, at), To: wallIn(c.Until, at)}
		if len(c.Crew) > 0 {
			x.Heads = 1 // of each crew as many as its work needs
		}
		p.Assume = []assume.Assumption{x}
	case whatif.Person:
		pool := f.Index.Pools[f.Problem.Pools[c.Pool].ID]
		at := f.Index.Zone(pool.Plant)
		p.Assume = []assume.Assumption{{Kind: assume.ExtraPeople, Pool: pool.ID, Heads: 1, From: wallIn(c.From, at), To: wallIn(c.Until, at)}}
	case whatif.Sooner:
		p.Assume = a.sooner(c)
	case whatif.Swap:
		p.Hand = &Hand{Kind: Pin, Job: a.job(c.Op), Seq: f.Needs.Ops[c.Op].Seq, Station: f.Problem.Stations[c.Station].ID, At: c.From - c.From%60,
			Note: "before " + string(a.job(c.Behind))}
	case whatif.Split:
		p.Hand = &Hand{Kind: Split, Job: a.job(c.Op), Pieces: c.Pieces}
	case whatif.Priority:
		p.Hand = &Hand{Kind: Prioritise, Of: order.OfUnit, Name: string(f.Needs.Units[c.Unit].ID), Factor: c.Factor}
	}
	a.say(&p)
	return p
}

// together finds the operations that wait for the same receipt as one.
func (f *Framed) together() func(op int) []int {
	on := map[plant.ReceiptID][]int{}
	for i := range f.Needs.Demands {
		for _, c := range f.Needs.Demands[i].Covers {
			if c.Kind == needs.FromReceipt {
				on[c.Receipt] = append(on[c.Receipt], f.Needs.Demands[i].Op)
			}
		}
	}
	return func(op int) []int {
		var out []int
		for _, d := range f.Needs.Ops[op].Demands {
			for _, c := range f.Needs.Demands[d].Covers {
				for _, other := range on[c.Receipt] {
					if c.Kind == needs.FromReceipt && other != op && f.Problem.Ops[other].Earliest == f.Problem.Ops[op].Earliest && !slices.Contains(out, other) {
						out = append(out, other)
					}
				}
			}
		}
		return out
	}
}

func (a *asker) job(op int) plant.JobID { return a.framed.Needs.Jobs[a.framed.Needs.Ops[op].Job].ID }

// sooner gives the receipts that come earlier, the purchases that are there earlier, or the hold that ends earlier, so that an
// operation can begin by then; none if it waits for something else.
func (a *asker) sooner(c *whatif.Change) []assume.Assumption {
	f := a.framed
	o := &f.Needs.Ops[c.Op]
	key := book.JobOp{Job: a.job(c.Op), Seq: o.Seq}
	at := f.Index.Zone(f.Needs.Jobs[o.Job].Plant)
	if w := f.Index.Work[key]; w != nil && w.State == "held" {
		return []assume.Assumption{{Kind: assume.WorkHeld, Job: key.Job, Op: key.Seq, At: wallIn(max(c.Until, a.now+60), at), Reason: w.Note}}
	}
	var out []assume.Assumption
	said := map[plant.ReceiptID]bool{}
	for _, d := range o.Demands {
		dem := &f.Needs.Demands[d]
		for _, cover := range dem.Covers {
			if cover.At <= c.Until {
				continue
			}
			switch cover.Kind {
			case needs.FromReceipt:
				if !said[cover.Receipt] {
					said[cover.Receipt] = true
					out = append(out, assume.Assumption{Kind: assume.ReceiptMoved, Receipt: cover.Receipt, At: wallIn(c.Until, f.Index.Zone(cover.Plant))})
				}
			case needs.FromPurchase:
				out = append(out, assume.Assumption{Kind: assume.DeliveryAdded, Item: dem.Item, Quantity: cover.Qty, At: wallIn(c.Until, f.Index.Zone(cover.Plant))})
			}
		}
	}
	return out
}

// say puts a proposal into words, in the time of the first plant.
func (a *asker) say(p *Proposal) {
	e := &p.Effect
	w := &whatif.Words{P: a.framed.Problem, Loc: firstZone(a.framed.Index), Currency: a.book.Setting("currency")}
	p.Text, p.Does, p.Total = w.Change(&e.Change), w.Effect(e), w.Total(e)
	if e.Change.Kind == whatif.Sooner && len(p.Assume) > 0 { // what comes, rather than what can begin then
		var all []string
		for _, x := range p.Assume {
			all = append(all, strings.TrimSuffix(assume.Sentence(a.book, x, a.now), "."))
		}
		p.Text = strings.Join(all, "; ")
	}
	p.Later = nil
	for _, u := range e.Later {
		p.Later = append(p.Later, a.framed.Needs.Units[u.Unit].ID)
	}
}

// under gives the book under a proposal, set out; nil if it cannot be written into the book: then it cannot be a draft, but
// holds all the same.
func (a *asker) under(p *Proposal, by string) (*Framed, *book.Book) {
	b, err := a.book, error(nil)
	switch {
	case len(p.Assume) > 0:
		b, err = Assume(a.book, p.Assume)
	case p.Hand != nil:
		var at *target
		v := &View{Needs: a.framed.Needs, Problem: a.framed.Problem, Index: a.framed.Index, Book: a.book}
		if at, err = p.Hand.find(v, a.now-a.now%60); err == nil {
			b, err = p.Hand.in(a.book, at, by)
		}
	case p.Effect.Change.Kind != whatif.Nothing:
		return nil, nil
	}
	if err != nil {
		return nil, nil
	}
	f, err := a.frame(b)
	if err != nil {
		return nil, nil
	}
	return f, b
}

// DraftOfWhatIf makes the n-th proposal for a unit a draft, exactly the plan that proved it, and gives the number of the plan;
// what is done by hand becomes a trial to be kept or taken back, and the number of that is given instead.
func (s *Shop) DraftOfWhatIf(ctx context.Context, who Who, unit plant.UnitID, n int) (planID, trialID int64, err error) {
	if err := need(who, MayPlan); err != nil {
		return 0, 0, err
	}
	w, ok, err := s.WhatIf(ctx, unit)
	if err != nil {
		return 0, 0, err
	}
	if !ok || n < 0 || n >= len(w.Proposals) {
		return 0, 0, fault.New(fault.Conflict, "The plan in force or the shop book has changed since this was asked. Ask again.")
	}
	p := &w.Proposals[n]
	if p.proved == nil {
		return 0, 0, fault.New(fault.Conflict, "This cannot be written into a draft. Change it in the shop book, then plan again.")
	}
	l, err := s.load(ctx)
	if err != nil {
		return 0, 0, err
	}
	v := Derive(p.proved.framed, p.proved.plan)
	v.Revision, v.Name, v.By, v.Made = l.revision, short(fmt.Sprintf("%s on time: %s", unit, p.Text), 80), who.Name, s.now()
	if p.Hand != nil {
		return s.trialOf(ctx, who, p, v)
	}
	stored, err := storable(v, v.Name, who.Name, v.Made)
	if err != nil {
		return 0, 0, err
	}
	if stored.Assumed, err = assumedJSON(p.Assume); err != nil {
		return 0, 0, err
	}
	planID, err = s.store.AddPlan(ctx, stored, store.Act{At: s.now(), Who: who.Name, Kind: ActPlan, Note: v.Name})
	return planID, 0, err
}

// trialOf makes a proposal done by hand a trial.
func (s *Shop) trialOf(ctx context.Context, who Who, p *Proposal, v *View) (int64, int64, error) {
	before, err := s.tried(ctx, 0)
	if err != nil {
		return 0, 0, err
	}
	if before.State != Adopted || before.Plan.Status == schedule.Stopped {
		return 0, 0, fault.New(fault.Conflict, "No plan is in force any more.")
	}
	h := *p.Hand
	t := &Trial{By: who.Name, Hand: h, Text: h.Words(before), Before: before, View: v, Effect: effectOf(before, v, &h), book: p.proved.book, revision: v.Revision}
	t.Effect.beside(p.proved.base, p.proved.again, v.Problem)
	s.trials.add(t)
	return 0, t.ID, nil
}
