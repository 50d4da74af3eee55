package store

import (
	"context"
	"database/sql"
	"errors"

	"tackline/fault"
	"tackline/plant"
)

// Adoption is a plan's becoming the adopted one, together with what it changed in the book.
type Adoption struct {
	ID       int64
	Plan     int64
	Before   int64 // the plan adopted before; 0: none was
	Act      int64 // its changes of the book carry this number
	Revision int64 // of the book after it
	At       plant.Time
	Who      string
	Undone   int64      // the act that undid it; 0: it stands
	UndoneAt plant.Time // 0: it stands
	UndoneBy string
}

const adoptionQuery = `SELECT d.id, d.plan_id, d.before_id, d.act, d.revision, a.at, a.who, d.undone, COALESCE(u.at, 0), COALESCE(u.who, '')
	FROM adoptions d JOIN acts a ON a.id = d.act LEFT JOIN acts u ON u.id = d.undone `

func (d *Adoption) targets() []any {
	return []any{&d.ID, &d.Plan, &d.Before, &d.Act, &d.Revision, &d.At, &d.Who, &d.Undone, &d.UndoneAt, &d.UndoneBy}
}

// AdoptPlan makes a draft the adopted plan, and the one adopted before a past one, with the act and what it changes in the
// book (nil: nothing), in one transaction. If the draft was made from the revision that the change began from, it counts as
// made from the changed book. It gives the revision of the book.
func (s *Store) AdoptPlan(ctx context.Context, id int64, a Act, c *BookChange) (revision int64, err error) {
	err = s.update(ctx, func(tx Tx) error {
		if err := tx.isDraft(ctx, id); err != nil {
			return err
		}
		before, err := tx.adopted(ctx)
		if err != nil {
			return err
		}
		act, changed, err := tx.changeBook(ctx, a, c)
		if err != nil {
			return err
		}
		if revision, err = tx.revision(ctx); err != nil {
			return err
		}
		if _, err := tx.exec(ctx, `UPDATE plans SET state = 'past' WHERE state = 'adopted'`); err != nil {
			return err
		}
		if _, err := tx.exec(ctx, `UPDATE plans SET state = 'adopted', adopted = ? WHERE id = ?`, a.At, id); err != nil {
			return err
		}
		if c != nil {
			if _, err := tx.exec(ctx, `UPDATE plans SET revision = ? WHERE id = ? AND revision = ?`, changed, id, c.Base); err != nil {
				return err
			}
		}
		number, err := tx.next(ctx, "adoption")
		if err != nil {
			return err
		}
		_, err = tx.exec(ctx, `INSERT INTO adoptions (id, plan_id, before_id, act, revision, undone) VALUES (?, ?, ?, ?, ?, 0)`,
			number, id, before, act, revision)
		return err
	})
	return revision, err
}

// adopted gives the number of the adopted plan, 0 if none is.
func (t Tx) adopted(ctx context.Context) (id int64, err error) {
	err = t.row(ctx, `SELECT id FROM plans WHERE state = 'adopted'`).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	return id, err
}

// LastAdoption gives the latest adoption that is not undone: that of the plan in force. It is a NotFound if there is none.
func (s *Store) LastAdoption(ctx context.Context) (d Adoption, err error) {
	err = s.view(ctx, func(tx Tx) error {
		err := tx.row(ctx, adoptionQuery+`WHERE d.undone = 0 ORDER BY d.id DESC LIMIT 1`).Scan(d.targets()...)
		return notFound(err, "No plan is adopted.")
	})
	return d, err
}

// Adoptions gives the latest adoptions, the newest first.
func (s *Store) Adoptions(ctx context.Context, limit int) ([]Adoption, error) {
	return listOf(ctx, s, (*Adoption).targets, adoptionQuery+`ORDER BY d.id DESC LIMIT ?`, limit)
}

// UndoAdoption makes the plan of the latest adoption a draft again, and the plan before it the adopted one, with the act and
// what it changes in the book (nil: nothing), in one transaction. If another plan was adopted meanwhile, or this adoption is
// undone already, nothing changes and a Conflict is returned. It gives the revision of the book.
func (s *Store) UndoAdoption(ctx context.Context, d Adoption, a Act, c *BookChange) (revision int64, err error) {
	err = s.update(ctx, func(tx Tx) error {
		adopted, err := tx.adopted(ctx)
		if err != nil {
			return err
		}
		if adopted != d.Plan {
			return fault.New(fault.Conflict, "Plan %d is not the adopted plan any more. Look again.", d.Plan)
		}
		act, changed, err := tx.changeBook(ctx, a, c)
		if err != nil {
			return err
		}
		if revision, err = tx.revision(ctx); err != nil {
			return err
		}
		if err := one(tx.exec(ctx, `UPDATE adoptions SET undone = ? WHERE id = ? AND undone = 0`, act, d.ID)); err != nil {
			return err
		}
		if _, err := tx.exec(ctx, `UPDATE plans SET state = 'draft', adopted = 0 WHERE id = ?`, d.Plan); err != nil {
			return err
		}
		if c != nil && c.Base == d.Revision { // nothing else has changed since: the draft is as new as it was
			if _, err := tx.exec(ctx, `UPDATE plans SET revision = ? WHERE id = ? AND revision = ?`, changed, d.Plan, d.Revision); err != nil {
				return err
			}
		}
		if d.Before == 0 {
			return nil
		}
		return one(tx.exec(ctx, `UPDATE plans SET state = 'adopted' WHERE id = ? AND state = 'past'`, d.Before))
	})
	return revision, err
}
