// Package whatif finds the cheapest single changes that would make a late unit on time: overtime at a station that it waits
// for, a place before the job it is behind, its lot split in two, one more person in the pool it waits for, a kit that comes
// earlier, a priority.
//
// Changes are proposed from the segments of the unit's explanation (schedule.Explain), and none is believed: for each, the
// problem is changed and planned again from the plan in force, for a fixed amount of work, so that the same question gets the
// same answer. What is told of a change is what that plan says: when the unit ships, what the change costs, what it does to
// other units and to the total. Other units and the total are compared with planning again, for as much work, without any
// change, so that a change is not praised for what planning again does by itself.
package whatif
