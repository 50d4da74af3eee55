package book

import (
	"tackline/estimate"
	"tackline/plant"
)

// UnitFactor gives what a quantity in from is multiplied by to be in to; an empty from is to. ok is false if they do not
// convert. See estimate.Convert for the units and the sources of their factors.
func UnitFactor(from, to plant.MeasureUnit) (factor float64, ok bool) {
	if from == "" || from == to {
		return 1, true
	}
	factor, err := estimate.Convert(1, string(from), string(to))
	return factor, err == nil
}
