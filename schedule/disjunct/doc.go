// Package disjunct searches plans of the bare kind: operations with precedence, each on one of some machines that take one
// thing at a time and are always open, to be over as soon as possible. That is the job shop, the flexible job shop and the
// assembly job shop of the research literature, on which the search is measured against published results.
//
// The search is a tabu search on the disjunctive graph (Roy and Sussmann 1964) inside a population: moves of operations
// within and out of critical blocks (Balas and Vazacopoulos, "Guided Local Search with Shifting Bottleneck for Job Shop
// Scheduling", Management Science 44, 1998; the wider set of Zhang, Li, Guan and Rao, "A tabu search algorithm with a new
// neighborhood structure for the job shop scheduling problem", Computers & OR 34, 2007; past the block: Xie, Li, Gao and Gui,
// International Journal of Production Research 61, 2023), moves to the best places on other machines (Mastrolilli and
// Gambardella, "Effective neighbourhood functions for the flexible job shop problem", Journal of Scheduling 3, 2000), and
// combination of good plans (after Peng, Lü and Cheng, "A tabu search/path relinking algorithm to solve the job shop scheduling
// problem", Computers & OR 53, 2015; ours mixes the begins of two plans, which keeps every order acyclic).
//
// One worker spends a small share of its work on a bound: work that machines must share out (loads.go), windows narrowed by
// edge finding for a makespan put to the test (windows.go), and what single operations could still do (prove.go). A plan as
// short as the bound is proved the shortest, and the search ends.
package disjunct
