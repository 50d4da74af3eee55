// Package stock holds what is there and what is coming: lots with their heat numbers, receipts expected, and the work
// that is done, running, frozen or held on the floor.
package stock
