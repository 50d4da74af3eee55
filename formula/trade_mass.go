package formula

import "tackline/estimate"

func massFunctions() []Function {
	length := num("length_mm", "mm", "length")
	density := opt("density_kg_m3", "kg/m³", "density", estimate.SteelDensity)
	return []Function{
		{Name: "mass_kg", Args: []Arg{num("volume_cm3", "cm³", "volume"), density}, Gives: "mass in kg of a volume", Rule: "volume × density / 10⁶",
			Source: "definition of density", Example: "mass_kg(1000)", call: func(in []Value) (Value, error) {
				return gives(estimate.Mass(in[0].Num*1000, in[1].Num))
			}},
		{Name: "mass_plate_kg", Args: []Arg{length, num("width_mm", "mm", "width"), num("thickness_mm", "mm", "thickness"), density}, Gives: "mass in kg of a plate",
			Rule: "length × width × thickness × density / 10⁹", Source: geometry, Example: "mass_plate_kg(1200, 2500, 20)", call: of4(estimate.PlateMass)},
		{Name: "mass_bar_kg", Args: []Arg{num("diameter_mm", "mm", "diameter"), length, density}, Gives: "mass in kg of a round bar",
			Rule: "π/4 × diameter² × length × density / 10⁹", Source: geometry, Example: "mass_bar_kg(80, 1000)", call: of3(estimate.BarMass)},
		{Name: "mass_tube_kg", Args: []Arg{num("outside_mm", "mm", "outside diameter"), num("bore_mm", "mm", "bore"), length, density}, Gives: "mass in kg of a tube",
			Rule: "π/4 × (outside² − bore²) × length × density / 10⁹", Source: geometry, Example: "mass_tube_kg(120, 100, 1200)", call: of4(estimate.TubeMass)},
		{Name: "sling_leg_kg", Args: []Arg{num("mass_kg", "kg", "mass lifted"), num("legs", "", "legs of the sling, 1 to 4"), num("angle_degrees", "degrees", "angle of the legs from the horizontal, 30 to 90")},
			Gives: "load in kg on each leg; at most three legs are counted, and a stiff load may hang on two", Rule: "mass / (legs × sin(angle))",
			Source: "statics; makers' sling tables", Example: "sling_leg_kg(1200, 2, 60)", Caution: estimate.Caution(estimate.Lifting), call: of3(estimate.SlingLeg)},
		{Name: "bolt_torque_Nm", Args: []Arg{num("diameter_mm", "mm", "diameter"), num("area_mm2", "mm²", "stress area, from ISO 898-1"), num("proof_MPa", "MPa", "proof strength, from ISO 898-1"),
			opt("nut_factor", "", "nut factor: dry steel 0.2, oiled about 0.15", 0.2), opt("share_percent", "%", "preload as a share of proof", 75)},
			Gives: "tightening torque in N m", Rule: "preload = share × proof × area; nut factor × preload × diameter / 1000", Source: "Shigley, Mechanical Engineering Design, bolted joints",
			Example: "bolt_torque_Nm(20, 245, 600)", Caution: estimate.Caution(estimate.Bolting), call: func(in []Value) (Value, error) {
				b, err := estimate.BoltTorque(in[0].Num, in[1].Num, in[2].Num, in[3].Num, in[4].Num/100)
				return gives(b.Torque, err)
			}},
		{Name: "learning_minutes", Args: []Arg{num("first_minutes", "min", "time of the first piece"), num("n", "", "number of the piece"), num("rate_percent", "%", "learning rate, 50 to 100")},
			Gives: "minutes for the n-th piece", Rule: "first × n^(log₂ rate): each doubling multiplies the time by the rate", Source: "Wright, Factors Affecting the Cost of Airplanes (1936)",
			Example: "learning_minutes(100, 8, 80)", call: func(in []Value) (Value, error) {
				return gives(estimate.Learning(in[0].Num, in[1].Num, in[2].Num/100))
			}},
	}
}
