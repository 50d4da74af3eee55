// Package product holds what can be made: items with their attributes, options and the rules between them, parts lists,
// routes of operations with the crew they need, and the programs and drawings they are made to.
package product
