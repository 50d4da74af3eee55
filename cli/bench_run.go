package cli

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"tackline/fault"
	"tackline/schedule"
	"tackline/schedule/disjunct"
	"tackline/schedule/research"
	"tackline/schedule/search"
)

// trial is one instance, ready to be searched.
type trial struct {
	name                       string
	jobs, machines, operations int
	search                     func(context.Context, *benchFlags) (*outcome, error)
}

// outcome is a proved plan of an instance.
type outcome struct {
	value, bound int
	rows         [][]int // job, operation, machine, start, end; and the worker where there are any
}

// bareTrial searches a bare shop.
func bareTrial(in *disjunct.Instance) trial {
	jobs := 0
	for _, j := range in.Job {
		jobs = max(jobs, j+1)
	}
	return trial{in.Name, jobs, in.Machines, len(in.Options), func(ctx context.Context, f *benchFlags) (*outcome, error) {
		r, err := disjunct.Solve(ctx, in, disjunct.Options{Seconds: f.seconds, Workers: f.workers, Seed: f.seed, Rounds: int(f.work)})
		if err != nil {
			return nil, err
		}
		if err := disjunct.Verify(in, r.Slots); err != nil {
			return nil, fmt.Errorf("%s: the plan found is wrong: %w", in.Name, err)
		}
		out := &outcome{value: r.Span, bound: r.Bound}
		for o, s := range r.Slots {
			out.rows = append(out.rows, []int{in.Job[o], in.Place[o], s.Machine, s.Start, s.End})
		}
		return out, nil
	}}
}

// plantTrial searches an instance as the plant is searched.
func plantTrial(c *research.Case) trial {
	operations := 0
	for _, j := range c.Job {
		if j >= 0 {
			operations++
		}
	}
	return trial{c.Name, c.Jobs, c.Machines, operations, func(ctx context.Context, f *benchFlags) (*outcome, error) {
		plan, err := search.Run(ctx, c.Problem, search.Options{Seconds: f.seconds, Workers: f.workers, Seed: f.seed, Work: f.work})
		if err != nil {
			return nil, err
		}
		if broken := schedule.Check(c.Problem, plan); len(broken) > 0 {
			return nil, fmt.Errorf("%s: the plan found is wrong: rule %s: %s", c.Name, broken[0].Rule, broken[0].Text)
		}
		if plan.Status != schedule.Complete {
			return nil, fmt.Errorf("%s: no complete plan was found: the plan is %s", c.Name, plan.Status)
		}
		score := schedule.Measure(c.Problem, plan)
		out := &outcome{value: int(score.Total), bound: int(score.Bound)}
		for o, s := range plan.Slots {
			if c.Job[o] >= 0 {
				out.rows = append(out.rows, []int{c.Job[o], c.Place[o], s.Station, int(s.Load) / int(c.Unit), int(s.End) / int(c.Unit)})
			}
		}
		return out, nil
	}}
}

// readTrials reads the instances of a file.
func readTrials(file string, k *benchKind, f *benchFlags) ([]trial, error) {
	r, err := os.Open(file)
	if err != nil {
		return nil, fault.New(fault.NotFound, "%s cannot be opened", file)
	}
	defer r.Close()
	trials, err := k.read(filepath.Base(file), r, f)
	for i := range trials { // instances bear the name of the file without its ending
		trials[i].name = strings.Replace(trials[i].name, filepath.Ext(file), "", 1)
	}
	return trials, err
}

// knownValues reads the best known values by instance; none without a file.
func knownValues(file string) (map[string]int, error) {
	if file == "" {
		return nil, nil
	}
	r, err := os.Open(file)
	if err != nil {
		return nil, fault.New(fault.NotFound, "%s cannot be opened", file)
	}
	defer r.Close()
	return research.Known(filepath.Base(file), r)
}

// benchLine is the result of one instance.
type benchLine struct {
	Instance   string   `json:"instance"`
	Jobs       int      `json:"jobs"`
	Machines   int      `json:"machines"`
	Operations int      `json:"operations"`
	Objective  string   `json:"objective"`
	Value      int      `json:"value"`
	Bound      int      `json:"lower_bound"`
	Known      *int     `json:"best_known,omitempty"`
	Gap        *float64 `json:"gap_percent,omitempty"` // to the best known value; to the bound if no file of these was given
	Seconds    float64  `json:"seconds"`
}

// tally prints results and adds them up.
type tally struct {
	out              io.Writer
	objective        string
	known            map[string]int
	json             bool
	lines, gaps      int
	reached, nothing int // best known values reached; of 0 and not reached
	sum, worst       float64
}

func newTally(out io.Writer, objective string, known map[string]int, f *benchFlags) *tally {
	t := &tally{out: out, objective: objective, known: known, json: f.json}
	if !f.json {
		fmt.Fprintf(out, "%-16s %6s %8s %10s %10s %9s %9s %7s %8s\n", "instance", "jobs", "machines", "operations", objective, "bound", "known", "gap %", "seconds")
	}
	return t
}

// run searches one instance, prints its line and writes its schedule.
func (t *tally) run(ctx context.Context, x *trial, f *benchFlags) error {
	began := time.Now()
	found, err := x.search(ctx, f)
	if err != nil {
		return err
	}
	line := &benchLine{x.name, x.jobs, x.machines, x.operations, t.objective, found.value, found.bound, nil, nil, time.Since(began).Seconds()}
	if known, has := t.known[x.name]; has {
		line.Known = &known
		if found.value <= known {
			t.reached++
		} else if known == 0 {
			t.nothing++
		}
		line.Gap = gap(found.value, known)
	} else if t.known == nil {
		line.Gap = gap(found.value, found.bound)
	}
	t.lines++
	if line.Gap != nil {
		t.gaps, t.sum, t.worst = t.gaps+1, t.sum+*line.Gap, max(t.worst, *line.Gap)
	}
	if err := t.print(line); err != nil {
		return err
	}
	if f.schedule != "" {
		return writeSchedule(filepath.Join(f.schedule, x.name+".csv"), found.rows)
	}
	return nil
}

// gap gives by how many per cent a value is above another; nil if that is nothing and the value is not.
func gap(value, against int) *float64 {
	g := 0.0
	if against > 0 {
		g = 100 * float64(value-against) / float64(against)
	} else if value != against {
		return nil
	}
	return &g
}

func (t *tally) print(l *benchLine) error {
	if t.json {
		return json.NewEncoder(t.out).Encode(l)
	}
	known, gap := "-", "-"
	if l.Known != nil {
		known = strconv.Itoa(*l.Known)
	}
	if l.Gap != nil {
		gap = strconv.FormatFloat(*l.Gap, 'f', 2, 64)
	}
	_, err := fmt.Fprintf(t.out, "%-16s %6d %8d %10d %10d %9d %9s %7s %8.1f\n", l.Instance, l.Jobs, l.Machines, l.Operations, l.Value, l.Bound, known, gap, l.Seconds)
	return err
}

// end prints what the lines come to.
func (t *tally) end() error {
	if t.json || t.lines < 2 {
		return nil
	}
	text := fmt.Sprintf("%d instances", t.lines)
	if t.gaps > 0 {
		text += fmt.Sprintf(", mean gap %.2f %%, worst %.2f %%", t.sum/float64(t.gaps), t.worst)
	}
	if t.known != nil {
		text += fmt.Sprintf(", best known value reached on %d", t.reached)
	}
	if t.nothing > 0 {
		text += fmt.Sprintf(", a best known value of 0 not reached on %d (not in the mean)", t.nothing)
	}
	_, err := fmt.Fprintln(t.out, text)
	return err
}

// writeSchedule writes job, operation, machine, start and end (and worker, where there are any), all numbered from 0, so that anyone
// can check the plan.
func writeSchedule(to string, rows [][]int) error {
	return writeFile(to, func(f *os.File) error {
		w := csv.NewWriter(f)
		table := [][]string{{"job", "operation", "machine", "start", "end"}}
		if len(rows) > 0 && len(rows[0]) > 5 {
			table[0] = append(table[0], "worker")
		}
		for _, r := range rows {
			cells := make([]string, len(r))
			for i, n := range r {
				cells[i] = strconv.Itoa(n)
			}
			table = append(table, cells)
		}
		return w.WriteAll(table)
	})
}
