package formula

import (
	"errors"
	"strings"
	"testing"

	"tackline/fault"
	"tackline/plant"
)

func engine(t testing.TB) *Engine {
	t.Helper()
	e, err := New()
	if err != nil {
		t.Fatal(err)
	}
	return e
}

var sample = Env{
	Opt:  map[string]any{"jaws": 4.0, "magnet": true, "colour": "red", "form": "closed", "whole": 4, "size-code": "K2"},
	Item: map[string]any{"weld_m": 6.4, "mass_kg": 160.0, "grade": "S355", "zero": 0.0},
	Qty:  3,
}

func TestNumber(t *testing.T) {
	e := engine(t)
	for _, c := range []struct {
		formula string
		want    float64
	}{
		{"12.5", 12.5}, {"-3", -3}, {" 7 ", 7}, {"1e3", 1000}, {"4*opt.jaws", 16}, {"opt.jaws*4", 16},
		{"item.weld_m*1000", 6400}, {"opt.jaws", 4}, {"opt.whole*2", 8}, {"qty/2", 1.5}, {"7/2", 3.5}, {"7 % 4", 3},
		{"1+2*3-4/8", 6.5}, {"-opt.jaws + 1", -3}, {"int(7/2)", 3}, {"int(opt.jaws)*2.5", 10},
		{"opt.magnet ? 1 : 2.5", 1}, {"opt.jaws == 4 ? 10 : 20", 10}, {"has(item.weld_m) ? item.weld_m : 0", 6.4},
		{"has(item.none) ? item.none : 5", 5}, {"has(opt.none) ? 1 : 0", 0}, {"opt['jaws'] + item['mass_kg']", 164},
		{"min(3, 2, 5)", 2}, {"max(1, opt.jaws)", 4}, {"ceil(2.1)", 3}, {"floor(2.9)", 2}, {"round(2.5)", 3},
		{"round(2.345, 1)", 2.3}, {"abs(-2)", 2}, {"pow(2, 10)", 1024}, {"sqrt(16)", 4}, {"double('3.5')", 3.5},
		{"opt.colour in ['red', 'blue'] ? 1 : 0", 1}, {"opt.form.startsWith('clo') ? 1 : 0", 1},
	} {
		x, err := e.Number(plant.Formula(c.formula))
		if err != nil {
			t.Errorf("%s: %v", c.formula, err)
			continue
		}
		got, err := x.Number(sample)
		if err != nil || got != c.want {
			t.Errorf("%s = %v, %v; want %v", c.formula, got, err, c.want)
		}
	}
}

func TestCondition(t *testing.T) {
	e := engine(t)
	for formula, want := range map[string]bool{
		"": true, "true": true, "false": false, "opt.jaws == 4": true, "opt.jaws != 4": false, "opt.jaws >= 4.5": false,
		"!opt.magnet || opt.colour != 'none'": true, "opt.magnet && item.grade == 'S355'": true, "opt.jaws in [3, 5]": false,
		"!(opt.jaws > 3)": false, "opt.magnet": true, "opt.magnet == true": true, "opt['size-code'] == 'K2'": true,
	} {
		x, err := e.Condition(plant.Formula(formula))
		if err != nil {
			t.Errorf("%s: %v", formula, err)
			continue
		}
		if got, err := x.True(sample); err != nil || got != want {
			t.Errorf("%s = %v, %v; want %v", formula, got, err, want)
		}
	}
}

func TestText(t *testing.T) {
	e := engine(t)
	for pattern, want := range map[string]string{
		"": "", "F-12": "F-12", "jaw-{int(opt.jaws)}c": "jaw-4c", "jaw-{opt.jaws}c": "jaw-4c", "{opt.colour}": "red",
		"{opt.magnet}": "yes", "a{{b}}c": "a{b}c", "{opt.jaws/3}": "1.333333", "{'}' + opt.colour}": "}red",
		"{opt.jaws == 4 ? 'four' : 'other'}-{qty}": "four-3", "{0.1+0.2}": "0.3", "WJ-{string(opt.jaws) + 'x'}": "WJ-4x",
	} {
		x, err := e.Text(plant.Pattern(pattern))
		if err != nil {
			t.Errorf("%s: %v", pattern, err)
			continue
		}
		if got, err := x.Text(sample); err != nil || got != want {
			t.Errorf("%s = %q, %v; want %q", pattern, got, err, want)
		}
	}
}

// TestRefused holds formulas that must not compile, with words that must be in the error.
func TestRefused(t *testing.T) {
	e := engine(t)
	for formula, want := range map[string]string{
		"": "empty", "   ": "empty", "1/0": "divided by 0", "1 +": "ends too early", "(1": "ends too early",
		"'a": "quote", "1 ? 2 : 3": "cannot be used", "opt.jaws.x": "only opt.name", "opt": "needs a name",
		"size(item)": "no function size", "opt[item.grade]": "in quotes", "jaws*4": "not known", "weld_minuts(1)": "no function weld_minuts",
		"min()": "min takes", "'a'": "a number is needed", "opt.jaws == 4": "yes or no; a number", "1 == 'a'": "one kind",
		"[1,2].map(x, x*2)[0]": "quotes", "[1].exists(x, x > 0) ? 1 : 0": "no .exists", "{'a':1}": "no maps", "1e400": "too large",
		"99999999999999999999": "too large", "1 + 'a'": "cannot be used", "sqrt(-1)": "square root", "b'x'": "not this",
		"null": "not this", "1e12": "beyond", "opt.jaws * true": "cannot be used", "google.protobuf.Int64Value{value: 1}": "no maps",
		"1 $ 2": "does not belong", "9e11 * 9e11 * 9e300": "limit",
	} {
		_, err := e.Number(plant.Formula(formula))
		var f *fault.Fault
		if !errors.As(err, &f) || f.Kind != fault.Invalid || !strings.Contains(f.Error(), want) {
			t.Errorf("%s: got %v; want words %q", formula, err, want)
		}
	}
}

func TestFailsInWords(t *testing.T) {
	e := engine(t)
	for formula, want := range map[string]string{
		"item.nothing*2": "item.nothing: this item has no attribute nothing", "opt.none": "opt.none: this order has no option none",
		"item.grade*2": `* needs two numbers; found the text "S355" and the number 2`, "1/item.zero": "divided by 0",
		"opt.colour ? 1 : 2": `opt.colour is the text "red"; a yes or no is needed`, "opt.jaws == '4' ? 1 : 2": "cannot compare",
		"opt.magnet": "the formula gives yes; a number is needed", "sqrt(item.grade)": "sqrt: x must be a number",
		"1e11*opt.jaws*10": "beyond the limit",
	} {
		x, err := e.Number(plant.Formula(formula))
		if err != nil {
			t.Errorf("%s: %v", formula, err)
			continue
		}
		_, err = x.Number(sample)
		var f *fault.Fault
		if !errors.As(err, &f) || !strings.Contains(f.Text, want) {
			t.Errorf("%s: got %v; want %q", formula, err, want)
		}
	}
}

func TestNames(t *testing.T) {
	e := engine(t)
	x, err := e.Text("{opt.b}{opt['a-1']}{has(item.q) ? item.q : item.p}{opt.b}")
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(x.Options(), " "); got != "a-1 b" {
		t.Errorf("options %q", got)
	}
	if got := strings.Join(x.Attributes(), " "); got != "p" {
		t.Errorf("attributes %q", got)
	}
}
