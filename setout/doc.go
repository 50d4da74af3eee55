// Package setout sets the needs out against the plant: calendars expanded to open time, crews counted, stations found for
// each operation, links drawn. It turns a book.Book and a needs.Result into the schedule.Problem whose Ops, Jobs and Units
// have the same indexes as the Result's.
package setout
