package estimate

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestConvert(t *testing.T) {
	for _, c := range []struct {
		qty      float64
		from, to string
		want     float64
	}{ // exact
		{2.5, "kg", "g", 2500}, {2500, "g", "kg", 2.5}, {1, "g", "kg", 0.001}, {750, "mm", "m", 0.75}, {0.003, "m", "mm", 3}, {6.4, "m", "mm", 6400}, {1.1, "kg", "g", 1100},
		{90, "min", "h", 1.5}, {5, "ea", "ea", 5}, {1, "in", "mm", 25.4}, {1, "ft", "m", 0.3048}, {1, "ft", "in", 12}, {1, "lb", "kg", 0.45359237}, {1, "lb", "oz", 16},
		{1, "gal", "l", 3.785411784}, {1, "ft2", "m2", 0.09290304}, {1, "MPa", "bar", 10}, {0.1, "m2", "m2", 0.1}, {1, "t", "kg", 1000},
	} {
		if got, err := Convert(c.qty, c.from, c.to); err != nil || got != c.want {
			t.Errorf("%v %s = %v %s, %v; want %v", c.qty, c.from, got, c.to, err, c.want)
		}
	}
	run(t, []value{ // NIST SP 811 appendix B.8, rounded there
		{name: "psi", got: first(Convert(1, "psi", "bar")), want: 0.06894757, within: 1e-8}, {name: "lbf", got: first(Convert(1, "lbf", "N")), want: 4.448222, within: 1e-6},
		{name: "kg", got: first(Convert(1, "kg", "lb")), want: 2.204623, within: 1e-6}, {name: "m", got: first(Convert(1, "m", "ft")), want: 3.280840, within: 1e-6},
		{name: "freezing", got: Fahrenheit(0), want: 32, within: 1e-12}, {name: "20 C", got: Fahrenheit(20), want: 68, within: 1e-12}})
	refused(t, []refusal{{"kinds", errOf(Convert(1, "kg", "m")), "do not convert"}, {"unknown", errOf(Convert(1, "stone", "kg")), `the unit "stone" is not known`},
		{"not a number", errOf(Convert(math.NaN(), "kg", "g")), "not a number"}})
}

// There and back gives the same number within one part in 10^15, for every pair of units of one kind.
func TestConvertThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to := rapid.SampledFrom(units).Draw(t, "from"), rapid.SampledFrom(units).Draw(t, "to")
		qty := rapid.Float64Range(-1e9, 1e9).Draw(t, "qty")
		there, err := Convert(qty, from.name, to.name)
		if from.kind != to.kind {
			if err == nil {
				t.Fatalf("%s became %s", from.name, to.name)
			}
			return
		}
		back, err2 := Convert(there, to.name, from.name)
		if err != nil || err2 != nil || math.Abs(back-qty) > 1e-15*math.Abs(qty) && math.Abs(back-qty) > 1e-300 {
			t.Fatalf("%v %s -> %v %s -> %v (%v, %v)", qty, from.name, there, to.name, back, err, err2)
		}
	})
}

func TestCautions(t *testing.T) {
	for _, topic := range []string{Pressure, Lifting, Welding, Preheats, Blast, Paint, Bolting, Cutting} {
		if Caution(topic) == "" {
			t.Errorf("%s has no caution", topic)
		}
	}
	if Caution("tea") != "" {
		t.Error("tea has a caution")
	}
}
