package assume_test

import (
	"strings"
	"testing"

	"tackline/assume"
)

// TestLine: every assumption is written as a line and read back.
func TestLine(t *testing.T) {
	for _, c := range one {
		back, faults := assume.Parse(assume.Line(c.a))
		if len(faults) > 0 || back != c.a {
			t.Errorf("%s: %+v, %v", assume.Line(c.a), back, faults)
		}
	}
}

func TestLineRefused(t *testing.T) {
	for line, says := range map[string]string{
		"":                                  "kind: expected one of down",
		"dwn; station=robot-1":              `did you mean "down"?`,
		"drop; order=1001; line":            `found "line"; expected name=value`,
		"drop; order=1001; station=robot-1": `has no such field; found "station"; expected one of order, line, reason`,
		"drop; order=1001; order=1002":      "it is given twice",
		"drop; reason=x":                    "order: this field must not be empty",
		"due; order=1001; at=soon":          `at: found "soon"; expected a date and time`,
		"drop; order=1001; line=one":        "a whole number",
		"delivery; item=plate; quantity=many; at=2026-12-01": "a number above 0",
	} {
		_, faults := assume.Parse(line)
		if len(faults) == 0 || !strings.Contains(faults.Error(), says) {
			t.Errorf("%q: %v; expected %q", line, faults, says)
		}
	}
}

// FuzzLine: what reads, writes to a line that reads to the same.
func FuzzLine(f *testing.F) {
	for _, c := range one {
		f.Add(assume.Line(c.a))
	}
	f.Add("drop;;order=1;reason=;")
	f.Add("order; order=1; item=g; at=2026-12-15; options=;;a=b")
	f.Fuzz(func(t *testing.T, line string) {
		a, faults := assume.Parse(line)
		if len(faults) > 0 {
			return
		}
		back, faults := assume.Parse(assume.Line(a))
		if len(faults) > 0 || back != a {
			t.Fatalf("%q reads as %+v; its line %q as %+v, %v", line, a, assume.Line(a), back, faults)
		}
	})
}
