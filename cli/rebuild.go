package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"tackline/fault"
	"tackline/flow"
	"tackline/store"
)

func (a *app) rebuildCommand() *cobra.Command {
	var data string
	var check bool
	c := &cobra.Command{
		Use:   "rebuild [--check]",
		Short: "Prove the record of the floor, and make its state from it again",
		Long: `Goes through all that was recorded on the floor, proves that no event was changed, left out
or put in, and compares the stored state of operations and stations with what the events give.
Each difference is printed. Without --check the state that the events give is stored in its
place; stop the program that serves the folder first. With --check nothing is written, and the
program may go on. A state is never made from a broken record. See docs/floor.md.

The hash of the last event of each plant is printed: noted down elsewhere, it proves later that
nothing before it was changed.

Exit codes: 0 the record is whole, and the state is, or is now, what it gives; 1 the record is
broken, or with --check the state differs; 3 a defect.`,
		Example: "  tackline rebuild --check\n  tackline rebuild --data /srv/tackline",
		Args:    cobra.NoArgs,
		RunE:    func(c *cobra.Command, _ []string) error { return a.rebuild(c.Context(), data, check) },
	}
	dataFlag(c, &data)
	c.Flags().BoolVar(&check, "check", false, "change nothing, only say what differs")
	return c
}

func (a *app) rebuild(ctx context.Context, data string, check bool) (err error) {
	place := filepath.Join(data, shopFile)
	if _, err := os.Stat(place); errors.Is(err, os.ErrNotExist) {
		return fault.New(fault.NotFound, "There is no database %s. Give its folder, such as --data /srv/tackline.", place)
	}
	st, err := store.Open(ctx, place)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	report, err := flow.RebuildFloor(ctx, st, check)
	if err != nil {
		return err
	}
	a.tellFloor(&report)
	if report.Good() || report.Written {
		return nil
	}
	return errNo
}

// tellFloor prints what was found in the record of the floor.
func (a *app) tellFloor(r *flow.FloorReport) {
	fmt.Fprintf(a.out, "events: %d, operations: %d, stations: %d\n", r.Events, r.Operations, r.Stations)
	for _, p := range r.Plants {
		fmt.Fprintf(a.out, "plant %s: event %d is the last, hash %s\n", p.Plant, p.Number, p.Hash)
	}
	for _, what := range r.Broken {
		fmt.Fprintln(a.out, "broken:", what)
	}
	for _, what := range r.Differences {
		fmt.Fprintln(a.out, "differs:", what)
	}
	switch {
	case len(r.Broken) > 0:
		fmt.Fprintf(a.out, "the record is broken; differences in the state: %d; nothing was written. Put back a copy of the database, and keep this one\n", len(r.Differences))
	case r.Written:
		fmt.Fprintf(a.out, "the record is whole; the state is what it gives again; differences mended: %d\n", len(r.Differences))
	case len(r.Differences) > 0:
		fmt.Fprintf(a.out, "the record is whole, but the state is not what it gives; differences: %d. Stop the program and use: tackline rebuild\n", len(r.Differences))
	default:
		fmt.Fprintln(a.out, "the record is whole, and the state is what it gives")
	}
}
