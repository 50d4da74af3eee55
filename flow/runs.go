package flow

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/rivertype"

	"tackline/book"
	"tackline/fault"
	"tackline/floor"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/store"
)

// planJob is a planning run in the job queue. The run's row says what is asked.
type planJob struct {
	Run int64 `json:"run"`
}

// Kind names the job in the queue.
func (planJob) Kind() string { return "plan" }

// planWorker does planning runs.
type planWorker struct {
	river.WorkerDefaults[planJob]
	shop *Shop
}

// Timeout bounds a run: an hour of search and time to set out and store.
func (*planWorker) Timeout(*river.Job[planJob]) time.Duration { return 2 * time.Hour }

// Work does one run. What goes wrong is written to the run and never retried: a person sees it and decides.
func (w *planWorker) Work(ctx context.Context, job *river.Job[planJob]) error {
	w.shop.work(ctx, job.Args.Run)
	return nil
}

// runTable holds how to stop the runs under way in this program.
type runTable struct {
	mu   sync.Mutex
	stop map[int64]context.CancelFunc
}

func newRunTable() *runTable { return &runTable{stop: map[int64]context.CancelFunc{}} }

func (t *runTable) add(run int64, stop context.CancelFunc) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.stop[run] = stop
}

func (t *runTable) remove(run int64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.stop, run)
}

func (t *runTable) cancel(run int64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if stop := t.stop[run]; stop != nil {
		stop()
	}
}

// gone is what is written to a run that a stop of the program ended.
const gone = "The program stopped while it was planning. Plan again."

// startQueue starts the background work. Runs of a program that is gone are ended first; for that, no other program may be
// planning on the store.
func (s *Shop) startQueue(ctx context.Context) (err error) {
	if s.let, err = s.store.Hold(ctx); err != nil {
		return err
	}
	if err := s.store.EndRunning(ctx, gone, s.now()); err != nil {
		return err
	}
	driver := s.store.Queue()
	if driver == nil {
		return nil
	}
	workers := river.NewWorkers()
	river.AddWorker(workers, &planWorker{shop: s})
	s.queue, err = river.NewClient(driver, &river.Config{
		Logger:            s.log,
		Queues:            map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: 1}}, // one plan at a time: the search uses every processor
		Workers:           workers,
		FetchCooldown:     100 * time.Millisecond,
		FetchPollInterval: 250 * time.Millisecond,
	})
	if err != nil {
		return err
	}
	if err := s.endForsaken(ctx); err != nil {
		return err
	}
	return s.queue.Start(s.life)
}

// endForsaken ends the runs that wait for a job which will not be worked: the program was killed between taking the job
// from the queue and marking the run.
func (s *Shop) endForsaken(ctx context.Context) error {
	waiting, err := s.store.WaitingRuns(ctx)
	if err != nil {
		return err
	}
	for _, r := range waiting {
		job, err := s.queue.JobGet(ctx, r.Job)
		if err != nil && !errors.Is(err, river.ErrNotFound) {
			return err
		}
		if err == nil && job.FinalizedAt == nil && job.State != rivertype.JobStateRunning {
			continue
		}
		if _, err := s.store.EndRun(ctx, r.ID, RunFailed, gone, s.now()); err != nil {
			return err
		}
	}
	return nil
}

func (s *Shop) stopQueue(ctx context.Context) error {
	if s.queue == nil {
		return nil
	}
	err := s.queue.StopAndCancel(ctx)
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// StartPlan asks for a planning run and gives its number. It runs in the background; its result is a draft.
func (s *Shop) StartPlan(ctx context.Context, who Who, r PlanRequest) (int64, error) {
	if err := need(who, MayPlan); err != nil {
		return 0, err
	}
	if s.queue == nil {
		return 0, fault.New(fault.Conflict, "This program does not plan in the background; plan on the command line.")
	}
	if r.Seconds < 0 || r.Seconds > 3600 || math.IsNaN(r.Seconds) {
		return 0, &fault.Fault{Kind: fault.Invalid, Column: "seconds", Value: fmt.Sprint(r.Seconds), Expected: "0 to 3600 seconds"}
	}
	if len(r.Name) > 200 {
		return 0, &fault.Fault{Kind: fault.Invalid, Column: "name", Expected: "at most 200 letters"}
	}
	l, err := s.load(ctx)
	if err != nil {
		return 0, err
	}
	if rows(l.book) == 0 {
		return 0, fault.New(fault.Conflict, "The shop book is empty. Import a workbook first.")
	}
	if _, err := Assume(l.book, r.Assume); err != nil {
		return 0, err
	}
	assumed, err := assumedJSON(r.Assume)
	if err != nil {
		return 0, err
	}
	if r.Workers <= 0 {
		r.Workers = runtime.NumCPU()
	}
	row := store.Run{Name: r.Name, By: who.Name, Seconds: r.Seconds, Workers: r.Workers, Seed: r.Seed, Work: r.Work, Anew: r.Anew,
		Assumed: assumed, Asked: s.now(), Text: "waits for its turn"}
	return s.store.AddRun(ctx, row, func(tx *sql.Tx, run int64) (int64, error) {
		job, err := s.queue.InsertTx(ctx, tx, planJob{Run: run}, &river.InsertOpts{MaxAttempts: 1})
		if err != nil {
			return 0, err
		}
		return job.Job.ID, nil
	})
}

// PlanRun says how far a planning run is.
func (s *Shop) PlanRun(ctx context.Context, id int64) (PlanProgress, error) {
	r, err := s.store.Run(ctx, id)
	return progressOf(r), err
}

// PlanRuns gives the latest planning runs, the newest first.
func (s *Shop) PlanRuns(ctx context.Context) ([]PlanProgress, error) {
	rows, err := s.store.Runs(ctx, 30)
	out := make([]PlanProgress, len(rows))
	for i := range rows {
		out[i] = progressOf(rows[i])
	}
	return out, err
}

func progressOf(r store.Run) PlanProgress {
	return PlanProgress{Run: r.ID, Name: r.Name, By: r.By, State: r.State, Done: r.Done, Text: r.Text, Error: r.Error, PlanID: r.Plan,
		Asked: r.Asked, Started: r.Started, Ended: r.Ended}
}

// CancelPlan stops a run that waits or runs. Nothing of it is kept.
func (s *Shop) CancelPlan(ctx context.Context, who Who, id int64) error {
	if err := need(who, MayPlan); err != nil {
		return err
	}
	ok, err := s.store.EndRun(ctx, id, RunCancelled, "Stopped by "+who.Name+".", s.now())
	if err != nil {
		return err
	}
	if !ok {
		if _, err := s.store.Run(ctx, id); err != nil {
			return err
		}
		return nil // it is over already: that is what was wanted
	}
	s.runs.cancel(id)
	return nil
}

// work does one planning run from beginning to end and writes what came of it.
func (s *Shop) work(ctx context.Context, id int64) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	s.runs.add(id, stop)
	defer s.runs.remove(id)
	ok, err := s.store.StartRun(ctx, id, s.now())
	if err == nil && !ok {
		return // cancelled while it waited
	}
	if err == nil {
		err = s.planRun(ctx, id)
	}
	if err == nil {
		return
	}
	reason := "This is a defect of the program; it is written in the log."
	if fault.KindOf(err) != fault.Internal {
		reason = err.Error()
	} else if ctx.Err() != nil {
		reason = gone
	} else {
		s.log.Error("planning run failed", "run", id, "error", err)
	}
	// The run must not stay marked as running because its context ended.
	if _, err := s.store.EndRun(context.WithoutCancel(ctx), id, RunFailed, reason, s.now()); err != nil {
		s.log.Error("planning run could not be ended", "run", id, "error", err)
	}
}

// planRun loads, plans, checks and stores. A panic of the search ends the run, not the program.
func (s *Shop) planRun(ctx context.Context, id int64) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = fmt.Errorf("planning panicked: %v\n%s", v, debug.Stack())
		}
	}()
	r, err := s.store.Run(ctx, id)
	if err != nil {
		return err
	}
	l, err := s.load(ctx)
	if err != nil {
		return err
	}
	now, err := StartOf(l.book, s.now())
	if err != nil {
		return err
	}
	s.tell(ctx, id, 0, "sets the needs out against the plant")
	adopted, err := s.adopted(ctx)
	if err != nil {
		return err
	}
	b, err := underJSON(l.book, r.Assumed)
	if err != nil {
		return err
	}
	facts, err := s.facts(ctx, now)
	if err != nil {
		return err
	}
	f, err := frameAgainst(b, now, adopted, r.Anew, facts)
	if err != nil {
		return err
	}
	f, plan, err := f.plan(ctx, search.Options{Seconds: r.Seconds, Workers: r.Workers, Seed: r.Seed, Work: r.Work, Progress: s.teller(ctx, id)})
	if err != nil {
		return err
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if broken := schedule.Check(f.Problem, plan); len(broken) > 0 {
		return brokenFault(broken, firstZone(f.Index))
	}
	v := &View{Revision: l.revision, Facts: f.Facts, Needs: f.Needs, Problem: f.Problem, Plan: plan, Score: schedule.Measure(f.Problem, plan)}
	stored, err := storable(v, r.Name, r.By, s.now())
	if err != nil {
		return err
	}
	stored.Assumed = r.Assumed
	text := fmt.Sprintf("%d late units of %d, cost %s", v.Score.LateUnits, len(f.Needs.Units), v.Score.Total)
	_, _, err = s.store.FinishRun(ctx, id, stored, store.Act{At: s.now(), Who: r.By, Kind: ActPlan, Note: strings.TrimSpace(r.Name + ": " + text)}, text)
	return err
}

// adopted gives the plan in force, nil if none is.
func (s *Shop) adopted(ctx context.Context) (*store.Plan, error) {
	_, id, err := s.store.CurrentPlan(ctx)
	if err != nil || id == 0 {
		return nil, err
	}
	return s.store.Plan(ctx, id)
}

// frameAgainst sets a book out beside the plan in force, if there is one: its work is where planning starts from, moves
// of it within the freeze window count, and what it settled stays, unless it is to be settled anew.
func frameAgainst(b *book.Book, now plant.Time, adopted *store.Plan, anew bool, facts floor.Facts) (*Framed, error) {
	if adopted == nil {
		return frameAt(b, now, nil, facts)
	}
	pegs := adopted.Pegs
	if anew {
		pegs = nil
	}
	f, err := frameAt(b, now, pegs, facts)
	if err != nil {
		return nil, err
	}
	f.Problem.Adopted = adoptedSlots(f, adopted)
	return f, nil
}

// brokenFault tells of a plan that must not be stored.
func brokenFault(broken []schedule.Violation, loc *time.Location) error {
	var list fault.List
	for i, b := range broken {
		if i == 20 {
			list = append(list, fault.New(fault.Conflict, "and %d more", len(broken)-i))
			break
		}
		list = append(list, fault.New(fault.Conflict, "The plan breaks rule %s: %s", b.Rule, schedule.LocalTimes(b.Text, loc)))
	}
	return list
}

// teller passes progress on, at most twice a second.
func (s *Shop) teller(ctx context.Context, id int64) func(done float64, text string) {
	var mu sync.Mutex
	var last time.Time
	return func(done float64, text string) {
		mu.Lock()
		defer mu.Unlock()
		if time.Since(last) < 500*time.Millisecond {
			return
		}
		last = time.Now()
		s.tell(ctx, id, done, text)
	}
}

func (s *Shop) tell(ctx context.Context, id int64, done float64, text string) {
	if err := s.store.RunProgress(ctx, id, done, text); err != nil && ctx.Err() == nil {
		s.log.Warn("progress was not written", "run", id, "error", err)
	}
}
