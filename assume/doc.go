// Package assume changes a shop book for the sake of argument: a station is down, somebody works overtime, an order comes
// or goes, a kit is late. A draft is a plan of such a changed book.
//
// In: a book and a list of assumptions. Out: another book with the same tables, changed by the rows that a planner would
// have typed (an exception, an absence, an order line), so that everything which reads a book reads this one as well. The
// book given is never changed; tables that no assumption touches are shared with it.
//
// Wall times are read in the time zone of the plant concerned, as in the rows of the book.
package assume
