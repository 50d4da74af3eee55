package book

import "tackline/plant"

// scales gives each unit of measure as a multiple of the unit it is compared in.
var scales = map[plant.MeasureUnit]struct {
	of    string
	times float64
}{
	"ea": {"pieces", 1}, "kg": {"mass", 1}, "g": {"mass", 0.001}, "m": {"length", 1}, "mm": {"length", 0.001},
	"m2": {"area", 1}, "l": {"volume", 1}, "h": {"time", 1},
}

// UnitFactor gives what a quantity in from is multiplied by to be in to; an empty from is to. ok is false if they do not
// convert. The factors are those of the SI prefixes (ISO 80000-1).
func UnitFactor(from, to plant.MeasureUnit) (factor float64, ok bool) {
	if from == "" || from == to {
		return 1, true
	}
	a, okA := scales[from]
	b, okB := scales[to]
	if !okA || !okB || a.of != b.of {
		return 0, false
	}
	return a.times / b.times, true
}
