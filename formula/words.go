package formula

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"tackline/fault"
)

// operatorSigns are the operators a formula may hold, as people write them.
var operatorSigns = map[string]string{
	operators.Add: "+", operators.Subtract: "-", operators.Multiply: "*", operators.Divide: "/", operators.Modulo: "%",
	operators.Negate: "-", operators.Less: "<", operators.LessEquals: "<=", operators.Greater: ">", operators.GreaterEquals: ">=",
	operators.Equals: "==", operators.NotEquals: "!=", operators.LogicalAnd: "&&", operators.LogicalOr: "||",
	operators.LogicalNot: "!", operators.Conditional: "? :", operators.In: "in",
}

// decimalComma is a comma between digits before any bracket: there it separates nothing.
var decimalComma = regexp.MustCompile(`^([^(\[]*\d),(\d)`)

// parseFault turns what the parser says into words.
func parseFault(source string, iss *cel.Issues) *fault.Fault {
	errs := iss.Errors()
	if len(errs) == 0 {
		return fault.New(fault.Invalid, "the formula cannot be read")
	}
	msg := errs[0].Message
	at := position(source, errs[0].Location.Line(), errs[0].Location.Column())
	switch {
	case strings.Contains(msg, "recursion limit"), strings.Contains(msg, "size exceeds limit"):
		return fault.New(fault.Invalid, "the formula is too large; split it")
	case decimalComma.MatchString(source):
		return fault.New(fault.Invalid, "the formula cannot be read; decimals are written with a point: %s", decimalComma.ReplaceAllString(source, "$1.$2"))
	case strings.Contains(msg, "<EOF>"):
		return fault.New(fault.Invalid, "the formula ends too early; is a value, a quote or a closing bracket missing?")
	case strings.Contains(msg, "token recognition"):
		return fault.New(fault.Invalid, "the formula has a sign that does not belong there, or a quote that is not closed, at character %d", at)
	case strings.Contains(msg, "invalid int"), strings.Contains(msg, "invalid double"), strings.Contains(msg, "invalid uint"):
		return fault.New(fault.Invalid, "the number at character %d is too large", at)
	}
	return fault.New(fault.Invalid, "the formula cannot be read at character %d%s", at, around(source, at))
}

// around shows the source from character at.
func around(source string, at int) string {
	r := []rune(source)
	if at < 1 || at > len(r) {
		return ""
	}
	return fmt.Sprintf(", at %q", string(r[at-1:min(len(r), at+19)]))
}

// position turns a line and column of the parser into a character counted from 1.
func position(source string, line, column int) int {
	lines := strings.Split(source, "\n")
	n := column + 1
	for i := 0; i < line-1 && i < len(lines); i++ {
		n += len([]rune(lines[i])) + 1
	}
	return n
}

// checkFault turns what the type checker says into words. Names and counts of arguments were checked before, so what
// is left is a value of the wrong kind.
func (e *Engine) checkFault(source string, iss *cel.Issues) *fault.Fault {
	errs := iss.Errors()
	if len(errs) == 0 {
		return fault.New(fault.Invalid, "the formula cannot be used")
	}
	_, rest, ok := strings.Cut(errs[0].Message, "found no matching overload for '")
	name, rest, _ := strings.Cut(rest, "' applied to '(")
	if !ok {
		return fault.New(fault.Invalid, "the formula mixes kinds of values, such as text with numbers")
	}
	kinds, _, _ := strings.Cut(rest, ")'")
	kinds = strings.NewReplacer("double", "number", "string", "text", "bool", "yes-no", "dyn", "any").Replace(kinds)
	switch name {
	case fnSame, fnDiffer:
		return fault.New(fault.Invalid, "a comparison needs two values of one kind; found (%s)", kinds)
	case fnYes:
		return fault.New(fault.Invalid, "a yes or no is needed; found (%s)", kinds)
	}
	if sign, ok := operatorSigns[name]; ok {
		return fault.New(fault.Invalid, "%s cannot be used with (%s)", sign, kinds)
	}
	if f, ok := e.funcs[name]; ok {
		return fault.New(fault.Invalid, "%s takes %s; found (%s)", name, f.Call(), kinds)
	}
	return fault.New(fault.Invalid, "%s cannot be used with (%s)", name, kinds)
}

// runtimeFault turns an evaluation error into words. Errors made here are words already.
func runtimeFault(err error) *fault.Fault {
	msg := err.Error()
	switch {
	case strings.HasPrefix(msg, "no such overload"):
		msg = "a yes or no is needed where the formula has another value"
	case strings.HasPrefix(msg, "internal error"), strings.HasPrefix(msg, "no such"):
		msg = "the formula cannot be worked out: " + msg
	}
	return fault.New(fault.Invalid, "%s", msg)
}

func typeWords(t *cel.Type) string {
	switch t.Kind() {
	case types.DoubleKind:
		return "a number"
	case types.StringKind:
		return "a text"
	case types.BoolKind:
		return "yes or no"
	case types.ListKind:
		return "a list"
	}
	return "something else"
}

// describe names a value: the number 4, the text "red", yes.
func describe(v ref.Val) string {
	switch v := v.(type) {
	case types.Double:
		return "the number " + formatNumber(float64(v))
	case types.String:
		return fmt.Sprintf("the text %q", string(v))
	case types.Bool:
		return format(v)
	}
	return "a value of another kind"
}

// format writes a value into a pattern.
func format(v ref.Val) string {
	switch v := v.(type) {
	case types.Double:
		return formatNumber(float64(v))
	case types.Bool:
		if v {
			return "yes"
		}
		return "no"
	case types.String:
		return string(v)
	}
	return ""
}

// formatNumber writes a number with at most six decimals and no zeros behind: 4, 4.5, 0.333333.
func formatNumber(x float64) string {
	s := strconv.FormatFloat(x, 'f', 6, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// nearest gives the known name that a mistyped one most resembles, or nothing.
func nearest(name string, known []string) string {
	best, least := "", 1+len(name)/3
	slices.Sort(known)
	for _, k := range known {
		if d := distance(name, k); d < least || d == least && best == "" {
			best, least = k, d
		}
	}
	return best
}

// distance counts the letters to insert, delete or change (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
