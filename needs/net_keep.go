package needs

import (
	"sort"

	"tackline/plant"
)

// Settled is what an earlier netting of an item settled and this one leaves as it is.
type Settled struct {
	Lots      []SettledLot // proposed before
	Held      [][]Hold     // by want: what covers it
	Safety    []Hold       // what covers the safety stock
	New       []bool       // by want: it was not known before, and comes last
	Elsewhere []plant.Qty  // by want: what something outside this netting covers; it stays short here
}

// SettledLot is a lot that was proposed before. Lots of one Order were made from one order under the lot rule.
type SettledLot struct {
	Qty   plant.Qty
	Order int
}

// Hold is a quantity of a source that a want has had.
type Hold struct {
	Of   Source
	From int
	Qty  plant.Qty
}

func (s *Settled) isNew(want int) bool { return s != nil && s.New[want] }

func (s *Settled) elsewhere(want int) plant.Qty {
	if s == nil {
		return 0
	}
	return s.Elsewhere[want]
}

// settle draws what each want and the safety stock had before, as far as it is there.
func (l *ledger) settle(s *Settled) {
	l.kept = make([]plant.Qty, len(s.Lots))
	for i := range s.Lots {
		l.kept[i] = s.Lots[i].Qty
	}
	left := map[Source][]plant.Qty{OfLot: l.lots, OfStarted: l.started, OfReceipt: l.receipts, OfKept: l.kept}
	draw := func(want int, holds []Hold, open *plant.Qty) {
		for _, h := range holds {
			*open -= l.draw(want, h.Of, h.From, &left[h.Of][h.From], min(h.Qty, *open))
		}
	}
	draw(None, s.Safety, &l.safety)
	for i := range l.open {
		draw(i, s.Held[i], &l.open[i])
	}
}

// shrink takes from the lots kept what the lot rule would not make for those who draw on them, and puts the draws in the
// order of the wants.
func (l *ledger) shrink(s *Settled) {
	sort.SliceStable(l.out.Draws, func(i, j int) bool { return l.out.Draws[i].Want < l.out.Draws[j].Want })
	l.out.Kept = make([]plant.Qty, len(s.Lots))
	total, drawn := map[int]plant.Qty{}, map[int]plant.Qty{}
	for i, lot := range s.Lots {
		l.out.Kept[i] = lot.Qty
		total[lot.Order] += lot.Qty
		drawn[lot.Order] += lot.Qty - l.kept[i]
	}
	for i := len(s.Lots) - 1; i >= 0; i-- {
		o := s.Lots[i].Order
		enough := plant.Qty(0)
		if drawn[o] > 0 {
			enough = max(drawn[o], l.r.Rule.lot(drawn[o]))
		}
		less := min(l.kept[i], max(total[o]-enough, 0)) / plant.Pieces(1) * plant.Pieces(1)
		l.out.Kept[i] -= less
		total[o] -= less
	}
}
