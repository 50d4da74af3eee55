package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
)

// Act is something that a person did.
type Act struct {
	ID   int64
	At   plant.Time
	Who  string
	Kind string
	Note string
}

// Change is one row of the book that was added (Before nil), changed or removed (After nil), a cell a column.
type Change struct {
	ID       int64
	Act      int64
	Revision int64
	At       plant.Time
	Who      string
	Table    string
	Key      string
	Before   []string
	After    []string
}

// Book loads the whole book and its revision: the number of acts that changed it, 0 for a new store.
func (s *Store) Book(ctx context.Context) (*book.Book, int64, error) {
	b, revision := &book.Book{}, int64(0)
	err := s.view(ctx, func(tx Tx) (err error) {
		if revision, err = tx.revision(ctx); err != nil {
			return err
		}
		for i := range s.tables {
			if err := s.tables[i].loadInto(ctx, tx, b); err != nil {
				return fmt.Errorf("load %s: %w", s.tables[i].table.Name, err)
			}
		}
		return nil
	})
	return b, revision, err
}

// Revision gives the revision of the book.
func (s *Store) Revision(ctx context.Context) (revision int64, err error) {
	err = s.view(ctx, func(tx Tx) error { revision, err = tx.revision(ctx); return err })
	return revision, err
}

func (t Tx) revision(ctx context.Context) (n int64, err error) {
	err = t.row(ctx, `SELECT value FROM counters WHERE name = 'book'`).Scan(&n)
	return n, err
}

func (s *tableSQL) loadInto(ctx context.Context, tx Tx, b *book.Book) error {
	cells := make([]cell, len(s.table.Columns))
	targets, texts := make([]any, len(cells)), make([]string, len(cells))
	for j := range cells {
		cells[j].kind = s.table.Columns[j].Kind
		targets[j] = cells[j].target()
	}
	row := 1
	return tx.each(ctx, func(rows *sql.Rows) error {
		if err := rows.Scan(targets...); err != nil {
			return err
		}
		row++
		for j := range cells {
			texts[j] = cells[j].string()
		}
		return s.table.Append(b, row, texts).Err()
	}, s.load)
}

// SaveBook puts b in the place of the stored book, in one transaction: the tables named, the act, the changes. base is the
// revision that the caller began from; if the book has moved since, a Conflict is returned and nothing is changed. It
// gives the new revision.
func (s *Store) SaveBook(ctx context.Context, base int64, a Act, b *book.Book, tables []string, changes []Change) (revision int64, err error) {
	err = s.update(ctx, func(tx Tx) error {
		_, revision, err = tx.changeBook(ctx, a, &BookChange{base, b, tables, changes})
		return err
	})
	return revision, err
}

// BookChange puts a book in the place of the stored one, as SaveBook does, together with something else.
type BookChange struct {
	Base    int64
	Book    *book.Book
	Tables  []string
	Changes []Change
}

// changeBook writes an act, and the change of the book if there is one. It gives the number of the act and the new revision.
func (t Tx) changeBook(ctx context.Context, a Act, c *BookChange) (act, revision int64, err error) {
	if c == nil {
		act, err = t.act(ctx, a)
		return act, 0, err
	}
	if revision, err = t.advance(ctx, c.Base); err != nil {
		return 0, 0, err
	}
	for _, name := range c.Tables {
		if err := t.s.replaceTable(ctx, t, c.Book, name); err != nil {
			return 0, 0, fmt.Errorf("save %s: %w", name, err)
		}
	}
	act, err = t.record(ctx, revision, a, c.Changes)
	return act, revision, err
}

// RowChange is one row of a table put in the place of another: row NewRow of New in the place of the row with the values of
// row OldRow of Old. OldRow is -1 for an added row, NewRow for a removed one.
type RowChange struct {
	Table          string
	Old, New       *book.Book
	OldRow, NewRow int
}

// SaveRow stores one changed row with the act and its changes. See SaveBook.
func (s *Store) SaveRow(ctx context.Context, base int64, a Act, r RowChange, changes []Change) (revision int64, err error) {
	t, err := s.tableNamed(r.Table)
	if err != nil {
		return 0, err
	}
	err = s.update(ctx, func(tx Tx) error {
		if revision, err = tx.advance(ctx, base); err != nil {
			return err
		}
		if err := t.saveRow(ctx, tx, r.Old, r.OldRow, r.New, r.NewRow); err != nil {
			return fmt.Errorf("save a row of %s: %w", r.Table, err)
		}
		_, err := tx.record(ctx, revision, a, changes)
		return err
	})
	return revision, err
}

func (s *tableSQL) saveRow(ctx context.Context, tx Tx, old *book.Book, j int, b *book.Book, i int) error {
	switch {
	case j < 0:
		var last int64
		if err := tx.row(ctx, s.last).Scan(&last); err != nil {
			return err
		}
		_, err := tx.exec(ctx, s.insert, append([]any{last + 1}, s.values(b, i)...)...)
		return err
	case i < 0:
		return one(tx.exec(ctx, s.remove, s.key(s.values(old, j))...))
	}
	return one(tx.exec(ctx, s.update, append(s.values(b, i), s.key(s.values(old, j))...)...))
}

// one turns a statement that did not concern exactly one row into an error.
func one(r sql.Result, err error) error {
	if err != nil {
		return err
	}
	if n, err := r.RowsAffected(); err != nil || n != 1 {
		return fmt.Errorf("one row should have changed, not %d (%v)", n, err)
	}
	return nil
}

func (s *Store) tableNamed(name string) (*tableSQL, error) {
	for i := range s.tables {
		if s.tables[i].table.Name == name {
			return &s.tables[i], nil
		}
	}
	return nil, fault.New(fault.NotFound, "There is no table %q in the shop book.", name)
}

// advance moves the revision on, if it still is base.
func (t Tx) advance(ctx context.Context, base int64) (int64, error) {
	r, err := t.exec(ctx, `UPDATE counters SET value = value + 1 WHERE name = 'book' AND value = ?`, base)
	if err != nil {
		return 0, err
	}
	if n, err := r.RowsAffected(); err != nil || n != 1 {
		return 0, fault.New(fault.Conflict, "The shop book was changed meanwhile. Look again, then repeat the change.")
	}
	return base + 1, nil
}

func (s *Store) replaceTable(ctx context.Context, tx Tx, b *book.Book, name string) error {
	t, err := s.tableNamed(name)
	if err != nil {
		return err
	}
	if _, err := tx.exec(ctx, t.clear); err != nil {
		return err
	}
	st, err := tx.PrepareContext(ctx, s.bind(t.insert))
	if err != nil {
		return err
	}
	defer st.Close()
	for i := range t.table.Len(b) {
		if _, err := st.ExecContext(ctx, append([]any{i + 1}, t.values(b, i)...)...); err != nil {
			return fmt.Errorf("row %d: %w", i+2, err)
		}
	}
	return nil
}

// record writes an act and its changes, and gives the number of the act.
func (t Tx) record(ctx context.Context, revision int64, a Act, changes []Change) (id int64, err error) {
	if id, err = t.act(ctx, a); err != nil || len(changes) == 0 {
		return id, err
	}
	st, err := t.PrepareContext(ctx, t.s.bind(`INSERT INTO changes (id, act, revision, table_name, row_key, before_cells, after_cells)
		VALUES (?, ?, ?, ?, ?, ?, ?)`))
	if err != nil {
		return 0, err
	}
	defer st.Close()
	last, err := t.take(ctx, "change", int64(len(changes)))
	if err != nil {
		return 0, err
	}
	for i, c := range changes {
		n := last - int64(len(changes)-1-i)
		if _, err := st.ExecContext(ctx, n, id, revision, c.Table, c.Key, cellsJSON(c.Before), cellsJSON(c.After)); err != nil {
			return 0, err
		}
	}
	return id, nil
}

// take reserves n numbers of a counter and gives the last.
func (t Tx) take(ctx context.Context, counter string, n int64) (last int64, err error) {
	err = t.row(ctx, `UPDATE counters SET value = value + ? WHERE name = ? RETURNING value`, n, counter).Scan(&last)
	return last, err
}

// cellsJSON writes the cells as a JSON array, "" for no row.
func cellsJSON(cells []string) string {
	if cells == nil {
		return ""
	}
	j, err := json.Marshal(cells)
	if err != nil {
		return "" // strings always marshal
	}
	return string(j)
}

func cellsOf(text string) (cells []string, err error) {
	if text == "" {
		return nil, nil
	}
	err = json.Unmarshal([]byte(text), &cells)
	return cells, err
}
