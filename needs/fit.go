package needs

import (
	"fmt"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
	"tackline/product"
)

// split shares the good pieces of a need over as few jobs as fit the batches and racks of the item's route. A set is never
// split: that it does not fit is a fault.
func (e *explosion) split(s spec) []int {
	all := start(s.need, s.item.Scrap)
	tight := e.tight(s.item, all, s.conf)
	if tight == nil {
		return []int{s.need}
	}
	if s.set {
		e.fail(e.oversize(&s, tight, fmt.Sprintf("the set of %d %s needs", all, s.item.ID)))
		return []int{s.need}
	}
	for n := 2; n <= s.need; n++ {
		parts := share(s.need, n)
		if e.tight(s.item, start(parts[0], s.item.Scrap), s.conf) == nil {
			return parts
		}
	}
	one := e.tight(s.item, start(1, s.item.Scrap), s.conf)
	e.fail(e.oversize(&s, one, fmt.Sprintf("one %s needs", s.item.ID)))
	return []int{s.need}
}

// share splits need into n parts, the larger ones first.
func share(need, n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = need / n
		if i < need%n {
			out[i]++
		}
	}
	return out
}

// tight is an operation whose pieces do not fit any station.
type tight struct {
	op   *Op
	most plant.Qty
}

// tight finds the first operation that does not hold pieces of an item at once; nil if all do.
func (e *explosion) tight(it *product.Item, pieces int, c *config) *tight {
	ops := e.shape(it, pieces, c).ops
	for i := range ops {
		if most, limited := e.largest(&ops[i]); limited && ops[i].Size > most {
			return &tight{&ops[i], most}
		}
	}
	return nil
}

// largest gives the capacity of the largest station that can do an operation. limited is false where the work centre
// takes one thing at a time or has no limit.
func (e *explosion) largest(o *Op) (most plant.Qty, limited bool) {
	centre := e.ix.Centres[o.Centre]
	if centre == nil || centre.Takes != book.TakesBatch && centre.Takes != book.TakesPlaces {
		return 0, false
	}
	able := map[plant.StationID]bool{}
	for _, a := range o.Able {
		able[a.Station] = true
	}
	for _, st := range e.ix.StationsOf[o.Centre] {
		if len(able) == 0 || able[st.ID] {
			most = max(most, st.Capacity)
		}
	}
	return most, true
}

func (e *explosion) oversize(s *spec, t *tight, what string) *fault.Fault {
	centre := e.ix.Centres[t.op.Centre]
	return &fault.Fault{Table: "operations", Row: t.op.Row + 2, Column: "size", Text: fmt.Sprintf(
		"%s %s %s at operation %d (%s), the largest station of %s takes %s; for %s",
		what, t.op.Size, centre.Capacity, t.op.Seq, t.op.Name, centre.Name, t.most, s.conf)}
}
