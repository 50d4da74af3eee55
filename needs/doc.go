// Package needs turns orders into exact parts and steps: it explodes each order line with its options into units, jobs,
// operations and parts; nets parts against stock and receipts; and says what to make, buy, transfer, expedite or defer,
// with the peg from every need to its cover. Values in, values out: a checked book.Book in, a Result out.
package needs
