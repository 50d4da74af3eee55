package web

import (
	"net/http"
	"strings"

	"tackline/book"
	"tackline/fault"
	"tackline/floor"
	"tackline/plant"
)

// floorLoad is what goes through a batch station together: blast, wash, paint, dip.
type floorLoad struct {
	ID       string // of the load: the event that began it
	Jobs     int
	Size     plant.Qty
	Capacity plant.Qty
	Unit     string
	key      string
	ops      []floor.OpKey
}

// load gives the load that runs at a station; nil if none does, or the station takes none.
func (at *floorAt) load(state *floor.State) *floorLoad {
	c := at.ix.book.Centres[at.st.Centre]
	if c == nil || c.Takes != book.TakesBatch {
		return nil
	}
	l := &floorLoad{Capacity: at.st.Capacity, Unit: string(c.Capacity)}
	for _, k := range state.At(at.st.ID) {
		o := state.Ops[k]
		op, known := at.desk.Op(k)
		if o.Phase != floor.Running || o.Batch == "" || l.ID != "" && o.Batch != l.ID || !known {
			continue
		}
		l.ID, l.key = o.Batch, at.ix.op(op).Key
		l.Jobs++
		l.Size += at.ix.op(op).Size
		l.ops = append(l.ops, k)
	}
	if l.ID == "" {
		return nil
	}
	return l
}

// Says tells how full the load is.
func (l *floorLoad) Says() string {
	text := "One load: " + count(l.Jobs, "job", "jobs") + ", " + l.Size.String() + " of " + l.Capacity.String() + " " + l.Unit
	if l.key != "" {
		text += ", " + l.key
	}
	return text + "."
}

// unfit says why an operation cannot go into the load; "" if it can.
func (l *floorLoad) unfit(at *floorAt, op int) string {
	o := at.ix.op(op)
	switch {
	case o.Key != l.key:
		return "The load is " + orNone(l.key) + ", this is " + orNone(o.Key) + ": they cannot go together."
	case l.Size+o.Size > l.Capacity:
		return "The load holds " + l.Size.String() + " of " + l.Capacity.String() + " " + l.Unit + "; this needs " + o.Size.String() + " more."
	}
	return ""
}

func orNone(key string) string {
	if key == "" {
		return "of no kind"
	}
	return key
}

// intoLoad names the load that an operation begins in: the one that the form names, if it still runs and takes it, else a load of its own
// where the station takes loads.
func (s *Server) intoLoad(r *http.Request, at *floorAt, e *floor.Event) error {
	c := at.ix.book.Centres[at.st.Centre]
	if e.Kind != floor.Start || c == nil || c.Takes != book.TakesBatch {
		return nil
	}
	e.Batch = strings.TrimSpace(r.PostFormValue("load"))
	if e.Batch == "" {
		e.Batch = e.ID
		return nil
	}
	op, planned := at.desk.Op(floor.OpKey{Job: e.Job, Seq: e.Seq})
	if !planned {
		return nil // which is refused anyway
	}
	why := "That load does not run any more."
	s.shop.Floor(func(state *floor.State) {
		if l := at.load(state); l != nil && l.ID == e.Batch {
			why = l.unfit(at, op)
		}
	})
	if why != "" {
		return fault.New(fault.Conflict, "%s", why)
	}
	return nil
}

// wholeLoad gives the events that finish the other operations of a load: what is left of each is good.
func (at *floorAt) wholeLoad(state *floor.State, e *floor.Event) (events []floor.Event) {
	l := at.load(state)
	if l == nil {
		return nil
	}
	for _, k := range l.ops {
		op, known := at.desk.Op(k)
		if k == (floor.OpKey{Job: e.Job, Seq: e.Seq}) || !known {
			continue
		}
		o := state.Ops[k]
		x := *e
		x.ID, x.Job, x.Seq, x.Repair, x.Scrap, x.Reason = at.newID(), k.Job, k.Seq, 0, 0, ""
		x.Good = max(0, at.ix.job(op).Pieces-o.Pieces())
		events = append(events, x)
	}
	return events
}

// WholeLoad says whether an operation runs in a load with others, so that all can be finished together.
func (p *floorStation) WholeLoad(o *floorOp) bool {
	return p.Load != nil && p.Load.Jobs > 1 && o.Running
}
