package formula

import (
	"fmt"
	"math"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
)

// Function is one function that formulas can call.
type Function struct {
	Name    string
	Args    []Arg
	Gives   string    // what the result is, with its unit
	Rule    string    // the formula in words and signs
	Source  string    // standard, handbook or paper; empty for plain mathematics
	Example string    // a formula that calls it
	Caution string    // what to mind where a result can hurt someone
	Result  ValueKind // what kind of value it gives

	call func(in []Value) (Value, error)
	fill func(in []Value) // puts in what depends on other arguments, where it was left out
}

// Arg is one value that a function takes.
type Arg struct {
	Name     string
	Unit     string // empty for none
	Meaning  string
	Text     bool   // takes a text
	Any      bool   // takes a value of any kind
	Optional bool   // may be left out, with those after it
	Default  Value  // value where it is left out
	Unsaid   string // what is meant where it is left out or 0, in words, if no one Default says it
}

// Value is a number, a text or a yes-no value.
type Value struct {
	Num  float64
	Text string
	Kind ValueKind
}

// ValueKind says which field of a Value counts.
type ValueKind int

// Kinds of values.
const (
	IsNumber ValueKind = iota
	IsText
	IsYesNo // Num is 1 for yes
)

// String shows the value: 4.5, 'robot', yes.
func (v Value) String() string {
	switch v.Kind {
	case IsText:
		return "'" + v.Text + "'"
	case IsYesNo:
		return format(types.Bool(v.Num != 0))
	}
	return formatNumber(v.Num)
}

// Call shows how the function is called: weld_minutes(leg_mm, length_mm, process, [kg_per_h]).
func (f *Function) Call() string {
	names := make([]string, len(f.Args))
	for i, a := range f.Args {
		names[i] = a.Name
		if a.Optional {
			names[i] = "[" + a.Name + "]"
		}
	}
	return "(" + strings.Join(names, ", ") + ")"
}

func (f *Function) arity() (least, most int) {
	for _, a := range f.Args {
		if !a.Optional {
			least++
		}
	}
	return least, len(f.Args)
}

// declare makes the CEL declaration: one overload for each count of arguments.
func (f *Function) declare() cel.EnvOption {
	least, most := f.arity()
	opts := []cel.FunctionOpt{cel.SingletonFunctionBinding(f.bind)}
	result := cel.DoubleType
	switch f.Result {
	case IsText:
		result = cel.StringType
	case IsYesNo:
		result = cel.BoolType
	}
	for n := least; n <= most; n++ {
		in := make([]*cel.Type, n)
		for i := range in {
			in[i] = f.Args[i].celType()
		}
		opts = append(opts, cel.Overload(fmt.Sprintf("%s %d", f.Name, n), in, result))
	}
	return cel.Function(f.Name, opts...)
}

func (a *Arg) celType() *cel.Type {
	switch {
	case a.Any:
		return cel.DynType
	case a.Text:
		return cel.StringType
	}
	return cel.DoubleType
}

// bind calls the function with checked values and refuses a result that is not a number.
func (f *Function) bind(in ...ref.Val) ref.Val {
	values, err := f.values(in)
	if err != nil {
		return types.NewErr("%s", err.Error())
	}
	out, err := f.call(values)
	if err != nil {
		return types.NewErr("%s: %s", f.Name, err.Error())
	}
	switch out.Kind {
	case IsText:
		return types.String(out.Text)
	case IsYesNo:
		return types.Bool(out.Num != 0)
	}
	if math.IsNaN(out.Num) || math.IsInf(out.Num, 0) {
		return types.NewErr("%s: no number comes out of %s", f.Name, show(values))
	}
	return types.Double(out.Num)
}

func show(values []Value) string {
	parts := make([]string, len(values))
	for i, v := range values {
		parts[i] = v.String()
	}
	return "(" + strings.Join(parts, ", ") + ")"
}

// values checks the kinds and fills in what is left out. Arguments that repeat (min, max) are not filled in.
func (f *Function) values(in []ref.Val) ([]Value, error) {
	out := make([]Value, len(in), len(f.Args))
	for i, v := range in {
		out[i] = toValue(v)
		a := &f.Args[i]
		switch {
		case a.Any:
		case a.Text && out[i].Kind != IsText:
			return nil, fmt.Errorf("%s: %s must be a text; found %s", f.Name, a.Name, describe(v))
		case !a.Text && out[i].Kind != IsNumber:
			return nil, fmt.Errorf("%s: %s must be a number; found %s", f.Name, a.Name, describe(v))
		}
	}
	if f.repeats() {
		return out, nil
	}
	for i := len(in); i < len(f.Args); i++ {
		out = append(out, f.Args[i].Default)
	}
	if f.fill != nil {
		f.fill(out)
	}
	return out, nil
}

func (f *Function) repeats() bool { return f.Name == "min" || f.Name == "max" }

func toValue(v ref.Val) Value {
	switch v := v.(type) {
	case types.Double:
		return Value{Num: float64(v)}
	case types.String:
		return Value{Text: string(v), Kind: IsText}
	case types.Bool:
		if v {
			return Value{Num: 1, Kind: IsYesNo}
		}
	}
	return Value{Kind: IsYesNo}
}

// callable gives the names a person can call.
func (e *Engine) callable() []string {
	out := []string{"has"}
	for name := range e.funcs {
		out = append(out, name)
	}
	return out
}

// section is a part of docs/formulas.md.
type section struct {
	title     string
	functions []Function
}

func sections() []section {
	return []section{
		{"Numbers and texts", plainFunctions()},
		{"Welding", weldFunctions()},
		{"Machining", machineFunctions()},
		{"Blasting and coating", coatFunctions()},
		{"Cylinders and pressure", cylinderFunctions()},
		{"Mass, lifting, bolts, learning", massFunctions()},
	}
}

// Functions lists every function, in the order of docs/formulas.md.
func Functions() []Function {
	var all []Function
	for _, s := range sections() {
		all = append(all, s.functions...)
	}
	return all
}
