package web

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"testing"
)

// TestContrast checks the inks against the grounds in both themes: 4.5 to 1 for text and 3 to 1 for the ring of focus, by
// the relative luminance of WCAG 2.2 (success criteria 1.4.3 and 1.4.11).
func TestContrast(t *testing.T) {
	css, err := os.ReadFile("src/css/ink.css")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile(`(?s):root[^{]*\{([^}]*)\}`).FindAllStringSubmatch(string(css), -1)
	if len(blocks) != 3 {
		t.Fatalf("%d themes, want paper, blueprint by the system, blueprint by choice", len(blocks))
	}
	for i, b := range blocks {
		inks := map[string]string{}
		for _, m := range regexp.MustCompile(`--(\w+): (#[0-9a-f]{6});`).FindAllStringSubmatch(b[1], -1) {
			inks[m[1]] = m[2]
		}
		for _, ground := range []string{"ground", "raise", "wash"} {
			for ink, least := range map[string]float64{"ink": 4.5, "soft": 4.5, "pencil": 4.5, "focus": 3} {
				if got := contrast(t, inks[ink], inks[ground]); got < least {
					t.Errorf("theme %d: %s on %s has contrast %.2f, less than %.1f", i, ink, ground, got, least)
				}
			}
		}
	}
}

func contrast(t *testing.T, a, b string) float64 {
	x, y := luminance(t, a), luminance(t, b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	if len(hex) != 7 {
		t.Fatalf("colour %q", hex)
	}
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseInt(hex[1+2*i:3+2*i], 16, 32)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}
