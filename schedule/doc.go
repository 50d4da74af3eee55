// Package schedule says what a plan is: the Problem (what must be done, with what, by when), the Plan (what happens where
// and when), the independent checker that proves a plan keeps every rule, the score, and the explanation of each date.
// Package schedule/search makes plans; it shares no code with the checker.
//
// All times are instants in UTC seconds (plant.Time), all durations seconds; intervals are half-open [from, to).
// A Problem is read-only once made, so it can be shared between goroutines. References between parts are indexes.
//
// # Phases of an operation
//
// Every operation goes through up to four phases on one station: setup, load, run, unload. A Slot gives the instant at
// which each begins and the instant at which the operation ends:
//
//	Setup    setup work: Alternative-independent Op.Setup plus the changeover from the station's previous family
//	Load     load work of Alternative.Load (tended and batch operations)
//	Run      the run of Alternative.Run
//	Unload   unload work of Alternative.Unload
//	End      the operation is over: its pieces can go on, its station is free
//
// A phase that takes no time begins where the next one begins (an operation without setup has Setup == Load, and so on).
// Between the end of a phase's work and the begin of the next there may be waiting; the station stays occupied.
//
// # Open time of a phase
//
// A phase makes progress exactly in its open time: the station's calendar, intersected with the times at which every
// pool that the phase needs has at least the heads needed (Pool.Heads, before any other use). Setup, load and unload
// always pause in closed time and go on. The run follows Op.Closed:
//
//	Pause    stops in closed time and goes on
//	Whole    lies in one span of open time
//	Through  begins in open time and then runs on through closed time (it needs no crew: needs marked OnRun do not count)
//
// Each phase begins at an instant of its open time (a phase of no length may begin anywhere) and its work is done before
// the next begins. Needs of one pool in one phase add up. For a batch, every member has the same Slot times and station; run is the longest of the members' runs,
// load and unload are the sums of the members' loads and unloads.
//
// # Stations
//
// Station.Takes says what a station holds at once:
//
//	One      one operation: [Setup, End) of any two do not overlap. If Pallets >= 2, load and unload happen beside the
//	         running piece: the station itself is occupied in [Setup, end of setup work) and in [Run, end of run work);
//	         these do not overlap between operations, and at most Pallets operations are between Load and End at any instant.
//	         Setup work (if any) begins after the run work of the operation before (order of Run) is done.
//	Batch    one batch at a time: Slots of the same Batch share all times; different batches do not overlap in [Setup, End);
//	         the sizes of a batch sum to at most Capacity; Key, Family and Closed are equal within it. Slot.Batch 0 is a batch
//	         of its own. Only these stations look at Slot.Batch.
//	Places   any number at once while the sizes in [Run, End) sum to at most Capacity; no setup.
//	NoLimit  any number at once; no setup (subcontractors).
//
// An interval of no length overlaps nothing. No setup means that Op.Setup and Op.Family do not count there.
//
// The changeover before an operation is Centre.Changeover(previous family, its family), where previous is the family of
// the operation whose run precedes on that station (order of Run, then of Op index), or Station.Family for the first.
// An operation with Family 0 (none) needs no changeover and leaves the station's family as it is.
// For a batch the setup is counted once: the largest Op.Setup of its members plus the changeover.
//
// # Crew
//
// Heads in use of a pool at an instant are summed over all phases working at that instant: setup, load and unload use the
// needs marked OnLoad, the run uses those marked OnRun. A phase works from its begin, in its open time, until its work is
// done; waiting uses nobody. Alternative.Beside is further load crew time (OnLoad) that begins with Run and goes on beside
// the run, in the open time of a load, for the second and later pieces on a station with pallets (elsewhere it does not
// count); it is done before End. The crew of a batch is, pool by pool, the largest
// need of its members. Heads in use never exceed Pool.Heads.
//
// # Links
//
// A Link from A to B says that B begins (its Load) after A has passed on its pieces:
//
//	plain     B.Load >= arrival(A.End)
//	overlap   Transfer > 0: pieces pass in lots of Transfer. The k-th lot (k = 1..n) leaves A when A's run has done the share
//	          k*Transfer/Pieces of its work (the last lot at A.End), and B's run may have done at most the share
//	          (k-1)*Transfer/Pieces of its own work before that lot arrives; B.Load is not before the first lot arrives.
//
// Shares are rounded down to seconds of run work. arrival(t) is t + Lag, or, with a Carrier, the arrival of the first departure at or after t + Lag.
// A and B may be the same job (the route) or different jobs (a part consumed at an operation of its parent).
// The run of a member of a batch is the run of its batch. If B's run takes no time, the link is plain. What has no slot
// never arrives.
//
// # Fixed work
//
// A Done, Running or Frozen operation has the slot Fixed, whatever its station's Alternative says. Each of its phases works,
// in its open time, from its begin until the next phase begins, and that is its run work in a Link from it. It occupies its
// station, crew and places. Rules between fixed operations alone are facts and are not checked. A Link into a Done or Running
// operation binds nothing; a Link into a Frozen one binds what is not fixed, as does the changeover before a Frozen one.
package schedule
