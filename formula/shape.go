package formula

import (
	"fmt"
	"slices"
	"strings"

	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"

	"tackline/fault"
)

// names are what an expression reads.
type names struct {
	opts  []string // options read or tested
	attrs []string // attributes read and not tested by has()
	has   []string // attributes tested by has()
	reads bool     // reads anything at all
}

func (n names) sorted() names {
	slices.Sort(n.opts)
	n.opts = slices.Compact(n.opts)
	slices.Sort(n.attrs)
	n.attrs = slices.DeleteFunc(slices.Compact(n.attrs), func(s string) bool { return slices.Contains(n.has, s) })
	return n
}

// Names of functions that only the shaper writes; nobody can type them.
const (
	fnSame   = "@same"
	fnDiffer = "@differ"
	fnHas    = "@has"
	fnYes    = "@yes"
)

// shaper walks a parsed expression once. It allows what a formula may hold and refuses the rest; it collects names;
// and it rewrites:
//   - whole numbers become decimal numbers, so there is one kind of number and 4*opt.jaws just works;
//   - == and != become functions that refuse to compare a number with a text instead of answering no;
//   - has(opt.x) becomes a function, and opt['x'] becomes opt.x;
//   - opt.x where a yes or no is needed is checked with its name.
type shaper struct {
	engine *Engine
	source string
	info   *ast.SourceInfo
	fac    ast.ExprFactory
	nodes  int
	lastID int64
	names  names
	fault  *fault.Fault
}

func (s *shaper) refuse(e ast.Expr, format string, args ...any) {
	if s.fault != nil {
		return
	}
	at := ""
	if loc := s.info.GetStartLocation(e.ID()); loc.Line() > 0 {
		at = fmt.Sprintf(" (character %d)", position(s.source, loc.Line(), loc.Column()))
	}
	s.fault = fault.New(fault.Invalid, format+"%s", append(args, at)...)
}

func (s *shaper) visit(e ast.Expr, depth int) {
	if s.fac == nil {
		s.fac = ast.NewExprFactory()
		s.lastID = 1 << 40 // above every id of the parser
	}
	s.nodes++
	if s.fault != nil {
		return
	}
	if s.nodes > maxNodes || depth > maxDepth {
		s.refuse(e, "the formula is too large; split it")
		return
	}
	switch e.Kind() {
	case ast.LiteralKind:
		s.literal(e)
	case ast.IdentKind:
		s.ident(e)
	case ast.SelectKind:
		s.read(e, e.AsSelect().Operand(), e.AsSelect().FieldName(), e.AsSelect().IsTestOnly())
	case ast.CallKind:
		s.call(e, depth)
	case ast.ListKind:
		for _, x := range e.AsList().Elements() {
			s.visit(x, depth+1)
		}
	default:
		s.refuse(e, "a formula has no maps, records or loops")
	}
}

func (s *shaper) literal(e ast.Expr) {
	switch v := e.AsLiteral().(type) {
	case types.Int:
		e.SetKindCase(s.fac.NewLiteral(e.ID(), types.Double(v)))
	case types.Uint:
		e.SetKindCase(s.fac.NewLiteral(e.ID(), types.Double(v)))
	case types.Double, types.Bool, types.String:
	default:
		s.refuse(e, "a formula has numbers, texts in quotes, true and false; not this")
	}
}

func (s *shaper) ident(e ast.Expr) {
	switch name := e.AsIdent(); name {
	case "qty":
		s.names.reads = true
	case "opt", "item":
		s.refuse(e, "%s needs a name after it, such as %s", name, map[string]string{"opt": "opt.jaws", "item": "item.weld_m"}[name])
	default:
		s.refuse(e, "the name %s is not known; a formula reads opt.name, item.name and qty, and text stands in quotes, as in '%s'", name, name)
		s.fault.Near = nearest(name, append(s.engine.callable(), "qty", "true", "false"))
	}
}

// read handles opt.name and item.name.
func (s *shaper) read(e, operand ast.Expr, name string, test bool) {
	if operand.Kind() != ast.IdentKind || operand.AsIdent() != "opt" && operand.AsIdent() != "item" {
		s.refuse(e, "only opt.name and item.name can be read with a point")
		return
	}
	s.names.reads = true
	owner := operand.AsIdent()
	switch {
	case owner == "opt":
		s.names.opts = append(s.names.opts, name)
	case test:
		s.names.has = append(s.names.has, name)
	default:
		s.names.attrs = append(s.names.attrs, name)
	}
	if test {
		e.SetKindCase(s.fac.NewCall(e.ID(), fnHas, operand, s.textLiteral(name)))
		return
	}
	e.SetKindCase(s.fac.NewSelect(e.ID(), operand, name))
}

func (s *shaper) textLiteral(v string) ast.Expr {
	return s.fac.NewLiteral(s.nextID(), types.String(v))
}

func (s *shaper) nextID() int64 {
	s.lastID++
	return s.lastID
}

func (s *shaper) call(e ast.Expr, depth int) {
	c := e.AsCall()
	name, args := c.FunctionName(), c.Args()
	if name == operators.Index {
		if len(args) == 2 && args[1].Kind() == ast.LiteralKind {
			if key, ok := args[1].AsLiteral().(types.String); ok {
				s.read(e, args[0], string(key), false)
				return
			}
		}
		s.refuse(e, "only opt['name'] and item['name'] can be read with brackets, and the name stands in quotes")
		return
	}
	if c.IsMemberFunction() {
		if !slices.Contains(members, name) {
			s.refuse(e, "a formula has no .%s(...)", name)
			return
		}
		s.visit(c.Target(), depth+1)
	} else if !s.known(e, name, len(args)) {
		return
	}
	for _, a := range args {
		s.visit(a, depth+1)
	}
	if s.fault != nil {
		return
	}
	switch name {
	case operators.Equals:
		e.SetKindCase(s.fac.NewCall(e.ID(), fnSame, args...))
	case operators.NotEquals:
		e.SetKindCase(s.fac.NewCall(e.ID(), fnDiffer, args...))
	case operators.LogicalAnd, operators.LogicalOr, operators.LogicalNot:
		e.SetKindCase(s.fac.NewCall(e.ID(), name, s.yesNo(args)...))
	case operators.Conditional:
		e.SetKindCase(s.fac.NewCall(e.ID(), name, s.yesNo(args[:1])[0], args[1], args[2]))
	}
}

// yesNo wraps options and attributes that stand where a yes or no is needed.
func (s *shaper) yesNo(args []ast.Expr) []ast.Expr {
	out := slices.Clone(args)
	for i, a := range args {
		if a.Kind() == ast.SelectKind {
			id := s.nextID()
			name := a.AsSelect().Operand().AsIdent() + "." + a.AsSelect().FieldName()
			out[i] = s.fac.NewCall(id, fnYes, a, s.textLiteral(name))
		}
	}
	return out
}

// known says whether a function or operator exists and takes so many arguments.
func (s *shaper) known(e ast.Expr, name string, n int) bool {
	if _, ok := operatorSigns[name]; ok {
		return true
	}
	f, ok := s.engine.funcs[name]
	if !ok {
		shown := strings.Trim(name, "_@[]?")
		s.refuse(e, "there is no function %s", shown)
		s.fault.Near = nearest(shown, s.engine.callable())
		return false
	}
	if least, most := f.arity(); n < least || n > most {
		s.refuse(e, "%s takes %s; found %s", f.Name, f.Call(), count(n, "value"))
		return false
	}
	return true
}
