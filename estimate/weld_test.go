package estimate

import "testing"

// Fillet areas, masses and throats: z^2/2, 7.85 kg per dm3, z/sqrt(2) (geometry).
func TestFilletTable(t *testing.T) {
	for _, c := range []struct{ leg, area, mass, throat float64 }{
		{3, 4.5, 0.0353, 2.12}, {4, 8, 0.0628, 2.83}, {5, 12.5, 0.0981, 3.54}, {6, 18, 0.1413, 4.24},
		{8, 32, 0.2512, 5.66}, {10, 50, 0.3925, 7.07}, {12, 72, 0.5652, 8.49}, {15, 112.5, 0.8831, 10.61},
	} {
		area, err1 := FilletArea(c.leg)
		mass, err2 := FilletMass(c.leg, 0)
		throat, err3 := FilletThroat(c.leg)
		run(t, []value{{name: "area", got: area, err: err1, want: c.area}, {name: "mass", got: mass, err: err2, want: c.mass},
			{name: "throat", got: throat, err: err3, want: c.throat}})
	}
	half, err := FilletMass(12.7, 0) // AWS Welding Handbook consumption table: 1/2 in fillet, 0.424 lb/ft
	run(t, []value{{name: "1/2 in fillet", got: half, err: err, want: 0.631}})
}

func TestFilletWeld(t *testing.T) {
	slow, err1 := FilletWeld(6, 1000, "manual", WeldRates{Deposition: 2}) // published calculation: 0.1413 kg, 4.24 min at 2 kg/h
	hand, err2 := FilletWeld(8, 2400, "manual", WeldRates{})              // derived: 0.603 kg, 10.3 min arc, 34.5 min at 30 %
	robot, err3 := FilletWeld(8, 2400, "robot", WeldRates{})              // derived: 7.2 min arc, 9.6 min at 75 %
	convex, err4 := FilletWeld(8, 2400, "robot", WeldRates{Reinforcement: 0.1})
	run(t, []value{
		{name: "mass", got: slow.Mass, err: err1, want: 0.1413}, {name: "arc", got: slow.Arc, want: 4.24},
		{name: "hand mass", got: hand.Mass, err: err2, want: 0.603}, {name: "hand arc", got: hand.Arc, want: 10.34}, {name: "hand station", got: hand.Station, want: 34.5},
		{name: "robot arc", got: robot.Arc, err: err3, want: 7.2, within: 0.05}, {name: "robot station", got: robot.Station, want: 9.6, within: 0.05},
		{name: "convex", got: convex.Mass, err: err4, want: 0.6631},
	})
	if nothing, err := FilletWeld(8, 0, "robot", WeldRates{}); err != nil || nothing.Station != 0 {
		t.Errorf("no weld: %v, %v", nothing, err)
	}
	// Travel for an 8 mm fillet at 5 kg/h is 332 mm/min (derived).
	metre, err := FilletWeld(8, 1000, "robot", WeldRates{})
	run(t, []value{{name: "travel", got: 1000 / metre.Arc, err: err, want: 332}})
	// 1.2 mm wire at 9 m/min: 4.79 kg/h melted, 4.55 deposited at 0.95 (derived).
	run(t, []value{of("melted", 4.79)(WireDeposition(1.2, 9, 1)), of("deposited", 4.55)(WireDeposition(1.2, 9, 0.95))})
}

// Arc-on shares that TWI publishes as typical, and its ranges.
func TestArcOnShares(t *testing.T) {
	for name, r := range map[string][3]float64{"stick": {0.25, 0.15, 0.40}, "gmaw": {0.45, 0.15, 0.60}, "fcaw": {0.40, 0.15, 0.55}, "saw": {0.40, 0.40, 0.90}} {
		p, err := weldProcess(name)
		if err != nil || p.ArcOn != r[0] || p.ArcOn < r[1] || p.ArcOn > r[2] {
			t.Errorf("%s: %v, %v", name, p, err)
		}
	}
}

func TestHeatInput(t *testing.T) {
	run(t, []value{
		// EN 1011-1: Q = k U I / (1000 v); k 0.8 for gas-shielded welding. AWS leaves k out.
		of("arc energy", 1.176)(ArcEnergy(28, 280, 400)), of("heat input", 0.941)(HeatInput(28, 280, 400, "gmaw")),
		of("arc energy 5 mm/s", 1.000)(ArcEnergy(25, 200, 300)), of("heat input 5 mm/s", 0.800)(HeatInput(25, 200, 300, "stick")),
		of("submerged", 1.176)(HeatInput(28, 280, 400, "saw")), of("tig", 0.7056)(HeatInput(28, 280, 400, "tig")),
	})
}

func TestCarbonEquivalent(t *testing.T) {
	plate := Steel{C: .18, Mn: 1.45, Cr: .05, Mo: .01, V: .005, Ni: .05, Cu: .10}
	medium := Steel{C: .45, Mn: .65, Cr: .10, Mo: .02, Ni: .10, Cu: .10}
	alloy := Steel{C: .42, Mn: .75, Cr: 1.05, Mo: .22}
	run(t, []value{ // EN 1011-2, both formulas, worked by hand
		of("plate", 0.4447)(CarbonEquivalent(plate)), of("plate CET", 0.3348)(CET(plate)),
		of("medium carbon", 0.5957)(CarbonEquivalent(medium)),
		of("alloy", 0.7990)(CarbonEquivalent(alloy)), of("alloy CET", 0.5695)(CET(alloy)),
	})
}

func TestPreheat(t *testing.T) {
	run(t, []value{ // EN 1011-2 annex C, method B; formula worked by hand
		of("30 mm", 100.3)(Preheat(.33, 30, 5, 1.5)), of("plate", 104.0)(Preheat(.3348, 30, 5, 1.5)), of("50 mm", 186.1)(Preheat(.40, 50, 5, 1.5)),
	})
}

func TestWeldRefusals(t *testing.T) {
	refused(t, []refusal{
		{"negative leg", errOf(FilletArea(-3)), "the leg is -3 mm; expected 1 to 100 mm"},
		{"process", errOf(FilletWeld(8, 100, "laser", WeldRates{})), `"laser"; expected manual, robot`},
		{"length", errOf(FilletWeld(8, -1, "robot", WeldRates{})), "the length"},
		{"arc-on", errOf(FilletWeld(8, 1, "robot", WeldRates{ArcOn: 1.2})), "arc-on share is 120 %"},
		{"rate", errOf(FilletWeld(8, 1, "robot", WeldRates{Deposition: -1})), "deposition rate"},
		{"alloy beyond method B", errOf(Preheat(.5695, 30, 5, 1.5)), "the rule of EN 1011-2 ends there"},
		{"thin", errOf(Preheat(.33, 5, 5, 1.5)), "the thickness"},
		{"carbon", errOf(CarbonEquivalent(Steel{C: -1})), "carbon"},
		{"process of heat", errOf(HeatInput(28, 280, 400, "")), "welding process"},
	})
}
