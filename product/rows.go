package product

import "tackline/plant"

// See package plant for the meaning of the tags.

// Kind says where an item comes from.
const (
	Made   = "made"   // made here or in a sister plant, by its route
	Bought = "bought" // bought
	Bar    = "bar"    // bought as bar, cut to length
	Tube   = "tube"   // bought as tube, cut to length
)

// Natures of an operation. See the plant glossary in docs/architecture.md.
const (
	Attended = "attended" // crew from load to unload
	Tended   = "tended"   // crew for setup, load and unload; the machine runs alone between
	Batch    = "batch"    // several jobs go in and come out together
	Dwell    = "dwell"    // waits in a place: elapsed time, no crew
	Away     = "away"     // a sister plant or subcontractor, lead time
)

// How an operation's run meets closed time.
const (
	Pause   = "pause"   // stops and goes on
	Whole   = "whole"   // must fit into open time without a break
	Through = "through" // runs on once begun
)

// Item is something that is made, bought, or cut from bar or tube.
type Item struct {
	ID       plant.ItemID      `col:"item,key" eg:"jaw-4c" note:"item number"`
	Name     string            `col:"name,need" eg:"Jaw, closed, 4-jaw grab" note:"name on screens and papers"`
	Kind     string            `col:"kind,need" enum:"made|bought|bar|tube" eg:"made" note:"where it comes from"`
	Unit     plant.MeasureUnit `col:"unit" def:"ea" enum:"ea|kg|g|m|mm|m2|l|h" eg:"ea" note:"unit of measure it is stocked in"`
	Plant    plant.ID          `col:"plant,need" ref:"plants" eg:"brackwater" note:"plant that makes it, or that it is delivered to"`
	Policy   string            `col:"policy" enum:"unit|stock" def:"unit" eg:"unit" note:"unit: made for one unit; stock: made in lots for all that need it (its formulas may not use options)"`
	Product  bool              `col:"product" def:"no" eg:"no" note:"yes: customers can order it"`
	Family   string            `col:"product_family" eg:"tine grab" note:"family for serial numbers and lists"`
	Mass     float64           `col:"mass" unit:"kg" def:"0" eg:"160" note:"mass of one unit of measure"`
	Cost     plant.Money       `col:"cost" def:"0" eg:"420.00" note:"value of one unit of measure"`
	Lead     float64           `col:"lead_days" unit:"d" def:"10" eg:"10" note:"calendar days from order to receipt, if bought"`
	Lot      string            `col:"lot_rule" enum:"as needed|fixed|minimum" def:"as needed" eg:"as needed" note:"as needed: what is short; fixed: that many at a time; minimum: at least that many, in multiples"`
	LotQty   plant.Qty         `col:"lot_quantity" def:"0" eg:"0" note:"fixed or minimum quantity"`
	Multiple plant.Qty         `col:"lot_multiple" def:"0" eg:"0" note:"quantities are rounded up to a multiple of it; 0 is none"`
	Safety   plant.Qty         `col:"safety_stock" def:"0" eg:"0" note:"stock that needs do not draw on"`
	Scrap    float64           `col:"scrap" unit:"%" def:"0" eg:"0" note:"share lost in making, per cent; start = need / (1 - scrap)"`
}

// Attribute is a property of an item that formulas read as item.name.
type Attribute struct {
	Item  plant.ItemID `col:"item,key" ref:"items" eg:"jaw-4c" note:"item"`
	Name  string       `col:"attribute,key" eg:"weld_m" note:"name, read in formulas as item.weld_m"`
	Value string       `col:"value,need" eg:"6.4" note:"a number, or text"`
	Unit  string       `col:"unit" eg:"m" note:"unit of the number, for people"`
}

// Option is a choice that an order line makes for a product.
type Option struct {
	Product plant.ItemID   `col:"product,key" ref:"items" eg:"tine-grab" note:"product"`
	Option  plant.OptionID `col:"option,key" eg:"jaws" note:"name, read in formulas as opt.jaws"`
	Name    string         `col:"name" eg:"Number of jaws" note:"name on screens"`
	Kind    string         `col:"kind,need" enum:"number|choice|yes-no" eg:"number" note:"number, one of the values, or yes/no"`
	Values  string         `col:"values" eg:"3|4|5" note:"values allowed, separated by |; empty is any number"`
	Default string         `col:"default" eg:"4" note:"value where the order line is silent; empty: the line must say"`
}

// Rule is a condition that every configuration of a product must meet.
type Rule struct {
	Product plant.ItemID  `col:"product,key" ref:"items" eg:"tine-grab" note:"product"`
	Rule    string        `col:"rule,key" eg:"magnet-needs-voltage" note:"name of the rule"`
	Must    plant.Formula `col:"must,need" eg:"!opt.magnet || opt.voltage != 'none'" note:"must be true"`
	Says    string        `col:"says,need" eg:"A magnet needs a voltage." note:"what the person is told otherwise"`
}

// Part is a parts-list line.
type Part struct {
	Parent    plant.ItemID      `col:"parent,key" ref:"items" eg:"tine-grab" note:"item made"`
	Line      int               `col:"line,key" eg:"10" note:"number of the line"`
	Component plant.Pattern     `col:"component,need" eg:"jaw-{int(opt.jaws)}c" note:"item consumed; {expression} makes it depend on options"`
	Quantity  plant.Formula     `col:"quantity,need" eg:"opt.jaws" note:"per piece of the parent, in unit"`
	Unit      plant.MeasureUnit `col:"unit" eg:"ea" note:"unit of the quantity; converted to the component's; empty is the component's"`
	Op        int               `col:"op" def:"0" eg:"10" note:"operation of the parent at which it is consumed; 0 is the first"`
	When      plant.Formula     `col:"when" eg:"opt.rotator" note:"only if true; empty is always"`
	Set       bool              `col:"set" def:"no" eg:"yes" note:"yes: the pieces travel together"`
}

// Op is an operation of an item's route.
type Op struct {
	Item     plant.ItemID   `col:"item,key" ref:"items" eg:"jaw-4c" note:"item made"`
	Seq      int            `col:"op,key" eg:"20" note:"number; operations follow each other in this order"`
	Name     string         `col:"name,need" eg:"robot weld" note:"what is done"`
	Centre   plant.CentreID `col:"centre,need" ref:"centres" eg:"weld-robot" note:"work centre"`
	Nature   string         `col:"nature,need" enum:"attended|tended|batch|dwell|away" eg:"tended" note:"who is needed when"`
	Closed   string         `col:"closed" enum:"pause|whole|through" def:"pause" eg:"pause" note:"how the run meets closed time; a dwell always runs through"`
	When     plant.Formula  `col:"when" eg:"" note:"only if true; empty is always"`
	Setup    plant.Formula  `col:"setup" unit:"min" def:"0" eg:"10" note:"setup for the job, beside the changeover between families"`
	Load     plant.Formula  `col:"load" unit:"min" def:"0" eg:"8" note:"load, per piece (attended, tended); per job (batch)"`
	Run      plant.Formula  `col:"run,need" unit:"min" eg:"weld_minutes(8, item.weld_m*1000, 'robot')" note:"run, per piece; per batch (batch, dwell); in hours x 60 (away)"`
	Unload   plant.Formula  `col:"unload" unit:"min" def:"0" eg:"6" note:"unload, per piece (attended, tended); per job (batch)"`
	Family   plant.Pattern  `col:"setup_family" eg:"jaw-{opt.form}" note:"setup family; empty: needs no changeover and leaves the station as it is"`
	Key      plant.Pattern  `col:"batch_key" eg:"{opt.colour}" note:"must be equal within a batch"`
	Size     plant.Formula  `col:"size" def:"1" eg:"item.area_m2" note:"capacity that one piece takes in a batch or place"`
	Transfer int            `col:"transfer_quantity" def:"0" eg:"0" note:"pieces passed on before the lot is done; 0 is the whole lot"`
	Program  plant.Pattern  `col:"program" eg:"WJ-{int(opt.jaws)}" note:"machine or robot program"`
	Fixture  plant.Pattern  `col:"fixture" eg:"F-12" note:"fixture"`
	Drawing  plant.Pattern  `col:"drawing" eg:"D-310" note:"drawing"`
	Hold     bool           `col:"hold_point" def:"no" eg:"no" note:"yes: nothing goes on after it until it is signed"`
	Repair   float64        `col:"repair" unit:"%" def:"0" eg:"5" note:"share of jobs sent back through the repair loop"`
	Loop     string         `col:"repair_ops" eg:"20,30" note:"operations of the repair loop"`
	Note     string         `col:"note" eg:"" note:"instruction for the station"`
}

// Crew is a need for people at an operation. An attended operation without a row needs nobody.
type Crew struct {
	Item  plant.ItemID `col:"item,key" ref:"items" eg:"jaw-4c" note:"item made"`
	Seq   int          `col:"op,key" eg:"20" note:"operation"`
	Pool  plant.PoolID `col:"pool,key" ref:"pools" eg:"robot-crew" note:"crew pool"`
	Heads int          `col:"heads" def:"1" eg:"1" note:"people needed"`
	For   string       `col:"for" enum:"load|run|both" def:"both" eg:"load" note:"load: setup, load and unload; run: the run; both; at attended operations everybody stays for the run"`
}

// Able names a station that can do an operation, and how fast. If an operation has such rows, only those stations can.
type Able struct {
	Item    plant.ItemID    `col:"item,key" ref:"items" eg:"jaw-4c" note:"item made"`
	Seq     int             `col:"op,key" eg:"20" note:"operation"`
	Station plant.StationID `col:"station,key" ref:"stations" eg:"weld-robot-1" note:"station of the operation's work centre"`
	Speed   float64         `col:"speed" def:"1" eg:"0.9" note:"multiplies the station's speed for this operation"`
}

// Program is a machine or robot program with its state.
type Program struct {
	ID       plant.ProgramID `col:"program,key" eg:"WJ-4" note:"program"`
	Revision string          `col:"revision,need" eg:"C" note:"revision in use"`
	Approved bool            `col:"approved" def:"no" eg:"yes" note:"yes: may be run"`
	Due      plant.Date      `col:"due" eg:"2026-12-01" note:"day on which it is expected to be approved: work waits until its end; empty: planned as if approved, and named on run lists"`
	Note     string          `col:"note" eg:"" note:"for people"`
}

// Drawing is a drawing with its state.
type Drawing struct {
	ID       plant.DrawingID `col:"drawing,key" eg:"D-310" note:"drawing"`
	Revision string          `col:"revision,need" eg:"B" note:"revision in use"`
	Approved bool            `col:"approved" def:"no" eg:"yes" note:"yes: may be made to"`
	Due      plant.Date      `col:"due" eg:"" note:"day on which it is expected to be approved: work waits until its end; empty: planned as if approved, and named on run lists"`
	Note     string          `col:"note" eg:"" note:"for people"`
}
