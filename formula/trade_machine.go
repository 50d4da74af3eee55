package formula

import "tackline/estimate"

func of2(f func(a, b float64) (float64, error)) func([]Value) (Value, error) {
	return func(in []Value) (Value, error) { return gives(f(in[0].Num, in[1].Num)) }
}

func of3(f func(a, b, c float64) (float64, error)) func([]Value) (Value, error) {
	return func(in []Value) (Value, error) { return gives(f(in[0].Num, in[1].Num, in[2].Num)) }
}

func of4(f func(a, b, c, d float64) (float64, error)) func([]Value) (Value, error) {
	return func(in []Value) (Value, error) { return gives(f(in[0].Num, in[1].Num, in[2].Num, in[3].Num)) }
}

func of5(f func(a, b, c, d, e float64) (float64, error)) func([]Value) (Value, error) {
	return func(in []Value) (Value, error) {
		return gives(f(in[0].Num, in[1].Num, in[2].Num, in[3].Num, in[4].Num))
	}
}

func of6(f func(a, b, c, d, e, g float64) (float64, error)) func([]Value) (Value, error) {
	return func(in []Value) (Value, error) {
		return gives(f(in[0].Num, in[1].Num, in[2].Num, in[3].Num, in[4].Num, in[5].Num))
	}
}

func of7(f func(a, b, c, d, e, g, h float64) (float64, error)) func([]Value) (Value, error) {
	return func(in []Value) (Value, error) {
		return gives(f(in[0].Num, in[1].Num, in[2].Num, in[3].Num, in[4].Num, in[5].Num, in[6].Num))
	}
}

const cuttingRate = "n = 1000 × v / (π × diameter) turns per minute; "

func machineFunctions() []Function {
	d, length := num("diameter_mm", "mm", "diameter"), num("length_mm", "mm", "length to cut")
	depth := num("depth_mm", "mm", "depth of the hole")
	v, f := num("v_m_min", "m/min", "cutting speed"), num("f_mm", "mm/turn", "feed per turn")
	pitch := num("pitch_mm", "mm", "pitch of the thread")
	passes, runIn := opt("passes", "", "number of passes", 1), opt("run_in_mm", "mm", "run-in before the cut", 0)
	list := []Function{
		{Name: "spindle_rpm", Args: []Arg{d, v}, Gives: "turns per minute of the spindle", Rule: "1000 × v / (π × diameter)",
			Source: handbook + ", speeds and feeds", Example: "spindle_rpm(80, 200)", call: of2(estimate.SpindleSpeed)},
		{Name: "turn_minutes", Args: []Arg{d, length, v, f, passes, runIn}, Gives: "minutes of cutting to turn a diameter",
			Rule: cuttingRate + "passes × (length + run-in) / (f × n)", Source: handbook + "; Kalpakjian and Schmid, Manufacturing Engineering and Technology",
			Example: "turn_minutes(80, 300, 180, 0.3)", call: of6(estimate.Turning)},
		{Name: "bore_minutes", Args: []Arg{d, length, v, f, passes, runIn}, Gives: "minutes of cutting to bore a hole",
			Rule: cuttingRate + "passes × (length + run-in) / (f × n)", Source: handbook, Example: "bore_minutes(100, 80, 150, 0.15)", call: of6(estimate.Boring)},
		{Name: "thread_minutes", Args: []Arg{d, length, pitch, num("passes", "", "number of passes"), v, opt("run_out_mm", "mm", "run-out behind the thread", 0),
			opt("return_s", "s", "time to return the tool, each pass", 0)}, Gives: "minutes to turn a thread",
			Rule: cuttingRate + "passes × ((length + run-out) / (pitch × n) + return)", Source: handbook + ", thread cutting",
			Example: "thread_minutes(60, 60, 2, 10, 90, 8)", call: of7(estimate.ThreadTurning)},
		{Name: "tap_minutes", Args: []Arg{d, depth, pitch, v, opt("extra_mm", "mm", "chamfer of the tap and approach", 0)}, Gives: "minutes to tap one hole, return at the same speed",
			Rule: cuttingRate + "2 × (depth + extra) / (pitch × n)", Source: handbook + ", tapping", Example: "tap_minutes(20, 40, 2.5, 12, 5)", call: of5(estimate.Tapping)},
		{Name: "drill_minutes", Args: []Arg{d, depth, v, f, opt("point_degrees", "degrees", "point angle of the drill; 180 is flat", 118), opt("approach_mm", "mm", "approach", 2)},
			Gives: "minutes to drill one hole", Rule: cuttingRate + "(depth + (diameter/2) / tan(point angle/2) + approach) / (f × n)",
			Source: handbook + ", drilling; point allowance by geometry", Example: "drill_minutes(20, 60, 25, 0.25)", call: of6(estimate.Drilling)},
		{Name: "gundrill_minutes", Args: []Arg{d, depth, v, f}, Gives: "minutes to gun drill one hole; usual 60 to 100 m/min and 0.01 to 0.05 mm a turn (" + practice + ")",
			Rule: cuttingRate + "depth / (f × n)", Source: handbook + ", deep-hole drilling", Example: "gundrill_minutes(16, 600, 70, 0.03)", call: of4(estimate.GunDrilling)},
		{Name: "burnish_minutes", Args: []Arg{d, length, v, f}, Gives: "minutes to skive and roller burnish a tube in one pass; usual 150 to 250 m/min and 1 to 3 mm a turn (" + practice + ")",
			Rule: cuttingRate + "length / (f × n)", Source: handbook + " (rule of turning)", Example: "burnish_minutes(100, 1200, 200, 1.5)", call: of4(estimate.Burnishing)},
		{Name: "mill_minutes", Args: []Arg{num("cutter_mm", "mm", "diameter of the cutter"), length, num("teeth", "", "teeth of the cutter"), num("fz_mm", "mm/tooth", "feed per tooth"), v, passes},
			Gives: "minutes of cutting to face mill", Rule: "n = 1000 × v / (π × cutter) turns per minute; passes × (length + cutter) / (n × teeth × fz)",
			Source: handbook + ", milling", Example: "mill_minutes(100, 400, 8, 0.2, 200)", call: of6(estimate.FaceMilling)},
		{Name: "saw_minutes", Args: []Arg{d, opt("rate_cm2_min", "cm²/min", "area sawn per minute; steel bar 30 to 80 ("+practice+")", 60), opt("bore_mm", "mm", "bore, for a tube", 0)},
			Gives: "minutes to saw through a round bar or tube", Rule: "π/4 × (diameter² − bore²) / 100 / rate", Source: geometry + "; rate: " + practice,
			Example: "saw_minutes(80)", call: func(in []Value) (Value, error) {
				return gives(estimate.Sawing(in[0].Num, in[2].Num, in[1].Num))
			}},
	}
	for i := range list {
		list[i].Caution = estimate.Caution(estimate.Cutting)
	}
	return list
}
