package cli

import (
	"context"
	"fmt"
	"io"
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
	work             int64
	every            int
	json, plant      bool
	schedule, bounds string
}

// benchKind is a kind of published instances.
type benchKind struct {
	name, short, example string
	value                string // what is made small
	read                 func(name string, r io.Reader, f *benchFlags) ([]trial, error)
	bare, many           bool // has its own search beside that of the plant; files hold many instances
	rounds               bool // has its own search alone
}

var benchKinds = []benchKind{
	{name: "jobshop", short: "Job shops: makespan", example: "ta*.txt --bounds bounds.tsv --seconds 60", value: "makespan", read: shops(research.JobShop), bare: true},
	{name: "flexible", short: "Flexible job shops: makespan", example: "mk*.fjs --bounds bounds.tsv --schedule out", value: "makespan", read: shops(research.Flexible), bare: true},
	{name: "assembly", short: "Assembly job shops (branches that join): makespan", example: "YFJS*.txt --bounds bounds.tsv", value: "makespan", read: shops(research.Assembly), bare: true},
	{name: "workers", short: "Flexible job shops with a worker for each operation: makespan", example: "*.fjsw --bounds bounds.tsv", value: "makespan", read: staffedShops, rounds: true},
	{name: "project", short: "Projects with scarce resources: makespan", example: "j30_*.rcp --bounds bounds.tsv", value: "makespan", read: plants(research.Project)},
	{name: "portfolio", short: "Several projects with shared resources: makespan of all", example: "mplib*.txt --bounds optima.tsv", value: "makespan", read: plants(research.Portfolio)},
	{name: "hybrid", short: "Flow shops with machines side by side in each stage: makespan", example: "hfs*.txt --bounds bounds.tsv", value: "makespan", read: plants(research.HybridFlowShop)},
	{name: "flow", short: "Flow shops with set-ups: makespan (jobs may overtake)", example: "sdst*.txt --bounds bounds.tsv", value: "makespan", read: plants(research.FlowShopSetups)},
	{name: "setups", short: "One machine with set-ups: total weighted tardiness", example: "wtsds*.txt --bounds optima.tsv", value: "tardiness", read: plants(research.SingleSetups)},
	{name: "tardiness", short: "Job shops with due dates: total tardiness", example: "p*tt.txt --bounds bounds.tsv", value: "tardiness", read: plants(research.JobShopTardiness)},
	{name: "single", short: "One machine: total weighted tardiness", example: "wt40.txt --bounds optima.tsv --every 5", value: "tardiness", read: singles, many: true},
}

func (a *app) benchCommand() *cobra.Command {
	c := &cobra.Command{Use: "bench", Short: "Measure the search on published research instances", Args: cobra.NoArgs, RunE: needVerb,
		Long: `Reads instances in the plain formats of the scheduling literature, searches each, proves the
plan found, and prints one line an instance: size, value reached, lower bound, best known
value, the gap to it in per cent (without --bounds: to the lower bound), seconds.
docs/scheduling.md says what each kind is and how it is searched.`}
	for _, k := range benchKinds {
		var f benchFlags
		sub := &cobra.Command{Use: k.name + " FILE...", Short: k.short, Example: "  tackline bench " + k.name + " " + k.example, Args: cobra.MinimumNArgs(1),
			RunE: func(c *cobra.Command, files []string) error {
				if f.work > 0 && !c.Flags().Changed("seconds") {
					f.seconds = 0
				}
				return a.bench(c.Context(), &k, files, &f)
			}}
		sub.Flags().Float64Var(&f.seconds, "seconds", 60, "wall time for each instance")
		sub.Flags().IntVar(&f.workers, "workers", 2, "searches side by side")
		sub.Flags().Uint64Var(&f.seed, "seed", 1, "seed")
		sub.Flags().Int64Var(&f.work, "work", 0, workMeans(&k)+"; alone, without limit of time, it makes the result repeatable")
		sub.Flags().BoolVar(&f.json, "json", false, "print a JSON object a line")
		sub.Flags().StringVar(&f.schedule, "schedule", "", "folder to write schedules to, a CSV for each instance")
		sub.Flags().StringVar(&f.bounds, "bounds", "", "TSV with the columns instance and upper_bound: the best known values")
		if k.bare {
			sub.Flags().BoolVar(&f.plant, "plant", false, "search as a plant is searched, instead of the search for bare shops")
		}
		if k.many {
			sub.Flags().IntVar(&f.every, "every", 1, "of the instances in a file, only each so many'th")
		}
		c.AddCommand(sub)
	}
	return c
}

func workMeans(k *benchKind) string {
	switch {
	case k.rounds:
		return "work to be done: rounds of each worker"
	case k.bare:
		return "work to be done: rounds of each worker, or, with --plant, operations planned"
	}
	return "work to be done: operations planned"
}

// shops reads a bare shop, to be searched as such or as a plant.
func shops(read func(string, io.Reader) (*disjunct.Instance, error)) func(string, io.Reader, *benchFlags) ([]trial, error) {
	return func(name string, r io.Reader, f *benchFlags) ([]trial, error) {
		in, err := read(name, r)
		if err != nil {
			return nil, err
		}
		if f.plant {
			return []trial{plantTrial(research.Shop(in))}, nil
		}
		return []trial{bareTrial(in)}, nil
	}
}

// plants reads one problem of the plant.
func plants(read func(string, io.Reader) (*research.Case, error)) func(string, io.Reader, *benchFlags) ([]trial, error) {
	return func(name string, r io.Reader, _ *benchFlags) ([]trial, error) {
		c, err := read(name, r)
		if err != nil {
			return nil, err
		}
		return []trial{plantTrial(c)}, nil
	}
}

// singles reads a file of many problems of one machine.
func singles(name string, r io.Reader, f *benchFlags) ([]trial, error) {
	if f.every < 1 {
		return nil, errUsage{fmt.Errorf("--every: found %d; expected 1 or more", f.every)}
	}
	list, err := research.SingleTardiness(name, r)
	var out []trial
	for i := 0; err == nil && i < len(list); i += f.every {
		out = append(out, plantTrial(list[i]))
	}
	return out, err
}

func (a *app) bench(ctx context.Context, k *benchKind, files []string, f *benchFlags) error {
	if err := f.check(); err != nil {
		return err
	}
	known, err := knownValues(f.bounds)
	if err != nil {
		return err
	}
	var trials []trial
	var faults fault.List
	for _, file := range files { // all are read before the first is searched, so that a wrong one is known at once
		list, err := readTrials(file, k, f)
		if err != nil && fault.KindOf(err) == fault.Internal {
			return err
		}
		trials, faults = append(trials, list...), append(faults, fault.All(err)...)
	}
	if len(faults) > 0 {
		return faults
	}
	t := newTally(a.out, k.value, known, f)
	for i := range trials {
		if err := t.run(ctx, &trials[i], f); err != nil {
			return err
		}
	}
	return t.end()
}

// check refuses flags that mean nothing.
func (f *benchFlags) check() error {
	var wrong []string
	if f.seconds < 0 || f.seconds == 0 && f.work <= 0 {
		wrong = append(wrong, fmt.Sprintf("--seconds: found %g; expected more than 0, or 0 with --work", f.seconds))
	}
	if f.workers < 1 {
		wrong = append(wrong, fmt.Sprintf("--workers: found %d; expected 1 or more", f.workers))
	}
	if f.work < 0 {
		wrong = append(wrong, fmt.Sprintf("--work: found %d; expected 0 or more", f.work))
	}
	if len(wrong) > 0 {
		return errUsage{fmt.Errorf("%s", strings.Join(wrong, "\n"))}
	}
	return nil
}
