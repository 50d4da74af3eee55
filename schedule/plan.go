package schedule

import "tackline/plant"

// Slot is where and when an operation happens; see the package comment.
type Slot struct {
	Station int // None: not planned
	Setup   plant.Time
	Load    plant.Time
	Run     plant.Time
	Unload  plant.Time
	End     plant.Time
	Batch   int // 0: none; equal numbers on one station are one batch
}

// Status says how a plan came to its end.
type Status string

// How plans end.
const (
	Complete   Status = "complete"   // every operation has a slot
	Incomplete Status = "incomplete" // some operations found no place before the horizon; Plan.Left names them
	Stopped    Status = "stopped"    // cancelled before the first plan was complete
)

// Plan gives every operation its slot.
type Plan struct {
	Slots  []Slot // by Op index
	Status Status
	Left   []Left // operations without a slot, with the reason
	Rule   string // how it was made, in words
	Seed   uint64
	Work   int64 // work spent, in the search's own unit
}

// Left is an operation that found no place.
type Left struct {
	Op  int
	Why string
}

// Violation is one broken rule.
type Violation struct {
	Rule string // 1 to 10, as in docs/planning.md, with its name: "2 no overlap on a station"
	Ops  []int
	Text string // what is wrong, in words, with times
}

// Score is the objective of a plan, each term in its own unit and as money.
type Score struct {
	LateUnits    int
	LateDays     float64 // summed over late units
	Lateness     plant.Money
	WaitHours    float64 // branches waiting at meeting points
	Waiting      plant.Money
	SetupHours   float64
	Setups       plant.Money
	OvertimeHour float64
	Overtime     plant.Money
	Moves        int
	Moved        plant.Money
	PinHours     float64 // by which pinned work begins after its pins
	Pins         plant.Money
	Total        plant.Money
	Bound        plant.Money // no plan that is complete costs less, or if this one is not, no plan at all
	Least        Least       // the terms of Bound
}

// Reason is the kind of a segment of an explanation.
type Reason string

// Reasons why time passes for a unit.
const (
	Working     Reason = "working"
	SettingUp   Reason = "setup"
	StationWait Reason = "waits for the station"
	CrewWait    Reason = "waits for crew"
	Material    Reason = "waits for material"
	NotYet      Reason = "not released"
	Carrying    Reason = "transfer"
	SetWait     Reason = "waits for the rest"
	ShopClosed  Reason = "shop closed"
	Drying      Reason = "drying"
	Held        Reason = "held"
	AwayWork    Reason = "away"
	KeptBack    Reason = "kept back"         // could have begun, but what it goes into waits for its station
	ByHand      Reason = "kept back by hand" // a planner pinned it to a later time, or forbade an earlier one
	Waiting     Reason = "waits"             // could have begun; the plan leaves it
)

// Segment is a stretch of a unit's controlling path.
type Segment struct {
	From, To plant.Time
	Reason   Reason
	Op       int    // operation concerned, or None
	Behind   int    // operation that is in the way, or None
	Text     string // in words: "behind job 4127 on pallet mill 2"
}

// Explanation says why a unit ships when it does: segments from Problem.Now to its ship date, without gap or overlap.
type Explanation struct {
	Unit     int
	Ship     plant.Time
	Slack    plant.Seconds // due - ship; negative is late
	Segments []Segment
	Sentence string
}
