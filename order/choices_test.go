package order

import (
	"maps"
	"testing"

	"pgregory.net/rapid"
)

func TestChoices(t *testing.T) {
	m, err := Choices(" jaws = 4;form=closed ;; colour=").Parse()
	if err != nil || !maps.Equal(m, map[string]string{"jaws": "4", "form": "closed", "colour": ""}) {
		t.Errorf("%v, %v", m, err)
	}
	for _, text := range []Choices{"jaws", "=4", "jaws=4; jaws=5"} {
		if m, err := text.Parse(); err == nil {
			t.Errorf("%q reads as %v", text, m)
		}
	}
}

func TestChoicesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.MapOf(rapid.StringMatching(`[a-z_]{1,8}`), rapid.StringMatching(`[a-z0-9.]{0,8}`)).Draw(t, "choices")
		back, err := ChoicesOf(m).Parse()
		if err != nil || !maps.Equal(m, back) {
			t.Fatalf("%v written %q reads back as %v, %v", m, ChoicesOf(m), back, err)
		}
	})
}

func FuzzChoices(f *testing.F) {
	f.Add("jaws=4; form=closed")
	f.Fuzz(func(t *testing.T, s string) {
		m, err := Choices(s).Parse()
		if err != nil {
			return
		}
		if back, err := ChoicesOf(m).Parse(); err != nil || len(back) != len(m) {
			t.Fatalf("%q reads as %v, written and read again %v (%v)", s, m, back, err)
		}
	})
}
