// Package calendar is open time: when a station, a crew or a person works. A Week of shifts and dated exceptions is
// expanded to Open, disjoint intervals in UTC, in which working time is added and subtracted in O(log n).
package calendar

import (
	"cmp"
	"slices"
	"sort"

	"tackline/plant"
)

// Span is a half-open interval of time, [From, To).
type Span struct{ From, To plant.Time }

// Len gives the time from From to To.
func (s Span) Len() plant.Seconds { return s.To.Sub(s.From) }

// Open is open time: spans that are sorted, disjoint, not touching and not empty, with the working time before each.
// The zero value is never open. An Open is not changed after it is made, so it can be shared.
type Open struct {
	spans  []Span
	before []plant.Seconds // working time in spans[:i]
	longest
}

// Make gives the union of spans in any order, which may overlap, touch or be empty. It takes O(n log n), or O(n) if they
// are sorted. It does not keep the slice.
func Make(spans []Span) Open {
	s := slices.Clone(spans)
	byStart := func(a, b Span) int { return cmp.Compare(a.From, b.From) }
	if !slices.IsSortedFunc(s, byStart) {
		slices.SortFunc(s, byStart)
	}
	merged := s[:0]
	for _, x := range s {
		switch last := len(merged) - 1; {
		case x.To <= x.From:
		case last >= 0 && x.From <= merged[last].To:
			merged[last].To = max(merged[last].To, x.To)
		default:
			merged = append(merged, x)
		}
	}
	return of(slices.Clip(merged))
}

// of makes an Open of spans that are already sorted, disjoint, not touching and not empty, and keeps the slice.
func of(spans []Span) Open {
	o := Open{spans: spans, before: make([]plant.Seconds, len(spans)), longest: measure(spans)}
	var sum plant.Seconds
	for i, x := range spans {
		o.before[i] = sum
		sum += x.Len()
	}
	return o
}

// Spans gives the open spans in order. The slice is shared: do not change it.
func (o Open) Spans() []Span { return o.spans }

// Total gives all open time.
func (o Open) Total() plant.Seconds {
	if n := len(o.spans); n > 0 {
		return o.before[n-1] + o.spans[n-1].Len()
	}
	return 0
}

// after gives the index of the first span that ends after t, or the number of spans.
func (o Open) after(t plant.Time) int {
	return sort.Search(len(o.spans), func(i int) bool { return o.spans[i].To > t })
}

// upto gives the open time before t.
func (o Open) upto(t plant.Time) plant.Seconds {
	i := o.after(t)
	if i == len(o.spans) {
		return o.Total()
	}
	return o.before[i] + max(0, t.Sub(o.spans[i].From))
}

// IsOpen says whether t lies in a span; the end of a span does not.
func (o Open) IsOpen(t plant.Time) bool {
	i := o.after(t)
	return i < len(o.spans) && o.spans[i].From <= t
}

// Next gives the first open instant at or after t, or plant.Never.
func (o Open) Next(t plant.Time) plant.Time {
	i := o.after(t)
	if i == len(o.spans) {
		return plant.Never
	}
	return max(t, o.spans[i].From)
}

// Prev gives the last instant at or before t that ends open time: t itself if the time just before it is open, else the
// end of the span before. It gives -plant.Never if there is no open time before t.
func (o Open) Prev(t plant.Time) plant.Time {
	i := sort.Search(len(o.spans), func(i int) bool { return o.spans[i].From >= t }) - 1
	if i < 0 {
		return -plant.Never
	}
	return min(t, o.spans[i].To)
}

// Work gives the open time in [from, to), 0 if to is not after from.
func (o Open) Work(from, to plant.Time) plant.Seconds {
	if to <= from {
		return 0
	}
	return o.upto(to) - o.upto(from)
}

// Add gives the instant at which work begun at t is done, if it goes on in open time only: the first instant e with
// Work(t, e) == work. It lies within a span or at its end, never at the start of one. No work is done at once: Add(t, 0)
// and Add of negative work are t itself, open or not. It gives plant.Never if the open time after t is too short.
func (o Open) Add(t plant.Time, work plant.Seconds) plant.Time {
	if work <= 0 {
		return t
	}
	done := o.upto(t)
	if work > o.Total()-done {
		return plant.Never
	}
	want := done + work
	i := sort.Search(len(o.before), func(i int) bool { return o.before[i] >= want }) - 1
	return o.spans[i].From.Add(want - o.before[i])
}

// Sub gives the last instant s from which work is done by t: the last s with Work(s, t) == work. It lies within a span or
// at its start, never at the end of one. Sub(t, 0) and Sub of negative work are t itself. It gives -plant.Never if the
// open time before t is too short.
func (o Open) Sub(t plant.Time, work plant.Seconds) plant.Time {
	if work <= 0 {
		return t
	}
	want := o.upto(t) - work
	if want < 0 {
		return -plant.Never
	}
	i := sort.Search(len(o.before), func(i int) bool { return o.before[i] > want }) - 1
	return o.spans[i].From.Add(want - o.before[i])
}

// Fit gives the first start s at or after t such that [s, s+work) lies in one span, or plant.Never. Work that takes no
// time fits anywhere: Fit(t, 0) is t. It takes O(log n).
func (o Open) Fit(t plant.Time, work plant.Seconds) plant.Time {
	if work <= 0 {
		return t
	}
	i := o.after(t)
	if i == len(o.spans) {
		return plant.Never
	}
	if s := max(t, o.spans[i].From); work <= o.spans[i].To.Sub(s) {
		return s
	}
	if i = o.rightOf(o.spans, i+1, work); i == len(o.spans) {
		return plant.Never
	}
	return o.spans[i].From
}

// FitBefore gives the last start s such that [s, s+work) lies in one span and s+work is not after t, or -plant.Never.
// FitBefore(t, 0) is t. It takes O(log n).
func (o Open) FitBefore(t plant.Time, work plant.Seconds) plant.Time {
	if work <= 0 {
		return t
	}
	i := sort.Search(len(o.spans), func(i int) bool { return o.spans[i].From >= t }) - 1
	if i < 0 {
		return -plant.Never
	}
	if e := min(t, o.spans[i].To); work <= e.Sub(o.spans[i].From) {
		return e.Add(-work)
	}
	if i = o.leftOf(o.spans, i-1, work); i < 0 {
		return -plant.Never
	}
	return o.spans[i].To.Add(-work)
}
