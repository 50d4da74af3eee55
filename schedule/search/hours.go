package search

import (
	"tackline/calendar"
	"tackline/plant"
)

const day = 24 * 3600

// hours is open time with an index by day, so that the span at an instant is found at once.
type hours struct {
	calendar.Open
	spans []calendar.Span
	base  plant.Time
	byDay []int32 // byDay[k] is the first span that ends after base + k days
}

func makeHours(o calendar.Open) hours {
	h := hours{Open: o, spans: o.Spans()}
	if len(h.spans) == 0 {
		return h
	}
	h.base = h.spans[0].From
	days := int((h.spans[len(h.spans)-1].To-h.base)/day) + 1
	h.byDay = make([]int32, days)
	i := 0
	for k := range h.byDay {
		for i < len(h.spans) && h.spans[i].To <= h.base+plant.Time(k)*day {
			i++
		}
		h.byDay[k] = int32(i)
	}
	return h
}

// at gives the first span that ends after t, or the number of spans.
func (h *hours) at(t plant.Time) int {
	if len(h.spans) == 0 || t < h.base {
		return 0
	}
	k := int((t - h.base) / day)
	if k >= len(h.byDay) {
		return len(h.spans)
	}
	i := int(h.byDay[k])
	for i < len(h.spans) && h.spans[i].To <= t {
		i++
	}
	return i
}

// openPart is the share of the time from a to b that is open, at least a thousandth.
func (h *hours) openPart(a, b plant.Time) float64 {
	if b <= a {
		return 1
	}
	return max(0.001, float64(h.Work(a, b))/float64(b-a))
}
