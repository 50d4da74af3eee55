package formula

import (
	"math"
	"slices"
	"strings"
	"sync"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"tackline/fault"
)

// Env is what a formula can read: the options of the order line, the attributes of the item, and the quantity. Values
// are float64, bool or string. The maps are only read.
type Env struct {
	Opt  map[string]any
	Item map[string]any
	Qty  float64
}

type kind int

const (
	number kind = iota
	condition
	text
)

// Expr is a compiled formula or pattern. It never changes and is safe for concurrent use.
type Expr struct {
	source string
	kind   kind
	pieces []piece
	fixed  bool    // the value does not depend on the Env
	num    float64 // the value, if fixed
	yes    bool
	str    string
}

// piece is literal text of a pattern, or one CEL expression.
type piece struct {
	lit string
	cel *program
}

// program is one CEL expression, checked and planned.
type program struct {
	source string
	engine *Engine
	ast    *cel.Ast
	run    cel.Program
	names  names

	once   sync.Once
	traced cel.Program // keeps the value of every step, for Explain
	broken error       // why there is no traced, a defect
}

// Source gives the text that was compiled.
func (x *Expr) Source() string { return x.source }

// Options gives the names of the options the expression reads, sorted.
func (x *Expr) Options() []string { return x.collect(func(n names) []string { return n.opts }) }

// Attributes gives the names of the item attributes that must be there, sorted: those that the expression reads and
// does not test with has().
func (x *Expr) Attributes() []string { return x.collect(func(n names) []string { return n.attrs }) }

func (x *Expr) collect(pick func(names) []string) []string {
	var out []string
	for _, p := range x.pieces {
		if p.cel != nil {
			out = append(out, pick(p.cel.names)...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Number gives the value of a formula made by Engine.Number. The error is a *fault.Fault.
func (x *Expr) Number(env Env) (float64, error) {
	if x.kind != number {
		return 0, fault.New(fault.Internal, "not a formula for a number: %s", x.source)
	}
	if x.fixed {
		return x.num, nil
	}
	v, f := x.pieces[0].cel.eval(env)
	if f != nil {
		return 0, f
	}
	return asNumber(v)
}

// True gives the value of a formula made by Engine.Condition. The error is a *fault.Fault.
func (x *Expr) True(env Env) (bool, error) {
	if x.kind != condition {
		return false, fault.New(fault.Internal, "not a condition: %s", x.source)
	}
	if x.fixed {
		return x.yes, nil
	}
	v, f := x.pieces[0].cel.eval(env)
	if f != nil {
		return false, f
	}
	if b, ok := v.(types.Bool); ok {
		return bool(b), nil
	}
	return false, fault.New(fault.Invalid, "the formula gives %s; a condition must give yes or no", describe(v))
}

// Text gives the text of a pattern made by Engine.Text. Whole numbers are written without decimals, yes-no values as
// yes or no. The error is a *fault.Fault.
func (x *Expr) Text(env Env) (string, error) {
	if x.kind != text {
		return "", fault.New(fault.Internal, "not a pattern: %s", x.source)
	}
	if x.fixed {
		return x.str, nil
	}
	var b strings.Builder
	for _, p := range x.pieces {
		b.WriteString(p.lit)
		if p.cel != nil {
			v, f := p.cel.eval(env)
			if f != nil {
				return "", f
			}
			b.WriteString(format(v))
		}
		if b.Len() > maxText {
			return "", fault.New(fault.Invalid, "the pattern gives more than %d characters", maxText)
		}
	}
	return b.String(), nil
}

func asNumber(v ref.Val) (float64, error) {
	n, ok := v.(types.Double)
	if !ok {
		return 0, fault.New(fault.Invalid, "the formula gives %s; a number is needed", describe(v))
	}
	if x := float64(n); x > -Limit && x < Limit && !math.IsNaN(x) {
		return x, nil
	}
	return 0, fault.New(fault.Invalid, "the formula gives a number beyond the limit of 1000000000000")
}

func (p *program) eval(env Env) (ref.Val, *fault.Fault) {
	v, _, err := p.run.Eval(newScope(env))
	if err != nil {
		return nil, runtimeFault(err)
	}
	return v, nil
}
