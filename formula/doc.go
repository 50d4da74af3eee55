// Package formula compiles and evaluates the formulas of the shop book: CEL expressions with the trade functions of
// package estimate, bounded in cost, that can show their arithmetic.
package formula
