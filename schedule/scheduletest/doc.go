// Package scheduletest makes odd plants to break planners and checkers on: problems with calendars, sequence-dependent
// setups, crews, batches, places, pallets, overlap, joins, trucks, fixed work and due dates, drawn from a seed. Every
// problem is feasible: each operation has a station whose open time, together with the crew it needs, holds its phases.
// The same Shape gives the same problem on every machine. Nothing here stands for a real plant.
package scheduletest
