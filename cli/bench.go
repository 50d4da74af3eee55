package cli

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tackline/fault"
	"tackline/schedule/disjunct"
	"tackline/schedule/research"
)

// benchFlags are the flags of bench.
type benchFlags struct {
	seconds          float64
	workers          int
	seed             uint64
	json             bool
	schedule, bounds string
}

func (a *app) benchCommand() *cobra.Command {
	c := &cobra.Command{Use: "bench", Short: "Measure the search on published research instances", Args: cobra.NoArgs, RunE: needVerb,
		Long: `Reads instances in the plain formats of the scheduling literature, searches each, proves the
plan found, and prints one line an instance: size, makespan, lower bound, best known value
and the gap to it.`}
	var f benchFlags
	kinds := []struct {
		use, short, example string
		read                func(string, io.Reader) (*disjunct.Instance, error)
	}{
		{"jobshop FILE...", "Job shops: makespan", "  tackline bench jobshop ta*.txt --bounds bounds.tsv --seconds 60", research.JobShop},
		{"flexible FILE...", "Flexible job shops: makespan", "  tackline bench flexible mk*.fjs --bounds bounds.tsv --schedule out", research.Flexible},
		{"assembly FILE...", "Assembly job shops (branches that join): makespan", "  tackline bench assembly YFJS*.txt --bounds bounds.tsv", research.Assembly},
	}
	for _, k := range kinds {
		sub := &cobra.Command{Use: k.use, Short: k.short, Example: k.example, Args: cobra.MinimumNArgs(1),
			RunE: func(c *cobra.Command, files []string) error { return a.bench(c, files, f, k.read) }}
		sub.Flags().Float64Var(&f.seconds, "seconds", 60, "wall time for each instance")
		sub.Flags().IntVar(&f.workers, "workers", 2, "searches side by side")
		sub.Flags().Uint64Var(&f.seed, "seed", 1, "seed")
		sub.Flags().BoolVar(&f.json, "json", false, "print a JSON object a line")
		sub.Flags().StringVar(&f.schedule, "schedule", "", "folder to write schedules to, a CSV for each instance")
		sub.Flags().StringVar(&f.bounds, "bounds", "", "TSV with the columns instance, lower_bound, upper_bound: the best known values")
		c.AddCommand(sub)
	}
	return c
}

// benchLine is the result of one instance.
type benchLine struct {
	Instance   string  `json:"instance"`
	Jobs       int     `json:"jobs"`
	Machines   int     `json:"machines"`
	Operations int     `json:"operations"`
	Makespan   int     `json:"makespan"`
	Bound      int     `json:"lower_bound"`
	Known      int     `json:"best_known,omitempty"`
	Gap        float64 `json:"gap_percent"` // to the best known value, else to the bound
	Seconds    float64 `json:"seconds"`
}

func (a *app) bench(c *cobra.Command, files []string, f benchFlags, read func(string, io.Reader) (*disjunct.Instance, error)) error {
	known, err := readBounds(f.bounds)
	if err != nil {
		return err
	}
	if !f.json {
		fmt.Fprintf(a.out, "%-16s %6s %8s %10s %9s %9s %9s %7s %8s\n", "instance", "jobs", "machines", "operations", "makespan", "bound", "known", "gap %", "seconds")
	}
	var sum, worst float64
	for _, file := range files {
		line, err := a.benchOne(c, file, f, read, known)
		if err != nil {
			return err
		}
		sum, worst = sum+line.Gap, max(worst, line.Gap)
		if f.json {
			err = json.NewEncoder(a.out).Encode(line)
		} else {
			_, err = fmt.Fprintf(a.out, "%-16s %6d %8d %10d %9d %9d %9s %7.2f %8.1f\n", line.Instance, line.Jobs, line.Machines, line.Operations, line.Makespan, line.Bound,
				orDash(line.Known), line.Gap, line.Seconds)
		}
		if err != nil {
			return err
		}
	}
	if !f.json && len(files) > 1 {
		fmt.Fprintf(a.out, "%d instances, mean gap %.2f %%, worst %.2f %%\n", len(files), sum/float64(len(files)), worst)
	}
	return nil
}

func orDash(n int) string {
	if n == 0 {
		return "-"
	}
	return strconv.Itoa(n)
}

func (a *app) benchOne(c *cobra.Command, file string, f benchFlags, read func(string, io.Reader) (*disjunct.Instance, error), known map[string]int) (*benchLine, error) {
	r, err := os.Open(file)
	if err != nil {
		return nil, fault.New(fault.NotFound, "%s cannot be opened", file)
	}
	defer r.Close()
	name := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
	in, err := read(name, r)
	if err != nil {
		return nil, err
	}
	res, err := disjunct.Solve(c.Context(), in, disjunct.Options{Seconds: f.seconds, Workers: f.workers, Seed: f.seed})
	if err != nil {
		return nil, err
	}
	if err := disjunct.Verify(in, res.Slots); err != nil {
		return nil, fmt.Errorf("%s: the plan found is wrong: %w", name, err)
	}
	line := &benchLine{Instance: name, Jobs: in.Job[len(in.Job)-1] + 1, Machines: in.Machines, Operations: len(in.Options), Makespan: res.Span, Bound: res.Bound,
		Known: known[name], Seconds: res.Seconds}
	against := line.Known
	if against == 0 {
		against = line.Bound
	}
	if against > 0 {
		line.Gap = 100 * float64(line.Makespan-against) / float64(against)
	}
	if f.schedule != "" {
		return line, writeSchedule(filepath.Join(f.schedule, name+".csv"), in, res.Slots)
	}
	return line, nil
}

// writeSchedule writes job, operation, machine, start and end, all numbered from 0, so that anyone can check the plan.
func writeSchedule(to string, in *disjunct.Instance, slots []disjunct.Slot) error {
	return writeFile(to, func(f *os.File) error {
		w := csv.NewWriter(f)
		rows := [][]string{{"job", "operation", "machine", "start", "end"}}
		for o, s := range slots {
			rows = append(rows, []string{strconv.Itoa(in.Job[o]), strconv.Itoa(in.Place[o]), strconv.Itoa(s.Machine), strconv.Itoa(s.Start), strconv.Itoa(s.End)})
		}
		return w.WriteAll(rows)
	})
}

// readBounds reads the best known values by instance.
func readBounds(file string) (map[string]int, error) {
	known := map[string]int{}
	if file == "" {
		return known, nil
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, fault.New(fault.NotFound, "%s cannot be opened", file)
	}
	lines := strings.Split(string(text), "\n")
	at := map[string]int{}
	for i, name := range strings.Split(strings.TrimSpace(lines[0]), "\t") {
		at[name] = i
	}
	instance, ok1 := at["instance"]
	upper, ok2 := at["upper_bound"]
	if !ok2 {
		upper, ok2 = at["reported_optimum"]
	}
	if !ok1 || !ok2 {
		return nil, &fault.Fault{Kind: fault.Invalid, Table: filepath.Base(file), Row: 1, Expected: "the columns instance and upper_bound"}
	}
	for _, l := range lines[1:] {
		cells := strings.Split(l, "\t")
		if len(cells) > max(instance, upper) {
			known[cells[instance]], _ = strconv.Atoi(cells[upper])
		}
	}
	return known, nil
}
