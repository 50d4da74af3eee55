package research

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"tackline/schedule/staffed"
)

const littleStaffed = "2 2 3\n2 1 1 2 1 5 3 6 2 1 1 2 4 2 2 1 7 2 8\n0\n"

func TestStaffed(t *testing.T) {
	in, err := Staffed("little", strings.NewReader(littleStaffed))
	if err != nil {
		t.Fatal(err)
	}
	want := &staffed.Instance{Name: "little", Machines: 2, Workers: 3, After: [][]int{nil, {0}}, Job: []int{0, 0}, Place: []int{0, 1},
		Modes: [][]staffed.Mode{{{Machine: 0, Worker: 0, Time: 5}, {Machine: 0, Worker: 2, Time: 6}},
			{{Machine: 0, Worker: 1, Time: 4}, {Machine: 1, Worker: 0, Time: 7}, {Machine: 1, Worker: 1, Time: 8}}}}
	if !reflect.DeepEqual(in, want) {
		t.Errorf("read %+v, want %+v", in, want)
	}
}

// TestStaffedFaults: errors name file, line and number, what was found and what was expected.
func TestStaffedFaults(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"", "f: the file ends here; expected the numbers of jobs, machines and workers"},
		{"1 2\n", "f, line 1: ends early; expected a number of workers"},
		{"1 2 1\n1 1 3 1 1 5\n", "f, line 2, number 3: found \"3\"; expected a machine from 1 to 2"},
		{"1 2 1\n1 1 1 1 2 5\n", "f, line 2, number 5: found \"2\"; expected a worker from 1 to 1"},
		{"1 2 1\n1 1 1 0 2 5\n", "f, line 2, number 4: found \"0\"; expected a number of workers from 1 to 1"},
		{"1 2 1\n1 1 1 1 1 -5\n", "f, line 2, number 6: found \"-5\"; expected a time from 0 to"},
		{"2 2 1\n1 1 1 1 1 5\n", "f, line 2: the file ends here; expected the operations of a job"},
		{"1 2 1\n1 1 1 1 1 5 6\n", "f, line 2, number 7: found \"6\"; expected nothing more on this line"},
	} {
		if _, err := Staffed("f", strings.NewReader(c.text)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q:\n  says  %v\n  wants %s", c.text, err, c.says)
		}
	}
}

func FuzzStaffed(f *testing.F) {
	f.Add([]byte(littleStaffed))
	f.Fuzz(func(t *testing.T, b []byte) {
		in, err := Staffed("fuzz", bytes.NewReader(b))
		if err == nil && in.Check() != nil {
			t.Error("a faulty instance was read")
		}
	})
}

// TestStaffedPublished reaches the best known values of the benchmark of Hutter et al. 2025 (arXiv 2501.16159; bounds.tsv) within a fixed
// number of rounds, and proves that nothing is shorter, also where the list has it open (fattahi5w, mk01w, mk03w, mk08w).
func TestStaffedPublished(t *testing.T) {
	dir := reference(t)
	for _, c := range []struct {
		file  string
		known int
	}{{"fattahi1w", 69}, {"fattahi2w", 111}, {"fattahi4w", 364}, {"fattahi5w", 117}, {"fattahi7w", 386}, {"fattahi9w", 199}, {"fattahi10w", 507},
		{"kacem1w", 11}, {"kacem3w", 7}, {"mk01w", 38}, {"mk03w", 184}, {"mk08w", 483}} {
		f, err := os.Open(filepath.Join(dir, "flexible-jobshop", "workers", c.file+".fjsw"))
		if err != nil {
			t.Fatal(err)
		}
		in, err := Staffed(c.file, f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		r, err := staffed.Solve(context.Background(), in, staffed.Options{Workers: 2, Seed: 1, Rounds: 4})
		if err != nil {
			t.Fatal(err)
		}
		if err := staffed.Verify(in, r.Slots); err != nil {
			t.Error(err)
		}
		if r.Span != c.known || r.Bound != c.known {
			t.Errorf("%s: makespan %d, bound %d; the best known is %d", c.file, r.Span, r.Bound, c.known)
		}
	}
}
