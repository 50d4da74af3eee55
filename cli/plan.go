package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tackline/book"
	"tackline/exchange"
	"tackline/fault"
	"tackline/flow"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/moves"
	"tackline/schedule/search"
	"tackline/store"
)

// planFlags are the flags of plan.
type planFlags struct {
	out, now string
	from     string
	anew     bool
	assume   []string
	seconds  float64
	workers  int
	seed     uint64
	work     int64
	progress bool
}

func (a *app) planCommand() *cobra.Command {
	var f planFlags
	c := &cobra.Command{
		Use:   "plan FILE|DIR --out DIR",
		Short: "Plan a workbook or a folder of CSV, without a database",
		Long: `Reads a workbook or a folder of CSV, plans it, proves the plan with the independent
checker, and writes the plan and everything derived from it as CSV (docs/formats.md).

Equal input, seed and --work give the equal plan on any machine; --seconds is a second
stop that depends on the machine.

With --from the book is planned again from an earlier plan of it: who is planned keeps his
parts, proposed jobs keep their numbers, near-term work stays where it is unless moving it
pays. What moved, and why, is printed and written to moves.csv.

With --assume, as often as need be, the plan is made as if something were otherwise; the
book stays as it is. An assumption is its kind and its fields, such as
  "down; station=mill-1; from=2026-11-30T06:00; to=2026-12-02T12:00; reason=spindle"
Kinds and fields stand in docs/planning.md.

Exit codes: 0 planned; 1 faults in the input, or work that finds no place; 3 a defect.`,
		Example: "  tackline plan examples/small.xlsx --out plan\n  tackline plan my-plant/ --out plan --seconds 60 --workers 2\n  tackline plan my-plant/ --from plan --out plan-2",
		Args:    cobra.ExactArgs(1),
		RunE:    func(c *cobra.Command, args []string) error { return a.plan(c, args[0], f) },
	}
	c.Flags().StringVar(&f.out, "out", "", "folder to write, made if missing (needed)")
	c.Flags().StringVar(&f.from, "from", "", "folder of the plan in force, to plan again from")
	c.Flags().StringArrayVar(&f.assume, "assume", nil, "plan as if; may be given several times")
	c.Flags().BoolVar(&f.anew, "anew", false, "with --from: share stock and receipts out anew, and number proposed jobs anew")
	c.Flags().StringVar(&f.now, "now", "", "instant to plan from, RFC 3339; else the setting plan_from, else the clock")
	c.Flags().Float64Var(&f.seconds, "seconds", 10, "wall time to improve the plan; 0: the first plan only (3 if not given with --from)")
	c.Flags().IntVar(&f.workers, "workers", 0, "workers; 0: one for each processor")
	c.Flags().Uint64Var(&f.seed, "seed", 1, "seed")
	c.Flags().Int64Var(&f.work, "work", 0, "work budget in the search's own unit; 0: none")
	c.Flags().BoolVar(&f.progress, "progress", false, "show progress even if standard error is no terminal")
	_ = c.MarkFlagRequired("out")
	return c
}

// replanSeconds is how long a plan in force is repaired and improved if nothing else is said. With more time the search also
// tries plans from nothing, and more moves.
const replanSeconds = 3

func (a *app) plan(c *cobra.Command, from string, f planFlags) error {
	if !(f.seconds >= 0 && f.seconds <= 86400) || f.workers < 0 || f.work < 0 {
		return errUsage{errors.New("--seconds must be 0 to 86400, --workers and --work 0 or more")}
	}
	b, _, err := exchange.ReadBook(from)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(b.Lines, func(l order.Line) bool { return l.State == order.Open }) {
		return fault.New(fault.Invalid, "%s holds no open order line: there is nothing to plan", from)
	}
	now, err := startOf(b, f.now)
	if err != nil {
		return err
	}
	b, assumed, err := a.under(b, f.assume, now)
	if err != nil {
		return err
	}
	var force *store.Plan
	if f.from != "" {
		if !c.Flags().Changed("seconds") {
			f.seconds = replanSeconds
		}
		if force, err = exchange.ReadKept(f.from); err != nil {
			return err
		}
	}
	show := a.progress(f.progress)
	v, err := flow.Replan(c.Context(), b, now, force, f.anew, search.Options{Seconds: f.seconds, Workers: f.workers, Seed: f.seed, Work: f.work, Progress: show.step})
	show.end()
	if err != nil {
		return err
	}
	if len(v.Broken) > 0 {
		a.tellBroken(v.Problem, v.Broken)
		return fault.New(fault.Internal, "the plan breaks %d rules; nothing was written", len(v.Broken))
	}
	v.Assumed = assumed
	if err := exchange.WritePlan(f.out, v); err != nil {
		return err
	}
	a.tellPlan(v, f.out)
	if force != nil {
		a.tellMoved(flow.Moved(v))
	}
	if v.Plan.Status != schedule.Complete {
		return errNo
	}
	return nil
}

func startOf(b *book.Book, text string) (plant.Time, error) {
	if text == "" {
		return flow.StartOf(b, plant.At(time.Now()))
	}
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return 0, errUsage{fmt.Errorf("--now %q: expected a time such as 2026-11-25T06:00:00Z", text)}
	}
	return plant.At(t), nil
}

func (a *app) tellPlan(v *flow.View, out string) {
	s := v.Score
	fmt.Fprintf(a.out, "%d units, %d jobs, %d operations; %s by %s\n", len(v.Needs.Units), len(v.Needs.Jobs), len(v.Needs.Ops), v.Plan.Status, v.Plan.Rule)
	fmt.Fprintf(a.out, "late: %d units, %.1f days in all; cost %s, no plan below %s, gap %.1f %%\n", s.LateUnits, s.LateDays, s.Total, s.Bound, 100*s.Gap())
	a.tellBound(&s)
	for i, l := range v.Plan.Left {
		if i == 10 {
			fmt.Fprintf(a.out, "and %d more without a place\n", len(v.Plan.Left)-i)
			break
		}
		op := &v.Needs.Ops[l.Op]
		fmt.Fprintf(a.out, "no place: %s, operation %d %s: %s\n", v.Needs.Jobs[op.Job].ID, op.Seq, op.Name, l.Why)
	}
	a.tellHands(v)
	fmt.Fprintf(a.out, "written to %s\n", filepath.Clean(out))
}

// mostTold is how many moves and units are printed of each kind.
const mostTold = 15

// tellMoved prints what moved against the plan in force, and why.
func (a *app) tellMoved(w *moves.Words) {
	fmt.Fprintln(a.out, w.Summary())
	for i := range w.R.Units {
		if i == mostTold {
			fmt.Fprintf(a.out, "and %d more units\n", len(w.R.Units)-i)
			break
		}
		u := &w.R.Units[i]
		fmt.Fprintf(a.out, "unit %s %s\n", w.P.Units[u.Unit].ID, w.Ship(u))
	}
	for i := range w.R.Inside {
		if i == mostTold {
			fmt.Fprintf(a.out, "and %d more inside the freeze window\n", w.R.Inside-i)
			break
		}
		fmt.Fprintln(a.out, w.Sentence(i))
	}
}

// tellBound sets the terms of the bound beside those of the plan.
func (a *app) tellBound(s *schedule.Score) {
	var terms []string
	for _, t := range []struct {
		name        string
		cost, least plant.Money
	}{{"lateness", s.Lateness, s.Least.Lateness}, {"waiting", s.Waiting, s.Least.Waiting}, {"setups", s.Setups, s.Least.Setups},
		{"overtime", s.Overtime, 0}, {"moves", s.Moved, s.Least.Moved}, {"pins", s.Pins, s.Least.Pins}} {
		if t.cost > 0 || t.least > 0 {
			terms = append(terms, fmt.Sprintf("%s %s, at least %s", t.name, t.cost, t.least))
		}
	}
	if len(terms) > 0 {
		fmt.Fprintf(a.out, "  %s\n", strings.Join(terms, "; "))
	}
	if s.Gap() > 0 {
		fmt.Fprintf(a.out, "the bound counts %s\n", schedule.Covers)
	}
}

func (a *app) verifyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "verify FILE|DIR PLANDIR",
		Short: "Prove a plan with the independent checker",
		Long: `Reads the book again, sets it out for planning, reads plan.csv from PLANDIR, and checks
every rule of docs/planning.md. A plan made with --assume is proved under the same assumptions. Each broken rule is printed with the operations concerned.

Exit codes: 0 every rule holds; 1 a rule is broken, or the input has faults; 3 a defect.`,
		Example: "  tackline verify examples/small.xlsx plan",
		Args:    cobra.ExactArgs(2),
		RunE:    func(_ *cobra.Command, args []string) error { return a.verify(args[0], args[1]) },
	}
}

func (a *app) verify(from, dir string) error {
	b, _, err := exchange.ReadBook(from)
	if err != nil {
		return err
	}
	_, horizon, _ := exchange.PlanSpan(dir)
	kept, err := exchange.ReadKept(dir)
	if err != nil {
		return err
	}
	if b, _, err = a.under(b, exchange.PlanAssumed(dir), kept.Now); err != nil {
		return err
	}
	f, err := flow.FrameLike(b, kept.Now, kept.Pegs)
	if err != nil {
		return err
	}
	if f, err = f.Until(horizon - 1); err != nil {
		return err
	}
	plan, err := exchange.ReadPlan(dir, f)
	if err != nil {
		return err
	}
	broken := schedule.Check(f.Problem, plan)
	if len(broken) == 0 {
		fmt.Fprintf(a.out, "%d operations: every rule holds\n", len(f.Problem.Ops)-len(plan.Left))
		return nil
	}
	a.tellBroken(f.Problem, broken)
	return errNo
}

// tellBroken prints each broken rule with the operations concerned.
func (a *app) tellBroken(p *schedule.Problem, broken []schedule.Violation) {
	for _, b := range broken {
		var ops []string
		for _, op := range b.Ops {
			if op >= 0 && op < len(p.Ops) {
				ops = append(ops, fmt.Sprintf("%s operation %d %s", p.Jobs[p.Ops[op].Job].ID, p.Ops[op].Seq, p.Ops[op].Name))
			}
		}
		fmt.Fprintf(a.out, "rule %s: %s [%s]\n", b.Rule, b.Text, strings.Join(ops, "; "))
	}
	fmt.Fprintf(a.out, "%d broken\n", len(broken))
}

// meter shows progress on standard error where somebody looks.
type meter struct {
	a    *app
	on   bool
	last time.Time
}

func (a *app) progress(force bool) *meter {
	on := force
	if f, ok := a.err.(*os.File); ok && !on {
		info, err := f.Stat()
		on = err == nil && info.Mode()&os.ModeCharDevice != 0
	}
	return &meter{a: a, on: on}
}

func (m *meter) step(done float64, text string) {
	if !m.on || time.Since(m.last) < 200*time.Millisecond {
		return
	}
	m.last = time.Now()
	fmt.Fprintf(m.a.err, "\r%3.0f %%  %-60.60s", done*100, text)
}

func (m *meter) end() {
	if m.on && !m.last.IsZero() {
		fmt.Fprint(m.a.err, "\r", strings.Repeat(" ", 70), "\r")
	}
}
