package floor

import "tackline/plant"

// Folder folds a record event by event, so that a long one need not be in memory. It must be told beforehand what is undone later.
type Folder struct {
	state  *State
	undone map[undoing]bool
}

// undoing is an event that was undone, with the subject that it was undone at.
type undoing struct {
	op      OpKey
	station plant.StationID
	event   string
}

// NewFolder makes a folder that has seen nothing.
func NewFolder() *Folder { return &Folder{state: NewState(), undone: map[undoing]bool{}} }

// Undone tells of an Undo, wherever in the record it stands. All must be told before the first event is added.
func (f *Folder) Undone(e *Event) {
	op, station, _ := e.Subject()
	f.undone[undoing{op, station, e.Of}] = true
}

// Add takes over the next event of the record.
func (f *Folder) Add(e *Event) {
	op, station, aboutOp := e.Subject()
	counts := e.Kind != Undo && !f.undone[undoing{op, station, e.ID}]
	if aboutOp {
		o := f.state.Ops[op]
		if counts {
			o = o.Next(e)
		}
		f.state.SetOp(op, o)
		return
	}
	st := f.state.Stations[station]
	if counts {
		st = st.Next(e)
	}
	f.state.Stations[station] = st
}

// State gives the state that follows from what was added.
func (f *Folder) State() *State { return f.state }
