package research

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/disjunct"
	"tackline/schedule/search"
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

// read gives a case of the reference folder.
func read(t *testing.T, path string, reader func(string, io.Reader) (*Case, error)) *Case {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, err := reader(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)), f)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestOptimalSequences: the proved optimal sequences of one machine with set-ups (Tanaka and Araki, Computers & Operations
// Research 40, 2013) cost in the plant's model what the paper says.
func TestOptimalSequences(t *testing.T) {
	dir := filepath.Join(reference(t), "setups-and-tardiness/single-machine-setups")
	table, err := os.ReadFile(filepath.Join(dir, "optima.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimSpace(string(table)), "\n")[1:] {
		cells := strings.Split(line, "\t")
		p := read(t, filepath.Join(dir, cells[0]+".txt"), SingleSetups).Problem
		plan := &schedule.Plan{Slots: make([]schedule.Slot, len(p.Ops)), Status: schedule.Complete}
		now, family := p.Now, p.Stations[0].Family
		for _, word := range strings.Fields(cells[len(cells)-1]) {
			j, _ := strconv.Atoi(word)
			o := &p.Ops[j]
			s := schedule.Slot{Setup: now, Load: now.Add(p.Centres[0].Changeover[family][o.Family])}
			s.Run, family = s.Load, o.Family
			now = s.Run.Add(o.Can[0].Run)
			s.Unload, s.End = now, now
			plan.Slots[j] = s
		}
		if broken := schedule.Check(p, plan); len(broken) > 0 {
			t.Errorf("%s: %s", cells[0], broken[0].Text)
		}
		if got, want := schedule.Measure(p, plan).Total, cells[5]; strconv.Itoa(int(got)) != want {
			t.Errorf("%s: the optimal sequence costs %d, published %s", cells[0], got, want)
		}
	}
}

// TestPlantSearch searches one instance of each further set as the plant is searched: the plan is right, costs no less than
// the bound and the proved optimum (bounds.tsv and optima.tsv of each folder), and no absurd amount more.
func TestPlantSearch(t *testing.T) {
	dir := reference(t)
	for _, c := range []struct {
		file   string
		read   func(string, io.Reader) (*Case, error)
		lo, hi plant.Money
	}{
		{"assembly-project/rcpsp/j30_1_1.rcp", Project, 43, 50},
		{"assembly-project/rcpsp/j30_2_2.rcp", Project, 51, 60},
		{"assembly-project/multi-project/mplib1-set3-961.txt", Portfolio, 606, 700},
		{"assembly-project/hybrid-flow-shop/hfs0061.txt", HybridFlowShop, 1026, 1300},
		{"setups-and-tardiness/flow-shop-setups/sdst010-ta001.txt", FlowShopSetups, 1200, 1700}, // jobs may overtake here: below 1330 is allowed
		{"setups-and-tardiness/single-machine-setups/wtsds001.txt", SingleSetups, 453, 6000},
		{"setups-and-tardiness/single-machine-setups-total-tardiness/prob505.txt", SingleSetups, 0, 600},
		{"setups-and-tardiness/job-shop-total-tardiness/p01tt.txt", JobShopTardiness, 946, 1500},
		{"jobshop/ft06.txt", shopOf(JobShop), 55, 66},
		{"flexible-jobshop/mk01.fjs", shopOf(Flexible), 40, 50},
		{"assembly-project/assembly-job-shop/YFJS01.txt", shopOf(Assembly), 773, 900},
	} {
		instance := read(t, filepath.Join(dir, c.file), c.read)
		p := instance.Problem
		plan, err := search.Run(context.Background(), p, search.Options{Seed: 1, Workers: 1, Work: 60_000})
		if err != nil {
			t.Fatalf("%s: %v", c.file, err)
		}
		if broken := schedule.Check(p, plan); len(broken) > 0 {
			t.Errorf("%s: %s", c.file, broken[0].Text)
		}
		for _, x := range plan.Slots { // so that the plan can be written in units of the instance
			if int(x.Load)%int(instance.Unit) != 0 || int(x.End)%int(instance.Unit) != 0 {
				t.Errorf("%s: work from %d to %d, a unit of time is %d", c.file, x.Load, x.End, instance.Unit)
				break
			}
		}
		s := schedule.Measure(p, plan)
		if s.Total < c.lo || s.Total > c.hi || s.Total < s.Bound || s.Bound > c.hi {
			t.Errorf("%s: cost %d, bound %d; expected %d to %d", c.file, s.Total, s.Bound, c.lo, c.hi)
		}
		t.Logf("%s: %d, bound %d", c.file, s.Total, s.Bound)
	}
}

// shopOf reads a bare shop as a problem of the plant.
func shopOf(read func(string, io.Reader) (*disjunct.Instance, error)) func(string, io.Reader) (*Case, error) {
	return func(name string, r io.Reader) (*Case, error) {
		in, err := read(name, r)
		if err != nil {
			return nil, err
		}
		return Shop(in), nil
	}
}
