package schedule

import (
	"regexp"
	"time"
)

// instants are times within sentences: of the checker, or wall clock times of the book.
var instants = regexp.MustCompile(`\b\d{4}-\d\d-\d\d(T\d\d:\d\d:\d\dZ| \d\d:\d\d\b)`)

// LocalTimes shows the times within a sentence as people read them: instants in loc, wall clock times as they are.
func LocalTimes(text string, loc *time.Location) string {
	return instants.ReplaceAllStringFunc(text, func(s string) string {
		if t, err := time.Parse(time.RFC3339, s); err == nil {
			return t.In(loc).Format("Mon 2 Jan 15:04")
		}
		if t, err := time.Parse("2006-01-02 15:04", s); err == nil {
			return t.Format("Mon 2 Jan 15:04")
		}
		return s
	})
}
