// Package floor is what happens on the floor: events, and the state that follows from them.
//
// An event says who did what, where and when. A device makes it, with an identifier of its own (UUIDv7, RFC 9562), so that it
// can be sent again without doing anything twice. Events are only ever added; a mistake is undone by a contrary event. Within a
// plant each event carries a hash over itself and the hash before (see Seal), so that a changed record shows.
//
// State is the fold of the events: what each operation and each station is in. State.Refuse holds the rules that an event must
// keep when it is recorded; State.Apply takes over what was recorded. The same events in the same order give the same state, on
// every machine and whatever the shop book says by then.
//
// The package computes only: no clock, no storage. Who may do what, and whether an operation can start as far as plan, kit,
// programs and people go, is decided above it.
package floor
