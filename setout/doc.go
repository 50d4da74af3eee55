// Package setout sets the needs out against the plant: calendars expanded to open time, crews counted, stations found for
// each operation, links drawn. It turns a book.Book and a needs.Result into the schedule.Problem whose Ops, Jobs and Units
// have the same indexes as the Result's; its Centres, Stations and Pools have the indexes of the book's tables.
//
// The book must have passed book.Check and the Result must be of the same book. What still cannot be planned, such as a
// way between two plants without a truck, comes back as a fault.List.
//
// # Open time
//
// Calendars run from 60 days before Now (or the begin of the oldest work on the floor, but no more than 400 days) to the
// horizon. The exceptions of a calendar apply first, in the order of the book, then those of the station: a station that
// is down stays down in the overtime of its calendar. All are read in the time zone of the calendar's plant.
//
// Heads of a pool are its people who are present by their own calendars, not absent, and hold the pool's qualification,
// which counts through its last day in the time zone of the pool's plant; and the extra heads.
//
// # Changeovers
//
// The row of the setups table with the fewest * counts, then the one that names from_family. A row with * does not apply
// between equal families; without a row that names both, equal families need no changeover and different ones the
// default of the work centre. Family 0 (none) needs no changeover, so the first operation on a station without an
// initial family needs none.
//
// # Times and crew of an operation of q pieces
//
// Run times are divided by the speed of the station times the speed of the able row, and rounded up to a second.
//
//	nature               load        run                  unload      beside                crew in load (with setup, unload)  in run
//	attended             0           q (load+run+unload)  0           0                     load, both                         all
//	tended               q load      q run                q unload    0                     load, both                         run, both
//	tended, 2+ pallets   load        q run                unload      (q-1) (load+unload)   load, both                         run, both
//	batch                load        run                  unload      0                     load, both                         run, both
//	dwell                0           run                  0           0                     nobody                             nobody
//	away                 0           run                  0           0                     nobody                             nobody
//
// A dwell runs through closed time whatever its row says. Dwell and away have no setup.
//
// # Links and meeting points
//
// Each operation of a job follows the one before; each operation that consumes a part made by a job follows the last
// operation of that job, and one job may feed several. Where the two stand in different plants, the way is a Carrier: the
// truck of the transits table. An operation stands in the plant of its work centre, but away work in the plant of its job,
// since its lead time includes the way. Pieces overlap within a job where the first operation has a transfer quantity
// smaller than the job, both are attended or tended in one plant on stations that take one thing at a time, and the job is
// not a set.
//
// An operation is a meeting point if two or more branches join there: other jobs, and what its own job has done before. All
// links into it are then marked Meeting, but not those of jobs made to stock, which wait in stock anyway.
//
// # Work on the floor
//
// A done operation is over by Now. A running one ends at its expected end, or as its times say if the row gives none; one
// that should have ended by now ends now. A frozen one that should have begun by now begins when its station is next open.
// An operation that nobody reported, but that comes before one of its job that is done or running, counts as done: the floor
// has forgotten to say so. It takes no time, right before that one. Operations on a batch station whose rows name the same state and times are one batch, numbered from 1. A held one may go on at the end of its hold; if that is unknown or past, hold_hours after Now.
//
// # Planned by hand
//
// What the floor has not fixed follows the tables of what planners decide. A pin leaves only its station among those that can
// do the operation, and its begin is the operation's Pinned and the earliest time of its load; a begin that has passed counts as
// now. A forbidden station is left out, unless none would be left; not_before raises the earliest time. A priority multiplies
// the cost of a late day of its units: that of a job counts for every unit that its pieces go into (of several the largest), before
// that of the unit, its line, its order. Rows that do not apply are left aside; LooseRows names them.
package setout
