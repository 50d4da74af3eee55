package web

import (
	"strconv"

	"tackline/estimate"
	"tackline/plant"
)

// customary names the US customary unit that a plant which shows them reads in the place of a metric one. Factors: NIST SP 811,
// in package estimate. Everything is stored and planned in metric units.
var customary = map[plant.MeasureUnit]string{"kg": "lb", "g": "oz", "m": "ft", "mm": "in", "m2": "ft2", "l": "gal"}

// amount shows a quantity of an item in the units of the plant concerned: "12.5 kg", or "27.56 lb".
func (ix *index) amount(q plant.Qty, item plant.ItemID, at plant.ID) string {
	_, n, unit := ix.measured(q, item, at)
	return n + " " + unit
}

// measured gives the number, as it is and as it is shown, and the unit of amount.
func (ix *index) measured(q plant.Qty, item plant.ItemID, at plant.ID) (v float64, n, unit string) {
	unit = ix.itemUnit(item)
	p := ix.book.Plants[at]
	to, known := customary[plant.MeasureUnit(unit)]
	if p == nil || p.Units != "us" || !known {
		return q.Float(), q.String(), unit
	}
	v, err := estimate.Convert(q.Float(), unit, to)
	if err != nil {
		return q.Float(), q.String(), unit
	}
	return v, strconv.FormatFloat(v, 'f', 2, 64), to
}
