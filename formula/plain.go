package formula

import (
	"fmt"
	"math"
)

func num(name, unit, meaning string) Arg { return Arg{Name: name, Unit: unit, Meaning: meaning} }

// of1, of2 and so on turn a function of so many numbers into one that a formula can call.
func of1(f func(a float64) (float64, error)) func([]Value) (Value, error) {
	return func(in []Value) (Value, error) {
		x, err := f(in[0].Num)
		return Value{Num: x}, err
	}
}

func sure1(f func(a float64) float64) func([]Value) (Value, error) {
	return func(in []Value) (Value, error) { return Value{Num: f(in[0].Num)}, nil }
}

func plainFunctions() []Function {
	x := num("x", "", "a number")
	return []Function{
		{Name: "min", Args: repeated(), Gives: "the least of up to 8 numbers", Example: "min(opt.jaws, 4)",
			call: pick(func(a, b float64) bool { return a < b })},
		{Name: "max", Args: repeated(), Gives: "the greatest of up to 8 numbers", Example: "max(5, item.mass_kg/40)",
			call: pick(func(a, b float64) bool { return a > b })},
		{Name: "ceil", Args: []Arg{x}, Gives: "the next whole number not below x", Example: "ceil(opt.reach_m/1.5)", call: sure1(math.Ceil)},
		{Name: "floor", Args: []Arg{x}, Gives: "the next whole number not above x", Example: "floor(6000/item.length_mm)", call: sure1(math.Floor)},
		{Name: "round", Args: []Arg{x, {Name: "decimals", Meaning: "decimals to keep, 0 to 9", Optional: true}},
			Gives: "x rounded, halves away from zero", Example: "round(item.mass_kg*opt.jaws, 1)", call: round},
		{Name: "abs", Args: []Arg{x}, Gives: "x without its sign", Example: "abs(item.offset_mm)", call: sure1(math.Abs)},
		{Name: "pow", Args: []Arg{x, num("y", "", "the exponent")}, Gives: "x to the power y", Example: "pow(item.diameter_mm/100, 2)", call: pow},
		{Name: "sqrt", Args: []Arg{x}, Gives: "the square root of x, x not below 0", Example: "sqrt(item.area_m2)", call: of1(sqrt)},
		{Name: "int", Args: []Arg{{Name: "x", Meaning: "a number, a text that is a number, or yes (1) or no (0)", Any: true}},
			Gives: "x without its decimals, cut towards zero", Example: "int(opt.jaws)", call: toInt},
		{Name: "double", Args: []Arg{{Name: "x", Meaning: "a number, a text that is a number, or yes (1) or no (0)", Any: true}},
			Gives: "x as a number", Example: "double(opt.size)", call: toDouble},
		{Name: "string", Result: IsText, Args: []Arg{{Name: "x", Meaning: "a value of any kind", Any: true}},
			Gives: "x as a text, as a pattern writes it", Example: "'WJ-' + string(opt.jaws)", call: toText},
	}
}

func repeated() []Arg {
	out := make([]Arg, 8)
	for i := range out {
		out[i] = Arg{Name: string(rune('a' + i)), Meaning: "a number", Optional: i > 0}
	}
	return out
}

func pick(better func(a, b float64) bool) func([]Value) (Value, error) {
	return func(in []Value) (Value, error) {
		best := in[0]
		for _, v := range in[1:] {
			if better(v.Num, best.Num) {
				best = v
			}
		}
		return best, nil
	}
}

func round(in []Value) (Value, error) {
	d := in[1].Num
	if d < 0 || d > 9 || d != math.Trunc(d) {
		return Value{}, fmt.Errorf("decimals is %s; it must be a whole number from 0 to 9", formatNumber(d))
	}
	scale := math.Pow(10, d)
	return Value{Num: math.Round(in[0].Num*scale) / scale}, nil
}

func pow(in []Value) (Value, error) { return Value{Num: math.Pow(in[0].Num, in[1].Num)}, nil }

func sqrt(a float64) (float64, error) {
	if a < 0 {
		return 0, fmt.Errorf("%s is below 0 and has no square root", formatNumber(a))
	}
	return math.Sqrt(a), nil
}

func toDouble(in []Value) (Value, error) {
	if in[0].Kind != IsText {
		return Value{Num: in[0].Num}, nil
	}
	n, ok := readNumber(in[0].Text)
	if !ok {
		return Value{}, fmt.Errorf("the text %q is not a number", in[0].Text)
	}
	return Value{Num: n}, nil
}

func toInt(in []Value) (Value, error) {
	v, err := toDouble(in)
	return Value{Num: math.Trunc(v.Num)}, err
}

func toText(in []Value) (Value, error) {
	if in[0].Kind == IsText {
		return in[0], nil
	}
	return Value{Text: in[0].String(), Kind: IsText}, nil
}
