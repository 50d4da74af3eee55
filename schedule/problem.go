package schedule

import (
	"tackline/calendar"
	"tackline/plant"
)

// None is the index of nothing.
const None = -1

// Takes says what a station holds at once.
type Takes uint8

// What stations hold; see the package comment.
const (
	One Takes = iota
	Batch
	Places
	NoLimit
)

// Closed says how a run meets closed time; see the package comment.
type Closed uint8

// How runs meet closed time.
const (
	Pause Closed = iota
	Whole
	Through
)

// Phases in which a crew is needed, as bits.
const (
	OnLoad uint8 = 1 << iota // setup, load, unload
	OnRun                    // run
)

// Problem is all that a plan must meet. It is complete in itself: the checker needs nothing else.
type Problem struct {
	Now      plant.Time // nothing that is not fixed begins before
	Horizon  plant.Time // calendars and pools are expanded until here; later is closed
	Freeze   plant.Time // moves of work planned to begin before this count in the score
	Centres  []Centre
	Stations []Station
	Pools    []Pool
	Carriers []Carrier
	Units    []Unit
	Jobs     []Job
	Ops      []Op
	Links    []Link
	Families []plant.Family // names; index 0 is no family
	Adopted  []Slot         // the adopted plan by Op index, or nil; Station == None: not in it
	Weights  Weights
}

// Centre is a work centre with its changeover matrix.
type Centre struct {
	ID         plant.CentreID
	Name       string
	Changeover [][]plant.Seconds // [from][to] over Problem.Families; nil: none
}

// Station is one place of work.
type Station struct {
	ID       plant.StationID
	Name     string
	Centre   int
	Open     calendar.Open
	Overtime calendar.Open // the part of Open that is overtime
	Takes    Takes
	Pallets  int       // 1, or more for One
	Capacity plant.Qty // Batch, Places
	Family   int       // initial family
}

// Pool is a crew pool: heads present as a step function.
type Pool struct {
	ID    plant.PoolID
	Name  string
	Heads []Step // sorted by At, the first at or before Problem.Now; before the first and after the horizon 0
}

// Step is a change of heads: from At on there are N.
type Step struct {
	At plant.Time
	N  int
}

// Carrier is a truck between plants.
type Carrier struct {
	Name       string
	Departures []plant.Time // sorted
	Transit    plant.Seconds
}

// Unit is one thing a customer gets.
type Unit struct {
	ID      plant.UnitID
	Due     plant.Time
	LateDay plant.Money // cost of a day late
	Last    int         // Op whose End is the ship date
}

// Job makes a quantity of an item.
type Job struct {
	ID     plant.JobID
	Item   plant.ItemID
	Unit   int // None: made for stock or for several units
	Pieces int
	Value  plant.Money // what waits while it waits, at cost
	Parent int         // Job that consumes it first, or None
}

// Need is a number of heads of a pool in some phases.
type Need struct {
	Pool  int
	Heads int
	When  uint8 // OnLoad, OnRun or both
}

// Alternative is a station that can do an operation, with the times there.
type Alternative struct {
	Station int
	Load    plant.Seconds
	Run     plant.Seconds
	Unload  plant.Seconds
	Beside  plant.Seconds // load crew time beside the run, from Run on
}

// State says how far an operation is.
type State uint8

// States of an operation as the plan sees it.
const (
	ToPlan  State = iota // free to be planned
	Done                 // over; Fixed says when
	Running              // begun; stays as Fixed says
	Frozen               // stays as Fixed says
)

// Op is an operation to be planned.
type Op struct {
	Job      int
	Seq      int
	Name     string
	Earliest plant.Time // material, release, program, hold: Load not before
	Why      string     // what Earliest waits for, in words; "" if nothing
	Also     []Wait     // what it waits for that is over before Earliest, in order of time: for explanations only
	Closed   Closed
	Setup    plant.Seconds // beside the changeover
	Family   int           // 0: none
	Key      string        // must be equal within a batch
	Size     plant.Qty     // Batch, Places
	Needs    []Need
	Can      []Alternative // not empty; all of one Takes
	State    State
	Fixed    Slot       // if State is not ToPlan
	Priority int        // larger first among equals
	Pinned   plant.Time // 0: not pinned; a planner wants its load to begin then: not before, and as little after as can be
}

// Wait is something that an operation waits for until an instant.
type Wait struct {
	Until plant.Time
	Why   string
}

// Link says that To begins after From has passed on its pieces.
type Link struct {
	From, To int
	Lag      plant.Seconds // waiting between, elapsed time
	Carrier  int           // None: carried by hand
	Transfer int           // pieces passed on at a time; 0: the whole lot
	Pieces   int           // pieces in all, if Transfer > 0
	Meeting  bool          // a branch joins here: To is a meeting point
}

// Weights turn the terms of the objective into money.
type Weights struct {
	Wait     float64     // share of a waiting branch's value, per hour
	Setup    plant.Money // an hour of setup
	Overtime plant.Money // an hour of work in overtime
	Move     plant.Money // one operation moved inside the freeze window
	Pin      plant.Money // an hour by which pinned work begins after its pin
}
