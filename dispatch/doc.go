// Package dispatch reads a plan for the floor: the run list of each station, the kit of each operation, what blocks what
// and who clears it, what is short, and the load on each work centre.
package dispatch
