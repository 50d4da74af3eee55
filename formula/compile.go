package formula

import (
	"strings"
	"unicode/utf8"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/checker"
	"github.com/google/cel-go/common/types"

	"tackline/fault"
)

func (e *Engine) compile(k kind, source string) (*Expr, *fault.Fault) {
	if len(source) > maxSource {
		return nil, fault.New(fault.Invalid, "the formula has %d characters; at most %d are allowed", len(source), maxSource)
	}
	if !utf8.ValidString(source) {
		return nil, fault.New(fault.Invalid, "the formula has bytes that are not text")
	}
	x := &Expr{source: source, kind: k}
	switch k {
	case number:
		if n, ok := plainNumber(strings.TrimSpace(source)); ok {
			x.fixed, x.num = true, n
			return x, nil
		}
	case condition:
		switch strings.TrimSpace(source) {
		case "", "true":
			x.fixed, x.yes = true, true
			return x, nil
		case "false":
			x.fixed = true
			return x, nil
		}
	case text:
		return e.compileText(x)
	}
	p, f := e.program(source, k)
	if f != nil {
		return nil, f
	}
	x.pieces = []piece{{cel: p}}
	return e.fix(x)
}

// fix evaluates an expression that reads nothing, once and for all.
func (e *Engine) fix(x *Expr) (*Expr, *fault.Fault) {
	for _, p := range x.pieces {
		if p.cel != nil && p.cel.names.reads {
			return x, nil
		}
	}
	var err error
	switch x.kind {
	case number:
		x.num, err = x.Number(Env{})
	case condition:
		x.yes, err = x.True(Env{})
	case text:
		x.str, err = x.Text(Env{})
	}
	if err != nil {
		return nil, err.(*fault.Fault)
	}
	x.fixed = true
	return x, nil
}

func (e *Engine) compileText(x *Expr) (*Expr, *fault.Fault) {
	parts, f := splitPattern(x.source)
	if f != nil {
		return nil, f
	}
	for _, part := range parts {
		if !part.expression {
			x.pieces = append(x.pieces, piece{lit: part.text})
			continue
		}
		p, f := e.program(part.text, text)
		if f != nil {
			return nil, f
		}
		x.pieces = append(x.pieces, piece{cel: p})
	}
	return e.fix(x)
}

// program parses, reads the names, rewrites, checks and plans one CEL expression.
func (e *Engine) program(source string, k kind) (*program, *fault.Fault) {
	if strings.TrimSpace(source) == "" {
		return nil, fault.New(fault.Invalid, "the formula is empty")
	}
	parsed, iss := e.env.Parse(source)
	if iss.Err() != nil {
		return nil, parseFault(source, iss)
	}
	native := parsed.NativeRep()
	s := &shaper{engine: e, source: source, info: native.SourceInfo()}
	s.visit(native.Expr(), 0)
	if s.fault != nil {
		return nil, s.fault
	}
	checked, iss := e.env.Check(parsed)
	if iss.Err() != nil {
		return nil, e.checkFault(source, iss)
	}
	if f := resultFault(checked.OutputType(), k); f != nil {
		return nil, f
	}
	if cost, err := e.env.EstimateCost(checked, shortTexts{}); err != nil || cost.Max > maxCost {
		return nil, fault.New(fault.Invalid, "the formula takes too long to work out; make it simpler")
	}
	run, err := e.env.Program(checked)
	if err != nil {
		return nil, fault.New(fault.Invalid, "cannot use the formula: %v", err)
	}
	return &program{source: source, engine: e, ast: checked, run: run, names: s.names.sorted()}, nil
}

// shortTexts tells the cost model of CEL that texts and lists are short, as the limits of this package make them.
type shortTexts struct{}

func (shortTexts) EstimateSize(checker.AstNode) *checker.SizeEstimate {
	return &checker.SizeEstimate{Min: 0, Max: maxText}
}

func (shortTexts) EstimateCallCost(string, string, *checker.AstNode, []checker.AstNode) *checker.CallEstimate {
	return &checker.CallEstimate{CostEstimate: checker.CostEstimate{Min: 1, Max: 10}}
}

func resultFault(t *cel.Type, k kind) *fault.Fault {
	switch {
	case k == number && !is(t, cel.DoubleType):
		return fault.New(fault.Invalid, "the formula gives %s; a number is needed", typeWords(t))
	case k == condition && !is(t, cel.BoolType):
		return fault.New(fault.Invalid, "the formula gives %s; a condition must give yes or no, such as opt.jaws == 4", typeWords(t))
	case k == text && t.Kind() == types.ListKind:
		return fault.New(fault.Invalid, "the expression gives a list; text or a number is needed")
	}
	return nil
}

func is(t, want *cel.Type) bool { return t.IsExactType(want) || t.Kind() == types.DynKind }
