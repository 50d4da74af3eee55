package formula

import "tackline/estimate"

// Sources named by more than one function.
const (
	handbook  = "Machinery's Handbook"
	fluid     = "Esposito, Fluid Power with Applications"
	geometry  = "geometry"
	practice  = "common practice"
	dataSheet = "paint makers' data sheets"
)

// txt is an argument that is a text.
func txt(name, meaning string) Arg { return Arg{Name: name, Meaning: meaning, Text: true} }

// opt is an argument that may be left out, with the value it has then.
func opt(name, unit, meaning string, value float64) Arg {
	return Arg{Name: name, Unit: unit, Meaning: meaning, Optional: true, Default: Value{Num: value}}
}

// own is an argument that may be left out; then the process decides.
func own(name, unit, meaning string) Arg {
	return Arg{Name: name, Unit: unit, Meaning: meaning, Optional: true, Unsaid: "that of the process"}
}

// fillProcess puts the rates of the process in, where they were left out or 0, so that the arithmetic shows them.
func fillProcess(in []Value) {
	for _, p := range estimate.WeldProcesses() {
		if p.Name == in[2].Text && in[3].Num == 0 {
			in[3].Num = p.Deposition
		}
		if p.Name == in[2].Text && in[4].Num == 0 {
			in[4].Num = p.ArcOn * 100
		}
	}
}

// gives wraps a result.
func gives(x float64, err error) (Value, error) { return Value{Num: x}, err }

func weldFunctions() []Function {
	leg := num("leg_mm", "mm", "leg of the fillet, 1 to 100")
	process := txt("process", "manual, robot, stick, fcaw, gmaw or saw")
	weldArgs := []Arg{leg, num("length_mm", "mm", "length of weld"), process,
		own("kg_per_h", "kg/h", "weld metal deposited while the arc burns; 0: that of the process"),
		own("arc_on_percent", "%", "share of the time with the arc burning; 0: that of the process"),
		opt("reinforcement_percent", "%", "weld metal added for a convex face", 0)}
	weld := func(pick func(estimate.Weld) float64) func([]Value) (Value, error) {
		return func(in []Value) (Value, error) {
			w, err := estimate.FilletWeld(in[0].Num, in[1].Num, in[2].Text,
				estimate.WeldRates{Deposition: in[3].Num, ArcOn: in[4].Num / 100, Reinforcement: in[5].Num / 100})
			return gives(pick(w), err)
		}
	}
	const source = "AWS Welding Handbook (filler metal, operating factor); arc-on shares of stick, fcaw, gmaw, saw: TWI; other defaults: " + practice
	return []Function{
		{Name: "weld_minutes", Args: weldArgs, Gives: "minutes at the station for a fillet weld", Source: source,
			Rule:    "leg²/2 × 7.85e-6 kg/mm³ × length × (1 + reinforcement) = kg; 60 × kg / (kg/h) = arc minutes; arc minutes / arc-on share",
			Example: "weld_minutes(8, item.weld_m*1000, 'robot')", Caution: estimate.Caution(estimate.Welding),
			fill: fillProcess, call: weld(func(w estimate.Weld) float64 { return w.Station })},
		{Name: "arc_minutes", Args: weldArgs, Gives: "minutes with the arc burning for a fillet weld", Source: source,
			Rule: "60 × kg of weld metal / (kg/h)", Example: "arc_minutes(8, 2400, 'robot')", Caution: estimate.Caution(estimate.Welding),
			fill: fillProcess, call: weld(func(w estimate.Weld) float64 { return w.Arc })},
		{Name: "weld_kg", Args: []Arg{leg, num("length_mm", "mm", "length of weld"), opt("reinforcement_percent", "%", "weld metal added for a convex face", 0)},
			Gives: "kg of weld metal in a fillet weld", Rule: "leg²/2 × length × 7.85e-6 kg/mm³ × (1 + reinforcement)",
			Source: geometry + "; AWS Welding Handbook, filler metal tables", Example: "weld_kg(6, 1000)",
			call: func(in []Value) (Value, error) {
				w, err := estimate.FilletWeld(in[0].Num, in[1].Num, "manual", estimate.WeldRates{Reinforcement: in[2].Num / 100})
				return gives(w.Mass, err)
			}},
		{Name: "heat_input_kJ_mm", Args: []Arg{num("volt", "V", "arc voltage"), num("ampere", "A", "current"), num("travel_mm_min", "mm/min", "travel speed"),
			txt("process", "manual, robot, stick, fcaw, gmaw, saw or tig")},
			Gives: "heat input in kJ/mm, the factor k of the process applied", Rule: "k × 60 × V × A / (1000 × travel); k: saw 1.0, tig 0.6, others 0.8",
			Source: "EN 1011-1 (k); codes without k give V × A × 60 / travel", Example: "heat_input_kJ_mm(28, 280, 400, 'gmaw')",
			Caution: estimate.Caution(estimate.Welding),
			call: func(in []Value) (Value, error) {
				return gives(estimate.HeatInput(in[0].Num, in[1].Num, in[2].Num, in[3].Text))
			}},
		steelFunction("carbon_equivalent", "carbon equivalent of the IIW in %", "C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15",
			"EN 1011-2 (IIW formula)", "carbon_equivalent(0.18, 1.45, 0.05, 0.01, 0.005, 0.05, 0.10)", estimate.CarbonEquivalent),
		steelFunction("cet", "carbon equivalent CET in %, for preheat_c", "C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40",
			"EN 1011-2 annex C, method B", "cet(0.18, 1.45, 0.05, 0.01, 0.005, 0.05, 0.10)", estimate.CET),
		{Name: "preheat_c", Args: []Arg{num("cet_percent", "%", "CET, 0.2 to 0.5"), num("thickness_mm", "mm", "thickness, 10 to 90"),
			num("hydrogen_ml", "ml/100 g", "diffusible hydrogen, 1 to 20"), num("heat_input", "kJ/mm", "heat input, 0.5 to 4")},
			Gives: "preheat temperature in °C; at or below the temperature of the shop: none by this rule",
			Rule:  "697 CET + 160 tanh(thickness/35) + 62 hydrogen^0.35 + (53 CET − 32) × heat input − 328", Source: "EN 1011-2 annex C, method B",
			Example: "preheat_c(0.33, 30, 5, 1.5)", Caution: estimate.Caution(estimate.Preheats),
			call: func(in []Value) (Value, error) {
				return gives(estimate.Preheat(in[0].Num, in[1].Num, in[2].Num, in[3].Num))
			}},
	}
}

func steelFunction(name, result, rule, source, example string, f func(estimate.Steel) (float64, error)) Function {
	args := []Arg{num("c", "%", "carbon"), num("mn", "%", "manganese")}
	for _, a := range [][2]string{{"cr", "chromium"}, {"mo", "molybdenum"}, {"v", "vanadium"}, {"ni", "nickel"}, {"cu", "copper"}} {
		args = append(args, opt(a[0], "%", a[1], 0))
	}
	return Function{Name: name, Args: args, Gives: result, Rule: rule, Source: source, Example: example, Caution: estimate.Caution(estimate.Preheats),
		call: func(in []Value) (Value, error) {
			return gives(f(estimate.Steel{C: in[0].Num, Mn: in[1].Num, Cr: in[2].Num, Mo: in[3].Num, V: in[4].Num, Ni: in[5].Num, Cu: in[6].Num}))
		}}
}
