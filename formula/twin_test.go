package formula

import (
	"fmt"
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"tackline/plant"
)

// tree draws an arithmetic expression as text, with its value worked out directly.
func tree(t *rapid.T, depth int) (string, float64) {
	kind := rapid.IntRange(0, 7).Draw(t, "kind")
	if depth == 0 {
		kind %= 3
	}
	switch kind {
	case 0:
		n := rapid.IntRange(0, 1000).Draw(t, "whole")
		return strconv.Itoa(n), float64(n)
	case 1:
		n := float64(rapid.IntRange(0, 100000).Draw(t, "thousandths")) / 1000
		return strconv.FormatFloat(n, 'f', 3, 64), n
	case 2:
		name := rapid.SampledFrom([]string{"opt.jaws", "item.weld_m", "item.mass_kg", "qty"}).Draw(t, "name")
		return name, map[string]float64{"opt.jaws": 4, "item.weld_m": 6.4, "item.mass_kg": 160, "qty": 3}[name]
	}
	a, x := tree(t, depth-1)
	b, y := tree(t, depth-1)
	switch kind {
	case 3:
		return "(" + a + " + " + b + ")", x + y
	case 4:
		return "(" + a + " - " + b + ")", x - y
	case 5:
		return "(" + a + " * " + b + ")", x * y
	case 6:
		return "max(" + a + ", " + b + ")", math.Max(x, y)
	}
	c, z := tree(t, depth-1)
	if x < y {
		return "(" + a + " < " + b + " ? " + c + " : -" + b + ")", z
	}
	return "(" + a + " < " + b + " ? " + c + " : -" + b + ")", -y
}

// TestTwin: formulas agree with the same arithmetic done directly, traced or not.
func TestTwin(t *testing.T) {
	e := engine(t)
	rapid.Check(t, func(t *rapid.T) {
		source, want := tree(t, 4)
		x, err := e.Number(plant.Formula(source))
		if err != nil {
			if len(source) > maxSource || math.Abs(want) >= Limit {
				return
			}
			t.Fatalf("%s: %v", source, err)
		}
		got, err := x.Number(sample)
		if math.Abs(want) >= Limit {
			if err == nil {
				t.Fatalf("%s gives %v, beyond the limit", source, got)
			}
			return
		}
		if err != nil || got != want {
			t.Fatalf("%s = %v, %v; want %v", source, got, err, want)
		}
		if trace, err := x.Explain(sample); err != nil || trace.Number != want {
			t.Fatalf("%s explained %v, %v; want %v", source, trace.Number, err, want)
		}
	})
}

func BenchmarkEvaluate(b *testing.B) {
	e := engine(b)
	for name, source := range map[string]string{"literal": "12.5", "constant": "weld_minutes(8, 2400, 'robot')", "mixed": "max(5, item.weld_m*1000/250 + 4*opt.jaws) + (opt.magnet ? 3 : 0)",
		"weld": "weld_minutes(8, item.weld_m*1000, 'robot')", "drill": "opt.jaws * drill_minutes(20, 60, 25, 0.25)"} {
		b.Run(name, func(b *testing.B) {
			x, err := e.Number(plant.Formula(source))
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := x.Number(sample); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkCompile(b *testing.B) {
	e := engine(b)
	i := 0
	for b.Loop() {
		i++
		if _, err := e.Number(plant.Formula(fmt.Sprintf("weld_minutes(8, item.weld_m*%d, 'robot') + 4*opt.jaws", i))); err != nil {
			b.Fatal(err)
		}
	}
}
