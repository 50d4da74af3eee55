package formula

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"tackline/estimate"
	"tackline/plant"
)

var update = flag.Bool("update", false, "write docs/formulas.md")

const docsPath = "../docs/formulas.md"

const docsIntro = `# Formulas

<!-- Written by: go test ./formula -run TestDocs -update. Edit the functions, not this page. -->

Times, quantities and conditions in the shop book can be plain numbers, such as ` + "`12.5`" + `, or formulas, such as
` + "`8 + 4*opt.jaws`" + `. Formulas are written in the Common Expression Language (CEL), without its loops, and know the
functions on this page.

## What a formula reads

| written | is |
|---|---|
| ` + "`opt.jaws`" + ` | an option of the order line: a number, a text, or yes-no. ` + "`opt['size-code']`" + ` for a name with other signs in it |
| ` + "`item.weld_m`" + ` | an attribute of the item made: a number or a text |
| ` + "`qty`" + ` | the pieces of the job |
| ` + "`has(item.weld_m)`" + ` | yes if the item has the attribute: ` + "`has(item.weld_m) ? item.weld_m : 0`" + ` |

A name that is missing is an error that names it, never a silent 0.

## How it is written

| written | is |
|---|---|
| ` + "`+ - * / %`" + ` | arithmetic; ` + "`%`" + ` is the rest of a division. ` + "`'a' + 'b'`" + ` joins texts |
| ` + "`== != < <= > >=`" + ` | comparison. Only values of one kind compare: ` + "`opt.jaws == 4`" + `, never ` + "`opt.jaws == '4'`" + ` |
| ` + "`&& \\|\\| !`" + ` | and, or, not |
| ` + "`opt.magnet ? 12 : 3`" + ` | 12 if yes, else 3 |
| ` + "`opt.colour in ['red', 'blue']`" + ` | yes if it is one of the list |
| ` + "`opt.form.startsWith('cl')`" + ` | also ` + "`endsWith`" + ` and ` + "`contains`" + ` |
| ` + "`'red'`" + ` | text stands in single or double quotes |

There is one kind of number: 4 and 4.0 are the same, and 7/2 is 3.5. A result must be above -1000000000000 and below
1000000000000. Nothing divides by 0. A formula has at most 1000 characters, and no loops, so it always ends at once.

**Patterns** are texts with formulas in braces: ` + "`jaw-{opt.jaws}c`" + ` gives jaw-4c. Whole numbers have no decimals, others up to six;
yes-no values are written yes or no. ` + "`{{` and `}}`" + ` are the braces themselves.

**Values in square brackets** below may be left out; the last column says what is meant then. Every page that shows a time
can show its arithmetic: what was read, each function with its values, and its source. Results are for planning. Where one could
hurt someone, the caution stands beside it; local codes and licensed practice come first.
`

func writeDocs() string {
	var b strings.Builder
	b.WriteString(docsIntro)
	for _, s := range sections() {
		fmt.Fprintf(&b, "\n## %s\n", s.title)
		if s.title == "Welding" {
			writeProcesses(&b)
		}
		for i := range s.functions {
			writeFunction(&b, &s.functions[i])
		}
	}
	return b.String()
}

func writeProcesses(b *strings.Builder) {
	b.WriteString("\nProcesses and what they mean where a formula does not say more. A plant replaces the numbers by what it measures.\n\n")
	b.WriteString("| process | kg/h | arc-on % | meaning | source |\n|---|---|---|---|---|\n")
	for _, p := range estimate.WeldProcesses() {
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s |\n", p.Name, formatNumber(p.Deposition), formatNumber(p.ArcOn*100), p.Meaning, p.Source)
	}
}

func writeFunction(b *strings.Builder, f *Function) {
	fmt.Fprintf(b, "\n### %s%s\n\nGives %s.\n", f.Name, f.Call(), f.Gives)
	if f.Rule != "" {
		fmt.Fprintf(b, "\nRule: %s\n", f.Rule)
	}
	if f.Source != "" {
		fmt.Fprintf(b, "\nSource: %s\n", f.Source)
	}
	if !f.repeats() {
		b.WriteString("\n| value | unit | meaning | if left out |\n|---|---|---|---|\n")
		for _, a := range f.Args {
			fmt.Fprintf(b, "| %s | %s | %s | %s |\n", a.Name, a.Unit, a.Meaning, leftOut(a))
		}
	}
	fmt.Fprintf(b, "\nExample: `%s`%s\n", f.Example, exampleResult(f))
	if f.Caution != "" {
		fmt.Fprintf(b, "\n> Caution. %s\n", f.Caution)
	}
}

func leftOut(a Arg) string {
	switch {
	case !a.Optional:
		return "must be given"
	case a.Unsaid != "":
		return a.Unsaid
	}
	return a.Default.String()
}

// exampleResult gives the value of an example that reads nothing.
func exampleResult(f *Function) string {
	e, err := New()
	if err != nil {
		return ""
	}
	x, err := e.Text(plant.Pattern("{" + f.Example + "}"))
	if err != nil || !x.fixed {
		return ""
	}
	trace, err := x.Explain(Env{})
	if err != nil {
		return ""
	}
	if len(trace.Calls) == 1 {
		return " gives " + trace.Calls[0].Result.people()
	}
	return " gives " + trace.Result
}

func TestDocsAreCurrent(t *testing.T) {
	want := writeDocs()
	if *update {
		if err := os.WriteFile(docsPath, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(docsPath)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Error("docs/formulas.md is not what the functions say; run: go test ./formula -run TestDocs -update")
	}
}

// TestFunctionsAreTold keeps every function explained, and every example working.
func TestFunctionsAreTold(t *testing.T) {
	e := engine(t)
	rich := Env{Opt: map[string]any{"jaws": 4.0, "reach_m": 4.0, "size": "80"}, Qty: 1, Item: map[string]any{"mass_kg": 160.0, "length_mm": 700.0,
		"offset_mm": -3.0, "diameter_mm": 80.0, "area_m2": 4.0, "weld_m": 6.4}}
	for _, f := range Functions() {
		if f.Gives == "" || f.Example == "" || !strings.Contains(f.Example, f.Name+"(") {
			t.Errorf("%s: told too little", f.Name)
		}
		x, err := e.Text(plant.Pattern("{" + f.Example + "}"))
		if err != nil {
			t.Errorf("%s: %s: %v", f.Name, f.Example, err)
			continue
		}
		if _, err := x.Text(rich); err != nil {
			t.Errorf("%s: %s: %v", f.Name, f.Example, err)
		}
		if f.Source != "" && f.Rule == "" {
			t.Errorf("%s: no rule", f.Name)
		}
		for _, a := range f.Args {
			if a.Name == "" || a.Meaning == "" {
				t.Errorf("%s: an argument without name or meaning", f.Name)
			}
		}
	}
}
