package formula

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"

	"tackline/fault"
	"tackline/plant"
)

// FuzzCompile: whatever is typed compiles or is refused with a fault, and what compiles gives a bounded value or a fault.
func FuzzCompile(f *testing.F) {
	for _, s := range []string{"12.5", "4*opt.jaws", "jaw-{int(opt.jaws)}c", "weld_minutes(8, item.weld_m*1000, 'robot')", "{{}}", "{'}'}", "((((",
		"[[1]].all(x, x.all(y, y > 0))", "1/0", "opt", "!!!!true", "-9223372036854775808", "9223372036854775807 + 1", "pow(1e11, 1e11)", "'\\u0041'", "a.b.c",
		"has(item.x)", "opt['x'] in [1, 2.0]", "string(1) + 'x'", "min(1,2,3,4,5,6,7,8)", "r'\\d'", "1u", "0x10", "x ? y : z", strings.Repeat("^", 900)} {
		f.Add(s)
	}
	e, err := New()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, s string) {
		isFault := func(err error) {
			var ft *fault.Fault
			if !errors.As(err, &ft) || ft.Kind != fault.Invalid || ft.Text == "" {
				t.Fatalf("%q: %v is not a fault in words", s, err)
			}
		}
		if x, err := e.Number(plant.Formula(s)); err != nil {
			isFault(err)
		} else if n, err := x.Number(sample); err != nil {
			isFault(err)
		} else if math.IsNaN(n) || math.Abs(n) >= Limit {
			t.Fatalf("%q gives %v", s, n)
		} else if trace, err := x.Explain(sample); err != nil || trace.Number != n || trace.String() == "" {
			t.Fatalf("%q: explained %v (%v), worked out %v", s, trace.Number, err, n)
		}
		if x, err := e.Condition(plant.Formula(s)); err != nil {
			isFault(err)
		} else if _, err := x.True(sample); err != nil {
			isFault(err)
		}
		if x, err := e.Text(plant.Pattern(s)); err != nil {
			isFault(err)
		} else if got, err := x.Text(sample); err != nil {
			isFault(err)
		} else if len(got) > maxText {
			t.Fatalf("%q gives %d characters", s, len(got))
		}
	})
}

// TestAttacks: large, deep and looping formulas are refused, quickly enough that the test need not say how quickly.
func TestAttacks(t *testing.T) {
	e := engine(t)
	list := "[" + strings.Repeat("1,", 200) + "1]"
	nested := "1"
	for range 12 {
		nested = list + ".map(x, " + nested + ")"
	}
	for name, s := range map[string]string{
		"long": strings.Repeat("1+", 5000) + "1", "deep": strings.Repeat("(", 400) + "1" + strings.Repeat(")", 400),
		"deep calls": strings.Repeat("abs(", 150) + "1" + strings.Repeat(")", 150),
		"nots":       strings.Repeat("!", 900) + "true", "loops": nested[:900] + strings.Repeat(")", 12), "one loop": "[1, 2].all(x, x > 0) ? 1 : 0",
		"nested loops": "[1].map(a, [1].map(b, [1].map(c, a*b*c)))", "many": strings.Repeat("1+", 450) + "1", "zero byte": "1\x00", "not text": "\xff\xfe",
		"choices": strings.Repeat("true?1:", 140) + "1",
	} {
		if _, err := e.Number(plant.Formula(s)); err == nil {
			t.Errorf("%s: compiled", name)
		}
	}
	long := Env{Opt: map[string]any{"a": strings.Repeat("x", 400)}}
	x, err := e.Text("{opt.a}{opt.a}")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := x.Text(long); err == nil {
		t.Error("a text of 800 characters came out")
	}
}

// TestConcurrent compiles and evaluates from many sides; run with -race to see more.
func TestConcurrent(t *testing.T) {
	e := engine(t)
	var wg sync.WaitGroup
	for g := range 8 {
		wg.Go(func() {
			for i := range 100 {
				x, err := e.Number(plant.Formula(fmt.Sprintf("opt.jaws * %d + item.weld_m", i%10)))
				if err != nil {
					t.Error(err)
					return
				}
				if n, err := x.Number(sample); err != nil || n != 4*float64(i%10)+6.4 {
					t.Errorf("%d: %v, %v", g, n, err)
				}
				if _, err := x.Explain(sample); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
}

// TestFaultsAreOwn: a caller that adds a place to a fault does not change the fault of the next caller.
func TestFaultsAreOwn(t *testing.T) {
	e := engine(t)
	_, err := e.Number("1 +")
	err.(*fault.Fault).Table = "routes"
	_, err = e.Number("1 +")
	if err.(*fault.Fault).Table != "" {
		t.Error("the fault in the cache was changed")
	}
}
