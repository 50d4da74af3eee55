package estimate

import (
	"fmt"
	"math"
	"strconv"
)

// limit is a number with the range in which a rule holds. The ends belong to the range.
type limit struct {
	name    string
	x       float64
	unit    string
	lo, hi  float64
	because string // why the range ends there, if it is not plain
}

// check gives the first number outside its range as an error in words. NaN and infinities are outside every range.
func check(limits ...limit) error {
	for _, l := range limits {
		if l.x >= l.lo && l.x <= l.hi {
			continue
		}
		unit := ""
		if l.unit != "" {
			unit = " " + l.unit
		}
		why := ""
		if l.because != "" {
			why = ": " + l.because
		}
		return fmt.Errorf("%s is %s%s; expected %s to %s%s%s", l.name, digits(l.x), unit, digits(l.lo), digits(l.hi), unit, why)
	}
	return nil
}

func digits(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "not a number"
	}
	return strconv.FormatFloat(x, 'g', 8, 64)
}

// whole refuses a count that is not a whole number.
func whole(name string, x float64) error {
	if x != math.Trunc(x) {
		return fmt.Errorf("%s is %s; expected a whole number", name, digits(x))
	}
	return nil
}
