package web

import (
	"testing"

	"tackline/plant"
)

// TestAmounts shows quantities in the plant's units. Factors from NIST SP 811: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m.
func TestAmounts(t *testing.T) {
	v := storyView(t)
	ix, err := newIndex(v)
	if err != nil {
		t.Fatal(err)
	}
	bar := plant.ItemID("bar-80") // stocked in metres
	for _, c := range []struct {
		units, want string
		item        plant.ItemID
	}{{"metric", "12.5 m", bar}, {"us", "41.01 ft", bar}, {"us", "12.5 ea", "jaw-4c"}} {
		ix.view.Book.Plants[0].Units = c.units
		if got := ix.amount(plant.QtyOf(12.5), c.item, "brackwater"); got != c.want {
			t.Errorf("%s: %s, want %s", c.units, got, c.want)
		}
	}
}
