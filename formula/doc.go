// Package formula compiles and evaluates the formulas of the shop book: CEL expressions with the trade functions of
// package estimate, bounded in cost, that can show their arithmetic. docs/formulas.md tells people how to write them.
//
// The language is a part of CEL with three choices of its own:
//   - One kind of number. Whole numbers in the text become decimal numbers when the formula is compiled, and every operator
//     works on decimal numbers, so 4*opt.jaws, 7/2 and opt.jaws == 4 mean what a person expects.
//   - No silent answers. A missing option or attribute, a comparison of a number with a text, a division by 0 and a number
//     without bounds are errors in words.
//   - No loops. The macros of CEL over lists are not there, so the work is bounded by the length of the text, which is
//     limited, as are its depth, its size and its cost by the cost model of CEL. Nothing has to be measured while running.
package formula
