package needs

import "tackline/plant"

// None is the index of nothing.
const None = -1

// Result is the explosion of a book. References are indexes into its slices.
type Result struct {
	Now     plant.Time
	Units   []Unit
	Jobs    []Job
	Ops     []Op
	Demands []Demand
	Actions []Action
	Safety  []Reserve // the safety stocks and what covers them
}

// Unit is one thing a customer gets. Its ID is order-line-number, such as "1042-1-2".
type Unit struct {
	ID       plant.UnitID
	Order    plant.OrderID
	Line     int
	No       int
	Product  plant.ItemID
	Customer string
	Class    plant.ClassID
	Plant    plant.ID
	Due      plant.Time
	Release  plant.Time // no work before; 0: at once
	Priority int
	Options  map[plant.OptionID]string
	Top      int // the job that makes the unit itself
}

// Job makes a quantity of an item. The ID of a job made for a unit is the unit's ID, a slash and the item, with "#2",
// "#3" appended where an item is made more than once for the unit; that of a job made to stock is "stock/", the item and
// a number. Jobs in the book's Releases keep their number and pieces and cover needs first; further ones are numbered after
// the largest number released, or proposed in the explosion that ExplodeLike follows. IDs do not depend on the date of planning.
// A part that the book's Splits take off a job has the job's ID with "+b" to "+z" appended.
type Job struct {
	ID       plant.JobID
	Unit     int // None: made to stock
	Item     plant.ItemID
	Name     string
	Plant    plant.ID
	Pieces   int // started, scrap allowance included
	Need     int // good pieces needed
	Set      bool
	Released bool   // in the book's Releases
	Part     string // the letter of a part split off by hand; "": the whole job, or what is left of it
	Parent   int    // job that consumes it; None: the unit's top job or made to stock
	Value    plant.Money
	Ops      []int // in order of Seq
	Demands  []int // what it consumes
	Options  map[plant.OptionID]string
	For      []int      // made to stock: the units that its pieces go into, most urgent first
	Want     plant.Time // when it is wanted, by the backward estimate (see Explode)
}

// Op is one operation of a job, its formulas evaluated.
type Op struct {
	Job      int
	Seq      int
	Name     string
	Centre   plant.CentreID
	Nature   string
	Closed   string
	Setup    plant.Seconds
	Load     plant.Seconds // per piece (tended), per job (batch)
	Run      plant.Seconds // per piece; per batch or stay (batch, dwell); whole (away)
	Unload   plant.Seconds
	Family   plant.Family
	Key      string
	Size     plant.Qty // all pieces together
	Transfer int
	Crew     []Crew
	Able     []Able // empty: every station of the work centre
	Program  plant.ProgramID
	Fixture  string
	Drawing  plant.DrawingID
	Hold     bool
	Note     string
	Demands  []int // parts consumed here: its kit
	Row      int   // its row in the book's operations
}

// Crew is a need for people.
type Crew struct {
	Pool  plant.PoolID
	Heads int
	For   string // load, run or both
}

// Able is a station that can do the operation, with its factor on the station's speed.
type Able struct {
	Station plant.StationID
	Speed   float64
}

// Cover kinds.
const (
	FromStock    = "stock"    // a lot
	FromReceipt  = "receipt"  // a receipt expected
	FromJob      = "job"      // a job of this result
	FromPurchase = "purchase" // to be bought: At is now + lead time
	Issued       = "issued"   // the floor has taken it already: the operation has begun
)

// Demand is a need for a quantity of an item at an operation, and what covers it.
type Demand struct {
	Job    int
	Op     int // index into Ops
	Item   plant.ItemID
	Plant  plant.ID
	Qty    plant.Qty // in the item's unit
	Set    bool
	Part   int        // its row in the book's parts
	Want   plant.Time // when it is wanted, by the backward estimate (see Explode)
	Covers []Cover
}

// Cover is a quantity that meets part of a demand.
type Cover struct {
	Kind    string
	Lot     plant.LotID
	Heat    string
	Receipt plant.ReceiptID
	Job     int // FromJob, else None
	Qty     plant.Qty
	At      plant.Time // when it is there: stock Now, receipt its expected time, purchase its lead time; FromJob: given by the plan
	Plant   plant.ID   // where it is made or lies
}

// Kinds of actions.
const (
	Make     = "make"     // start this job to stock
	Buy      = "buy"      // order this quantity
	Transfer = "transfer" // call this quantity from a sister plant
	Expedite = "expedite" // this receipt is later than the need
	Defer    = "defer"    // this receipt is earlier than any need by more than a week
)

// Action is something a planner must do about material, with its reason.
type Action struct {
	Kind    string
	Item    plant.ItemID
	Plant   plant.ID
	Qty     plant.Qty
	Receipt plant.ReceiptID
	Job     plant.JobID // Make: the job to release
	From    plant.ID    // Transfer: plant that sends
	By      plant.Time  // when it must be done or there; 0: no need is known
	For     []plant.UnitID
	Reason  string
}
