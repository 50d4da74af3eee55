// Package calendar is open time: when a station, a crew or a person works. A Week of shifts and dated exceptions is
// expanded to Open, disjoint intervals in UTC, in which working time is added and subtracted in O(log n).
package calendar

import "tackline/plant"

// Span is a half-open interval of time, [From, To).
type Span struct{ From, To plant.Time }

// Open is open time: spans that are sorted, disjoint, not touching and not empty, with the working time before each.
// The zero value is never open. An Open is not changed after it is made, so it can be shared.
type Open struct {
	spans  []Span
	before []plant.Seconds // working time in spans[:i]
}
