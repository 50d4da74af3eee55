package plant

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Date is a calendar day, "2026-11-25"; empty means none.
type Date string

// Wall is a wall clock time as people write it, "2026-11-25T06:00", read in the time zone of the plant concerned; where
// clocks go back it may carry its own offset, "2026-10-25T02:30+01:00". Empty means none.
type Wall string

// Clock is a time of day in minutes after midnight, 0 to 1440 (24:00).
type Clock int

const (
	dateForm       = "2006-01-02"
	wallForm       = "2006-01-02T15:04"
	wallOffsetForm = "2006-01-02T15:04Z07:00"
)

// ParseDate reads "2026-11-25".
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(dateForm, s)
	if err != nil {
		return "", fmt.Errorf("a date such as 2026-11-25")
	}
	return Date(t.Format(dateForm)), nil
}

// Time gives the instant at which the day begins in loc. ok is false for the empty date.
func (d Date) Time(loc *time.Location) (t Time, ok bool) {
	w, err := time.Parse(dateForm, string(d))
	if err != nil {
		return 0, false
	}
	return Local(w.Year(), w.Month(), w.Day(), 0, loc), true
}

// EndOfDay gives the instant at which the day ends in loc.
func (d Date) EndOfDay(loc *time.Location) (t Time, ok bool) {
	w, err := time.Parse(dateForm, string(d))
	if err != nil {
		return 0, false
	}
	return Local(w.Year(), w.Month(), w.Day(), 24*60, loc), true
}

// Local gives the instant of a wall clock time in loc: minute minutes after midnight by the clock on the wall, which may
// pass 24:00. A time that the clocks skip is read with the offset before the change, so it moves forward by the hour
// skipped; a time that they show twice is the first of the two. Source: RFC 5545, section 3.3.5, form 3. (time.Date
// leaves open which of two offsets it takes.)
func Local(year int, month time.Month, day, minute int, loc *time.Location) Time {
	asUTC := At(time.Date(year, month, day, 0, minute, 0, 0, time.UTC))
	const dayLong = 24 * 60 * 60
	before, after := offset(asUTC-dayLong, loc), offset(asUTC+dayLong, loc)
	first, second := asUTC.Add(-max(before, after)), asUTC.Add(-min(before, after))
	switch {
	case offset(first, loc) == max(before, after):
		return first
	case offset(second, loc) == min(before, after):
		return second
	}
	return asUTC.Add(-before)
}

// offset gives how far the clocks of loc are ahead of UTC at t.
func offset(t Time, loc *time.Location) Seconds {
	_, s := t.In(loc).Zone()
	return Seconds(s)
}

// DateAt gives the day of t in loc.
func DateAt(t Time, loc *time.Location) Date { return Date(t.In(loc).Format(dateForm)) }

var wallReads = []string{wallForm, "2006-01-02 15:04", "2006-01-02T15:04:05", "2006-01-02 15:04:05", dateForm}
var wallOffsetReads = []string{wallOffsetForm, "2006-01-02 15:04Z07:00", time.RFC3339}

// ParseWall reads "2026-11-25T06:00", the same with a blank for the T, with seconds, as a bare date (midnight), or with
// an offset.
func ParseWall(s string) (Wall, error) {
	for _, f := range wallReads {
		if t, err := time.Parse(f, s); err == nil {
			return Wall(t.Format(wallForm)), nil
		}
	}
	for _, f := range wallOffsetReads {
		if t, err := time.Parse(f, s); err == nil {
			return Wall(t.Format(wallOffsetForm)), nil
		}
	}
	return "", fmt.Errorf("a date and time such as 2026-11-25T06:00, with an offset where clocks go back: 2026-10-25T02:30+01:00")
}

// Time gives the instant that w means in loc, by the rule of Local. ok is false for the empty wall time.
func (w Wall) Time(loc *time.Location) (t Time, ok bool) {
	if v, err := time.Parse(wallForm, string(w)); err == nil {
		return Local(v.Year(), v.Month(), v.Day(), v.Hour()*60+v.Minute(), loc), true
	}
	if v, err := time.Parse(wallOffsetForm, string(w)); err == nil {
		return At(v), true
	}
	return 0, false
}

// WallAt writes t as a wall time in loc, with the offset, so that it reads back to the same minute.
func WallAt(t Time, loc *time.Location) Wall { return Wall(t.In(loc).Format(wallOffsetForm)) }

// ParseClock reads "06:00" to "24:00".
func ParseClock(s string) (Clock, error) {
	h, m, ok := strings.Cut(s, ":")
	hour, err1 := strconv.Atoi(h)
	minute, err2 := strconv.Atoi(m)
	if !ok || strings.ContainsAny(s, "+-") || err1 != nil || err2 != nil || minute > 59 || hour > 24 || hour*60+minute > 1440 {
		return 0, fmt.Errorf("a time of day from 00:00 to 24:00")
	}
	return Clock(hour*60 + minute), nil
}

// String shows the time of day as "06:00".
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60) }
