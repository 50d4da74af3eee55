package calendar

import (
	"fmt"
	"time"

	"tackline/plant"
)

// Expand gives the open time of a weekly pattern of shifts, changed by exceptions, between from and to.
//
// Shifts are read on the wall clock of loc, so a shift that crosses a change of the clocks is an hour shorter or longer;
// see plant.Local for wall times that do not exist or exist twice. A shift that does not end after it starts runs over
// midnight and belongs to the day on which it starts; one that ends when it starts lasts to the same wall time of the
// next day.
//
// Exceptions apply in order, so that a later row wins where rows overlap: overtime opens, every other kind closes. A row
// that does not end after it starts changes nothing. Which calendar or station a row names is the caller's matter.
// overtime is the part of open that only overtime opened: time already open when the row applies is not overtime.
func Expand(shifts []plant.Shift, exceptions []plant.Exception, loc *time.Location, from, to plant.Time) (open, overtime Open, err error) {
	var spans []Span
	for _, s := range shifts {
		days, err := ParseDays(s.Days)
		if err != nil {
			return Open{}, Open{}, fmt.Errorf("shift %q of calendar %q: expected %w", s.Name, s.Calendar, err)
		}
		minutes := int(s.To - s.From)
		if minutes <= 0 {
			minutes += 24 * 60
		}
		eachDay(days, loc, from, to, func(year int, month time.Month, day int) {
			x := Span{plant.Local(year, month, day, int(s.From), loc), plant.Local(year, month, day, int(s.From)+minutes, loc)}
			spans = append(spans, clip(x, from, to))
		})
	}
	open = Make(spans)
	for i := 0; i < len(exceptions); {
		opens := exceptions[i].Kind == "overtime"
		var rows []Span
		for ; i < len(exceptions) && (exceptions[i].Kind == "overtime") == opens; i++ {
			x, err := between(exceptions[i], loc)
			if err != nil {
				return Open{}, Open{}, err
			}
			rows = append(rows, clip(x, from, to))
		}
		change := Make(rows)
		if opens {
			overtime = Union(overtime, Without(change, open))
			open = Union(open, change)
		} else {
			overtime = Without(overtime, change)
			open = Without(open, change)
		}
	}
	return open, overtime, nil
}

// Departures gives the instants in [from, to) at which a truck leaves: at the wall clock time at of loc on the days given.
func Departures(days string, at plant.Clock, loc *time.Location, from, to plant.Time) ([]plant.Time, error) {
	on, err := ParseDays(days)
	if err != nil {
		return nil, fmt.Errorf("truck days: expected %w", err)
	}
	var out []plant.Time
	eachDay(on, loc, from, to, func(year int, month time.Month, day int) {
		if t := plant.Local(year, month, day, int(at), loc); t >= from && t < to {
			out = append(out, t)
		}
	})
	return out, nil
}

// eachDay calls f for every day of the week given whose wall times up to 48:00 can meet [from, to), in order.
func eachDay(days [7]bool, loc *time.Location, from, to plant.Time, f func(year int, month time.Month, day int)) {
	if to <= from {
		return
	}
	year, month, day := from.In(loc).Date()
	last := to.In(loc)
	end := time.Date(last.Year(), last.Month(), last.Day(), 0, 0, 0, 0, time.UTC)
	for d := time.Date(year, month, day-2, 0, 0, 0, 0, time.UTC); !d.After(end); d = d.AddDate(0, 0, 1) {
		if days[d.Weekday()] {
			f(d.Date())
		}
	}
}

func between(e plant.Exception, loc *time.Location) (Span, error) {
	from, ok1 := e.From.Time(loc)
	to, ok2 := e.To.Time(loc)
	if !ok1 || !ok2 {
		return Span{}, fmt.Errorf("exception of %q %q: expected a start and an end such as 2026-11-25T06:00, found %q and %q",
			e.Calendar, e.Station, e.From, e.To)
	}
	return Span{from, to}, nil
}

func clip(s Span, from, to plant.Time) Span { return Span{max(s.From, from), min(s.To, to)} }
