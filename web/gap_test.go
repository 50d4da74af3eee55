package web

import (
	"testing"

	"tackline/schedule"
)

// TestScoreFacts: terms stand beside what no plan is below, and the gap is told in words.
func TestScoreFacts(t *testing.T) {
	sc := schedule.Score{Lateness: 150_00, Setups: 250_00, Total: 400_00, Bound: 250_00,
		Least: schedule.Least{Lateness: 50_00, Setups: 200_00, Total: 250_00}}
	got := map[string]cell{}
	for _, f := range scoreFacts(sc, 3, "EUR") {
		got[f.Name] = f.cell
	}
	for name, want := range map[string]string{"Lateness": "EUR 150.00, no plan below 50.00", "Setups": "EUR 250.00, no plan below 200.00",
		"Overtime": "EUR 0.00", "Cost, EUR": "no plan below 250.00", "Gap": "a better plan would save at most so much of the cost"} {
		if got[name].Under != want {
			t.Errorf("%s: %q, want %q", name, got[name].Under, want)
		}
	}
	if got["Gap"].Text != "37.5 %" {
		t.Errorf("gap %q, want 37.5 %%", got["Gap"].Text)
	}
	sc.Bound = sc.Total
	if w := gapWords(sc); w != "no plan is cheaper" {
		t.Errorf("no gap: %q", w)
	}
}
