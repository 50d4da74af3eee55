// Package search makes plans. Run constructs complete plans by several priority rules, keeps the cheapest, and spends the
// rest of its budget on changing the order in which work was placed. docs/planning.md gives the rules and formulas.
//
// A Problem is first made into a model: flat arrays, and the open time of every phase (station, while the crew needed is
// there) intersected once. A state is a plan under construction: the sequence of each station, the free heads of each
// crew pool over time, the free places of racks. Each worker has one state and makes one pass after the other in it. A
// pass places every operation once, by one of two generators:
//
//	serial    operation by operation in the order of a key; each goes to its earliest place, gaps included
//	dispatch  station by station as time goes on; the waiting operation with the highest index goes next
//
// The package shares no code with schedule.Check, which proves its plans.
//
// Sources:
//
//	Kolisch, "Serial and parallel resource-constrained project scheduling methods revisited", European Journal of
//	Operational Research 90 (1996): the two generators.
//	Vepsalainen and Morton, "Priority rules for job shops with weighted tardiness costs", Management Science 33 (1987);
//	Lee, Bhaskaran and Pinedo, "A heuristic to minimize the total weighted tardiness with sequence-dependent setups", IIE
//	Transactions 29 (1997): the apparent tardiness cost.
//	Li and Willis, "An iterative scheduling technique for resource-constrained project scheduling", European Journal of
//	Operational Research 56 (1992): backward and forward passes by turns.
//	Joslin and Clements, "Squeaky wheel optimization", Journal of Artificial Intelligence Research 10 (1999): what is
//	late goes forward in order.
//	Dueck and Scheuer, "Threshold accepting", Journal of Computational Physics 90 (1990): going on from a plan a little
//	dearer than the best.
package search
