package web

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"tackline/plant"
)

// moment is an instant as people read it, with the machine form beside it.
type moment struct{ Text, ISO string }

// momentOf shows t in a plant's zone: "Fri 27 Nov 14:10". The machine form beside it carries year and offset.
func momentOf(t plant.Time, loc *time.Location) moment {
	if t <= 0 || t >= plant.Never {
		return moment{}
	}
	w := t.In(loc)
	return moment{w.Format("Mon 2 Jan 15:04"), w.Format(time.RFC3339)}
}

// clockTime shows the time of day of t.
func clockTime(t plant.Time, loc *time.Location) string { return t.In(loc).Format("15:04") }

// dayOf shows the day of t.
func dayOf(t plant.Time, loc *time.Location) moment {
	if t <= 0 || t >= plant.Never {
		return moment{}
	}
	w := t.In(loc)
	return moment{w.Format("Mon 2 Jan"), w.Format("2006-01-02")}
}

// hours shows a number of hours: one decimal below 10, none above.
func hours(h float64) string {
	if math.Abs(h) < 9.95 && math.Abs(h-math.Round(h)) >= 0.05 {
		return strconv.FormatFloat(h, 'f', 1, 64) + " h"
	}
	return strconv.FormatFloat(math.Round(h), 'f', 0, 64) + " h"
}

// roughly shows a duration in the largest unit that suits it: "35 min", "9 h", "3.5 days".
func roughly(d plant.Seconds) string {
	a := d
	if a < 0 {
		a = -a
	}
	switch {
	case a < 3600:
		return strconv.FormatFloat(math.Round(a.Minutes()), 'f', 0, 64) + " min"
	case a < 48*3600:
		return hours(a.Hours())
	}
	days := strconv.FormatFloat(a.Hours()/24, 'f', 1, 64)
	if days[len(days)-2:] == ".0" {
		days = days[:len(days)-2]
	}
	return days + " days"
}

// slackText shows slack: "9 h", or "5 h late".
func slackText(d plant.Seconds) string {
	if d < 0 {
		return roughly(d) + " late"
	}
	return roughly(d)
}

// hoursMinutes shows whole minutes as "3 h 05 min", so that columns of them add up.
func hoursMinutes(minutes int64) string {
	switch h, m := minutes/60, minutes%60; {
	case h == 0:
		return fmt.Sprintf("%d min", m)
	default:
		return fmt.Sprintf("%d h %02d min", h, m)
	}
}

// count shows a number of things: "1 unit", "12 units".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// numberWord writes small numbers in words for headlines: "Three".
func numberWord(n int) string {
	words := []string{"No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve"}
	if n >= 0 && n < len(words) {
		return words[n]
	}
	return strconv.Itoa(n)
}

// percent shows a share: "87 %".
func percent(share float64) string {
	if math.IsNaN(share) || math.IsInf(share, 0) {
		return ""
	}
	return strconv.FormatFloat(math.Round(share*100), 'f', 0, 64) + " %"
}

// plainNumber writes a number for a file: no unit, no trailing zeros, at most four decimals.
func plainNumber(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e4)/1e4, 'f', -1, 64)
}

// tenths shows a share in per cent with a place after the point.
func tenths(share float64) string { return plainNumber(round1(100*share)) + " %" }

// round1 rounds to a place after the point.
func round1(x float64) float64 { return float64(int64(x*10+0.5)) / 10 }

// signed shows a difference of money with its sign; nothing for none.
func signed(m plant.Money) string {
	switch {
	case m > 0:
		return "+" + m.String()
	case m < 0:
		return "\u2212" + (-m).String()
	}
	return "0"
}

// signedNumber shows a difference with its sign and at most one decimal.
func signedNumber(x float64) string {
	t := strconv.FormatFloat(x, 'f', 1, 64)
	if t == "0.0" || t == "-0.0" {
		return "0"
	}
	if t[len(t)-2:] == ".0" {
		t = t[:len(t)-2]
	}
	if x < 0 {
		return "\u2212" + t[1:]
	}
	return "+" + t
}
