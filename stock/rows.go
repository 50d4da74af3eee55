package stock

import "tackline/plant"

// See package plant for the meaning of the tags.

// Lot is a quantity of one item in one place, of one heat where that matters.
type Lot struct {
	ID       plant.LotID  `col:"lot,key" eg:"L-2041" note:"lot number"`
	Item     plant.ItemID `col:"item,need" ref:"items" eg:"bar-80" note:"item"`
	Plant    plant.ID     `col:"plant,need" ref:"plants" eg:"brackwater" note:"plant it lies in"`
	Quantity plant.Qty    `col:"quantity,need" eg:"5.9" note:"quantity in the item's unit"`
	Heat     string       `col:"heat" eg:"H-77812" note:"heat number"`
	Place    string       `col:"place" eg:"rack B4" note:"where it lies"`
	Received plant.Date   `col:"received" eg:"2026-11-02" note:"day received; the oldest lot is drawn first"`
}

// Receipt is a quantity expected from a supplier or a sister plant.
type Receipt struct {
	ID       plant.ReceiptID `col:"receipt,key" eg:"PO-5512" note:"purchase or transfer number"`
	Item     plant.ItemID    `col:"item,need" ref:"items" eg:"kit-head-4" note:"item"`
	Plant    plant.ID        `col:"plant,need" ref:"plants" eg:"brackwater" note:"plant that receives it"`
	Quantity plant.Qty       `col:"quantity,need" eg:"4" note:"quantity in the item's unit"`
	Promised plant.Wall      `col:"promised" eg:"2026-11-27T10:00" note:"when it was promised"`
	Expected plant.Wall      `col:"expected,need" eg:"2026-11-30T10:00" note:"when it is expected now; planned as if there now if that is past, and named as overdue"`
	From     string          `col:"from" eg:"fellgate" note:"supplier or sister plant"`
}

// Release is a job made to stock that has been let go to the floor: it keeps its number and quantity until it is finished
// and its pieces are a lot. Jobs made to stock that are not released are proposals: they keep their numbers from the plan in
// force to the next as far as they are still wanted.
type Release struct {
	Job    plant.JobID  `col:"job,key" eg:"stock/cyl-80-400/12" note:"job: stock/, the item, / and a number"`
	Item   plant.ItemID `col:"item,need" ref:"items" eg:"cyl-80-400" note:"item made, of policy stock"`
	Pieces int          `col:"pieces,need" eg:"4" note:"pieces started; take the row out once they lie in stock as a lot"`
	At     plant.Wall   `col:"released" eg:"2026-11-23T06:00" note:"when it was let go"`
}

// States of work on the floor.
const (
	Done    = "done"    // finished; start and end are past
	Running = "running" // begun; stays on its station; end is when it is expected to finish
	Frozen  = "frozen"  // not begun; stays on its station at its time
	Held    = "held"    // stopped by a hold; goes on at end, if that is known
)

// Work is what the floor has done, does, or must do with one operation of one job.
type Work struct {
	Job     plant.JobID     `col:"job,key" eg:"1042-1-1/jaw-4c" note:"job, as the plan names it"`
	Seq     int             `col:"op,key" eg:"20" note:"operation"`
	State   string          `col:"state,need" enum:"done|running|frozen|held" eg:"running" note:"done, running, frozen or held; operations without a row that come before one that is done or running count as done"`
	Station plant.StationID `col:"station" ref:"stations" eg:"weld-robot-1" note:"station; needed unless held"`
	Setup   plant.Wall      `col:"setup_start" eg:"2026-11-25T05:40" note:"start of setup; empty is the start"`
	Start   plant.Wall      `col:"start" eg:"2026-11-25T06:00" note:"start; needed unless held"`
	End     plant.Wall      `col:"end" eg:"2026-11-25T08:10" note:"end, needed unless held; as expected if running; when the hold is expected to clear if held (empty or past: hold_hours from now)"`
	Note    string          `col:"note" eg:"" note:"why it is held, for people"`
}

// Finished is one operation of the past with its planned and actual time: what the plant learns from.
type Finished struct {
	Unit    plant.UnitID    `col:"unit,key" eg:"0984-1-1" note:"unit it belonged to"`
	Item    plant.ItemID    `col:"item,key" ref:"items" eg:"jaw-4c" note:"item made"`
	Seq     int             `col:"op,key" eg:"20" note:"operation"`
	Station plant.StationID `col:"station,need" ref:"stations" eg:"weld-robot-1" note:"station"`
	Pieces  int             `col:"pieces,need" eg:"4" note:"pieces made"`
	Due     plant.Wall      `col:"planned_end" eg:"2026-11-24T12:00" note:"end in the plan of that day"`
	Start   plant.Wall      `col:"start,need" eg:"2026-11-24T08:10" note:"start"`
	End     plant.Wall      `col:"end,need" eg:"2026-11-24T12:20" note:"end"`
	Planned float64         `col:"planned" unit:"min" def:"0" eg:"230" note:"time that the formulas gave"`
	Actual  float64         `col:"actual" unit:"min" def:"0" eg:"248" note:"time that it took"`
	Result  string          `col:"result" enum:"good|repaired|scrapped" def:"good" eg:"good" note:"how it came out"`
}
