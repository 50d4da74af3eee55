package schedule

import (
	"fmt"
	"strings"

	"tackline/plant"
)

// lasting shows a duration as people say it, without rounding: "2 h 5 min", "45 s".
func lasting(d plant.Seconds) string {
	if d < 0 {
		return "-" + lasting(-d)
	}
	var out []string
	for _, x := range []struct {
		n    plant.Seconds
		unit string
	}{{d / 3600, "h"}, {d / 60 % 60, "min"}, {d % 60, "s"}} {
		if x.n > 0 {
			out = append(out, fmt.Sprintf("%d %s", x.n, x.unit))
		}
	}
	if out == nil {
		return "no time"
	}
	return strings.Join(out, " ")
}
