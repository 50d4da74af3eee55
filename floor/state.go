package floor

import (
	"cmp"
	"slices"

	"tackline/plant"
)

// State is the whole floor. It is made by NewState and not safe for concurrent use.
type State struct {
	Ops      map[OpKey]Op
	Stations map[plant.StationID]Station
	at       map[plant.StationID][]OpKey // begun and not over, by station
}

// Clock shows an instant to people at the place that an event is about.
type Clock func(plant.Time) string

// Rules are what State.Refuse must know beside the events.
type Rules struct {
	Limit func(plant.StationID) int // operations, or loads, that a station can run at one time; 0: any number
	When  Clock

	Pieces func(OpKey) int // of the job of an operation; nil, or 0: not known

	Station func(plant.StationID) string // name of a station for people; nil: its id
	Person  func(plant.PersonID) string
}

// left gives the pieces of an operation that are not counted yet; ok is false if that is not known.
func (r Rules) left(e *Event, o *Op) (n int, ok bool) {
	if r.Pieces == nil {
		return 0, false
	}
	k, _ := e.Op()
	all := r.Pieces(k)
	return max(0, all-o.Pieces()), all > 0
}

func (r Rules) station(id plant.StationID) string {
	if r.Station == nil {
		return string(id)
	}
	return r.Station(id)
}

func (r Rules) person(id plant.PersonID) string {
	if r.Person == nil {
		return string(id)
	}
	return r.Person(id)
}

// NewState is the floor before anything has happened.
func NewState() *State {
	return &State{Ops: map[OpKey]Op{}, Stations: map[plant.StationID]Station{}, at: map[plant.StationID][]OpKey{}}
}

// Subject gives what an event is about: an operation, or a station if aboutOp is false. Trouble met at an operation is about the
// station.
func (e *Event) Subject() (op OpKey, station plant.StationID, aboutOp bool) {
	switch e.Kind {
	case Down, Up, Trouble, Cleared, SignOn, SignOff:
		return OpKey{}, e.Station, false
	case Undo:
		if e.Job == "" {
			return OpKey{}, e.Station, false
		}
	}
	return OpKey{e.Job, e.Seq}, "", true
}

// Refuse gives a fault in words if an event cannot be recorded as things are. history is what was recorded about the same subject, in
// order; only an Undo needs it.
func (s *State) Refuse(e *Event, history []Event, r Rules) error {
	key, station, aboutOp := e.Subject()
	if e.Kind == Undo {
		if err := refuseUndo(e, history, r); err != nil || !aboutOp {
			return err
		}
		return s.refuseAgain(key, FoldOp(append(slices.Clone(history), *e)), r)
	}
	if !aboutOp {
		st := s.Stations[station]
		return st.Refuse(e, r)
	}
	op := s.Ops[key]
	if err := op.Refuse(e, r); err != nil || e.Kind != Start && e.Kind != Resume {
		return err
	}
	return s.refuseAt(e, r)
}

// refuseAgain looks whether an operation that an undone event would make run again still has room at its station.
func (s *State) refuseAgain(k OpKey, then Op, r Rules) error {
	if now := s.Ops[k]; then.Phase != Running || now.Phase == Running && now.Station == then.Station {
		return nil
	}
	return s.refuseAt(&Event{Station: then.Station, Batch: then.Batch}, r)
}

// refuseAt looks whether a station is free for an operation: it works, and does not run as many as it can.
func (s *State) refuseAt(e *Event, r Rules) error {
	if st := s.Stations[e.Station]; st.Down != nil {
		return refused("%s is down since %s: %s.", r.station(e.Station), r.When(st.Down.At), st.Down.Reason)
	}
	limit := r.Limit(e.Station)
	if limit == 0 {
		return nil
	}
	loads := map[string]bool{}
	n := 0
	var first OpKey
	for _, k := range s.At(e.Station) {
		o := s.Ops[k]
		if o.Phase != Running || o.Batch != "" && (o.Batch == e.Batch || loads[o.Batch]) {
			continue
		}
		if n++; n == 1 {
			first = k
		}
		loads[o.Batch] = true
	}
	if n >= limit {
		return refused("%s is taken: operation %d of job %s runs there. Pause or finish it first.", r.station(e.Station), first.Seq, first.Job)
	}
	return nil
}

// refuseUndo looks whether what was recorded without the event undone could have happened so.
func refuseUndo(e *Event, history []Event, r Rules) error {
	i := slices.IndexFunc(history, func(h Event) bool { return h.ID == e.Of })
	switch {
	case i < 0:
		return refused("The event to be undone is not known there.")
	case history[i].Kind == Undo:
		return refused("An undone event cannot be restored. Record it again.")
	case slices.ContainsFunc(history, func(h Event) bool { return h.Kind == Undo && h.Of == e.Of }):
		return refused("That was undone already.")
	}
	var op Op
	var st Station
	for _, h := range live(append(slices.Clone(history), *e)) {
		var err error
		if _, _, aboutOp := h.Subject(); aboutOp {
			err = op.Refuse(&h, r)
			op = op.Next(&h)
		} else {
			err = st.Refuse(&h, r)
			st = st.Next(&h)
		}
		if err != nil {
			return refused("What was recorded later rests on it. Undo that first: %s at %s.", h.Kind, r.When(h.At))
		}
	}
	return nil
}

// Apply takes over an event that was recorded. history is what was recorded about the same subject before it, in order; only an Undo
// needs it.
func (s *State) Apply(e *Event, history []Event) {
	key, station, aboutOp := e.Subject()
	switch {
	case aboutOp && e.Kind == Undo:
		s.SetOp(key, FoldOp(append(slices.Clone(history), *e)))
	case aboutOp:
		s.SetOp(key, s.Ops[key].Next(e))
	case e.Kind == Undo:
		s.Stations[station] = FoldStation(append(slices.Clone(history), *e))
	default:
		s.Stations[station] = s.Stations[station].Next(e)
	}
}

// FoldOp gives the state of an operation from all that was recorded about it.
func FoldOp(events []Event) (o Op) {
	for _, e := range live(events) {
		o = o.Next(&e)
	}
	return o
}

// FoldStation gives the state of a station from all that was recorded about it.
func FoldStation(events []Event) (s Station) {
	for _, e := range live(events) {
		s = s.Next(&e)
	}
	return s
}

// live gives the events that were not undone.
func live(events []Event) []Event {
	undone := map[string]bool{}
	for i := range events {
		if events[i].Kind == Undo {
			undone[events[i].Of] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(events), func(e Event) bool { return e.Kind == Undo || undone[e.ID] })
}

// SetOp puts an operation into a state, as when the state is read from memory.
func (s *State) SetOp(k OpKey, o Op) {
	if old, known := s.Ops[k]; known && old.here() && (!o.here() || old.Station != o.Station) {
		s.at[old.Station] = slices.DeleteFunc(s.at[old.Station], func(x OpKey) bool { return x == k })
	}
	if o.here() && !slices.Contains(s.at[o.Station], k) {
		s.at[o.Station] = append(s.at[o.Station], k)
	}
	s.Ops[k] = o
}

// here says whether an operation is begun and not over, so that its pieces are at its station.
func (o *Op) here() bool { return o.Phase == Running || o.Phase == Paused }

// At gives the operations that are begun and not over at a station, in the order in which they began. The list is the caller's own.
func (s *State) At(id plant.StationID) []OpKey {
	return slices.SortedFunc(slices.Values(s.at[id]), func(a, b OpKey) int {
		return cmp.Or(cmp.Compare(s.Ops[a].Began, s.Ops[b].Began), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Seq, b.Seq))
	})
}

// Fold gives the state that follows from events in the order of their record.
func Fold(events []Event) *State {
	f := NewFolder()
	for i := range events {
		if events[i].Kind == Undo {
			f.Undone(&events[i])
		}
	}
	for i := range events {
		f.Add(&events[i])
	}
	return f.State()
}
