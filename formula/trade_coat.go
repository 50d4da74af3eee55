package formula

import "tackline/estimate"

func coatFunctions() []Function {
	area := num("area_m2", "m²", "area")
	film := num("dry_film_um", "µm", "dry film thickness")
	solids := num("solids_percent", "%", "volume solids of the paint, from its data sheet")
	air, humidity := num("air_c", "°C", "air temperature"), num("humidity_percent", "%", "relative humidity")
	list := []Function{
		{Name: "blast_minutes", Args: []Arg{area, opt("m2_per_h", "m²/h", "area cleaned per hour; by hand to Sa 2½ 8 to 15 ("+practice+")", 12),
			opt("handling_minutes", "min", "handling", 0)}, Gives: "minutes to blast an area", Rule: "handling + 60 × area / (m²/h)", Source: "rate: " + practice,
			Example: "blast_minutes(item.area_m2)", Caution: estimate.Caution(estimate.Blast), call: of3(estimate.Blasting)},
		{Name: "coat_litres", Args: []Arg{area, film, solids, opt("loss_percent", "%", "paint lost; airless spray 30 to 40, roller 10 to 20; 0 gives the theoretical volume", 35),
			opt("profile_um", "µm", "height of the blast profile; half of it is dead film ("+practice+")", 0)}, Gives: "litres of paint for one coat",
			Rule: "area × (dry film + profile/2) / (1000 × solids × (1 − loss))", Source: dataSheet + " (m²/l = 10 × solids % / dry film µm)", Example: "coat_litres(12.5, 120, 65, 40)",
			call: func(in []Value) (Value, error) {
				return gives(estimate.CoatLitres(in[0].Num, in[1].Num, in[2].Num/100, in[3].Num/100, in[4].Num))
			}},
		{Name: "wet_film_um", Args: []Arg{film, solids, opt("thinner_percent", "%", "thinner added, by volume of the paint", 0)}, Gives: "wet film in µm to spray",
			Rule: "dry film × (1 + thinner) / solids", Source: dataSheet, Example: "wet_film_um(125, 71)",
			call: func(in []Value) (Value, error) {
				return gives(estimate.WetFilm(in[0].Num, in[1].Num/100, in[2].Num/100))
			}},
		{Name: "dry_hours", Args: []Arg{num("hours_at_20c", "h", "hours at 20 °C, from the data sheet"), num("temperature_c", "°C", "temperature of the rack; two-pack 5 to 40, one-pack 0 to 40"),
			{Name: "paint", Meaning: "two-pack or one-pack", Text: true, Optional: true, Default: Value{Text: estimate.TwoPack, Kind: IsText}}},
			Gives: "hours to dry or to the next coat", Rule: "hours at 20 °C × 2^((20 − temperature)/10)", Source: practice + " of paint makers: doubles for each 10 K drop",
			Example: "dry_hours(4, 15)", call: func(in []Value) (Value, error) {
				return gives(estimate.DryHours(in[0].Num, in[1].Num, in[2].Text))
			}},
		{Name: "dew_point_c", Args: []Arg{air, humidity}, Gives: "dew point in °C", Rule: "g = ln(RH/100) + 17.62 T/(243.12 + T); 243.12 g/(17.62 − g)",
			Source: "Magnus formula, WMO-No. 8", Example: "dew_point_c(20, 60)", call: of2(estimate.DewPoint)},
		{Name: "paint_allowed", Args: []Arg{air, humidity, num("surface_c", "°C", "temperature of the surface")}, Result: IsYesNo,
			Gives: "yes if the surface is at least 3 K above the dew point and the humidity not above 85 %", Rule: "surface ≥ dew point + 3 and humidity ≤ 85",
			Source: "ISO 12944-7 (3 K); 85 %: " + dataSheet, Example: "paint_allowed(20, 60, 15.1)", call: func(in []Value) (Value, error) {
				yes, _, err := estimate.PaintAllowed(in[0].Num, in[1].Num, in[2].Num)
				return yesNo(yes), err
			}},
	}
	for i := range list {
		if list[i].Caution == "" {
			list[i].Caution = estimate.Caution(estimate.Paint)
		}
	}
	return list
}

func yesNo(yes bool) Value {
	if yes {
		return Value{Num: 1, Kind: IsYesNo}
	}
	return Value{Kind: IsYesNo}
}
