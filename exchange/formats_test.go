package exchange

import (
	"os"
	"strings"
	"testing"

	"tackline/book"
)

const formatsPage = "../docs/formats.md"

// TestFormatsPage fails if docs/formats.md does not say what the code does; -update writes it anew.
func TestFormatsPage(t *testing.T) {
	if *update {
		if err := os.MkdirAll("../docs", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(formatsPage, []byte(Formats()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	page, err := os.ReadFile(formatsPage)
	if err != nil {
		t.Fatal(err)
	}
	if string(page) != Formats() {
		t.Error("docs/formats.md is stale: go test ./exchange -run Formats -update")
	}
}

// TestFormatsSayEverything: every column has a meaning, and every row of a table has as many cells as its header.
func TestFormatsSayEverything(t *testing.T) {
	for _, table := range book.Tables() {
		for _, c := range table.Columns {
			if c.Note == "" {
				t.Errorf("%s.%s has no note", table.Name, c.Name)
			}
		}
	}
	width := 0
	for n, line := range strings.Split(Formats(), "\n") {
		if !strings.HasPrefix(line, "|") {
			width = 0
			continue
		}
		cells := strings.Count(strings.ReplaceAll(line, "\\|", ""), "|")
		if width == 0 {
			width = cells
		}
		if cells != width {
			t.Errorf("line %d has %d cells, want %d: %s", n+1, cells-1, width-1, line)
		}
	}
}
