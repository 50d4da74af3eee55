package formula

import "tackline/estimate"

func cylinderFunctions() []Function {
	bore, rod := num("bore_mm", "mm", "bore"), num("rod_mm", "mm", "rod diameter")
	bar, flow := num("pressure_bar", "bar", "pressure"), num("flow_l_min", "l/min", "oil flow")
	stroke, way := num("stroke_mm", "mm", "stroke"), txt("direction", "out (extends) or in (retracts)")
	const area = "area = π/4 × bore² out, π/4 × (bore² − rod²) in; "
	directed3 := func(f func(a, b, c float64, way string) (float64, error)) func([]Value) (Value, error) {
		return func(in []Value) (Value, error) { return gives(f(in[0].Num, in[1].Num, in[2].Num, in[3].Text)) }
	}
	list := []Function{
		{Name: "cylinder_force_kN", Args: []Arg{bore, rod, bar, way}, Gives: "force in kN, without friction and back pressure", Rule: area + "pressure × area / 10000",
			Source: fluid + ", ch. 6", Example: "cylinder_force_kN(100, 60, 250, 'out')", call: directed3(estimate.CylinderForce)},
		{Name: "cylinder_mm_s", Args: []Arg{bore, rod, flow, way}, Gives: "speed in mm/s", Rule: area + "flow × 10⁶ / (60 × area)",
			Source: fluid + ", ch. 6", Example: "cylinder_mm_s(100, 60, 60, 'in')", call: directed3(estimate.CylinderSpeed)},
		{Name: "cylinder_litres", Args: []Arg{bore, rod, stroke, way}, Gives: "litres of oil for a stroke", Rule: area + "area × stroke / 10⁶",
			Source: geometry, Example: "cylinder_litres(100, 60, 600, 'out')", call: directed3(estimate.CylinderVolume)},
		{Name: "throw_seconds", Args: []Arg{bore, rod, stroke, flow, way}, Gives: "seconds for a stroke", Rule: area + "area × stroke / 10⁶ litres; 60 × litres / flow",
			Source: fluid + ", ch. 6", Example: "throw_seconds(100, 60, 600, 60, 'out')", call: func(in []Value) (Value, error) {
				return gives(estimate.ThrowSeconds(in[0].Num, in[1].Num, in[2].Num, in[3].Num, in[4].Text))
			}},
		{Name: "rod_side_bar", Args: []Arg{bore, rod, bar}, Gives: "pressure in bar that builds up on a shut rod side", Rule: "pressure × bore² / (bore² − rod²)",
			Source: "balance of forces; ISO 4413 asks for protection against it", Example: "rod_side_bar(100, 60, 250)", call: of3(estimate.Intensified)},
		{Name: "pump_kW", Args: []Arg{bar, flow, opt("efficiency_percent", "%", "overall efficiency ("+practice+")", 85)}, Gives: "power in kW at the pump shaft",
			Rule: "pressure × flow / 600 / efficiency", Source: fluid + ", ch. 5", Example: "pump_kW(250, 60)", call: func(in []Value) (Value, error) {
				return gives(estimate.PumpPower(in[0].Num, in[1].Num, in[2].Num/100))
			}},
		{Name: "tube_MPa", Args: []Arg{bore, num("outside_mm", "mm", "outside diameter"), bar}, Gives: "hoop stress in MPa at the bore of a tube", Rule: "p × (outside² + bore²) / (outside² − bore²), p = pressure / 10",
			Source: "Lamé; Timoshenko, Strength of Materials, part II", Example: "tube_MPa(100, 120, 375)", call: func(in []Value) (Value, error) {
				s, err := estimate.Tube(in[0].Num, in[1].Num, in[2].Num)
				return gives(s.Inner, err)
			}},
		{Name: "buckling_kN", Args: []Arg{rod, num("length_mm", "mm", "free length"), opt("end_factor", "", "free-fixed 2, pinned 1, pinned-fixed 0.7, fixed 0.5", 1),
			opt("yield_MPa", "MPa", "yield strength", 355)}, Gives: "load in kN at which a solid rod buckles, without a safety factor",
			Rule:   "slenderness = end factor × length / (rod/4); Euler π² E I / (end factor × length)² if slender, else Johnson; E = 206 GPa",
			Source: "Shigley, Mechanical Engineering Design, columns", Example: "buckling_kN(50, 1000)", call: func(in []Value) (Value, error) {
				b, err := estimate.RodBuckling(in[0].Num, in[1].Num, in[2].Num, in[3].Num)
				return gives(b.Load, err)
			}},
	}
	for i := range list {
		list[i].Caution = estimate.Caution(estimate.Pressure)
	}
	return list
}
