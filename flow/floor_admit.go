package flow

import (
	"context"

	"tackline/book"
	"tackline/dispatch"
	"tackline/fault"
	"tackline/floor"
	"tackline/plant"
)

// lateAfter is the age from which an event is taken as a fact of the past, sent by a device that had no network: it happened, whatever
// the program would have said. The rules of the state still hold.
const lateAfter plant.Seconds = 120

// floorRules gives what the state of the floor must know of the book.
func (s *Shop) floorRules(ctx context.Context) (floor.Rules, error) {
	ix, err := s.bookIndex(ctx)
	if err != nil {
		return floor.Rules{}, err
	}
	desk, v, err := s.Desk(ctx)
	if err != nil {
		return floor.Rules{}, err
	}
	zone := firstZone(ix)
	return floor.Rules{
		Pieces: func(k floor.OpKey) int {
			if desk == nil {
				return 0
			}
			op, planned := desk.Op(k)
			if !planned {
				return 0
			}
			return v.Needs.Jobs[v.Needs.Ops[op].Job].Pieces
		},
		Limit: func(id plant.StationID) int { return dispatch.Limit(ix, id) },
		When:  func(t plant.Time) string { return t.In(zone).Format("Mon 15:04") },
		Station: func(id plant.StationID) string {
			if st := ix.Stations[id]; st != nil {
				return st.Name
			}
			return string(id)
		},
		Person: func(id plant.PersonID) string {
			if p := ix.People[id]; p != nil {
				return p.Name
			}
			return string(id)
		},
	}, nil
}

// admit gives a fault in words if an event is not to be recorded, for all that is not a rule of the state: it is not well formed, its
// person may not report it, or names what the shop book does not know; or, for a start, something keeps the operation from starting.
func (s *Shop) admit(ctx context.Context, who Who, e *floor.Event) error {
	if err := e.Valid(); err != nil {
		return err
	}
	if !MayReport(who.Role, e.Kind) {
		return fault.New(fault.Denied, "The role %s may not report %q.", who.Role, string(e.Kind))
	}
	ix, err := s.bookIndex(ctx)
	if err != nil {
		return err
	}
	if err := known(ix, e); err != nil {
		return err
	}
	if e.Job == "" {
		return nil
	}
	desk, v, err := s.Desk(ctx)
	if err != nil {
		return err
	}
	if desk == nil {
		return fault.New(fault.Conflict, "No plan is adopted yet, so that there is no work to report on.")
	}
	op, planned := desk.Op(floor.OpKey{Job: e.Job, Seq: e.Seq})
	if !planned {
		return fault.New(fault.NotFound, "The plan in force has no operation %d of job %s.", e.Seq, e.Job)
	}
	begins := e.Kind == floor.Start || e.Kind == floor.Join || e.Kind == floor.Resume
	if !begins || s.now().Sub(e.At) > lateAfter {
		return nil
	}
	now, err := s.Now(ctx)
	if err != nil {
		return err
	}
	if why := desk.Unfit(op, e.Person, now); why != "" {
		return fault.New(fault.Conflict, "%s", why)
	}
	if e.Kind != floor.Start {
		return nil
	}
	return s.mayStart(desk, v, op, e, now)
}

// known looks for the names of an event in the shop book.
func known(ix *book.Index, e *floor.Event) error {
	missing := func(what, id, table string) error {
		return fault.New(fault.NotFound, "The shop book has no %s %q. See the table %s.", what, id, table)
	}
	switch {
	case ix.Plants[e.Plant] == nil:
		return missing("plant", string(e.Plant), "plants")
	case ix.People[e.Person] == nil:
		return missing("person", string(e.Person), "people")
	case e.Station != "" && ix.Stations[e.Station] == nil:
		return missing("station", string(e.Station), "stations")
	case e.Item != "" && ix.Items[e.Item] == nil:
		return missing("item", string(e.Item), "items")
	}
	return nil
}

// mayStart says what keeps an operation from starting, and who clears it. A kit that is not complete is no such thing where a reason
// is given to start short.
func (s *Shop) mayStart(desk *dispatch.Desk, v *View, op int, e *floor.Event, now plant.Time) error {
	can := false
	for _, a := range v.Problem.Ops[op].Can {
		can = can || v.Problem.Stations[a.Station].ID == e.Station
	}
	if !can {
		return fault.New(fault.Conflict, "%s cannot be done at %s.", v.Needs.Ops[op].Name, v.Index.Stations[e.Station].Name)
	}
	var blocks []dispatch.Block
	var kitAlone bool
	s.Floor(func(state *floor.State) { blocks, kitAlone = desk.Blocks(op, e.Station, now, state) })
	if len(blocks) == 0 || kitAlone && e.Reason != "" {
		return nil
	}
	b := blocks[0]
	text := "It cannot start: " + b.What + "."
	if by := b.By(); by != "" {
		text += " Cleared by " + by + "."
	}
	if kitAlone {
		text += " To start short of it, give a reason."
	}
	return fault.New(fault.Conflict, "%s", text)
}

// facts gives what the floor has recorded, for planning from now on.
func (s *Shop) facts(ctx context.Context, now plant.Time) (f floor.Facts, err error) {
	ix, err := s.bookIndex(ctx)
	if err != nil {
		return f, err
	}
	unknown := plant.HoursToSeconds(ix.Book.SettingNumber("hold_hours"))
	s.Floor(func(state *floor.State) { f = state.Facts(ix.StationZone, now, unknown) })
	return f, nil
}

// bookIndex gives the index of the stored book, made once for each revision.
func (s *Shop) bookIndex(ctx context.Context) (*book.Index, error) {
	l, err := s.load(ctx)
	if err != nil {
		return nil, err
	}
	l.indexOnce.Do(func() { l.index, l.indexErr = book.NewIndex(l.book) })
	return l.index, l.indexErr
}

// Upsets gives what has happened on the floor that the plan in force does not know, and that planning again would take in.
func (s *Shop) Upsets(ctx context.Context) ([]dispatch.Upset, error) {
	desk, v, err := s.Desk(ctx)
	if err != nil || desk == nil {
		return nil, err
	}
	now, err := s.Now(ctx)
	if err != nil {
		return nil, err
	}
	var out []dispatch.Upset
	s.Floor(func(state *floor.State) { out = desk.Upsets(now, state, v.Facts) })
	return out, nil
}
