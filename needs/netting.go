package needs

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// gatherFor is the time over which as-needed shortages share an order.
const gatherFor = 24 * 3600

func wayOf(from, to plant.ID) book.Way { return book.Way{From: from, To: to} }

// netAll nets every item that is made to stock or bought, parents before their components (low-level codes: Orlicky,
// Material Requirements Planning, 1975), so that every item is netted once with all its needs known.
func (e *explosion) netAll() {
	e.collect()
	for _, it := range e.levels() {
		e.netItem(e.ix.Items[it])
		e.collect()
	}
}

// collect files the demands made since the last call that wait for netting under their items.
func (e *explosion) collect() {
	for ; e.demanded < len(e.r.Demands); e.demanded++ {
		d := &e.r.Demands[e.demanded]
		if len(d.Covers) == 0 {
			e.pending[d.Item] = append(e.pending[d.Item], e.demanded)
		}
	}
}

// levels gives the items to net in the order of their low-level codes: made to stock first, each before what it consumes,
// then what is bought.
func (e *explosion) levels() []plant.ItemID {
	const white, grey, black = 0, 1, 2
	colour := map[plant.ItemID]int{}
	var after []plant.ItemID // components before parents
	var visit func(it *product.Item)
	visit = func(it *product.Item) {
		if it.Kind != product.Made || colour[it.ID] == black {
			return
		}
		if colour[it.ID] == grey {
			e.fail(&fault.Fault{Table: "parts", Value: string(it.ID), Text: fmt.Sprintf("the parts list of %s runs in a circle", it.ID)})
			return
		}
		colour[it.ID] = grey
		for _, p := range e.ix.PartsOf[it.ID] {
			if c := e.component(it.ID, p); c != nil {
				visit(c)
			}
		}
		colour[it.ID] = black
		if it.Policy == byStock {
			after = append(after, it.ID)
		}
	}
	ids := make([]plant.ItemID, 0, len(e.ix.Items))
	for id := range e.ix.Items {
		ids = append(ids, id)
	}
	sort.Slice(ids, func(i, j int) bool { return ids[i] < ids[j] })
	var out, bought []plant.ItemID
	for _, id := range ids {
		switch it := e.ix.Items[id]; {
		case it.Kind == product.Made && it.Policy == byStock:
			visit(it)
		case it.Kind != product.Made:
			bought = append(bought, id)
		}
	}
	for i := len(after) - 1; i >= 0; i-- {
		out = append(out, after[i])
	}
	return append(out, bought...)
}

// wanted is a demand, or what another plant could not cover of it, on its way through the netting of an item.
type wanted struct {
	demand int
	qty    plant.Qty
	at     plant.Time
}

// net is the netting of one item in one plant with the rows behind its numbers.
type net struct {
	it       *product.Item
	plant    plant.ID
	wants    []wanted
	lots     []*stock.Lot
	receipts []*stock.Receipt
	released []*stock.Release
	proposed []Peg // lots proposed before
	record   Record
	out      Netting
	bySource map[sourceKey][]Draw
}

// netItem nets an item: first in the plants that only consume it, then in its own plant, which makes or buys what is
// missing.
func (e *explosion) netItem(it *product.Item) {
	groups := map[plant.ID][]wanted{}
	for _, d := range e.byUrgency(e.pending[it.ID]) {
		dem := &e.r.Demands[d]
		groups[dem.Plant] = append(groups[dem.Plant], wanted{d, dem.Qty, dem.Want})
	}
	others := make([]plant.ID, 0, len(groups))
	for p := range groups {
		if p != it.Plant {
			others = append(others, p)
		}
	}
	for _, rc := range e.ix.ReceiptsOf[it.ID] { // a receipt for a plant that needs nothing is judged all the same
		if _, known := groups[rc.Plant]; !known && rc.Plant != it.Plant {
			groups[rc.Plant] = nil
			others = append(others, rc.Plant)
		}
	}
	sort.Slice(others, func(i, j int) bool { return others[i] < others[j] })
	home := groups[it.Plant]
	h := e.sources(it, it.Plant)
	for _, p := range others {
		n := e.sources(it, p)
		n.record.NoOrders = true
		e.net(n, groups[p], h)
		e.peg(n, supplies{})
		for i, short := range n.out.Short {
			if short > 0 {
				w := n.wants[i]
				home = append(home, wanted{w.demand, short, w.at.Add(-e.transit(it.Plant, p))})
			}
		}
		e.judge(n)
	}
	e.sortWanted(home)
	h.record.Safety = it.Safety
	e.net(h, home, nil)
	e.peg(h, e.orders(h))
	e.judge(h)
}

// sources gives what there is of an item in a plant, and in its own plant what is under way and proposed.
func (e *explosion) sources(it *product.Item, at plant.ID) *net {
	n := &net{it: it, plant: at}
	r := &n.record
	r.Rule = LotRule{Kind: it.Lot, Qty: it.LotQty, Multiple: it.Multiple, Window: gatherFor}
	for _, l := range oldestFirst(e.ix.LotsOf[it.ID]) {
		if l.Plant == at {
			n.lots = append(n.lots, l)
			r.Lots = append(r.Lots, Supply{e.now, l.Quantity})
		}
	}
	n.receipts = e.receipts(it, at)
	for _, rc := range n.receipts {
		r.Receipts = append(r.Receipts, Supply{e.expected(rc), rc.Quantity})
	}
	if at == it.Plant {
		n.released = e.releases(it)
		n.proposed = e.proposals(it)
	}
	for _, rel := range n.released {
		r.Started = append(r.Started, Supply{e.now, plant.Pieces(good(rel.Pieces, it.Scrap))})
	}
	return n
}

// net does the netting of one item in one plant. home is where the rest is covered, nil if it is here.
func (e *explosion) net(n *net, wants []wanted, home *net) {
	n.wants = wants
	r := &n.record
	r.Refill = e.refill(wants)
	for _, w := range wants {
		r.Wants = append(r.Wants, Want{w.at, w.qty})
	}
	r.Before = e.settled(n, home)
	n.out = Net(*r)
}

// refill is when stock that no need asks for is wanted: with the first need of the item, else with the first unit. It does
// not depend on the date of planning, so neither do the numbers of jobs.
func (e *explosion) refill(wants []wanted) plant.Time {
	first := plant.Never
	for _, w := range wants {
		first = min(first, w.at)
	}
	if first == plant.Never && len(e.r.Units) > 0 {
		first = e.r.Units[0].Due
	}
	if first == plant.Never {
		first = e.now
	}
	return first
}

// receipts gives the receipts of an item at a plant in order of expected time.
func (e *explosion) receipts(it *product.Item, at plant.ID) []*stock.Receipt {
	var out []*stock.Receipt
	for _, rc := range e.ix.ReceiptsOf[it.ID] {
		if rc.Plant == at {
			out = append(out, rc)
		}
	}
	sort.Slice(out, func(i, j int) bool {
		if a, b := e.stated(out[i]), e.stated(out[j]); a != b {
			return a < b
		}
		return out[i].ID < out[j].ID
	})
	return out
}

func (e *explosion) stated(rc *stock.Receipt) plant.Time {
	t, _ := rc.Expected.Time(e.ix.Zone(rc.Plant))
	return t
}

// expected is when a receipt can be there: an overdue one not before now.
func (e *explosion) expected(rc *stock.Receipt) plant.Time {
	return max(e.stated(rc), e.now)
}

// releases gives the released jobs of an item in order of number.
func (e *explosion) releases(it *product.Item) []*stock.Release {
	var out []*stock.Release
	for i := range e.ix.Book.Releases {
		if rel := &e.ix.Book.Releases[i]; rel.Item == it.ID {
			out = append(out, rel)
		}
	}
	sort.Slice(out, func(i, j int) bool {
		if a, b := number(out[i].Job), number(out[j].Job); a != b {
			return a < b
		}
		return out[i].Job < out[j].Job
	})
	return out
}

// number reads the number of a job made to stock: "stock/cyl-80/12" and "stock/cyl-80/12+2" give 12; 0 if there is none.
func number(id plant.JobID) int {
	text := string(id)[strings.LastIndexByte(string(id), '/')+1:]
	text, _, _ = strings.Cut(text, "+")
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 {
		return 0
	}
	return n
}

// rank is the place of the most urgent unit that a job serves.
func (e *explosion) rank(job int) int {
	j := &e.r.Jobs[job]
	switch {
	case j.Unit != None:
		return j.Unit
	case len(j.For) > 0:
		return j.For[0]
	}
	return len(e.r.Units)
}

func (e *explosion) byUrgency(demands []int) []int {
	sort.SliceStable(demands, func(i, j int) bool { return e.moreUrgent(demands[i], demands[j]) })
	return demands
}

func (e *explosion) sortWanted(w []wanted) {
	sort.SliceStable(w, func(i, j int) bool { return e.moreUrgent(w[i].demand, w[j].demand) })
}

// moreUrgent orders demands: by unit, then by when they are wanted, then as they came.
func (e *explosion) moreUrgent(a, b int) bool {
	x, y := &e.r.Demands[a], &e.r.Demands[b]
	if r, s := e.rank(x.Job), e.rank(y.Job); r != s {
		return r < s
	}
	if x.Want != y.Want {
		return x.Want < y.Want
	}
	return a < b
}

// peg writes the draws of a netting into the covers of the demands, and of the safety stock, which comes last where jobs
// are shared out.
func (e *explosion) peg(n *net, made supplies) {
	var safety Demand
	for _, d := range n.out.Draws {
		if d.Want != None {
			e.pegDraw(&e.r.Demands[n.wants[d.Want].demand], n, made, d)
		}
	}
	for _, d := range n.out.Draws {
		if d.Want == None {
			e.pegDraw(&safety, n, made, d)
		}
	}
	for _, c := range safety.Covers {
		e.r.Safety = append(e.r.Safety, Reserve{n.it.ID, c})
	}
}

func (e *explosion) pegDraw(dem *Demand, n *net, made supplies, d Draw) {
	c := Cover{Job: None, Qty: d.Qty, At: e.now, Plant: n.plant}
	switch d.Of {
	case OfLot:
		c.Kind, c.Lot, c.Heat = FromStock, n.lots[d.From].ID, n.lots[d.From].Heat
	case OfReceipt:
		c.Kind, c.Receipt, c.At = FromReceipt, n.receipts[d.From].ID, n.record.Receipts[d.From].At
	case OfStarted:
		pegJobs(dem, c, made.started[d.From])
		return
	case OfKept:
		pegJobs(dem, c, made.kept[d.From])
		return
	case OfOrder:
		e.pegOrder(dem, c, n, made, d)
		return
	}
	dem.Covers = append(dem.Covers, c)
}

// pegOrder covers a demand from a planned order: from its jobs one after the other, or from its purchase.
func (e *explosion) pegOrder(dem *Demand, c Cover, n *net, made supplies, d Draw) {
	if n.it.Kind != product.Made {
		c.Kind, c.At = FromPurchase, e.now.Add(lead(n.it))
		dem.Covers = append(dem.Covers, c)
		return
	}
	pegJobs(dem, c, made.orders[d.From])
}

// pegJobs covers a demand from jobs, one after the other.
func pegJobs(dem *Demand, c Cover, jobs []jobLeft) {
	left := c.Qty
	for i := range jobs {
		take := min(left, jobs[i].left)
		if take > 0 {
			jobs[i].left -= take
			left -= take
			c.Kind, c.Job, c.Qty, c.At = FromJob, jobs[i].job, take, 0
			dem.Covers = append(dem.Covers, c)
		}
	}
}

func lead(it *product.Item) plant.Seconds { return plant.HoursToSeconds(24 * it.Lead) }
