package calendar

import (
	"fmt"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"tackline/plant"

	"pgregory.net/rapid"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

func utc(t testing.TB, s string) plant.Time {
	t.Helper()
	w, err := time.Parse("2006-01-02T15:04", s)
	if err != nil {
		t.Fatal(err)
	}
	return plant.At(w)
}

func clock(t testing.TB, s string) plant.Clock {
	t.Helper()
	c, err := plant.ParseClock(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func shift(t testing.TB, days, from, to string) plant.Shift {
	return plant.Shift{Calendar: "c", Name: "s", Days: days, From: clock(t, from), To: clock(t, to)}
}

// show writes open time as UTC, "2026-03-29T01:00/08:00": the end is a duration in hours and minutes.
func show(o Open) string {
	var out []string
	for _, s := range o.Spans() {
		out = append(out, fmt.Sprintf("%s+%02d:%02d", s.From.In(time.UTC).Format("01-02T15:04"), s.Len()/3600, s.Len()/60%60))
	}
	return strings.Join(out, " ")
}

// Zone facts, from the IANA time zone database (files europe, northamerica, australasia):
// Europe/Dublin: UTC until 2026-03-29T01:00Z, then +1 until 2026-10-25T01:00Z.
// America/New_York: -5 until 2026-03-08T07:00Z, then -4 until 2026-11-01T06:00Z.
// Australia/Lord_Howe: +11 until 2026-04-04T15:00Z, then +10:30 until 2026-10-03T15:30Z: half an hour.
func TestExpandAcrossClockChanges(t *testing.T) {
	tests := []struct {
		name, zone, days, from, to string
		start, end                 string // UTC
		want                       string
	}{
		{"night of spring is an hour shorter", "Europe/Dublin", "sat", "22:00", "06:00", "2026-03-23T00:00", "2026-03-30T00:00", "03-28T22:00+07:00"},
		{"night of autumn is an hour longer", "Europe/Dublin", "sat", "22:00", "06:00", "2026-10-19T00:00", "2026-10-26T00:00", "10-24T21:00+09:00"},
		{"usual night", "Europe/Dublin", "sat", "22:00", "06:00", "2026-11-02T00:00", "2026-11-09T00:00", "11-07T22:00+08:00"},
		{"whole day of spring has 23 h", "America/New_York", "sun", "00:00", "24:00", "2026-03-05T00:00", "2026-03-12T00:00", "03-08T05:00+23:00"},
		{"whole day of autumn has 25 h", "America/New_York", "sun", "00:00", "24:00", "2026-10-29T00:00", "2026-11-05T00:00", "11-01T04:00+25:00"},
		{"half an hour", "Australia/Lord_Howe", "sun", "00:00", "24:00", "2026-04-02T00:00", "2026-04-09T00:00", "04-04T13:00+24:30"},
		// 01:30 does not exist on 29 March: read as 01:30 UTC, 02:30 on the wall. 09:30 is 08:30 UTC.
		{"start in the gap moves forward", "Europe/Dublin", "sun", "01:30", "09:30", "2026-03-23T00:00", "2026-03-30T00:00", "03-29T01:30+07:00"},
		// 02:30 does not exist in New York on 8 March: read as 02:30-05:00, 07:30 UTC.
		{"end in the gap moves forward", "America/New_York", "sun", "00:30", "02:30", "2026-03-05T00:00", "2026-03-12T00:00", "03-08T05:30+02:00"},
		// 01:30 comes twice on 25 October: the first is 00:30 UTC. 09:30 is 09:30 UTC.
		{"start that comes twice is the first", "Europe/Dublin", "sun", "01:30", "09:30", "2026-10-19T00:00", "2026-10-26T00:00", "10-25T00:30+09:00"},
		{"end that comes twice is the first", "America/New_York", "sat", "18:00", "01:30", "2026-10-29T00:00", "2026-11-05T00:00", "10-31T22:00+07:30"},
		{"days and weeks that touch become one", "Europe/Dublin", "all", "00:00", "24:00", "2026-03-23T00:00", "2026-03-30T00:00", "03-23T00:00+168:00"},
		{"from 24:00 begins the next day", "Europe/Dublin", "mon", "24:00", "06:00", "2026-11-02T00:00", "2026-11-09T00:00", "11-03T00:00+06:00"},
		{"equal start and end last a day", "Europe/Dublin", "mon", "06:00", "06:00", "2026-11-02T00:00", "2026-11-09T00:00", "11-02T06:00+24:00"},
		{"night before the range is clipped", "Europe/Dublin", "mon", "22:00", "06:00", "2026-11-03T01:00", "2026-11-03T08:00", "11-03T01:00+05:00"},
		{"east of UTC, the day is not the UTC day", "Australia/Lord_Howe", "mon", "06:00", "14:00", "2026-06-01T00:00", "2026-06-10T00:00", "06-01T00:00+03:30 06-07T19:30+08:00"},
	}
	for _, tt := range tests {
		open, overtime, err := Expand([]plant.Shift{shift(t, tt.days, tt.from, tt.to)}, nil, zone(t, tt.zone), utc(t, tt.start), utc(t, tt.end))
		if err != nil || show(open) != tt.want || overtime.Total() != 0 {
			t.Errorf("%s: got %q, overtime %q, error %v; want %q", tt.name, show(open), show(overtime), err, tt.want)
		}
	}
}

// RFC 5545, section 3.3.5: both examples given there for a local time that occurs twice and one that does not occur.
func TestLocalAsRFC5545(t *testing.T) {
	loc := zone(t, "America/New_York")
	if got, want := plant.Local(2007, time.November, 4, 90, loc), utc(t, "2007-11-04T05:30"); got != want {
		t.Errorf("01:30 twice: got %v, want 01:30 EDT, 05:30 UTC", got.In(time.UTC))
	}
	if got, want := plant.Local(2007, time.March, 11, 150, loc), utc(t, "2007-03-11T07:30"); got != want {
		t.Errorf("02:30 skipped: got %v, want 03:30 EDT, 07:30 UTC", got.In(time.UTC))
	}
	for _, name := range []string{"America/New_York", "Europe/Dublin"} { // the row types follow the same rule
		w, _ := plant.Wall("2026-03-29T01:30").Time(zone(t, name))
		if want := plant.Local(2026, time.March, 29, 90, zone(t, name)); w != want {
			t.Errorf("wall time in %s: got %v, want %v", name, w.In(time.UTC), want.In(time.UTC))
		}
	}
}

// A week of 06:00-14:00, Monday to Friday, from 2026-11-23 in UTC, changed by rows in order.
func TestExpandExceptions(t *testing.T) {
	row := func(kind, from, to string) plant.Exception {
		return plant.Exception{Calendar: "c", Kind: kind, From: plant.Wall("2026-11-" + from), To: plant.Wall("2026-11-" + to)}
	}
	tests := []struct {
		name       string
		rows       []plant.Exception
		open, over string
	}{
		{"holiday", []plant.Exception{row("holiday", "24T00:00", "27T00:00")}, "11-23T06:00+08:00 11-27T06:00+08:00", ""},
		{"overtime beside a shift joins it, only the rest is overtime", []plant.Exception{row("overtime", "27T12:00", "27T16:00"), row("holiday", "23T00:00", "27T00:00")},
			"11-27T06:00+10:00", "11-27T14:00+02:00"},
		{"overtime on a holiday, later row wins", []plant.Exception{row("holiday", "23T00:00", "28T00:00"), row("overtime", "24T08:00", "24T10:00")},
			"11-24T08:00+02:00", "11-24T08:00+02:00"},
		{"holiday over overtime, later row wins", []plant.Exception{row("overtime", "28T06:00", "28T12:00"), row("maintenance", "23T00:00", "28T08:00"), row("down", "28T10:00", "28T11:00")},
			"11-28T08:00+02:00 11-28T11:00+01:00", "11-28T08:00+02:00 11-28T11:00+01:00"},
		{"a row that does not end after its start changes nothing", []plant.Exception{row("holiday", "27T00:00", "23T00:00"), row("holiday", "23T00:00", "27T00:00")},
			"11-27T06:00+08:00", ""},
	}
	for _, tt := range tests {
		open, over, err := Expand([]plant.Shift{shift(t, "mon-fri", "06:00", "14:00")}, tt.rows, time.UTC, utc(t, "2026-11-23T00:00"), utc(t, "2026-11-30T00:00"))
		if err != nil || show(open) != tt.open || show(over) != tt.over {
			t.Errorf("%s: got %q, overtime %q, error %v; want %q, %q", tt.name, show(open), show(over), err, tt.open, tt.over)
		}
	}
}

func TestExpandSaysWhatIsWrong(t *testing.T) {
	_, _, err := Expand([]plant.Shift{{Calendar: "c", Name: "early", Days: "moonday"}}, nil, time.UTC, 0, 1)
	if err == nil || !strings.Contains(err.Error(), `shift "early" of calendar "c": expected days such as mon-fri`) {
		t.Errorf("shift: got %v", err)
	}
	_, _, err = Expand(nil, []plant.Exception{{Calendar: "c", From: "2026-11-25T06:00"}}, time.UTC, 0, 1)
	if err == nil || !strings.Contains(err.Error(), `exception of "c"`) {
		t.Errorf("exception: got %v", err)
	}
	if _, err = Departures("tue;fri", 0, time.UTC, 0, 1); err == nil {
		t.Error("departures: no error")
	}
}

// Minute by minute: a minute is open if its wall clock time lies in a shift of its day, or in a night shift of the day
// before. Shift times keep clear of the hours at which clocks change, where the two readings could differ.
func TestExpandAgainstWallClock(t *testing.T) {
	zones := []*time.Location{zone(t, "Europe/Dublin"), zone(t, "America/New_York"), zone(t, "Australia/Lord_Howe"), zone(t, "Asia/Kolkata")}
	starts := []plant.Time{utc(t, "2026-03-05T07:00"), utc(t, "2026-03-26T13:00"), utc(t, "2026-10-01T00:00"), utc(t, "2026-10-23T23:00"), utc(t, "2026-10-30T11:00")}
	rapid.Check(t, func(t *rapid.T) {
		loc := rapid.SampledFrom(zones).Draw(t, "zone")
		from := rapid.SampledFrom(starts).Draw(t, "from")
		to := from.Add(4 * 24 * 3600)
		minute := rapid.Custom(func(t *rapid.T) plant.Clock {
			return plant.Clock(rapid.SampledFrom([]int{0, 300, 360, 615, 840, 1200, 1320, 1440}).Draw(t, "clock"))
		})
		var shifts []plant.Shift
		for range rapid.IntRange(0, 3).Draw(t, "shifts") {
			days := rapid.SampledFrom([]string{"all", "mon-fri", "sat", "fri-mon", "sun,wed"}).Draw(t, "days")
			shifts = append(shifts, plant.Shift{Days: days, From: minute.Draw(t, "from"), To: minute.Draw(t, "to")})
		}
		open, _, err := Expand(shifts, nil, loc, from, to)
		if err != nil {
			t.Fatal(err)
		}
		for m := from; m < to; m += 60 {
			if got, want := open.IsOpen(m), onShift(shifts, m.In(loc)); got != want {
				t.Fatalf("%v: open %v, want %v; shifts %v", m.In(loc), got, want, shifts)
			}
		}
	})
}

func onShift(shifts []plant.Shift, w time.Time) bool {
	minute := w.Hour()*60 + w.Minute()
	for _, s := range shifts {
		days, _ := ParseDays(s.Days)
		for back := range 3 { // a shift from 24:00 to 24:00 reaches into the second day after its own
			end := int(s.To)
			if s.To <= s.From {
				end += 1440
			}
			if m := minute + back*1440; days[(int(w.Weekday())+7-back)%7] && int(s.From) <= m && m < end {
				return true
			}
		}
	}
	return false
}

// A truck leaves Fellgate on Tuesday and Friday at 15:00 of Dublin's clock: 15:00 UTC in winter, 14:00 UTC in summer.
func TestDepartures(t *testing.T) {
	got, err := Departures("tue,fri", clock(t, "15:00"), zone(t, "Europe/Dublin"), utc(t, "2026-10-20T14:00"), utc(t, "2026-10-30T15:00"))
	want := []plant.Time{utc(t, "2026-10-20T14:00"), utc(t, "2026-10-23T14:00"), utc(t, "2026-10-27T15:00")}
	if err != nil || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %v, %v; want %v", got, err, want)
	}
}
