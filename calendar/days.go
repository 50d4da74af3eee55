package calendar

import (
	"fmt"
	"strings"
	"time"
)

var dayNames = [7]string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// ParseDays reads days of the week: a day (sat), a run of days (mon-fri, fri-mon over the end of the week), several of
// these (mon,wed,fri) or all. Case and blanks do not matter. The result is indexed by time.Weekday. An error says, as a
// noun, what was expected.
func ParseDays(s string) ([7]bool, error) {
	var days [7]bool
	for _, part := range strings.Split(strings.ToLower(s), ",") {
		part = strings.TrimSpace(part)
		if part == "all" {
			days = [7]bool{true, true, true, true, true, true, true}
			continue
		}
		first, last, run := strings.Cut(part, "-")
		from, ok := weekday(first)
		to := from
		if run && ok {
			to, ok = weekday(last)
		}
		if !ok {
			return [7]bool{}, fmt.Errorf("days such as mon-fri, sat, mon,wed,fri or all, not %q", part)
		}
		for d := from; ; d = (d + 1) % 7 {
			days[d] = true
			if d == to {
				break
			}
		}
	}
	return days, nil
}

func weekday(s string) (time.Weekday, bool) {
	for i, n := range dayNames {
		if n == strings.TrimSpace(s) {
			return time.Weekday(i), true
		}
	}
	return 0, false
}
