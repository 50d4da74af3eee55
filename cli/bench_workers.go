package cli

import (
	"context"
	"fmt"
	"io"

	"tackline/schedule/research"
	"tackline/schedule/staffed"
)

// staffedShops reads a flexible job shop with workers.
func staffedShops(name string, r io.Reader, _ *benchFlags) ([]trial, error) {
	in, err := research.Staffed(name, r)
	if err != nil {
		return nil, err
	}
	return []trial{staffedTrial(in)}, nil
}

// staffedTrial searches a flexible job shop with workers. Its rows end with the worker.
func staffedTrial(in *staffed.Instance) trial {
	jobs := 0
	for _, j := range in.Job {
		jobs = max(jobs, j+1)
	}
	return trial{in.Name, jobs, in.Machines, len(in.Modes), func(ctx context.Context, f *benchFlags) (*outcome, error) {
		r, err := staffed.Solve(ctx, in, staffed.Options{Seconds: f.seconds, Workers: f.workers, Seed: f.seed, Rounds: int(f.work)})
		if err != nil {
			return nil, err
		}
		if err := staffed.Verify(in, r.Slots); err != nil {
			return nil, fmt.Errorf("%s: the plan found is wrong: %w", in.Name, err)
		}
		out := &outcome{value: r.Span, bound: r.Bound}
		for o, s := range r.Slots {
			out.rows = append(out.rows, []int{in.Job[o], in.Place[o], s.Machine, s.Start, s.End, s.Worker})
		}
		return out, nil
	}}
}
