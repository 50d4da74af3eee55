package estimate

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// unit is a unit of measure as an exact fraction of the base unit of its kind.
type unit struct {
	name     string
	kind     string
	num, den float64
}

// units hold the plant's units of measure and the US customary units shown to people. Factors: NIST SP 811 (2008) appendix B:
// inch 25.4 mm, pound 0.453 592 37 kg, US gallon 3.785 411 784 l, pound-force 4.448 221 615 260 5 N, all exact.
var units = []unit{
	{"ea", "pieces", 1, 1},
	{"g", "mass", 1, 1}, {"kg", "mass", 1000, 1}, {"t", "mass", 1e6, 1}, {"lb", "mass", 45359237, 1e5}, {"oz", "mass", 45359237, 16e5},
	{"mm", "length", 1, 1}, {"m", "length", 1000, 1}, {"in", "length", 254, 10}, {"ft", "length", 3048, 10},
	{"m2", "area", 1, 1}, {"ft2", "area", 9290304, 1e8},
	{"l", "volume", 1, 1}, {"gal", "volume", 3785411784, 1e9},
	{"s", "time", 1, 1}, {"min", "time", 60, 1}, {"h", "time", 3600, 1},
	{"bar", "pressure", 1e5, 1}, {"MPa", "pressure", 1e6, 1}, {"psi", "pressure", 44482216152605, 6451600000},
	{"N", "force", 1, 1}, {"kN", "force", 1000, 1}, {"lbf", "force", 44482216152605, 1e13},
}

// Convert gives a quantity in another unit of the same kind: kg and g, m and mm, h and min, m2, l, and for display lb, in, ft,
// ft2, gal, psi, lbf. The result is the decimal number nearest to the exact one, or next to it. An error names a unit that is not known, or units
// that measure different things.
func Convert(qty float64, from, to string) (float64, error) {
	f, err := findUnit(from)
	if err != nil {
		return 0, err
	}
	t, err := findUnit(to)
	if err != nil {
		return 0, err
	}
	if f.kind != t.kind {
		return 0, fmt.Errorf("%s is a unit of %s and %s one of %s; they do not convert", from, f.kind, to, t.kind)
	}
	if math.IsNaN(qty) || math.Abs(qty) > 1e15 {
		return 0, fmt.Errorf("the quantity is %s; expected a number up to 1e15", digits(qty))
	}
	if f == t {
		return qty, nil
	}
	return convert(qty, f.num*t.den, f.den*t.num), nil
}

// convert multiplies by a fraction in lowest terms: whole factors are exact up to 2^53, and one rounding is left.
func convert(qty, num, den float64) float64 {
	if g := gcd(num, den); g > 1 {
		num, den = num/g, den/g
	}
	return qty * num / den
}

func gcd(a, b float64) float64 {
	for b != 0 {
		a, b = b, math.Mod(a, b)
	}
	return a
}

func findUnit(name string) (unit, error) {
	i := slices.IndexFunc(units, func(u unit) bool { return u.name == name })
	if i < 0 {
		names := make([]string, len(units))
		for j, u := range units {
			names[j] = u.name
		}
		return unit{}, fmt.Errorf("the unit %q is not known; expected one of %s", name, strings.Join(names, ", "))
	}
	return units[i], nil
}

// Fahrenheit gives a temperature in degF from degC: 1.8 C + 32. Source: NIST SP 811 B.8.
func Fahrenheit(celsius float64) float64 { return celsius*9/5 + 32 }
