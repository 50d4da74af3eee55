package dispatch

import (
	"strings"

	"tackline/needs"
	"tackline/plant"
)

// Kit states.
const (
	KitComplete = "complete" // all parts are there now
	KitPlanned  = "planned"  // all parts come in time for the planned start
	KitShort    = "short"    // some part comes too late to keep the due dates, or is not known to come
	KitNone     = "no kit"   // consumes nothing
)

// Kit is the parts of one operation.
type Kit struct {
	Op    int // index into needs.Result.Ops, as in schedule.Problem.Ops
	Due   plant.Time
	Comes plant.Time // when the last of its parts is there; plant.Never if one is not known to come
	State string
	Lines []KitLine
}

// KitLine is one part of a kit and where it comes from.
type KitLine struct {
	Item   plant.ItemID
	Name   string
	Qty    plant.Qty
	Unit   plant.MeasureUnit
	State  string // complete, planned, short
	Comes  plant.Time
	Source string // "lot L-2041, rack B4", "job 1042-1-1/pin-80 from cylinder line", "PO-5512, late by 3 days"
	Covers []needs.Cover
}

// Block is one thing that keeps an operation from starting, and who clears it.
type Block struct {
	What   string     // "waits for the kit", "behind job ... on ...", "program WJ-5 not approved"
	Clears string     // role or person: "planner", "programming", "materials", "quality"
	Until  plant.Time // 0: not known
}

// By gives who clears a block, "" where nobody need, as it ends by itself, or where What ends with it: "waits for tack on Tack bench" says already that the bench does.
func (b Block) By() string {
	if strings.HasSuffix(b.What, " on "+b.Clears) {
		return ""
	}
	return b.Clears
}

// Run is one entry of a station's run list.
type Run struct {
	Op     int
	Slot   int // position on the station
	Setup  plant.Time
	Start  plant.Time
	End    plant.Time
	Kit    string
	Blocks []Block
	Ready  bool // can start as far as the records say
}

// RunList is what a station does next, in order.
type RunList struct {
	Station plant.StationID
	Runs    []Run
}

// Short is a part that comes too late or not at all.
type Short struct {
	Item   plant.ItemID
	Plant  plant.ID
	Qty    plant.Qty
	Op     int
	Wanted plant.Time // latest begin of the operation that keeps the due dates
	Comes  plant.Time
	Source string
	Units  []plant.UnitID
}

// Load is the hours planned on a work centre in one week against its open hours.
type Load struct {
	Centre plant.CentreID
	Week   plant.Time // its first midnight; weeks begin on the setting week_start, in the time zone of the plant
	Open   float64    // open hours of its stations
	Run    float64    // hours of load, run and unload
	Setup  float64    // hours of setup
	Ops    []int      // operations counted
}
