// Package staffed searches plans of shops in which each operation takes a machine and a worker at once, for a time that
// depends on both; each machine and each worker does one thing at a time, always open, and all is to be over as soon as
// possible. The research literature calls this the flexible job shop with worker flexibility; package disjunct has the
// case without workers.
//
// The search is a tabu search on a disjunctive graph (Roy and Sussmann 1964) in which an operation has neighbours on its machine
// and neighbours with its worker. A move takes a critical operation out and puts it back, in any mode and at any pair of places
// that heads and tails prove free of circles (after Mastrolilli and Gambardella, "Effective neighbourhood functions
// for the flexible job shop problem", Journal of Scheduling 3, 2000, who do so for machines). Since heads and tails are worked
// out without the operation, the makespan of each move is exact. Good plans are combined in a small population as in package disjunct.
package staffed
