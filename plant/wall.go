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
	w, err := time.ParseInLocation(dateForm, string(d), loc)
	if err != nil {
		return 0, false
	}
	return At(w), true
}

// EndOfDay gives the instant at which the day ends in loc.
func (d Date) EndOfDay(loc *time.Location) (t Time, ok bool) {
	w, err := time.ParseInLocation(dateForm, string(d), loc)
	if err != nil {
		return 0, false
	}
	return At(w.AddDate(0, 0, 1)), true
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

// Time gives the instant that w means in loc. ok is false for the empty wall time.
func (w Wall) Time(loc *time.Location) (t Time, ok bool) {
	if v, err := time.ParseInLocation(wallForm, string(w), loc); err == nil {
		return At(v), true
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
	if !ok || err1 != nil || err2 != nil || hour < 0 || minute < 0 || minute > 59 || hour*60+minute > 1440 {
		return 0, fmt.Errorf("a time of day from 00:00 to 24:00")
	}
	return Clock(hour*60 + minute), nil
}

// String shows the time of day as "06:00".
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60) }
