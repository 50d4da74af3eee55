package flow

import (
	"tackline/assume"
	"tackline/plant"
	"tackline/schedule"
)

// Who acts: the name and role of a signed-in user.
type Who struct{ Name, Role string }

// User is somebody who can sign in.
type User struct {
	Name       string
	Role       string
	MustChange bool // the password was given by somebody else and must be changed at the next sign-in
	Disabled   bool
	Made       plant.Time
}

// PlanRow is a stored plan in a list.
type PlanRow struct {
	ID       int64
	Name     string
	State    string // Draft, Adopted or Past
	By       string
	Made     plant.Time
	Adopted  plant.Time // when it was adopted; 0: never
	Now      plant.Time // planning started from
	Revision int64      // revision of the book it was made from
	Older    bool       // the book has changed since
	Status   schedule.Status
	Rule     string
	Seed     uint64
	Work     int64
	Score    schedule.Score
	Assumed  []assume.Assumption
}

// Change is one row of the book that was added, changed or removed. Before and After have a cell a column, as
// book.Table.Cells; Before is nil for an added row, After for a removed one.
type Change struct {
	ID       int64
	Act      int64
	Revision int64 // the revision that the act made
	At       plant.Time
	Who      string
	Table    string
	Key      string
	Before   []string
	After    []string
}

// HistoryFilter chooses changes; empty fields choose all. The newest come first.
type HistoryFilter struct {
	Table, Key, Who string
	Act             int64
	Before          int64 // only changes with a smaller ID: the next page
	Limit           int   // 0: 200
}

// Kinds of acts, as ActRow.Kind.
const (
	ActImport   = "import"
	ActEdit     = "edit"
	ActDelete   = "delete"
	ActPlan     = "plan"
	ActHand     = "by hand"
	ActAdopt    = "adopt"
	ActUndo     = "undo adoption"
	ActDiscard  = "discard"
	ActUser     = "user"
	ActPassword = "password"
	ActPIN      = "pin"
	ActDevice   = "terminal"
)

// ActRow is something that a person did, as recorded.
type ActRow struct {
	ID   int64
	At   plant.Time
	Who  string
	Kind string
	Note string // in words
}

// PlanRequest asks for a planning run.
type PlanRequest struct {
	Name    string
	Seconds float64 // wall time to improve the first plan; 0: no limit of time, and without Work the first plan only
	Workers int     // 0: one for each processor
	Seed    uint64
	Work    int64               // work budget in the search's own unit; 0: none
	Assume  []assume.Assumption // to plan under
	Anew    bool                // share stock and receipts out anew and number proposed lots anew, whatever the plan in force settled
}

// States of a planning run.
const (
	RunWaiting   = "waiting"
	RunRunning   = "running"
	RunDone      = "done"
	RunFailed    = "failed"
	RunCancelled = "cancelled"
)

// PlanProgress says how far a planning run is.
type PlanProgress struct {
	Run     int64
	Name    string
	By      string
	State   string
	Done    float64 // 0 to 1
	Text    string  // what it is doing, in words
	Error   string  // why it failed, a fault a line
	PlanID  int64   // the draft it made; 0: none yet
	Asked   plant.Time
	Started plant.Time // 0: not yet
	Ended   plant.Time // 0: not yet
}

// Over says whether the run has come to its end.
func (p PlanProgress) Over() bool { return p.State != RunWaiting && p.State != RunRunning }
