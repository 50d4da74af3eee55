// Package search makes plans. Run constructs complete plans by several priority rules, or repairs the adopted plan, keeps the
// cheapest, and spends the rest of its budget on improving it by ruin and recreate. docs/planning.md gives the rules and
// formulas.
//
// A Problem is first made into a model: flat arrays, and the open time of every phase (station, while the crew needed is
// there) intersected once. A state is a plan under construction: the sequence of each station, the free heads of each
// crew pool over time, the free places of racks. Each worker has one state. A pass places every operation once, by one of
// two generators:
//
//	serial    operation by operation in the order of a key; each goes to its earliest place, gaps included
//	dispatch  station by station as time goes on; the waiting operation with the highest index goes next
//
// A chain then changes the plan of a state: it takes some operations out and puts them back, with the cost kept up to date
// (account) and everything touched noted (undo), so that a change costs what it touches and not what the plant holds.
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
//	Schrimpf, Schneider, Stamm-Wilbrandt and Dueck, "Record breaking optimization results using the ruin and recreate
//	principle", Journal of Computational Physics 159 (2000); Christiaens and Vanden Berghe, "Slack induction by string
//	removals for vehicle routing problems", Transportation Science 54 (2020): the changes.
//	Kirkpatrick, Gelatt and Vecchi, "Optimization by simulated annealing", Science 220 (1983): what is kept.
package search
