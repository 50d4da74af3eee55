package dispatch

import (
	"slices"
	"time"

	"tackline/book"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/stock"
)

// shared is what the views of a plan share.
type shared struct {
	ix   *book.Index
	r    *needs.Result
	p    *schedule.Problem
	plan *schedule.Plan
	into [][]int      // links by the operation they lead to
	by   []plant.Time // see needBy

	arrives  []plant.Time // first pieces over each link; only for run lists
	lots     map[plant.LotID]*stock.Lot
	receipts map[plant.ReceiptID]*stock.Receipt
	trucks   map[book.Way]int // carrier; schedule.None: no truck that way

	begun []int                        // see running; nil: not yet known
	back  map[schedule.Need]plant.Time // see crewBack
}

func newShared(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) *shared {
	f := &shared{ix: ix, r: r, p: p, plan: plan, into: make([][]int, len(p.Ops)), trucks: map[book.Way]int{}, back: map[schedule.Need]plant.Time{},
		lots: make(map[plant.LotID]*stock.Lot, len(ix.Book.Lots)), receipts: make(map[plant.ReceiptID]*stock.Receipt, len(ix.Book.Receipts))}
	for i := range ix.Book.Lots {
		f.lots[ix.Book.Lots[i].ID] = &ix.Book.Lots[i]
	}
	for i := range ix.Book.Receipts {
		f.receipts[ix.Book.Receipts[i].ID] = &ix.Book.Receipts[i]
	}
	for i := range p.Links {
		f.into[p.Links[i].To] = append(f.into[p.Links[i].To], i)
	}
	f.by = f.needBy()
	return f
}

// slot gives the slot of an operation: the fixed one where there is one.
func (f *shared) slot(op int) (schedule.Slot, bool) {
	s := f.plan.Slots[op]
	if f.p.Ops[op].State != schedule.ToPlan {
		s = f.p.Ops[op].Fixed
	}
	return s, s.Station != schedule.None
}

// end gives the planned end of an operation; plant.Never if it has none.
func (f *shared) end(op int) plant.Time {
	if s, ok := f.slot(op); ok {
		return s.End
	}
	return plant.Never
}

func (f *shared) over(op int) bool { return f.p.Ops[op].State == schedule.Done }

// zone gives the time zone of the plant in which an operation is done.
func (f *shared) zone(op int) *time.Location { return f.ix.CentreZone(f.r.Ops[op].Centre) }

// when shows an instant for people: "Mon 30 Nov 10:00".
func (f *shared) when(t plant.Time, loc *time.Location) string {
	if t >= plant.Never {
		return "not known"
	}
	return t.Day(loc, f.p.Now) + t.In(loc).Format(" 15:04")
}

// truck gives the carrier from one plant to another, or schedule.None.
func (f *shared) truck(from, to plant.ID) int {
	way := book.Way{From: from, To: to}
	if i, known := f.trucks[way]; known {
		return i
	}
	name := "truck from " + f.plantName(from) + " to " + f.plantName(to) // as package setout names them
	f.trucks[way] = slices.IndexFunc(f.p.Carriers, func(c schedule.Carrier) bool { return c.Name == name })
	return f.trucks[way]
}

func (f *shared) plantName(id plant.ID) string {
	if p := f.ix.Plants[id]; p != nil && p.Name != "" {
		return p.Name
	}
	return string(id)
}

// needBy gives for each operation the latest begin that keeps the due dates of the units it is for, if everything after it
// goes as planned but no later: a backward pass over the links (Kelley and Walker, "Critical-Path Planning and
// Scheduling", 1959). Each operation takes the open time of its station that it has in the plan, or the elapsed time if it
// goes on through closed time; each way takes its elapsed time. An operation that takes over pieces before the one before it
// is done may begin as long before its end as in the plan; one without a slot takes its shortest work. plant.Never where
// nothing waits for it.
func (f *shared) needBy() []plant.Time {
	n := len(f.p.Ops)
	by := make([]plant.Time, n) // until an operation is ready the latest end, from then on the latest begin
	waits := make([]int, n)
	for i := range by {
		by[i] = plant.Never
	}
	for i := range f.p.Units {
		if u := &f.p.Units[i]; u.Last >= 0 && u.Last < n {
			by[u.Last] = min(by[u.Last], u.Due)
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
		if by[op] < plant.Never {
			by[op] = f.latestBegin(op, by[op])
		}
		for _, i := range f.into[op] {
			l := &f.p.Links[i]
			if by[op] < plant.Never {
				by[l.From] = min(by[l.From], by[op].Add(-f.way(l)))
			}
			if waits[l.From]--; waits[l.From] == 0 {
				ready = append(ready, l.From)
			}
		}
	}
	return by
}

// latestBegin gives the latest begin of an operation that must be over at end.
func (f *shared) latestBegin(op int, end plant.Time) plant.Time {
	o := &f.p.Ops[op]
	s, ok := f.slot(op)
	if !ok {
		return end.Add(-shortest(o))
	}
	st := &f.p.Stations[s.Station]
	if o.Closed != schedule.Through && (st.Takes == schedule.One || st.Takes == schedule.Batch) {
		if begin := st.Open.Sub(end, st.Open.Work(s.Load, s.End)); begin > -plant.Never {
			return begin
		}
	}
	return end.Add(-s.End.Sub(s.Load))
}

// shortest gives the work of an operation on its quickest station.
func shortest(o *schedule.Op) plant.Seconds {
	least := plant.Seconds(-1)
	for _, a := range o.Can {
		if work := a.Load + a.Run + a.Unload; least < 0 || work < least {
			least = work
		}
	}
	return max(least, 0)
}

// way gives the elapsed time in the plan from the end of a link's From to when all of it is there; where To begins earlier,
// with the first pieces, until it begins (a negative time if From is not over then).
func (f *shared) way(l *schedule.Link) plant.Seconds {
	from, ok := f.slot(l.From)
	if !ok {
		return l.Lag
	}
	arrives := f.p.Arrives(l, from.End)
	if to, planned := f.slot(l.To); planned {
		arrives = min(arrives, to.Load)
	}
	if arrives >= plant.Never {
		return l.Lag
	}
	return arrives.Sub(from.End)
}
