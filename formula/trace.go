package formula

import (
	"fmt"
	"math"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/interpreter"

	"tackline/fault"
)

// Trace is the arithmetic of one evaluation, for people.
type Trace struct {
	Formula string  // the text of the formula or pattern
	Reads   []Read  // each value read, in the order of the text; values that a choice passed over are left out
	Calls   []Call  // each trade function called, the inner before the outer
	Result  string  // the result, in words or digits; empty if it failed
	Number  float64 // the result of a formula for a number
}

// Read is a value that a formula read.
type Read struct {
	Name  string // opt.jaws, item.weld_m, qty
	Value Value
}

// Call is a function of the trade that a formula called; min, round and the like explain themselves and are left out.
type Call struct {
	Name     string
	Args     []Given
	Function Function
	Result   Value
}

// Given is the value of one argument.
type Given struct {
	Arg     Arg
	Value   Value
	Default bool // the formula leaves it out
}

// Explain evaluates the expression and shows how the result came about. The error is a *fault.Fault; the trace then holds
// what was read before.
func (x *Expr) Explain(env Env) (Trace, error) {
	t := Trace{Formula: x.source}
	for _, p := range x.pieces {
		if p.cel != nil {
			if err := p.cel.trace(env, &t); err != nil {
				return t, err
			}
		}
	}
	var err error
	switch x.kind {
	case number:
		if t.Number, err = x.Number(env); err == nil {
			t.Result = people(t.Number)
		}
	case condition:
		var yes bool
		if yes, err = x.True(env); err == nil {
			t.Result = format(types.Bool(yes))
		}
	case text:
		t.Result, err = x.Text(env)
	}
	return t, err
}

// trace evaluates the program with every step kept, and reads the steps off in the order of the text.
func (p *program) trace(env Env, t *Trace) error {
	p.once.Do(func() {
		p.traced, p.broken = p.engine.env.Program(p.ast, cel.EvalOptions(cel.OptTrackState))
	})
	if p.broken != nil {
		return fault.New(fault.Internal, "cannot show the arithmetic: %v", p.broken)
	}
	_, details, err := p.traced.Eval(newScope(env))
	if details != nil && details.State() != nil {
		w := walker{program: p, state: details.State(), trace: t}
		w.visit(p.ast.NativeRep().Expr())
	}
	if err != nil {
		return runtimeFault(err)
	}
	return nil
}

// walker collects reads and calls from the values that an evaluation kept.
type walker struct {
	program *program
	state   interpreter.EvalState
	trace   *Trace
}

// value gives the value of a step, if it was worked out.
func (w *walker) value(e ast.Expr) (ref.Val, bool) {
	if e.Kind() == ast.LiteralKind {
		return e.AsLiteral(), true
	}
	v, ok := w.state.Value(e.ID())
	if !ok || types.IsUnknownOrError(v) {
		return nil, false
	}
	return v, true
}

func (w *walker) visit(e ast.Expr) {
	switch e.Kind() {
	case ast.IdentKind:
		w.read(e, e.AsIdent())
	case ast.SelectKind:
		w.read(e, e.AsSelect().Operand().AsIdent()+"."+e.AsSelect().FieldName())
	case ast.ListKind:
		for _, x := range e.AsList().Elements() {
			w.visit(x)
		}
	case ast.CallKind:
		c := e.AsCall()
		if c.FunctionName() == fnHas {
			return
		}
		if c.IsMemberFunction() {
			w.visit(c.Target())
		}
		for _, a := range c.Args() {
			w.visit(a)
		}
		w.call(e, c)
	}
}

func (w *walker) read(e ast.Expr, name string) {
	v, ok := w.value(e)
	if !ok {
		return
	}
	for _, r := range w.trace.Reads {
		if r.Name == name {
			return
		}
	}
	w.trace.Reads = append(w.trace.Reads, Read{name, toValue(v)})
}

func (w *walker) call(e ast.Expr, c ast.CallExpr) {
	f, ok := w.program.engine.funcs[c.FunctionName()]
	if !ok || f.Source == "" {
		return
	}
	result, ok := w.value(e)
	if !ok {
		return
	}
	in := make([]ref.Val, len(c.Args()))
	for i, a := range c.Args() {
		if in[i], ok = w.value(a); !ok {
			return
		}
	}
	values, err := f.values(in)
	if err != nil {
		return
	}
	call := Call{Name: f.Name, Function: *f, Result: toValue(result)}
	for i, v := range values {
		given := Given{Arg: f.Args[i], Value: v, Default: i >= len(in)}
		call.Args = append(call.Args, given)
	}
	w.trace.Calls = append(w.trace.Calls, call)
}

// String gives the arithmetic as a few lines.
func (t Trace) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", t.Formula)
	for _, r := range t.Reads {
		fmt.Fprintf(&b, "  %s = %s\n", r.Name, r.Value.people())
	}
	for _, c := range t.Calls {
		fmt.Fprintf(&b, "  %s\n", c.String())
		fmt.Fprintf(&b, "    %s: %s\n", c.Function.Gives, c.Function.Rule)
		fmt.Fprintf(&b, "    source: %s\n", c.Function.Source)
		if c.Function.Caution != "" {
			fmt.Fprintf(&b, "    caution: %s\n", c.Function.Caution)
		}
	}
	if t.Result != "" {
		fmt.Fprintf(&b, "= %s\n", t.Result)
	}
	return b.String()
}

// String shows a call with its values: weld_minutes(leg_mm: 8, length_mm: 6400, process: robot; usual: kg_per_h: 5) = 25.72.
func (c Call) String() string {
	var b strings.Builder
	b.WriteString(c.Name + "(")
	usual := false
	for i, a := range c.Args {
		switch {
		case a.Default && !usual:
			usual = true
			b.WriteString("; usual ")
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(a.Arg.Name + " " + a.Value.people())
	}
	return b.String() + ") = " + c.Result.people()
}

func (v Value) people() string {
	if v.Kind == IsNumber {
		return people(v.Num)
	}
	return v.String()
}

// people writes a number as a person reads it: six digits that count, no exponent, all digits before the point.
func people(x float64) string {
	if x == 0 || math.Abs(x) >= 1e6 {
		return formatNumber(math.Round(x))
	}
	decimals := 5 - int(math.Floor(math.Log10(math.Abs(x))))
	s := fmt.Sprintf("%.*f", decimals, x)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
