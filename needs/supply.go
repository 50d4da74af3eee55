package needs

import (
	"fmt"
	"sort"
	"strings"

	"tackline/plant"
	"tackline/product"
)

// supplies are the jobs behind the numbers of a netting: one or more for each released job, lot kept and planned order.
type supplies struct {
	started [][]jobLeft
	kept    [][]jobLeft // none where the lot is gone
	orders  [][]jobLeft
}

// jobLeft is what is left of a job's good pieces while its order is pegged.
type jobLeft struct {
	job  int
	left plant.Qty
}

// orders makes the jobs or asks for the purchases that a netting plans, each with its action.
func (e *explosion) orders(n *net) supplies {
	var s supplies
	last := 0
	if e.mem != nil {
		last = e.mem.last[n.it.ID]
	}
	for i, rel := range n.released {
		last = max(last, number(rel.Job))
		units, want := e.served(n, OfStarted, i)
		if want == plant.Never {
			want = n.record.Refill
		}
		s.started = append(s.started, e.lefts(e.make(spec{root: string(rel.Job), id: string(rel.Job), unit: None, item: n.it,
			need: good(rel.Pieces, n.it.Scrap), pieces: rel.Pieces, parent: None, want: want, conf: e.plain, units: units, released: true})))
	}
	e.keepLots(n, &s)
	for i, o := range n.out.Orders {
		units, _ := e.served(n, OfOrder, i)
		if n.it.Kind != product.Made {
			e.buy(n, o, units)
			continue
		}
		id := fmt.Sprintf("stock/%s/%d", n.it.ID, last+1+i)
		jobs := e.make(spec{root: id, id: id, unit: None, item: n.it, need: o.Qty.Ceil(), parent: None, want: o.At, conf: e.plain, units: units})
		e.startJobs(n, jobs)
		s.orders = append(s.orders, e.lefts(jobs))
	}
	return s
}

// lefts gives what jobs have to share out.
func (e *explosion) lefts(jobs []int) []jobLeft {
	out := make([]jobLeft, len(jobs))
	for i, j := range jobs {
		out[i] = jobLeft{j, plant.Pieces(e.r.Jobs[j].Need)}
	}
	return out
}

// keepLots makes the jobs of the lots that were proposed before.
func (e *explosion) keepLots(n *net, s *supplies) {
	for i, q := range n.out.Kept {
		if q == 0 {
			s.kept = append(s.kept, nil)
			continue
		}
		id := n.proposed[i].From
		units, want := e.served(n, OfKept, i)
		if n.draws(OfKept, i)[0].Want == None { // the safety stock comes first
			want = min(want, n.record.Refill)
		}
		jobs := e.make(spec{root: orderOf(id), id: id, unit: None, item: n.it, need: q.Ceil(), pieces: start(q.Ceil(), n.it.Scrap),
			parent: None, want: want, conf: e.plain, units: units})
		s.kept = append(s.kept, e.lefts(jobs))
		e.startJobs(n, jobs)
	}
}

// orderOf gives the ID that the first part of a split job has: "stock/pin/12" for "stock/pin/12+2".
func orderOf(id string) string {
	slash := strings.LastIndexByte(id, '/') + 1
	last, _, _ := strings.Cut(id[slash:], "+")
	return id[:slash] + last
}

// served gives the units whose needs draw on a source, most urgent first, and the earliest time it is wanted.
func (e *explosion) served(n *net, of Source, from int) ([]int, plant.Time) {
	set := map[int]bool{}
	want := plant.Never
	for _, d := range n.draws(of, from) {
		if d.Want == None {
			continue
		}
		w := n.wants[d.Want]
		want = min(want, w.at)
		e.serve(set, e.r.Demands[w.demand].Job)
	}
	return inOrder(set), want
}

type sourceKey struct {
	of   Source
	from int
}

// draws gives the draws on one source.
func (n *net) draws(of Source, from int) []Draw {
	if n.bySource == nil {
		n.bySource = map[sourceKey][]Draw{}
		for _, d := range n.out.Draws {
			k := sourceKey{d.Of, d.From}
			n.bySource[k] = append(n.bySource[k], d)
		}
	}
	return n.bySource[sourceKey{of, from}]
}

func (e *explosion) buy(n *net, o Planned, units []int) {
	reason := fmt.Sprintf("%s %s short by %s", o.Qty, n.it.Unit, e.day(o.At, n.plant))
	if len(units) == 0 {
		reason = fmt.Sprintf("%s %s to refill the safety stock of %s", o.Qty, n.it.Unit, n.it.Safety)
	}
	by := o.At.Add(-lead(n.it))
	if by < e.now && len(units) > 0 {
		reason += fmt.Sprintf("; ordered today it comes %s, %s later than wanted", e.day(e.now.Add(lead(n.it)), n.plant),
			span(e.now.Sub(by)))
	}
	e.act(Action{Kind: Buy, Item: n.it.ID, Plant: n.plant, Qty: o.Qty, By: by, Reason: reason}, units)
}

func (e *explosion) startJobs(n *net, jobs []int) {
	for _, j := range jobs {
		e.startJob(n, j)
	}
}

func (e *explosion) startJob(n *net, j int) {
	job := &e.r.Jobs[j]
	total := plant.Seconds(0)
	for _, o := range job.Ops {
		total += guess(&e.r.Ops[o], job.Pieces)
	}
	reason := fmt.Sprintf("%d wanted by %s", job.Need, e.day(job.Want, n.plant))
	if len(job.For) == 0 {
		reason = fmt.Sprintf("%d to refill the safety stock of %s", job.Need, n.it.Safety)
	}
	if job.Pieces != job.Need {
		reason += fmt.Sprintf("; %d started, as %g %% are lost", job.Pieces, n.it.Scrap)
	}
	e.act(Action{Kind: Make, Item: n.it.ID, Plant: n.plant, Qty: plant.Pieces(job.Pieces), Job: job.ID,
		By: job.Want.Add(-total), Reason: reason}, job.For)
}

// deferAfter is how much earlier than its need a receipt may come before it is named.
const deferAfter = 7 * 24 * 3600

// judge asks to move the receipts that come later than wanted, or are overdue, and those that come long before any need.
func (e *explosion) judge(n *net) {
	for i, rc := range n.receipts {
		at := n.record.Receipts[i].At
		units, want := e.served(n, OfReceipt, i)
		a := Action{Item: n.it.ID, Plant: n.plant, Qty: rc.Quantity, Receipt: rc.ID, By: want}
		switch draws := n.draws(OfReceipt, i); {
		case want == plant.Never && len(draws) > 0: // refills the safety stock
			continue
		case want == plant.Never:
			a.Kind, a.By = Defer, 0
			a.Reason = fmt.Sprintf("%s comes %s, and nothing needs it", rc.ID, e.day(at, n.plant))
		case e.stated(rc) < e.now:
			a.Kind = Expedite
			a.Reason = fmt.Sprintf("%s was expected %s and has not come: ask for a new date", rc.ID, e.day(e.stated(rc), n.plant))
		case at > want:
			a.Kind = Expedite
			a.Reason = fmt.Sprintf("%s comes %s, %s after it is wanted", rc.ID, e.day(at, n.plant), span(at.Sub(want)))
		case want.Sub(at) > deferAfter:
			a.Kind = Defer
			a.Reason = fmt.Sprintf("%s comes %s, %s before it is wanted", rc.ID, e.day(at, n.plant), span(want.Sub(at)))
		default:
			continue
		}
		e.act(a, units)
	}
}

// act appends an action with the units it is for.
func (e *explosion) act(a Action, units []int) {
	for _, u := range units {
		a.For = append(a.For, e.r.Units[u].ID)
	}
	e.r.Actions = append(e.r.Actions, a)
}

// day shows the day of an instant at a plant: "Mon 30 Nov".
func (e *explosion) day(t plant.Time, at plant.ID) string {
	return t.Day(e.ix.Zone(at), e.now)
}

// span shows a time in days, or in hours below two days.
func span(d plant.Seconds) string {
	if d < 48*3600 {
		return fmt.Sprintf("%d h", (d+3599)/3600)
	}
	return fmt.Sprintf("%d days", (d+12*3600)/(24*3600))
}

// sendKey groups what is to be sent from one plant to another on one day.
type sendKey struct {
	item     plant.ItemID
	from, to plant.ID
	day      plant.Date
}

// transfers asks for what one plant makes, buys or holds and another consumes.
func (e *explosion) transfers() {
	at, units := map[sendKey]*Action{}, map[sendKey]map[int]bool{}
	var keys []sendKey
	for i := range e.r.Demands {
		d := &e.r.Demands[i]
		by := d.Want
		for _, c := range d.Covers {
			if c.Plant == d.Plant || c.Kind == Issued {
				continue
			}
			k := sendKey{d.Item, c.Plant, d.Plant, plant.DateAt(by, e.ix.Zone(d.Plant))}
			if at[k] == nil {
				at[k] = &Action{Kind: Transfer, Item: d.Item, Plant: d.Plant, From: c.Plant, By: by}
				units[k] = map[int]bool{}
				keys = append(keys, k)
			}
			at[k].Qty += c.Qty
			at[k].By = min(at[k].By, by)
			e.serve(units[k], d.Job)
		}
	}
	for _, k := range keys {
		a := at[k]
		a.Reason = fmt.Sprintf("%s %s for %s, wanted there by %s", a.Qty, e.ix.Items[k.item].Unit, e.plantName(k.to), e.day(a.By, k.to))
		e.act(*a, inOrder(units[k]))
	}
}

func (e *explosion) plantName(id plant.ID) string {
	if p := e.ix.Plants[id]; p != nil {
		return p.Name
	}
	return string(id)
}

// serve adds the units that a job serves to a set.
func (e *explosion) serve(set map[int]bool, job int) {
	j := &e.r.Jobs[job]
	if j.Unit != None {
		set[j.Unit] = true
	}
	for _, u := range j.For {
		set[u] = true
	}
}

func inOrder(set map[int]bool) []int {
	out := make([]int, 0, len(set))
	for u := range set {
		out = append(out, u)
	}
	sort.Ints(out)
	return out
}

// sortActions puts the actions in order of when they must be done.
func (e *explosion) sortActions() {
	sort.SliceStable(e.r.Actions, func(i, j int) bool {
		a, b := &e.r.Actions[i], &e.r.Actions[j]
		if a.By != b.By {
			return a.By < b.By
		}
		if a.Kind != b.Kind {
			return a.Kind < b.Kind
		}
		if a.Item != b.Item {
			return a.Item < b.Item
		}
		return a.Receipt < b.Receipt
	})
}
