package store

import (
	"context"
	"database/sql"

	"tackline/plant"
)

// Run is a planning run: what was asked, how far it is, and what came of it.
type Run struct {
	ID      int64
	Job     int64 // number in the job queue
	Name    string
	By      string
	Seconds float64
	Workers int
	Seed    uint64
	Work    int64
	Anew    bool   // whatever the plan in force settled
	Assumed string // the assumptions to plan under, JSON; "": none
	State   string // waiting, running, done, failed or cancelled
	Done    float64
	Text    string
	Error   string
	Plan    int64 // the draft it made; 0: none
	Asked   plant.Time
	Started plant.Time
	Ended   plant.Time
}

const runColumns = `id, job, name, asked_by, seconds, workers, seed, work, anew, assumed, state, done, progress, error, plan_id, asked, started, ended`

func (r *Run) targets() []any {
	return []any{&r.ID, &r.Job, &r.Name, &r.By, &r.Seconds, &r.Workers, seed{&r.Seed}, &r.Work, &r.Anew, &r.Assumed, &r.State, &r.Done, &r.Text, &r.Error,
		&r.Plan, &r.Asked, &r.Started, &r.Ended}
}

// AddRun stores a run that waits. enqueue puts it into the job queue in the same transaction and gives its number there.
func (s *Store) AddRun(ctx context.Context, r Run, enqueue func(tx *sql.Tx, run int64) (job int64, err error)) (id int64, err error) {
	err = s.update(ctx, func(tx Tx) error {
		if id, err = tx.next(ctx, "run"); err != nil {
			return err
		}
		job, err := enqueue(tx.Tx, id)
		if err != nil {
			return err
		}
		_, err = tx.exec(ctx, `INSERT INTO plan_runs (`+runColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'waiting', 0, ?, '', 0, ?, 0, 0)`,
			id, job, r.Name, r.By, r.Seconds, r.Workers, int64(r.Seed), r.Work, r.Anew, r.Assumed, r.Text, r.Asked)
		return err
	})
	return id, err
}

// Run gives a planning run.
func (s *Store) Run(ctx context.Context, id int64) (r Run, err error) {
	err = s.view(ctx, func(tx Tx) error {
		err := tx.row(ctx, `SELECT `+runColumns+` FROM plan_runs WHERE id = ?`, id).Scan(r.targets()...)
		return notFound(err, "There is no planning run %d.", id)
	})
	return r, err
}

// Runs gives the latest planning runs, the newest first.
func (s *Store) Runs(ctx context.Context, limit int) ([]Run, error) {
	return listOf(ctx, s, (*Run).targets, `SELECT `+runColumns+` FROM plan_runs ORDER BY id DESC LIMIT ?`, limit)
}

// WaitingRuns gives the runs that wait for their turn, the oldest first.
func (s *Store) WaitingRuns(ctx context.Context) ([]Run, error) {
	return listOf(ctx, s, (*Run).targets, `SELECT `+runColumns+` FROM plan_runs WHERE state = 'waiting' ORDER BY id`)
}

// StartRun marks a waiting run as running; ok is false if it does not wait any more.
func (s *Store) StartRun(ctx context.Context, id int64, at plant.Time) (ok bool, err error) {
	err = s.update(ctx, func(tx Tx) error {
		res, err := tx.exec(ctx, `UPDATE plan_runs SET state = 'running', started = ? WHERE id = ? AND state = 'waiting'`, at, id)
		if err != nil {
			return err
		}
		n, err := res.RowsAffected()
		ok = n == 1
		return err
	})
	return ok, err
}

// RunProgress says how far a running run is.
func (s *Store) RunProgress(ctx context.Context, id int64, done float64, text string) error {
	return s.update(ctx, func(tx Tx) error {
		_, err := tx.exec(ctx, `UPDATE plan_runs SET done = ?, progress = ? WHERE id = ? AND state = 'running'`, done, text, id)
		return err
	})
}

// FinishRun stores the draft that a running run made, with the act; ok is false, and nothing is stored, if the run was
// cancelled meanwhile.
func (s *Store) FinishRun(ctx context.Context, id int64, p *Plan, a Act, text string) (plan int64, ok bool, err error) {
	err = s.update(ctx, func(tx Tx) error {
		res, err := tx.exec(ctx, `UPDATE plan_runs SET state = 'done', done = 1, progress = ?, ended = ? WHERE id = ? AND state = 'running'`, text, a.At, id)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n != 1 {
			return err
		}
		ok = true
		if plan, err = tx.addPlan(ctx, p); err != nil {
			return err
		}
		if _, err := tx.exec(ctx, `UPDATE plan_runs SET plan_id = ? WHERE id = ?`, plan, id); err != nil {
			return err
		}
		_, err = tx.act(ctx, a)
		return err
	})
	return plan, ok, err
}

// EndRun ends a run that waits or runs as failed or cancelled, with the reason; ok is false if it was over already.
func (s *Store) EndRun(ctx context.Context, id int64, state, reason string, at plant.Time) (ok bool, err error) {
	err = s.update(ctx, func(tx Tx) error {
		res, err := tx.exec(ctx, `UPDATE plan_runs SET state = ?, error = ?, ended = ? WHERE id = ? AND state IN ('waiting', 'running')`, state, reason, at, id)
		if err != nil {
			return err
		}
		n, err := res.RowsAffected()
		ok = n == 1
		return err
	})
	return ok, err
}

// EndRunning ends every run that is still marked as running: the program that ran it is gone.
func (s *Store) EndRunning(ctx context.Context, reason string, at plant.Time) error {
	return s.update(ctx, func(tx Tx) error {
		_, err := tx.exec(ctx, `UPDATE plan_runs SET state = 'failed', error = ?, ended = ? WHERE state = 'running'`, reason, at)
		return err
	})
}
