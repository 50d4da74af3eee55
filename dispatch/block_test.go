package dispatch

import "testing"

// The station that clears a block is not said twice.
func TestWhoClearsIsSaidOnce(t *testing.T) {
	for _, c := range []struct {
		b    Block
		want string
	}{
		{Block{What: "waits for tack on Tack bench", Clears: "Tack bench"}, ""},
		{Block{What: "waits for tack", Clears: "planner"}, "planner"},
		{Block{What: "Tack bench is down", Clears: "maintenance"}, "maintenance"},
		{Block{What: "held"}, ""},
	} {
		if got := c.b.By(); got != c.want {
			t.Errorf("%q: cleared by %q, want %q", c.b.What, got, c.want)
		}
	}
}
