package calendar

// Intersect gives the time that is open in both a and b, in O(n).
func Intersect(a, b Open) Open {
	var out []Span
	for i, j := 0, 0; i < len(a.spans) && j < len(b.spans); {
		x, y := a.spans[i], b.spans[j]
		if s := (Span{max(x.From, y.From), min(x.To, y.To)}); s.From < s.To {
			out = append(out, s)
		}
		if x.To <= y.To {
			i++
		} else {
			j++
		}
	}
	return of(out)
}

// Union gives the time that is open in a or b or both, in O(n).
func Union(a, b Open) Open {
	all := make([]Span, 0, len(a.spans)+len(b.spans))
	i, j := 0, 0
	for i < len(a.spans) || j < len(b.spans) {
		if j == len(b.spans) || i < len(a.spans) && a.spans[i].From <= b.spans[j].From {
			all = append(all, a.spans[i])
			i++
		} else {
			all = append(all, b.spans[j])
			j++
		}
	}
	return Make(all)
}

// Without gives the time that is open in a and not in b, in O(n).
func Without(a, b Open) Open {
	var out []Span
	j := 0
	for _, x := range a.spans {
		for j < len(b.spans) && b.spans[j].To <= x.From {
			j++
		}
		from := x.From
		for k := j; k < len(b.spans) && b.spans[k].From < x.To; k++ {
			if from < b.spans[k].From {
				out = append(out, Span{from, b.spans[k].From})
			}
			from = b.spans[k].To
		}
		if from < x.To {
			out = append(out, Span{from, x.To})
		}
	}
	return of(out)
}
