package flow

import (
	"context"
	"time"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
	"tackline/schedule"
	"tackline/store"
)

// Options of a Shop.
type Options struct {
	Clock     func() time.Time // nil: time.Now
	SignInMin time.Duration    // least time that a refused sign-in takes; 0: 400 ms, negative: none
}

// Shop is the running program: the stored book, its plans and people, and what is derived from them, held in memory. It is
// safe for concurrent use. What its methods return is shared and must not be changed, unless they say otherwise.
type Shop struct{ store *store.Store }

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
	ActAdopt    = "adopt"
	ActDiscard  = "discard"
	ActUser     = "user"
	ActPassword = "password"
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
	Seconds float64 // wall time; 0: 20
	Workers int     // 0: one for each processor
	Seed    uint64
	Work    int64 // work budget in the search's own unit; 0: none
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

var errNotYet = fault.New(fault.Internal, "not built yet")

// Open starts a shop on a store. On a store without users it makes an administrator; see FirstSignIn.
func Open(ctx context.Context, s *store.Store, o Options) (*Shop, error) { return &Shop{store: s}, nil }

// Close stops the planning runs and lets go of the memory. The store stays open.
func (s *Shop) Close() error { return nil }

// Store gives the store that the shop stands on (for sessions).
func (s *Shop) Store() *store.Store { return s.store }

// FirstSignIn gives the name and password of the administrator made by Open, once; "" if none was made or it was given.
func (s *Shop) FirstSignIn() (name, password string) { return "", "" }

// Book gives the stored book and its revision. The book of a new store is empty and has revision 0.
func (s *Shop) Book(ctx context.Context) (*book.Book, int64, error) { return &book.Book{}, 0, nil }

// Now gives the instant that planning starts from: the setting plan_from if set, else the clock.
func (s *Shop) Now(ctx context.Context) (plant.Time, error) { return 0, errNotYet }

// Current gives the view of the adopted plan, else of the newest draft, else nil.
func (s *Shop) Current(ctx context.Context) (*View, error) { return nil, nil }

// ViewOf gives the view of a stored plan against the book as it is now.
func (s *Shop) ViewOf(ctx context.Context, planID int64) (*View, error) { return nil, errNotYet }

// Plans gives the stored plans, the newest first.
func (s *Shop) Plans(ctx context.Context) ([]PlanRow, error) { return nil, nil }

// ImportBook puts b in the place of the stored book, all or nothing; the faults of b are returned as a fault.List. origin
// gives the sheet rows for the faults; nil: row i stands in sheet row i+2.
func (s *Shop) ImportBook(ctx context.Context, who Who, b *book.Book, origin map[string][]int) error {
	return errNotYet
}

// EditRow changes the row of a table with a key, or adds a row if key is "". cells has a cell a column, in the order of
// book.Table.Columns. baseRev is the revision that the person saw: if the row has changed since, a Conflict is returned.
// The whole book is checked; faults are returned as a fault.List and nothing is changed.
func (s *Shop) EditRow(ctx context.Context, who Who, table, key string, cells []string, baseRev int64) error {
	return errNotYet
}

// DeleteRow removes the row of a table with a key; see EditRow.
func (s *Shop) DeleteRow(ctx context.Context, who Who, table, key string, baseRev int64) error {
	return errNotYet
}

// History gives changes of the book, the newest first.
func (s *Shop) History(ctx context.Context, f HistoryFilter) ([]Change, error) { return nil, nil }

// Acts gives what people did, the newest first, at most limit (0: 200).
func (s *Shop) Acts(ctx context.Context, limit int) ([]ActRow, error) { return nil, nil }

// StartPlan asks for a planning run in the background; it makes a draft. See PlanRun.
func (s *Shop) StartPlan(ctx context.Context, who Who, r PlanRequest) (runID int64, err error) {
	return 0, errNotYet
}

// PlanRun says how far a planning run is.
func (s *Shop) PlanRun(ctx context.Context, runID int64) (PlanProgress, error) {
	return PlanProgress{}, errNotYet
}

// PlanRuns gives the latest planning runs, the newest first, at most 50.
func (s *Shop) PlanRuns(ctx context.Context) ([]PlanProgress, error) { return nil, nil }

// CancelPlan stops a planning run; a run that is over stays as it is.
func (s *Shop) CancelPlan(ctx context.Context, who Who, runID int64) error { return errNotYet }

// Adopt makes a draft the adopted plan; the plan adopted before becomes past.
func (s *Shop) Adopt(ctx context.Context, who Who, planID int64) error { return errNotYet }

// Discard removes a draft.
func (s *Shop) Discard(ctx context.Context, who Who, planID int64) error { return errNotYet }

// SignIn gives the user with a name and password. A refusal says the same for a wrong name, a wrong password and a disabled
// user (Denied); after repeated failures the name is locked for a while (Busy).
func (s *Shop) SignIn(ctx context.Context, name, password string) (User, error) {
	return User{}, errNotYet
}

// User gives the user with a name (NotFound if there is none): ask again at each request, so that a changed role counts.
func (s *Shop) User(ctx context.Context, name string) (User, error) { return User{}, errNotYet }

// Users gives all users by name.
func (s *Shop) Users(ctx context.Context) ([]User, error) { return nil, nil }

// AddUser makes a user with a password of at least 10 characters, which must be changed at the first sign-in if
// u.MustChange says so.
func (s *Shop) AddUser(ctx context.Context, who Who, u User, password string) error { return errNotYet }

// ChangeUser sets the role of a user and whether he is disabled.
func (s *Shop) ChangeUser(ctx context.Context, who Who, u User) error { return errNotYet }

// SetPassword sets a user's password: one's own, or anyone's for a manager (who must then change it at the next sign-in).
func (s *Shop) SetPassword(ctx context.Context, who Who, name, password string) error {
	return errNotYet
}
