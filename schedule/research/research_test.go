package research

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tackline/schedule/disjunct"
)

// reference finds the folder of open research data: beside the project, or where TACKLINE_REFERENCE says.
func reference(t *testing.T) string {
	t.Helper()
	for _, dir := range []string{os.Getenv("TACKLINE_REFERENCE"), "../../../shared/reference"} {
		if _, err := os.Stat(filepath.Join(dir, "jobshop")); dir != "" && err == nil {
			return dir
		}
	}
	t.Skip("SKIPPED ALOUD: no folder of research instances at ../shared/reference or in TACKLINE_REFERENCE")
	return ""
}

// TestPublishedOptima reaches proved optima of small published instances (values: bounds.tsv of each folder, with their
// sources) within a fixed number of rounds.
func TestPublishedOptima(t *testing.T) {
	dir := reference(t)
	for _, c := range []struct {
		file string
		want int
	}{{"jobshop/ft06.txt", 55}, {"jobshop/la01.txt", 666}, {"jobshop/la06.txt", 926}, {"jobshop/la11.txt", 1222},
		{"flexible-jobshop/mk01.fjs", 40}, {"flexible-jobshop/mk03.fjs", 204}, {"flexible-jobshop/mk08.fjs", 523}, {"flexible-jobshop/la16_vdata.fjs", 717},
		{"assembly-project/assembly-job-shop/DAFJS03.txt", 576}, {"assembly-project/assembly-job-shop/DAFJS01.txt", 257}} {
		f, err := os.Open(filepath.Join(dir, c.file))
		if err != nil {
			t.Fatal(err)
		}
		read := JobShop
		switch {
		case strings.HasSuffix(c.file, ".fjs"):
			read = Flexible
		case strings.HasPrefix(c.file, "assembly"):
			read = Assembly
		}
		in, err := read(c.file, f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		r, err := disjunct.Solve(context.Background(), in, disjunct.Options{Workers: 2, Seed: 1, Rounds: 10})
		if err != nil {
			t.Fatal(err)
		}
		if err := disjunct.Verify(in, r.Slots); err != nil {
			t.Error(err)
		}
		if r.Span != c.want || r.Bound > c.want {
			t.Errorf("%s: makespan %d, bound %d; the optimum is %d", c.file, r.Span, r.Bound, c.want)
		}
	}
}

func TestFaults(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"empty", "", "ends early"},
		{"no machines", "3", "number of machines"},
		{"too few jobs", "3 2\n0 1 1 2\n", "1 lines of jobs"},
		{"unknown machine", "1 2\n0 1 2 2\n", "machine from 0 to 1"},
		{"a word", "1 2\n0 one 1 2\n", `"one"`},
	} {
		if _, err := JobShop(c.name, strings.NewReader(c.text)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q in it", c.name, err, c.says)
		}
	}
	for _, c := range []struct{ name, text, says string }{
		{"early end", "1 2 1\n2 1 1 5 1\n", "ends early"},
		{"machine from 1", "1 2 1\n1 1 0 5\n", "machine from 1 to 2"},
		{"no options", "1 2 1\n1 0\n", "number of machines from 1"},
	} {
		if _, err := Flexible(c.name, strings.NewReader(c.text)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q in it", c.name, err, c.says)
		}
	}
}

func FuzzJobShop(f *testing.F) {
	f.Add([]byte("2 2\n0 1 1 2\n1 3 0 4\n"))
	f.Fuzz(func(t *testing.T, b []byte) { _, _ = JobShop("fuzz", bytes.NewReader(b)) })
}

func FuzzFlexible(f *testing.F) {
	f.Add([]byte("1 2 1.5\n2 1 1 5 2 1 3 2 4\n"))
	f.Fuzz(func(t *testing.T, b []byte) { _, _ = Flexible("fuzz", bytes.NewReader(b)) })
}

func FuzzAssembly(f *testing.F) {
	f.Add([]byte("2 1 2\n0 1\n1 0 5\n2 0 3 1 4\n"))
	f.Fuzz(func(t *testing.T, b []byte) { _, _ = Assembly("fuzz", bytes.NewReader(b)) })
}
