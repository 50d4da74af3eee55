package needs

import (
	"sort"
	"strings"

	"tackline/plant"
	"tackline/product"
)

// Peg is one line of what an explosion settled: which cover a need has, or how large a proposed lot is. A plan keeps its
// pegs, so that a later explosion of a changed book can leave them as they are; see ExplodeLike. Pegs name things rather
// than point at them, so that they outlast a change of the book.
type Peg struct {
	Job   plant.JobID // that needs it; empty: the safety stock, or a proposed lot itself
	Seq   int         // its operation
	Item  plant.ItemID
	No    int      // among the needs of the item at that operation, from 1; 0 without a job
	Plant plant.ID // where the cover lies or is made
	Kind  string   // as Cover.Kind; Proposed: the size of a proposed lot; Present: a unit that was there
	From  string   // the lot, receipt, job or unit
	Qty   plant.Qty
	At    plant.Time // of a receipt: when it was expected; else 0
}

// Kinds of pegs beside those of covers.
const (
	Proposed = "proposed" // the good pieces of a job made to stock that is not released
	Present  = "planned"  // a unit that was there
)

// Reserve is a part of the safety stock of an item and what covers it.
type Reserve struct {
	Item  plant.ItemID
	Cover Cover
}

// Pegs gives what r settled. Needs that the floor has taken their parts for have none.
func (r *Result) Pegs() []Peg {
	var out []Peg
	for i := range r.Units {
		u := &r.Units[i]
		out = append(out, Peg{Item: u.Product, Plant: u.Plant, Kind: Present, From: string(u.ID), Qty: plant.Pieces(1)})
	}
	for i := range r.Jobs {
		j := &r.Jobs[i]
		if last := len(out) - 1; j.Part != "" && last >= 0 && out[last].Kind == Proposed && out[last].From == string(j.Whole()) {
			out[last].Qty += plant.Pieces(j.Need) // a lot is remembered whole
			continue
		}
		if j.Unit == None && j.Parent == None && !j.Released {
			out = append(out, Peg{Item: j.Item, Plant: j.Plant, Kind: Proposed, From: string(j.ID), Qty: plant.Pieces(j.Need)})
		}
	}
	for _, s := range r.Safety {
		out = append(out, r.peg(Peg{Item: s.Item}, &s.Cover))
	}
	for i := range r.Demands {
		d := &r.Demands[i]
		key := Peg{Job: r.Jobs[d.Job].ID, Seq: r.Ops[d.Op].Seq, Item: d.Item, No: r.no(i)}
		for k := range d.Covers {
			if d.Covers[k].Kind != Issued {
				out = append(out, r.peg(key, &d.Covers[k]))
			}
		}
	}
	return out
}

func (r *Result) peg(p Peg, c *Cover) Peg {
	p.Plant, p.Kind, p.Qty = c.Plant, c.Kind, c.Qty
	switch c.Kind {
	case FromStock:
		p.From = string(c.Lot)
	case FromReceipt:
		p.From, p.At = string(c.Receipt), c.At
	case FromJob:
		p.From = string(r.Jobs[c.Job].Whole())
	}
	return p
}

// no gives the place of a demand among those of its item at its operation, from 1.
func (r *Result) no(demand int) int {
	n, d := 1, &r.Demands[demand]
	for _, other := range r.Jobs[d.Job].Demands {
		if x := &r.Demands[other]; other < demand && x.Op == d.Op && x.Item == d.Item {
			n++
		}
	}
	return n
}

// needKey names a need across changes of the book.
type needKey struct {
	job  plant.JobID
	seq  int
	item plant.ItemID
	no   int
}

// memory is what an earlier explosion settled, by what asks for it.
type memory struct {
	pegs     map[needKey][]Peg
	safety   map[plant.ItemID][]Peg
	proposed map[plant.ItemID][]Peg // in order of number
	last     map[plant.ItemID]int   // largest number of a lot proposed
	units    map[string]bool        // there then
	kept     map[string]plant.Qty   // finished stock that somebody in roots still counts on, by lot
}

func remember(before []Peg) *memory {
	if len(before) == 0 {
		return nil
	}
	m := &memory{pegs: map[needKey][]Peg{}, safety: map[plant.ItemID][]Peg{}, proposed: map[plant.ItemID][]Peg{},
		last: map[plant.ItemID]int{}, units: map[string]bool{}}
	for _, p := range before {
		switch {
		case p.Kind == Present:
			m.units[p.From] = true
		case p.Kind == Proposed:
			m.proposed[p.Item] = append(m.proposed[p.Item], p)
			m.last[p.Item] = max(m.last[p.Item], number(plant.JobID(p.From)))
		case p.Job == "":
			m.safety[p.Item] = append(m.safety[p.Item], p)
		default:
			k := needKey{p.Job, p.Seq, p.Item, p.No}
			m.pegs[k] = append(m.pegs[k], p)
		}
	}
	for _, list := range m.proposed {
		sort.SliceStable(list, func(i, j int) bool { return earlierNumber(list[i].From, list[j].From) })
	}
	return m
}

// roots gives what a job may be made for by its ID: all that stands before one of its slashes.
func roots(job plant.JobID) []string {
	var out []string
	for i, c := range job {
		if c == '/' {
			out = append(out, string(job[:i]))
		}
	}
	return out
}

// earlierNumber orders jobs made to stock by number, then by part: "stock/pin/9" before "stock/pin/10" before
// "stock/pin/10+2" before "stock/pin/10+10".
func earlierNumber(a, b string) bool {
	if x, y := number(plant.JobID(a)), number(plant.JobID(b)); x != y {
		return x < y
	}
	if len(a) != len(b) {
		return len(a) < len(b)
	}
	return a < b
}

// memorise notes which finished stock the needs remembered count on: those of the units given, and of jobs made to stock.
func (e *explosion) memorise(of []Unit) {
	if e.mem == nil {
		return
	}
	e.mem.kept = map[string]plant.Qty{}
	units := map[string]bool{}
	for i := range of {
		units[string(of[i].ID)] = true
	}
	there := func(job plant.JobID) bool {
		for _, root := range roots(job) {
			if units[root] {
				return true
			}
		}
		return strings.HasPrefix(string(job), "stock/")
	}
	for k, list := range e.mem.pegs {
		it := e.ix.Items[k.item]
		if it == nil || it.Kind != product.Made || it.Policy == byStock || !there(k.job) {
			continue
		}
		for _, p := range list {
			if p.Kind == FromStock {
				e.mem.kept[p.From] += p.Qty
			}
		}
	}
}

// pegsOf gives what covered a demand in the explosion remembered.
func (e *explosion) pegsOf(d int) []Peg {
	if e.mem == nil {
		return nil
	}
	dem := &e.r.Demands[d]
	return e.mem.pegs[needKey{e.r.Jobs[dem.Job].ID, e.r.Ops[dem.Op].Seq, dem.Item, e.r.no(d)}]
}

// proposals gives the lots of an item that were proposed and still fit: not released meanwhile, and small enough for the
// stations of the route.
func (e *explosion) proposals(it *product.Item) []Peg {
	if e.mem == nil || it.Kind != product.Made {
		return nil
	}
	released := map[string]bool{}
	for i := range e.ix.Book.Releases {
		released[string(e.ix.Book.Releases[i].Job)] = true
	}
	var out []Peg
	for _, p := range e.mem.proposed[it.ID] {
		if !released[p.From] && e.tight(it, start(p.Qty.Ceil(), it.Scrap), e.plain) == nil {
			out = append(out, p)
		}
	}
	return out
}

// settled gives what the explosion remembered settled for the netting of an item in one plant; home is as for net.
func (e *explosion) settled(n, home *net) *Settled {
	if e.mem == nil {
		return nil
	}
	here, there := n.places(), map[sourceName]Hold{}
	if home != nil {
		there = home.places()
	}
	s := &Settled{Held: make([][]Hold, len(n.wants)), New: make([]bool, len(n.wants)), Elsewhere: make([]plant.Qty, len(n.wants))}
	for i := range n.proposed {
		s.Lots = append(s.Lots, SettledLot{Qty: n.proposed[i].Qty, Order: number(plant.JobID(n.proposed[i].From))})
	}
	for i, w := range n.wants {
		pegs := e.pegsOf(w.demand)
		s.New[i] = len(pegs) == 0
		s.Held[i] = held(pegs, here)
		for _, h := range held(pegs, there) {
			s.Elsewhere[i] += h.Qty
		}
	}
	s.Safety = held(e.mem.safety[n.it.ID], here)
	return s
}

// sourceName names a source across changes of the book.
type sourceName struct{ kind, from string }

// places finds the sources of a netting by name; Qty of a receipt is when it comes.
func (n *net) places() map[sourceName]Hold {
	m := map[sourceName]Hold{}
	for i, l := range n.lots {
		m[sourceName{FromStock, string(l.ID)}] = Hold{Of: OfLot, From: i}
	}
	for i, r := range n.receipts {
		m[sourceName{FromReceipt, string(r.ID)}] = Hold{OfReceipt, i, plant.Qty(n.record.Receipts[i].At)}
	}
	for i := range n.proposed {
		m[sourceName{FromJob, n.proposed[i].From}] = Hold{Of: OfKept, From: i}
	}
	for i, r := range n.released {
		m[sourceName{FromJob, string(r.Job)}] = Hold{Of: OfStarted, From: i}
	}
	return m
}

// held gives the pegs whose sources are there, but not receipts that come later than they did.
func held(pegs []Peg, places map[sourceName]Hold) []Hold {
	var out []Hold
	for _, p := range pegs {
		h, ok := places[sourceName{p.Kind, p.From}]
		if ok && (h.Of != OfReceipt || plant.Time(h.Qty) <= p.At) {
			out = append(out, Hold{h.Of, h.From, p.Qty})
		}
	}
	return out
}
