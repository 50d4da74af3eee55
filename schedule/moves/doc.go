// Package moves says what a plan changes against the adopted plan, and why: which operations moved inside the freeze window
// and after it, by how much the ship dates moved, and the chain from each move back to what set it off, such as a station
// that is down, work that runs over, a kit that comes later or an order that is new.
//
// The problem holds both sides: Problem.Adopted is the adopted plan, everything else is as things stand now. A move has one
// cause, the first that holds of: what keeps the operation from its adopted place whatever the plan (its station, its
// material, closed time, missing crew), an operation before it that comes later, one that stands in its place now, one that
// uses its crew, one after it that it follows. A move without any of these was made because the plan is cheaper with it.
package moves
