package assume_test

import (
	"os"
	"strings"
	"testing"

	"tackline/assume"
)

// TestDocs keeps the table of kinds in docs/planning.md whole.
func TestDocs(t *testing.T) {
	text, err := os.ReadFile("../docs/planning.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range assume.Shapes() {
		_, after, ok := strings.Cut(string(text), "\n| `"+string(s.Kind)+"` |")
		line, _, _ := strings.Cut(after, "\n")
		if !ok {
			t.Errorf("kind %s is not in docs/planning.md", s.Kind)
		}
		for _, name := range append(append([]string{}, s.Need...), s.May...) {
			if !strings.Contains(line, "`"+name+"`") {
				t.Errorf("docs/planning.md does not name the field %s of %s", name, s.Kind)
			}
		}
	}
}
