package book

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"

	"tackline/fault"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
)

// Option kinds.
const (
	NumberOption = "number"
	ChoiceOption = "choice"
	YesNoOption  = "yes-no"
)

// Configure gives the value of every option of the line's product: float64 for a number, bool for yes-no, string for a
// choice; chosen on the line, or the default. The error is a fault.List: options unknown, given twice, missing, or with
// values that are not allowed. Rules are not looked at.
func (ix *Index) Configure(l *order.Line) (map[string]any, error) {
	m, faults := ix.configure(l)
	return m, faults.Err()
}

func (ix *Index) configure(l *order.Line) (map[string]any, fault.List) {
	chosen, err := l.Options.Parse()
	if err != nil {
		return nil, fault.List{{Kind: fault.Invalid, Table: "lines", Column: "options", Value: string(l.Options),
			Text: err.Error(), Expected: "option=value, separated by ;"}}
	}
	var faults fault.List
	bad := func(value, expected, near, format string, args ...any) {
		faults = append(faults, &fault.Fault{Kind: fault.Invalid, Table: "lines", Column: "options", Value: value,
			Expected: expected, Near: near, Text: fmt.Sprintf(format, args...)})
	}
	values := map[string]any{}
	var names []string
	for _, o := range ix.OptionsOf[l.Product] {
		name := string(o.Option)
		names = append(names, name)
		text, given := chosen[name]
		delete(chosen, name)
		if !given {
			text = o.Default
		}
		if text == "" {
			bad("", allowed(o), "", "option %s is not chosen and has no default", name)
			continue
		}
		v, ok := OptionValue(o, text)
		if !ok {
			bad(text, allowed(o), Nearest(text, split(o.Values)), "option %s cannot have this value", name)
			continue
		}
		values[name] = v
	}
	for _, name := range sorted(chosen) {
		bad(name, "an option of "+string(l.Product), Nearest(name, names), "unknown option")
	}
	return values, faults
}

// OptionValue reads text as a value of o: float64, bool or string. ok is false if it is not one, or not allowed.
func OptionValue(o *product.Option, text string) (v any, ok bool) {
	v, ok = optionAny(o.Kind, text)
	if !ok {
		return nil, false
	}
	list := split(o.Values)
	if len(list) == 0 {
		return v, o.Kind != ChoiceOption
	}
	for _, s := range list {
		if w, ok := optionAny(o.Kind, s); ok && w == v {
			return v, true
		}
	}
	return nil, false
}

// OptionValues gives the values that o allows, in the order of the book; nil where any number is allowed.
func OptionValues(o *product.Option) []any {
	var out []any
	for _, s := range split(o.Values) {
		if v, ok := optionAny(o.Kind, s); ok {
			out = append(out, v)
		}
	}
	if out == nil && o.Kind == YesNoOption {
		return []any{false, true}
	}
	return out
}

// OptionText writes a value as an order line says it: 4, closed, yes.
func OptionText(v any) string {
	switch x := v.(type) {
	case float64:
		return strconv.FormatFloat(x, 'f', -1, 64)
	case bool:
		if x {
			return "yes"
		}
		return "no"
	}
	return fmt.Sprint(v)
}

// OptionTexts writes a whole configuration as text.
func OptionTexts(values map[string]any) map[plant.OptionID]string {
	m := make(map[plant.OptionID]string, len(values))
	for k, v := range values {
		m[plant.OptionID(k)] = OptionText(v)
	}
	return m
}

func optionAny(kind, text string) (any, bool) {
	switch kind {
	case NumberOption:
		f, err := strconv.ParseFloat(text, 64)
		return f, err == nil && !math.IsNaN(f) && !math.IsInf(f, 0)
	case YesNoOption:
		switch strings.ToLower(text) {
		case "yes", "true":
			return true, true
		case "no", "false":
			return false, true
		}
		return nil, false
	}
	return text, text != ""
}

// allowed says in words what an option may be.
func allowed(o *product.Option) string {
	if list := split(o.Values); len(list) > 0 {
		return "one of " + strings.Join(list, ", ")
	}
	if o.Kind == YesNoOption {
		return "yes or no"
	}
	return "a number"
}

// split reads "3|4|5".
func split(s string) []string {
	var out []string
	for _, p := range strings.Split(s, "|") {
		if p = strings.TrimSpace(p); p != "" {
			out = append(out, p)
		}
	}
	return out
}

func sorted[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
