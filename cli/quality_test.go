package cli

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

var (
	update = flag.Bool("update", false, "write bench/quality.tsv anew: its quick rows, or with -all all of them")
	all    = flag.Bool("all", false, "all rows of bench/quality.tsv, not only the quick ones (minutes)")
)

// TestQuality searches published instances with a fixed work budget, seed 1 and one worker, so that the result is the same
// everywhere, and compares with bench/quality.tsv: what a change does to the search shows as a diff of that file.
func TestQuality(t *testing.T) {
	reference := ""
	for _, dir := range []string{os.Getenv("TACKLINE_REFERENCE"), "../../shared/reference"} {
		if _, err := os.Stat(filepath.Join(dir, "jobshop")); reference == "" && dir != "" && err == nil {
			reference = dir
		}
	}
	if reference == "" {
		t.Skip("SKIPPED ALOUD: no folder of research instances at ../shared/reference or in TACKLINE_REFERENCE")
	}
	const path = "../bench/quality.tsv"
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimRight(string(text), "\n"), "\n")
	for i, line := range lines {
		row := strings.Split(line, "\t")
		if i == 0 || row[qualityQuick] != "quick" && !*all {
			continue
		}
		now := measured(t, reference, row)
		if now != line && !*update {
			t.Errorf("bench/quality.tsv\n  says %s\n  now  %s\n  (go test ./cli -run Quality -update writes it anew)", line, now)
		}
		lines[i] = now
	}
	if *update {
		if err := os.WriteFile(path, []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// Columns of bench/quality.tsv.
const (
	qualityKind     = iota // as in tackline bench
	qualitySearch          // own, or plant
	qualityFile            // below the reference folder
	qualityInstance        // in the file
	qualityWork
	qualityQuick // quick: compared by each test
	qualityValue
	qualityKnown
	qualityGap
)

// measured gives a row of the quality file as it is now.
func measured(t *testing.T, reference string, row []string) string {
	t.Helper()
	if len(row) < qualityValue {
		t.Fatalf("bench/quality.tsv: %q has %d columns, expected at least %d", row, len(row), qualityValue)
	}
	work, err := strconv.Atoi(row[qualityWork])
	if err != nil || work < 1 {
		t.Fatalf("bench/quality.tsv: work %q of %s is no number above 0", row[qualityWork], row[qualityInstance])
	}
	f := &benchFlags{workers: 1, seed: 1, work: int64(work), every: 1, plant: row[qualitySearch] == "plant"}
	file := filepath.Join(reference, row[qualityFile])
	for _, name := range []string{"bounds.tsv", "optima.tsv", "best.tsv"} {
		if _, err := os.Stat(filepath.Join(filepath.Dir(file), name)); err == nil {
			f.bounds = filepath.Join(filepath.Dir(file), name)
		}
	}
	known, err := knownValues(f.bounds)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range benchKinds {
		if k.name != row[qualityKind] {
			continue
		}
		trials, err := readTrials(file, &k, f)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range trials {
			if x.name == row[qualityInstance] {
				return qualityRow(t, &x, f, row, known)
			}
		}
	}
	t.Fatalf("bench/quality.tsv: there is no %s instance %s in %s", row[qualityKind], row[qualityInstance], row[qualityFile])
	return ""
}

func qualityRow(t *testing.T, x *trial, f *benchFlags, row []string, known map[string]int) string {
	t.Helper()
	found, err := x.search(context.Background(), f)
	if err != nil {
		t.Fatal(err)
	}
	row = append(append([]string{}, row[:qualityValue]...), strconv.Itoa(found.value), "", "")
	if best, has := known[x.name]; has {
		row[qualityKnown] = strconv.Itoa(best)
		if g := gap(found.value, best); g != nil {
			row[qualityGap] = fmt.Sprintf("%.2f", *g)
		}
	}
	return strings.Join(row, "\t")
}
