package flow

import (
	"context"
	"fmt"
	"slices"

	"tackline/book"
	"tackline/fault"
	"tackline/store"
)

// EditRow changes the row of a table with a key, or adds a row if key is "". cells has a cell a column, in the order of
// book.Table.Columns. baseRev is the revision that the person saw: if the row has changed since, a Conflict is returned.
// The whole book is checked; faults are returned as a fault.List and nothing is changed. What nothing uses yet may be
// unfinished: a calendar without shifts, an item without operations.
func (s *Shop) EditRow(ctx context.Context, who Who, table, key string, cells []string, baseRev int64) error {
	return s.changeRow(ctx, who, rowChange{table: table, key: key, cells: cells, base: baseRev})
}

// DeleteRow removes the row of a table with a key; see EditRow.
func (s *Shop) DeleteRow(ctx context.Context, who Who, table, key string, baseRev int64) error {
	return s.changeRow(ctx, who, rowChange{table: table, key: key, base: baseRev, remove: true})
}

// rowChange is what a person asks to do with one row.
type rowChange struct {
	table, key string
	cells      []string
	base       int64
	remove     bool
}

func (s *Shop) changeRow(ctx context.Context, who Who, c rowChange) error {
	t, ok := book.TableNamed(c.table)
	if !ok {
		return fault.New(fault.NotFound, "There is no table %q in the shop book.", c.table)
	}
	if err := needEdit(who, c.table); err != nil {
		return err
	}
	if !c.remove && len(c.cells) != len(t.Columns) {
		return fault.New(fault.Invalid, "A row of %s has %d cells, not %d.", c.table, len(t.Columns), len(c.cells))
	}
	s.edit.Lock()
	defer s.edit.Unlock()
	l, err := s.load(ctx)
	if err != nil {
		return err
	}
	if err := s.unmoved(ctx, c, l.revision); err != nil {
		return err
	}
	return s.applyRow(ctx, who, t, c, l)
}

// unmoved gives a Conflict if the row has changed since the person saw it.
func (s *Shop) unmoved(ctx context.Context, c rowChange, revision int64) error {
	if c.key == "" || c.base == revision {
		return nil
	}
	changes, err := s.store.Changes(ctx, store.ChangeFilter{Table: c.table, Key: c.key, After: c.base, Limit: 1})
	if err != nil {
		return err
	}
	if len(changes) > 0 {
		return fault.New(fault.Conflict, "%s changed this row meanwhile. Look at it again, then repeat the change.", changes[0].Who)
	}
	return nil
}

func (s *Shop) applyRow(ctx context.Context, who Who, t *book.Table, c rowChange, l *loadedBook) error {
	b := l.book.Clone()
	old, new, err := applyTo(b, t, c)
	if err != nil {
		return err
	}
	change := store.Change{Table: t.Name, Key: c.key}
	if old >= 0 {
		change.Before = t.Cells(l.book, old)
	}
	if new >= 0 {
		change.After = t.Cells(b, new)
		change.Key = t.KeyOf(change.After)
		if slices.Equal(change.Before, change.After) {
			return nil // nothing changed
		}
	}
	if err := harmful(book.Check(b, nil)).Err(); err != nil {
		return err
	}
	kind, verb := ActEdit, "changed"
	switch {
	case old < 0:
		verb = "added"
	case new < 0:
		kind, verb = ActDelete, "removed"
	}
	act := store.Act{At: s.now(), Who: who.Name, Kind: kind, Note: fmt.Sprintf("%s: %s %s", t.Name, change.Key, verb)}
	changes := []store.Change{change}
	if old >= 0 && new >= 0 && change.Key != c.key { // a changed key is the end of one row and the begin of another
		changes = []store.Change{{Table: t.Name, Key: c.key, Before: change.Before}, {Table: t.Name, Key: change.Key, After: change.After}}
	}
	revision, err := s.store.SaveRow(ctx, l.revision, act, store.RowChange{Table: t.Name, Old: l.book, OldRow: old, New: b, NewRow: new}, changes)
	if err != nil {
		return err
	}
	s.loaded.Store(&loadedBook{book: b, revision: revision})
	s.warm()
	return nil
}

// harmful leaves out the faults of what nothing uses yet: its other rows cannot be there before it.
func harmful(faults fault.List) fault.List {
	return slices.DeleteFunc(faults, func(f *fault.Fault) bool { return f.Unfinished })
}

// applyTo makes the change in b. It gives the place of the row before (-1: it is added) and after (-1: it is removed).
func applyTo(b *book.Book, t *book.Table, c rowChange) (old, new int, err error) {
	old = -1
	if c.key != "" || c.remove {
		if old = findRow(b, t, c.key); old < 0 {
			return 0, 0, fault.New(fault.NotFound, "There is no row %q in %s.", c.key, t.Name)
		}
	}
	if c.remove {
		t.Remove(b, old)
		return old, -1, nil
	}
	new = t.Len(b)
	if old >= 0 {
		new = old
	}
	if err := t.Append(b, new+2, c.cells).Err(); err != nil {
		return 0, 0, err
	}
	if old >= 0 {
		t.Replace(b, old)
	}
	return old, new, nil
}

// findRow gives the place of the row of a table with a key, or -1.
func findRow(b *book.Book, t *book.Table, key string) int {
	for i := range t.Len(b) {
		if t.Key(b, i) == key {
			return i
		}
	}
	return -1
}

// History gives changes of the book, the newest first.
func (s *Shop) History(ctx context.Context, f HistoryFilter) ([]Change, error) {
	list, err := s.store.Changes(ctx, store.ChangeFilter{Table: f.Table, Key: f.Key, Who: f.Who, Act: f.Act, Before: f.Before, Limit: limit(f.Limit)})
	out := make([]Change, len(list))
	for i, c := range list {
		out[i] = Change(c)
	}
	return out, err
}

// Acts gives what people did, the newest first, at most max (0: 200).
func (s *Shop) Acts(ctx context.Context, max int) ([]ActRow, error) {
	list, err := s.store.Acts(ctx, limit(max))
	out := make([]ActRow, len(list))
	for i, a := range list {
		out[i] = ActRow(a)
	}
	return out, err
}

func limit(n int) int {
	if n <= 0 {
		return 200
	}
	return n
}
