package store

import (
	"context"
	"database/sql"
	"strings"
)

// Record writes an act that changes nothing else in the same transaction.
func (s *Store) Record(ctx context.Context, a Act) error {
	return s.update(ctx, func(tx Tx) error { _, err := tx.act(ctx, a); return err })
}

func (t Tx) act(ctx context.Context, a Act) (id int64, err error) {
	if id, err = t.next(ctx, "act"); err != nil {
		return 0, err
	}
	_, err = t.exec(ctx, `INSERT INTO acts (id, at, who, kind, note) VALUES (?, ?, ?, ?, ?)`, id, a.At, a.Who, a.Kind, a.Note)
	return id, err
}

// Acts gives the latest acts, the newest first.
func (s *Store) Acts(ctx context.Context, limit int) ([]Act, error) {
	return listOf(ctx, s, func(a *Act) []any { return []any{&a.ID, &a.At, &a.Who, &a.Kind, &a.Note} },
		`SELECT id, at, who, kind, note FROM acts ORDER BY id DESC LIMIT ?`, limit)
}

// ChangeFilter chooses changes; empty fields choose all.
type ChangeFilter struct {
	Table, Key, Who string
	Act             int64
	Before          int64 // only changes with a smaller ID
	After           int64 // only changes that made a later revision
	Limit           int
}

// Changes gives changes of the book, the newest first.
func (s *Store) Changes(ctx context.Context, f ChangeFilter) (list []Change, err error) {
	where, args := []string{"1 = 1"}, []any{}
	and := func(use bool, cond string, arg any) {
		if use {
			where, args = append(where, cond), append(args, arg)
		}
	}
	and(f.Table != "", "c.table_name = ?", f.Table)
	and(f.Key != "", "c.row_key = ?", f.Key)
	and(f.Who != "", "a.who = ?", f.Who)
	and(f.Act != 0, "c.act = ?", f.Act)
	and(f.Before != 0, "c.id < ?", f.Before)
	and(f.After != 0, "c.revision > ?", f.After)
	query := `SELECT c.id, c.act, c.revision, a.at, a.who, c.table_name, c.row_key, c.before_cells, c.after_cells
		FROM changes c JOIN acts a ON a.id = c.act WHERE ` + strings.Join(where, " AND ") + ` ORDER BY c.id DESC LIMIT ?`
	err = s.view(ctx, func(tx Tx) error {
		return tx.each(ctx, func(r *sql.Rows) error {
			c, err := scanChange(r)
			list = append(list, c)
			return err
		}, query, append(args, f.Limit)...)
	})
	return list, err
}

func scanChange(r *sql.Rows) (c Change, err error) {
	var before, after string
	if err = r.Scan(&c.ID, &c.Act, &c.Revision, &c.At, &c.Who, &c.Table, &c.Key, &before, &after); err != nil {
		return c, err
	}
	if c.Before, err = cellsOf(before); err != nil {
		return c, err
	}
	c.After, err = cellsOf(after)
	return c, err
}
