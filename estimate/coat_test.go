package estimate

import (
	"math"
	"strings"
	"testing"
)

// Magnus formula with the constants of the WMO guide; one decimal. The point 25 degC, 60 % -> 16.7 is published.
func TestDewPointTable(t *testing.T) {
	humidities := []float64{40, 50, 60, 70, 80, 85, 90}
	for temperature, row := range map[float64][]float64{
		5: {-7.5, -4.6, -2.1, 0.0, 1.8, 2.7, 3.5}, 10: {-3.0, 0.0, 2.6, 4.8, 6.7, 7.6, 8.4}, 15: {1.5, 4.7, 7.3, 9.6, 11.6, 12.5, 13.4},
		20: {6.0, 9.3, 12.0, 14.4, 16.4, 17.4, 18.3}, 25: {10.5, 13.9, 16.7, 19.1, 21.3, 22.3, 23.2},
		30: {14.9, 18.4, 21.4, 23.9, 26.2, 27.2, 28.2}, 35: {19.4, 23.0, 26.1, 28.7, 31.0, 32.1, 33.1},
	} {
		for i, want := range row {
			got, err := DewPoint(temperature, humidities[i])
			run(t, []value{{name: "dew point", got: got, err: err, want: want, within: 0.051}})
		}
	}
	run(t, []value{{name: "saturated air", got: first(DewPoint(17, 100)), want: 17, within: 1e-9}})
	// Trap: the short rule T - (100-RH)/5 is off by 1 K and more in dry air.
	if d := first(DewPoint(30, 40)); math.Abs(d-(30-60.0/5)) < 1 {
		t.Error("the short rule was used")
	}
}

func first(x float64, _ error) float64 { return x }

func TestPaintAllowed(t *testing.T) { // ISO 12944-7: surface 3 K above the dew point
	for _, c := range []struct {
		air, humidity, surface float64
		want                   bool
		says                   string
	}{
		{20, 60, 15.1, true, ""}, {20, 60, 14.9, false, "at least 15.0 C"}, {15, 80, 14, false, "dew point is 11.6 C"},
		{15, 80, 15, true, ""}, {20, 86, 25, false, "at most 85 %"},
	} {
		got, why, err := PaintAllowed(c.air, c.humidity, c.surface)
		if err != nil || got != c.want || !strings.Contains(why, c.says) || got != (why == "") {
			t.Errorf("%v: %v %q %v", c, got, why, err)
		}
	}
}

func TestFilms(t *testing.T) { // paint makers' data sheets: WFT = DFT x 100/VS; m2/l = 10 VS/DFT
	run(t, []value{
		of("wet 125 at 71 %", 176)(WetFilm(125, 0.71, 0)), of("wet 100 at 62 %", 161)(WetFilm(100, 0.62, 0)),
		of("thinned 10 %", 177.4)(WetFilm(100, 0.62, 0.1)), // derived
		of("spreading", 5.68)(Spreading(125, 0.71)),
		of("theoretical litres", 2.31)(CoatLitres(12.5, 120, 0.65, 0, 0)), of("with 40 % loss", 3.85)(CoatLitres(12.5, 120, 0.65, 0.4, 0)),
		of("dead film of 60 um", 0.03)(excess(CoatLitres(1, 100, 1, 0, 60))), // common practice
	})
	if l, err := CoatLitres(1, 125, 0.71, 0.35, 0); err != nil || math.Abs(1/l-3.69) > 0.01 { // practical spreading at 35 % loss
		t.Errorf("practical: %v m2/l, %v", 1/l, err)
	}
}

// excess takes the dry film of 100 um at full solids off: 0.1 l/m2.
func excess(litres float64, err error) (float64, error) { return litres - 0.1, err }

func TestDryHours(t *testing.T) { // doubling for each 10 K, common practice of paint makers
	run(t, []value{of("5", 11.3)(DryHours(4, 5, TwoPack)), of("10", 8)(DryHours(4, 10, TwoPack)), of("15", 5.657)(DryHours(4, 15, TwoPack)),
		of("20", 4)(DryHours(4, 20, TwoPack)), of("30", 2)(DryHours(4, 30, TwoPack)), of("24 h at 15", 33.9)(DryHours(24, 15, TwoPack)),
		of("one-pack at 0", 16)(DryHours(4, 0, OnePack))})
	// An Arrhenius law with 50 kJ/mol gives 8.26 h at 10 degC and 2.03 h at 30 degC: within 5 % of the rule.
	for temperature, want := range map[float64]float64{10: 8.26, 30: 2.03} {
		if got := first(DryHours(4, temperature, TwoPack)); math.Abs(got-want) > 0.05*want {
			t.Errorf("%v C: %v h, Arrhenius %v h", temperature, got, want)
		}
	}
}

func TestBlasting(t *testing.T) {
	run(t, []value{of("4 m2", 20)(Blasting(4, 12, 0)), of("with handling", 25)(Blasting(4, 12, 5)), of("nothing", 0)(Blasting(0, 12, 5))}) // definition
}

func TestCoatRefusals(t *testing.T) {
	refused(t, []refusal{
		{"cold two-pack", errOf(DryHours(4, 4.9, TwoPack)), "hardly cures below 5 C"}, {"unknown paint", errOf(DryHours(4, 20, "tar")), "two-pack or one-pack"},
		{"hot", errOf(DryHours(4, 60, TwoPack)), "5 to 40 C"}, {"solids in per cent", errOf(Spreading(125, 71)), "the volume solids is 7100 %"},
		{"all lost", errOf(CoatLitres(1, 100, 0.6, 1, 0)), "the loss"}, {"no film", errOf(WetFilm(0, 0.6, 0)), "dry film"},
		{"dry air", errOf(DewPoint(20, 0)), "humidity"}, {"negative area", errOf(Blasting(-1, 12, 0)), "the area"},
	})
}
