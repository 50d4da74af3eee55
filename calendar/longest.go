package calendar

import "tackline/plant"

// longest finds the nearest span that is long enough. It is a tree of maxima: level 0 holds the longest span of every
// group of fan spans, each further level the longest of every group of fan entries below it, up to a single entry. A
// search climbs while whole groups are too short and descends into the first that is not, so it looks at no more than
// 2 fan entries a level: O(log n).
type longest struct{ levels [][]plant.Seconds }

const fan = 16

func measure(spans []Span) longest {
	if len(spans) <= fan {
		return longest{}
	}
	low := make([]plant.Seconds, (len(spans)+fan-1)/fan)
	for i, s := range spans {
		low[i/fan] = max(low[i/fan], s.Len())
	}
	l := longest{levels: [][]plant.Seconds{low}}
	for len(low) > 1 {
		up := make([]plant.Seconds, (len(low)+fan-1)/fan)
		for i, d := range low {
			up[i/fan] = max(up[i/fan], d)
		}
		l.levels = append(l.levels, up)
		low = up
	}
	return l
}

// at gives entry i of a level; level -1 is the spans themselves.
func (l longest) at(spans []Span, level, i int) plant.Seconds {
	if level < 0 {
		return spans[i].Len()
	}
	return l.levels[level][i]
}

func (l longest) count(spans []Span, level int) int {
	if level < 0 {
		return len(spans)
	}
	return len(l.levels[level])
}

// rightOf gives the first span at or after i that is at least work long, or len(spans).
func (l longest) rightOf(spans []Span, i int, work plant.Seconds) int {
	level := -1
	for {
		n := l.count(spans, level)
		end := min(n, (i/fan+1)*fan)
		for i < end && l.at(spans, level, i) < work {
			i++
		}
		switch {
		case i < end && level < 0:
			return i
		case i < end:
			level, i = level-1, i*fan
		case end == n:
			return len(spans)
		default:
			level, i = level+1, end/fan
		}
	}
}

// leftOf gives the last span at or before i that is at least work long, or -1.
func (l longest) leftOf(spans []Span, i int, work plant.Seconds) int {
	level := -1
	for i >= 0 {
		start := i / fan * fan
		for i >= start && l.at(spans, level, i) < work {
			i--
		}
		switch {
		case i >= start && level < 0:
			return i
		case i >= start:
			level--
			i = min(i*fan+fan, l.count(spans, level)) - 1
		default:
			level, i = level+1, start/fan-1
		}
	}
	return -1
}
