package order

import "tackline/plant"

// This file holds what a planner decides by hand: the plan keeps to it as far as it can and says where it could not.
// Rows whose job, unit or order is gone say nothing any more; the plan names them, and they can be taken out.

// Pin asks for a station or a begin of one operation, or both.
type Pin struct {
	Job     plant.JobID     `col:"job,key" eg:"1042-1-1/jaw-4c" note:"job, as the plan names it"`
	Seq     int             `col:"op,key" eg:"20" note:"operation"`
	Station plant.StationID `col:"station" ref:"stations" eg:"weld-robot-1" note:"station it must be done on; empty leaves the choice to the plan"`
	Begin   plant.Wall      `col:"begin" eg:"2026-11-26T06:00" note:"when its load is wanted to begin, in the time zone of its station: never before, and as little after as can be; empty leaves it to the plan"`
	Note    string          `col:"note" eg:"the customer comes to see it" note:"why, for people"`
	By      string          `col:"by" eg:"planner" note:"who asked for it"`
}

// Forbid takes a station, or the time before an instant, away from one operation.
type Forbid struct {
	Job     plant.JobID     `col:"job,key" eg:"1042-1-1/jaw-4c" note:"job, as the plan names it"`
	Seq     int             `col:"op,key" eg:"20" note:"operation"`
	Station plant.StationID `col:"station,key" ref:"stations" eg:"weld-robot-2" note:"station it must not be done on; empty where a time is forbidden"`
	Before  plant.Wall      `col:"not_before" eg:"" note:"it must not be loaded before this, in the time zone of its work centre; empty where a station is forbidden"`
	Note    string          `col:"note" eg:"fixture at the gauge room" note:"why, for people"`
	By      string          `col:"by" eg:"planner" note:"who asked for it"`
}

// Split takes pieces off a job into a job of their own, so that the two run apart or side by side. The job split off is
// named after the job, + and the part; the job itself keeps its name and the rest.
type Split struct {
	Job    plant.JobID `col:"job,key" eg:"stock/pin-80/12" note:"job, as the plan names it; not the pieces of a set"`
	Part   string      `col:"part,key" eg:"b" note:"a letter from b to z: the part becomes a job named after the job, + and this letter, such as stock/pin-80/12+b"`
	Pieces int         `col:"pieces,need" eg:"4" note:"pieces started that go into the part; the rest stays with the job"`
	Note   string      `col:"note" eg:"first half for the show" note:"why, for people"`
	By     string      `col:"by" eg:"planner" note:"who asked for it"`
}

// What a priority is given to.
const (
	OfOrder = "order"
	OfLine  = "line"
	OfUnit  = "unit"
	OfJob   = "job"
)

// Priority makes a day late of some units dearer or cheaper than their class says.
type Priority struct {
	Of     string  `col:"of,key,need" enum:"order|line|unit|job" eg:"unit" note:"what it is given to: all units of an order, those of a line, one unit, or the units that the pieces of a job go into"`
	Name   string  `col:"name,key" eg:"1042-1-2" note:"the order (1042), the line (1042-1), the unit (1042-1-2) or the job, as the plan names it"`
	Factor float64 `col:"factor,need" eg:"3" note:"a day late of these units costs so many times what their class says, above 0 up to 100; of several rows the one for the job counts, then the unit, the line, the order"`
	Note   string  `col:"note" eg:"show on Friday" note:"why, for people"`
	By     string  `col:"by" eg:"planner" note:"who asked for it"`
}

// PartOf names the job that a split takes off.
func PartOf(job plant.JobID, part string) plant.JobID { return job + "+" + plant.JobID(part) }
