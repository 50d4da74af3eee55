package needs

import (
	"sort"

	"tackline/plant"
)

// This file nets one item in one plant: gross needs less stock less receipts, the rest in lots. It is the ladder of
// Orlicky, Material Requirements Planning (1975), kept as pegs from each want to what covers it rather than as totals by
// week, so that every quantity can be followed.

// Supply is a quantity that is there or comes: a lot or a receipt.
type Supply struct {
	At  plant.Time
	Qty plant.Qty
}

// Want is a quantity wanted at a time.
type Want struct {
	At  plant.Time
	Qty plant.Qty
}

// Kinds of lot rules, as in product.Item.Lot.
const (
	AsNeeded = "as needed" // what is short
	FixedLot = "fixed"     // that many at a time
	Minimum  = "minimum"   // at least that many, in multiples
)

// LotRule says how shortages become orders. As-needed shortages that are wanted within Window of the first share an
// order (the periodic order quantity of the textbooks); Window 0 makes an order for each shortage.
type LotRule struct {
	Kind     string
	Qty      plant.Qty
	Multiple plant.Qty
	Window   plant.Seconds
}

// Record is what netting one item in one plant needs to know.
type Record struct {
	Refill   plant.Time // when an order that only refills the safety stock is wanted
	Lots     []Supply   // in the order in which they are drawn: oldest first
	Started  []Supply   // orders that are under way and keep their quantity, in the order in which they are drawn
	Receipts []Supply   // in order of At
	Wants    []Want     // most urgent first
	Safety   plant.Qty  // stock that wants do not draw on
	Rule     LotRule
	InTime   bool     // draw a receipt only if it is there when wanted; else its date is asked to move
	NoOrders bool     // leave shortages as they are: another plant covers them
	Before   *Settled // what an earlier netting settled; nil: nothing
}

// Sources of a draw.
type Source uint8

// What a draw takes from.
const (
	OfLot Source = iota
	OfStarted
	OfReceipt
	OfOrder
	OfKept // a lot that was proposed before and keeps its size
)

// Draw is a quantity that one want takes from one lot, started order, receipt or planned order (by index).
type Draw struct {
	Want int // None: the safety stock
	Of   Source
	From int
	Qty  plant.Qty
}

// Planned is an order that netting asks for: to make or to buy.
type Planned struct {
	At  plant.Time // earliest want it covers
	Qty plant.Qty
}

// Netting is the answer: draws in the order of Wants, orders in order of need, and what is left uncovered of each want
// (all 0 unless NoOrders).
type Netting struct {
	Draws  []Draw
	Orders []Planned
	Short  []plant.Qty
	Kept   []plant.Qty // what the lots of Settled come to: their size, less where the rule asks for less, 0 without draws
}

// ledger is the state of one netting.
type ledger struct {
	r          *Record
	lots       []plant.Qty // left
	started    []plant.Qty
	receipts   []plant.Qty
	spare      []plant.Qty // left of each order
	kept       []plant.Qty // left of each lot proposed before
	firstKept  int
	firstLot   int // those before are used up
	firstStart int
	firstRec   int
	firstSpare int
	open       []plant.Qty // of each want, what is not covered yet
	safety     plant.Qty   // of the safety stock, what is not covered yet
	out        Netting
}

// Net covers the safety stock first, then each want in order: from lots, then from started orders, then from receipts,
// then from orders under the lot rule. What Before settled comes first of all. Receipts are drawn even if they come after the want, before anything new is ordered (Hopp and Spearman,
// Factory Physics, ch. 3: reschedule before planning new orders), unless InTime is set.
func Net(r Record) Netting {
	l := &ledger{r: &r, lots: amounts(r.Lots), started: amounts(r.Started), receipts: amounts(r.Receipts)}
	l.out.Short = make([]plant.Qty, len(r.Wants))
	l.open = make([]plant.Qty, len(r.Wants))
	for i, w := range r.Wants {
		l.open[i] = w.Qty
	}
	l.safety = r.Safety
	if r.Before != nil {
		l.settle(r.Before)
	}
	if gap := l.cover(None, plant.Never, l.safety); gap > 0 && !r.NoOrders {
		l.order(None, r.Refill, gap)
	}
	for i := range r.Wants {
		if !r.Before.isNew(i) {
			l.want(i)
		}
	}
	for i := range r.Wants {
		if r.Before.isNew(i) {
			l.want(i)
		}
	}
	l.sortOrders()
	if r.Before != nil {
		l.shrink(r.Before)
	}
	return l.out
}

// want covers what is open of one want.
func (l *ledger) want(i int) {
	w, elsewhere := &l.r.Wants[i], l.r.Before.elsewhere(i)
	at := plant.Never
	if l.r.InTime {
		at = w.At
	}
	gap := l.cover(i, at, l.open[i]-elsewhere) + min(l.open[i], elsewhere)
	if gap > 0 && l.r.NoOrders {
		l.out.Short[i] = gap
	} else if gap > 0 {
		l.order(i, w.At, gap)
	}
}

func amounts(s []Supply) []plant.Qty {
	q := make([]plant.Qty, len(s))
	for i := range s {
		q[i] = max(s[i].Qty, 0)
	}
	return q
}

// cover draws q from lots, from started orders and from receipts that come by at, and gives what is missing.
func (l *ledger) cover(want int, at plant.Time, q plant.Qty) plant.Qty {
	q -= l.drawAll(want, OfLot, l.lots, &l.firstLot, len(l.lots), q)
	q -= l.drawAll(want, OfStarted, l.started, &l.firstStart, len(l.started), q)
	inTime := sort.Search(len(l.receipts), func(i int) bool { return l.r.Receipts[i].At > at })
	q -= l.drawAll(want, OfReceipt, l.receipts, &l.firstRec, inTime, q)
	return max(q, 0)
}

// drawAll draws up to q from the supplies before end, and gives what it drew. first skips those that are used up.
func (l *ledger) drawAll(want int, of Source, left []plant.Qty, first *int, end int, q plant.Qty) plant.Qty {
	for *first < len(left) && left[*first] == 0 {
		*first++
	}
	drawn := plant.Qty(0)
	for i := *first; i < end && drawn < q; i++ {
		drawn += l.draw(want, of, i, &left[i], q-drawn)
	}
	return drawn
}

func (l *ledger) draw(want int, of Source, from int, left *plant.Qty, q plant.Qty) plant.Qty {
	q = min(q, *left)
	if q > 0 {
		*left -= q
		l.out.Draws = append(l.out.Draws, Draw{Want: want, Of: of, From: from, Qty: q})
	}
	return q
}

// order covers gap from what earlier orders leave over, then from new ones.
func (l *ledger) order(want int, at plant.Time, gap plant.Qty) {
	gap -= l.drawAll(want, OfKept, l.kept, &l.firstKept, len(l.kept), gap)
	before := len(l.out.Draws)
	gap -= l.drawAll(want, OfOrder, l.spare, &l.firstSpare, len(l.spare), gap)
	for _, d := range l.out.Draws[before:] {
		l.out.Orders[d.From].At = min(l.out.Orders[d.From].At, at)
	}
	if gap == 0 {
		return
	}
	if l.r.Rule.asNeeded() && l.gather(want, at, gap) {
		return
	}
	for gap > 0 {
		i := l.add(at, l.r.Rule.lot(gap))
		gap -= l.draw(want, OfOrder, i, &l.spare[i], gap)
	}
}

// gather adds an as-needed shortage to the order of its window, rounded up to the multiple. It gives false if no order
// is near enough.
func (l *ledger) gather(want int, at plant.Time, gap plant.Qty) bool {
	for i := len(l.out.Orders) - 1; i >= 0; i-- {
		if o := &l.out.Orders[i]; at >= o.At && at < o.At.Add(l.r.Rule.Window) {
			more := roundUp(gap, l.r.Rule.Multiple)
			o.Qty += more
			l.spare[i] += more
			l.firstSpare = min(l.firstSpare, i)
			l.draw(want, OfOrder, i, &l.spare[i], gap)
			return true
		}
	}
	return false
}

func (l *ledger) add(at plant.Time, q plant.Qty) int {
	l.out.Orders = append(l.out.Orders, Planned{At: at, Qty: q})
	l.spare = append(l.spare, q)
	return len(l.spare) - 1
}

// lot gives the quantity of one order for a shortage under the rule. It is above 0 for a gap above 0; under the fixed
// rule it may be less than the gap, and the caller orders again.
func (r *LotRule) lot(gap plant.Qty) plant.Qty {
	switch {
	case r.Kind == FixedLot && r.Qty > 0:
		return r.Qty
	case r.Kind == Minimum:
		return roundUp(max(gap, r.Qty), r.Multiple)
	}
	return roundUp(gap, r.Multiple)
}

func (r *LotRule) asNeeded() bool { return r.Kind == "" || r.Kind == AsNeeded }

func roundUp(q, multiple plant.Qty) plant.Qty {
	if multiple <= 0 {
		return q
	}
	return (q + multiple - 1) / multiple * multiple
}

// sortOrders puts the orders in order of need; the draws follow.
func (l *ledger) sortOrders() {
	n := len(l.out.Orders)
	place := make([]int, n)
	for i := range place {
		place[i] = i
	}
	sort.SliceStable(place, func(a, b int) bool { return l.out.Orders[place[a]].At < l.out.Orders[place[b]].At })
	sorted, where := make([]Planned, n), make([]int, n)
	for to, from := range place {
		sorted[to], where[from] = l.out.Orders[from], to
	}
	l.out.Orders = sorted
	for i := range l.out.Draws {
		if l.out.Draws[i].Of == OfOrder {
			l.out.Draws[i].From = where[l.out.Draws[i].From]
		}
	}
}
