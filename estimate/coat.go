package estimate

import (
	"fmt"
	"math"
)

// Blasting gives minutes to blast an area in m2: handling + 60 area / rate, rate in m2/h, handling in min. Ranges: area 0 to
// 10000 m2, rate 0.5 to 500 m2/h, handling 0 to 600 min. By hand to Sa 2 1/2 a nozzle cleans 8 to 15 m2/h (common practice).
func Blasting(area, rate, handling float64) (float64, error) {
	if err := check(areaLimit(area), limit{name: "the blasting rate", x: rate, unit: "m2/h", lo: 0.5, hi: 500},
		limit{name: "the handling", x: handling, unit: "min", lo: 0, hi: 600}); err != nil {
		return 0, err
	}
	if area == 0 {
		return 0, nil
	}
	return handling + 60*area/rate, nil
}

func areaLimit(a float64) limit { return limit{name: "the area", x: a, unit: "m2", lo: 0, hi: 10000} }

func filmLimit(um float64) limit {
	return limit{name: "the dry film", x: um, unit: "um", lo: 5, hi: 2000}
}

func solidsLimit(vs float64) limit {
	return limit{name: "the volume solids", x: vs * 100, unit: "%", lo: 5, hi: 100}
}

// WetFilm gives the wet film in um that dries to a dry film in um: DFT (1 + thinner) / solids, solids and thinner as shares of
// the volume of the paint. Ranges: film 5 to 2000 um, solids 5 to 100 %, thinner 0 to 50 %. Source: ISO 19840 terms; paint
// makers' data sheets.
func WetFilm(dry, solids, thinner float64) (float64, error) {
	if err := check(filmLimit(dry), solidsLimit(solids),
		limit{name: "the thinner", x: thinner * 100, unit: "%", lo: 0, hi: 50}); err != nil {
		return 0, err
	}
	return dry * (1 + thinner) / solids, nil
}

// Spreading gives the theoretical spreading rate in m2/l: 1000 solids / DFT. Ranges: as WetFilm. Source: paint makers' data
// sheets: m2/l = 10 x volume solids [%] / DFT [um].
func Spreading(dry, solids float64) (float64, error) {
	if err := check(filmLimit(dry), solidsLimit(solids)); err != nil {
		return 0, err
	}
	return 1000 * solids / dry, nil
}

// CoatLitres gives litres of paint for an area: area x (DFT + profile/2) / (1000 solids (1 - loss)). The dead film, half the
// height of the blast profile, is the paint that fills the profile (common practice). Loss 0 gives the theoretical volume;
// airless spray loses 30 to 40 %, a roller 10 to 20 %. Ranges: area 0 to 10000 m2, loss 0 to 90 %, profile 0 to 300 um, others as
// WetFilm. Source: as Spreading.
func CoatLitres(area, dry, solids, loss, profile float64) (float64, error) {
	if err := check(areaLimit(area), filmLimit(dry), solidsLimit(solids),
		limit{name: "the loss", x: loss * 100, unit: "%", lo: 0, hi: 90},
		limit{name: "the blast profile", x: profile, unit: "um", lo: 0, hi: 300}); err != nil {
		return 0, err
	}
	return area * (dry + profile/2) / (1000 * solids * (1 - loss)), nil
}

// Kinds of paint for DryHours.
const (
	TwoPack = "two-pack" // cures by reaction; stands still in the cold
	OnePack = "one-pack" // dries
)

// DryHours gives hours to dry or to the next coat at a temperature in degC, from the hours at 20 degC: t20 x 2^((20-T)/10), the
// doubling rule. Two-pack paints nearly stop curing below 5 degC, so colder is refused for them. Ranges: t20 0 to 1000 h; T 5
// (one-pack 0) to 40 degC. Source: the rule is common practice of paint makers (doubles for each 10 K drop); an Arrhenius law
// with 50 kJ/mol gives nearly the same. The data sheet rules.
func DryHours(at20, temperature float64, paint string) (float64, error) {
	least, why := 0.0, ""
	switch paint {
	case TwoPack:
		least, why = 5, "a two-pack paint hardly cures below 5 C"
	case OnePack:
	default:
		return 0, fmt.Errorf("the paint is %q; expected two-pack or one-pack", paint)
	}
	if err := check(limit{name: "the time at 20 C", x: at20, unit: "h", lo: 0, hi: 1000},
		limit{name: "the temperature", x: temperature, unit: "C", lo: least, hi: 40, because: why}); err != nil {
		return 0, err
	}
	return at20 * math.Exp2((20-temperature)/10), nil
}

// DewPoint gives the dew point in degC of air with a temperature in degC and a relative humidity in per cent, by Magnus:
// g = ln(RH/100) + 17.62 T/(243.12+T); Td = 243.12 g/(17.62-g). Ranges: T -40 to 60 degC, RH 1 to 100 %. Source: WMO Guide to
// Instruments and Methods of Observation (WMO-No. 8), annex from memory.
func DewPoint(temperature, humidity float64) (float64, error) {
	if err := check(limit{name: "the air temperature", x: temperature, unit: "C", lo: -40, hi: 60},
		limit{name: "the humidity", x: humidity, unit: "%", lo: 1, hi: 100}); err != nil {
		return 0, err
	}
	g := math.Log(humidity/100) + 17.62*temperature/(243.12+temperature)
	return 243.12 * g / (17.62 - g), nil
}

// PaintAllowed says whether the climate allows painting, and if not, why: the surface must be at least 3 K above the dew point
// and the humidity not above 85 %. Ranges: as DewPoint; surface -40 to 80 degC. Source: ISO 12944-7 (surface 3 K above the dew
// point); 85 % is usual in data sheets. ISO 8502-4 gives guidance on condensation, not one number.
func PaintAllowed(temperature, humidity, surface float64) (allowed bool, why string, err error) {
	if err := check(limit{name: "the surface temperature", x: surface, unit: "C", lo: -40, hi: 80}); err != nil {
		return false, "", err
	}
	dew, err := DewPoint(temperature, humidity)
	if err != nil {
		return false, "", err
	}
	switch {
	case humidity > 85:
		return false, fmt.Sprintf("the humidity is %.0f %%; at most 85 %% is allowed", humidity), nil
	case surface < dew+3:
		return false, fmt.Sprintf("the surface has %.1f C; the dew point is %.1f C and the surface must have at least %.1f C", surface, dew, dew+3), nil
	}
	return true, "", nil
}
