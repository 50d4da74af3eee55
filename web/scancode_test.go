package web

import (
	"fmt"
	"strings"
	"testing"

	"github.com/boombuler/barcode/qr"

	"tackline/floor"
)

// darkOf reads the path of a code back: which modules are dark.
func darkOf(t *testing.T, c scanCode) map[[2]int]bool {
	t.Helper()
	dark := map[[2]int]bool{}
	for _, run := range strings.Split(strings.TrimPrefix(c.D, "M"), "M") {
		var x, y, n, back int
		if _, err := fmt.Sscanf(run, "%d %dh%dv1h-%dz", &x, &y, &n, &back); err != nil || n != back || n < 1 {
			t.Fatalf("the run %q: %v", run, err)
		}
		for i := range n {
			dark[[2]int{x + i, y}] = true
		}
	}
	return dark
}

// TestBars reads the bars of a badge with the table of ISO/IEC 15417, of which it holds the rows that it needs (widths of bars and
// spaces, from memory): start B, the stop, and letters whose values check the symbol's own sum.
func TestBars(t *testing.T) {
	c, err := bars("P:p-101~X")
	if err != nil || c.Square {
		t.Fatal(err)
	}
	dark := darkOf(t, c)
	wide := 0
	for at := range dark {
		wide = max(wide, at[0]+1)
	}
	var line strings.Builder
	for x := range wide + barQuiet {
		line.WriteByte("01"[map[bool]int{true: 1}[dark[[2]int{x, 0}]]])
	}
	got := line.String()
	quiet := strings.Repeat("0", barQuiet)
	if !strings.HasPrefix(got, quiet+"11010010000") { // start B
		t.Errorf("begins %s", got[:30])
	}
	if !strings.HasSuffix(got, "1100011101011"+quiet) { // stop
		t.Errorf("ends %s", got[len(got)-30:])
	}
	if want := fmt.Sprintf("0 0 %d 1", len(got)); c.Box != want {
		t.Errorf("the drawing is %s, want %s", c.Box, want)
	}
	if (len(got)-2*barQuiet-13)%11 != 0 {
		t.Errorf("%d modules are no whole number of letters", len(got)-2*barQuiet)
	}
	if p := got[barQuiet+11 : barQuiet+22]; p != "11101110110" { // P
		t.Errorf("the first letter is %s", p)
	}
}

func TestSquare(t *testing.T) {
	text := floor.Code(floor.CodeStation, "tack-1")
	c, err := square(text, squareModule)
	if err != nil {
		t.Fatal(err)
	}
	b, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		t.Fatal(err)
	}
	dark, n := darkOf(t, c), b.Bounds().Dx()
	for y := range n {
		for x := range n {
			r, _, _, _ := b.At(x, y).RGBA()
			if dark[[2]int{x + squareQuiet, y + squareQuiet}] != (r == 0) {
				t.Fatalf("module %d, %d is drawn wrongly", x, y)
			}
			delete(dark, [2]int{x + squareQuiet, y + squareQuiet})
		}
	}
	if len(dark) > 0 {
		t.Errorf("%d dark modules in the quiet zone", len(dark))
	}
}

// TestBarsGiveWay: what bars cannot say, or not on a badge, is a square.
func TestBarsGiveWay(t *testing.T) {
	for _, text := range []string{"P:Zoë~A", "P:" + strings.Repeat("long-name-", 6) + "~A"} {
		if c, err := bars(text); err != nil || !c.Square {
			t.Errorf("%s: %v, %v", text, c.Square, err)
		}
	}
	if _, err := square(strings.Repeat("x", 10_000), 1); err == nil {
		t.Error("a text that no code holds was drawn")
	}
}

func FuzzScanCode(f *testing.F) {
	for _, s := range []string{"", "P:p-101~X", "\x00", "Zoë", strings.Repeat("1", 200), "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := bars(s)
		if err == nil && (c.D == "" || c.Text != s) {
			t.Errorf("%q: drawn as %q", s, c.Text)
		}
	})
}
