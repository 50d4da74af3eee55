package store

import (
	"context"
	"database/sql"
	"errors"

	"tackline/fault"
	"tackline/needs"
	"tackline/plant"
)

// Plan is a stored plan. Its slots name jobs and stations, not places in a list, so that they outlast a change of the book.
type Plan struct {
	ID       int64
	Name     string
	State    string // draft, adopted or past
	By       string
	Made     plant.Time
	Adopted  plant.Time // 0: never
	Now      plant.Time // planning began from
	Revision int64      // revision of the book it was made from
	Status   string
	Rule     string
	Seed     uint64
	Work     int64
	Score    string      // JSON
	Assumed  string      // the assumptions it was made under, JSON; "": none
	Facts    string      // what the floor had recorded when it was made, JSON; "": nothing
	Slots    []Slot      // not loaded in lists
	Pegs     []needs.Peg // what its explosion settled; not loaded in lists
}

// Slot is where and when an operation of a job happens. Station "" is an operation that found no place; Why says why.
type Slot struct {
	Job     plant.JobID
	Seq     int
	Station plant.StationID
	Setup   plant.Time
	Load    plant.Time
	Run     plant.Time
	Unload  plant.Time
	End     plant.Time
	Batch   int
	Why     string
}

const planColumns = `id, name, state, made_by, made, adopted, starts_at, revision, status, rule, seed, work, score, assumed, facts`

func (p *Plan) targets() []any {
	return []any{&p.ID, &p.Name, &p.State, &p.By, &p.Made, &p.Adopted, &p.Now, &p.Revision, &p.Status, &p.Rule, seed{&p.Seed}, &p.Work, &p.Score, &p.Assumed, &p.Facts}
}

func (x *Slot) targets() []any {
	return []any{&x.Job, &x.Seq, &x.Station, &x.Setup, &x.Load, &x.Run, &x.Unload, &x.End, &x.Batch, &x.Why}
}

func pegTargets(x *needs.Peg) []any {
	return []any{&x.Job, &x.Seq, &x.Item, &x.No, &x.Plant, &x.Kind, &x.From, &x.Qty, &x.At}
}

// AddPlan stores a draft with its act, and gives its number.
func (s *Store) AddPlan(ctx context.Context, p *Plan, a Act) (id int64, err error) {
	err = s.update(ctx, func(tx Tx) error {
		if id, err = tx.addPlan(ctx, p); err != nil {
			return err
		}
		_, err = tx.act(ctx, a)
		return err
	})
	return id, err
}

func (t Tx) addPlan(ctx context.Context, p *Plan) (int64, error) {
	id, err := t.next(ctx, "plan")
	if err != nil {
		return 0, err
	}
	_, err = t.exec(ctx, `INSERT INTO plans (`+planColumns+`) VALUES (?, ?, 'draft', ?, ?, 0, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		id, p.Name, p.By, p.Made, p.Now, p.Revision, p.Status, p.Rule, int64(p.Seed), p.Work, p.Score, p.Assumed, p.Facts)
	if err != nil {
		return 0, err
	}
	if err := t.addSlots(ctx, id, p.Slots); err != nil {
		return 0, err
	}
	return id, t.addPegs(ctx, id, p.Pegs)
}

func (t Tx) addSlots(ctx context.Context, plan int64, slots []Slot) error {
	st, err := t.PrepareContext(ctx, t.s.bind(`INSERT INTO plan_slots (plan_id, seq, job, op, station, setup_start, load_start, run_start, unload_start, slot_end, batch, why)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`))
	if err != nil {
		return err
	}
	defer st.Close()
	for i, x := range slots {
		if _, err := st.ExecContext(ctx, plan, i, x.Job, x.Seq, x.Station, x.Setup, x.Load, x.Run, x.Unload, x.End, x.Batch, x.Why); err != nil {
			return err
		}
	}
	return nil
}

func (t Tx) addPegs(ctx context.Context, plan int64, pegs []needs.Peg) error {
	st, err := t.PrepareContext(ctx, t.s.bind(`INSERT INTO plan_pegs (plan_id, seq, job, op, item, no, plant, kind, source, qty, at)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`))
	if err != nil {
		return err
	}
	defer st.Close()
	for i, x := range pegs {
		if _, err := st.ExecContext(ctx, plan, i, x.Job, x.Seq, x.Item, x.No, x.Plant, x.Kind, x.From, x.Qty, x.At); err != nil {
			return err
		}
	}
	return nil
}

// Plans gives the plans without their slots, the newest first.
func (s *Store) Plans(ctx context.Context) ([]Plan, error) {
	return listOf(ctx, s, (*Plan).targets, `SELECT `+planColumns+` FROM plans ORDER BY id DESC`)
}

// CurrentPlan gives the number of the adopted plan, else of the newest draft, else 0; and that of the adopted plan, 0 if none
// is.
func (s *Store) CurrentPlan(ctx context.Context) (id, adopted int64, err error) {
	err = s.view(ctx, func(tx Tx) error {
		var state string
		err := tx.row(ctx, `SELECT id, state FROM plans WHERE state IN ('adopted', 'draft')
			ORDER BY CASE state WHEN 'adopted' THEN 0 ELSE 1 END, id DESC LIMIT 1`).Scan(&id, &state)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		if state == "adopted" {
			adopted = id
		}
		return err
	})
	return id, adopted, err
}

// Plan loads a plan with its slots and pegs, in the order in which they were stored.
func (s *Store) Plan(ctx context.Context, id int64) (*Plan, error) {
	p := &Plan{}
	err := s.view(ctx, func(tx Tx) error {
		if err := tx.row(ctx, `SELECT `+planColumns+` FROM plans WHERE id = ?`, id).Scan(p.targets()...); err != nil {
			return notFound(err, "There is no plan %d.", id)
		}
		var err error
		if p.Slots, err = rowsOf(ctx, tx, (*Slot).targets, `SELECT job, op, station, setup_start, load_start, run_start, unload_start, slot_end, batch, why
			FROM plan_slots WHERE plan_id = ? ORDER BY seq`, id); err != nil {
			return err
		}
		p.Pegs, err = rowsOf(ctx, tx, pegTargets, `SELECT job, op, item, no, plant, kind, source, qty, at FROM plan_pegs WHERE plan_id = ? ORDER BY seq`, id)
		return err
	})
	return p, err
}

// DiscardPlan removes a draft, with the act.
func (s *Store) DiscardPlan(ctx context.Context, id int64, a Act) error {
	return s.update(ctx, func(tx Tx) error {
		if err := tx.isDraft(ctx, id); err != nil {
			return err
		}
		if _, err := tx.exec(ctx, `UPDATE plan_runs SET plan_id = 0 WHERE plan_id = ?`, id); err != nil {
			return err
		}
		if _, err := tx.exec(ctx, `DELETE FROM plans WHERE id = ?`, id); err != nil { // its slots go with it
			return err
		}
		_, err := tx.act(ctx, a)
		return err
	})
}

func (t Tx) isDraft(ctx context.Context, id int64) error {
	var state string
	if err := t.row(ctx, `SELECT state FROM plans WHERE id = ?`, id).Scan(&state); err != nil {
		return notFound(err, "There is no plan %d.", id)
	}
	if state != "draft" {
		return fault.New(fault.Conflict, "Plan %d is not a draft; it is %s.", id, state)
	}
	return nil
}

// seed reads an unsigned number that is stored with its sign bit.
type seed struct{ to *uint64 }

// Scan implements sql.Scanner.
func (s seed) Scan(src any) error {
	n, ok := src.(int64)
	if !ok {
		return errors.New("the seed of a plan is not a whole number")
	}
	*s.to = uint64(n)
	return nil
}
