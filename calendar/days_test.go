package calendar

import (
	"strings"
	"testing"
)

func TestParseDays(t *testing.T) {
	tests := []struct{ in, want string }{ // want: a letter a day, Sunday first
		{"mon-fri", "-MTWTF-"},
		{"sat", "------S"},
		{"mon,wed,fri", "-M-W-F-"},
		{"all", "SMTWTFS"},
		{"fri-mon", "SM---FS"},
		{" Mon - Tue , SUN ", "SMT----"},
		{"sun-sat", "SMTWTFS"},
		{"mon-mon", "-M-----"},
	}
	for _, tt := range tests {
		got, err := ParseDays(tt.in)
		if err != nil || letters(got) != tt.want {
			t.Errorf("%q: got %s, %v; want %s", tt.in, letters(got), err, tt.want)
		}
	}
	for _, in := range []string{"", "mon,", "monday", "mon-", "-mon", "mon-tue-wed", "all-mon", "mon tue"} {
		if _, err := ParseDays(in); err == nil || !strings.Contains(err.Error(), "days such as mon-fri") {
			t.Errorf("%q: got %v, want what was expected", in, err)
		}
	}
}

func letters(days [7]bool) string {
	b := []byte("SMTWTFS")
	for i, on := range days {
		if !on {
			b[i] = '-'
		}
	}
	return string(b)
}

// Whatever is accepted names at least one day, and its days written one by one read back to the same.
func FuzzParseDays(f *testing.F) {
	for _, s := range []string{"mon-fri", "sat", "mon,wed,fri", "all", "fri-mon", "", ",", "mon--fri", "ſat"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		days, err := ParseDays(s)
		if err != nil {
			return
		}
		var names []string
		for i, on := range days {
			if on {
				names = append(names, dayNames[i])
			}
		}
		if again, err := ParseDays(strings.Join(names, ",")); len(names) == 0 || err != nil || again != days {
			t.Errorf("%q gives %v, written %v gives %v, %v", s, days, names, again, err)
		}
	})
}
