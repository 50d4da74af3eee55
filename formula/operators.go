package formula

import (
	"math"
	"strconv"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/common/types/traits"
)

// members are the functions that may follow a text with a point.
var members = []string{"startsWith", "endsWith", "contains"}

// environment declares the language: the variables, the operators on decimal numbers, and the functions. The standard
// library of CEL is left out, with its integers, its loops and its regular expressions.
func environment(list []Function) []cel.EnvOption {
	dyn := cel.MapType(cel.StringType, cel.DynType)
	opts := []cel.EnvOption{
		cel.Variable("opt", dyn),
		cel.Variable("item", dyn),
		cel.Variable("qty", cel.DoubleType),
		cel.Macros(cel.HasMacro),
		cel.ParserRecursionLimit(maxDepth),
		cel.ParserExpressionSizeLimit(maxSource),
	}
	opts = append(opts, arithmetic()...)
	opts = append(opts, logic()...)
	opts = append(opts, texts()...)
	for i := range list {
		opts = append(opts, list[i].declare())
	}
	return opts
}

func arithmetic() []cel.EnvOption {
	var opts []cel.EnvOption
	add := func(name, sign string, f func(a, b float64) float64) {
		opts = append(opts, cel.Function(name, binary(sign, cel.DoubleType, cel.DoubleType, cel.DoubleType),
			cel.SingletonBinaryBinding(func(a, b ref.Val) ref.Val { return calculate(sign, a, b, f) })))
	}
	add(operators.Subtract, "-", func(a, b float64) float64 { return a - b })
	add(operators.Multiply, "*", func(a, b float64) float64 { return a * b })
	add(operators.Divide, "/", func(a, b float64) float64 { return a / b })
	add(operators.Modulo, "%", math.Mod)
	compare := func(name, sign string, f func(a, b float64) bool) {
		opts = append(opts, cel.Function(name, binary(sign, cel.DoubleType, cel.DoubleType, cel.BoolType),
			cel.SingletonBinaryBinding(func(a, b ref.Val) ref.Val {
				x, y, bad := twoNumbers(sign, a, b)
				if bad != nil {
					return bad
				}
				return types.Bool(f(x, y))
			})))
	}
	compare(operators.Less, "<", func(a, b float64) bool { return a < b })
	compare(operators.LessEquals, "<=", func(a, b float64) bool { return a <= b })
	compare(operators.Greater, ">", func(a, b float64) bool { return a > b })
	compare(operators.GreaterEquals, ">=", func(a, b float64) bool { return a >= b })
	return append(opts,
		cel.Function(operators.Add,
			binary("+", cel.DoubleType, cel.DoubleType, cel.DoubleType),
			binary("+text", cel.StringType, cel.StringType, cel.StringType),
			cel.SingletonBinaryBinding(plus)),
		cel.Function(operators.Negate, cel.Overload("negate", []*cel.Type{cel.DoubleType}, cel.DoubleType),
			cel.SingletonUnaryBinding(func(a ref.Val) ref.Val {
				x, ok := toNumber(a)
				if !ok {
					return types.NewErr("- needs a number; found %s", describe(a))
				}
				return types.Double(-x)
			})))
}

func binary(id string, a, b, result *cel.Type) cel.FunctionOpt {
	return cel.Overload("two "+id, []*cel.Type{a, b}, result)
}

func plus(a, b ref.Val) ref.Val {
	if s, ok := a.(types.String); ok {
		if t, ok := b.(types.String); ok {
			return s + t
		}
	}
	return calculate("+", a, b, func(a, b float64) float64 { return a + b })
}

func calculate(sign string, a, b ref.Val, f func(a, b float64) float64) ref.Val {
	x, y, bad := twoNumbers(sign, a, b)
	if bad != nil {
		return bad
	}
	if y == 0 && (sign == "/" || sign == "%") {
		return types.NewErr("%s %s 0: a number cannot be divided by 0", formatNumber(x), sign)
	}
	return finite(f(x, y))
}

// finite refuses what is not a number.
func finite(x float64) ref.Val {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return types.NewErr("the numbers grow beyond every limit")
	}
	return types.Double(x)
}

func twoNumbers(sign string, a, b ref.Val) (x, y float64, bad ref.Val) {
	x, ok1 := toNumber(a)
	y, ok2 := toNumber(b)
	if !ok1 || !ok2 {
		return 0, 0, types.NewErr("%s needs two numbers; found %s and %s", sign, describe(a), describe(b))
	}
	return x, y, nil
}

func toNumber(v ref.Val) (float64, bool) {
	n, ok := v.(types.Double)
	return float64(n), ok
}

func logic() []cel.EnvOption {
	b, t := cel.BoolType, cel.TypeParamType("T")
	return []cel.EnvOption{
		cel.Function(operators.LogicalAnd, binary("&&", b, b, b)),
		cel.Function(operators.LogicalOr, binary("||", b, b, b)),
		cel.Function(operators.LogicalNot, cel.Overload("not", []*cel.Type{b}, b), cel.SingletonUnaryBinding(not)),
		cel.Function(operators.Conditional, cel.Overload("choose", []*cel.Type{b, t, t}, t)),
		cel.Function(fnSame, binary("==", t, t, b), cel.SingletonBinaryBinding(same)),
		cel.Function(fnDiffer, binary("!=", t, t, b), cel.SingletonBinaryBinding(func(x, y ref.Val) ref.Val {
			v := same(x, y)
			if yes, ok := v.(types.Bool); ok {
				return !yes
			}
			return v
		})),
		cel.Function(operators.In, binary("in", t, cel.ListType(t), b), cel.SingletonBinaryBinding(within)),
		cel.Function(fnHas, binary("has", cel.MapType(cel.StringType, cel.DynType), cel.StringType, b),
			cel.SingletonBinaryBinding(func(m, name ref.Val) ref.Val { return m.(*record).Contains(name) })),
		cel.Function(fnYes, binary("yes", b, cel.StringType, b), cel.SingletonBinaryBinding(func(v, name ref.Val) ref.Val {
			if _, ok := v.(types.Bool); ok {
				return v
			}
			return types.NewErr("%s is %s; a yes or no is needed there", string(name.(types.String)), describe(v))
		})),
	}
}

func not(v ref.Val) ref.Val {
	if b, ok := v.(types.Bool); ok {
		return !b
	}
	return types.NewErr("! needs a yes or no; found %s", describe(v))
}

// same compares two values of one kind. To compare a number with a text is an error: the answer would always be no, and
// nobody would see why.
func same(a, b ref.Val) ref.Val {
	if a.Type() != b.Type() {
		return types.NewErr("cannot compare %s with %s", describe(a), describe(b))
	}
	return a.Equal(b)
}

func within(v, list ref.Val) ref.Val {
	l, ok := list.(traits.Lister)
	if !ok {
		return types.NewErr("in needs a list, such as ['red', 'blue']")
	}
	for it := l.Iterator(); it.HasNext() == types.True; {
		switch r := same(v, it.Next()).(type) {
		case *types.Err:
			return r
		case types.Bool:
			if r {
				return r
			}
		}
	}
	return types.False
}

// texts are the few functions on text, and the conversions.
func texts() []cel.EnvOption {
	s, b := cel.StringType, cel.BoolType
	member := func(name string, f func(s, t string) bool) cel.EnvOption {
		return cel.Function(name, cel.MemberOverload("text "+name, []*cel.Type{s, s}, b),
			cel.SingletonBinaryBinding(func(x, y ref.Val) ref.Val {
				v, ok1 := x.(types.String)
				w, ok2 := y.(types.String)
				if !ok1 || !ok2 {
					return types.NewErr("%s needs two texts; found %s and %s", name, describe(x), describe(y))
				}
				return types.Bool(f(string(v), string(w)))
			}))
	}
	return []cel.EnvOption{member("startsWith", strings.HasPrefix), member("endsWith", strings.HasSuffix), member("contains", strings.Contains)}
}

// readNumber reads a text as a number.
func readNumber(s string) (float64, bool) {
	n, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	return n, err == nil && !math.IsNaN(n) && !math.IsInf(n, 0)
}
