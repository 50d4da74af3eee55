package flow

import (
	"context"
	"fmt"
	"slices"

	"tackline/book"
	"tackline/store"
)

// ImportBook puts b in the place of the stored book, all or nothing; the faults of b are returned as a fault.List. origin
// gives the sheet rows for the faults; nil: row i stands in sheet row i+2. b must not be changed afterwards.
func (s *Shop) ImportBook(ctx context.Context, who Who, b *book.Book, origin book.Origin) error {
	if err := need(who, MayImport); err != nil {
		return err
	}
	if err := book.Check(b, origin).Err(); err != nil {
		return err
	}
	s.edit.Lock()
	defer s.edit.Unlock()
	l, err := s.load(ctx)
	if err != nil {
		return err
	}
	tables, changes := difference(l.book, b)
	note := fmt.Sprintf("%d rows in all; %s", rows(b), countChanges(changes))
	if rows(l.book) == 0 {
		note, changes = fmt.Sprintf("%d rows, the first ones", rows(b)), nil // the act says enough; each row being new is no news
	}
	act := store.Act{At: s.now(), Who: who.Name, Kind: ActImport, Note: note}
	if len(tables) == 0 && rows(b) > 0 {
		act.Note = fmt.Sprintf("%d rows in all; nothing has changed", rows(b))
		return s.store.Record(ctx, act) // the same book: plans made from it stay as new as they are
	}
	revision, err := s.store.SaveBook(ctx, l.revision, act, b, tables, changes)
	if err != nil {
		return err
	}
	s.loaded.Store(&loadedBook{book: b, revision: revision})
	s.warm()
	return nil
}

// difference gives the tables in which two books differ, even if only in the order of their rows, and the rows added,
// changed and removed.
func difference(old, new *book.Book) (tables []string, changes []store.Change) {
	all := book.Tables()
	for i := range all {
		t := &all[i]
		list, same := tableDifference(t, old, new)
		if !same {
			tables = append(tables, t.Name)
			changes = append(changes, list...)
		}
	}
	return tables, changes
}

func tableDifference(t *book.Table, old, new *book.Book) (changes []store.Change, same bool) {
	before := make(map[string]int, t.Len(old))
	for i := range t.Len(old) {
		before[t.Key(old, i)] = i
	}
	same = t.Len(old) == t.Len(new)
	for i := range t.Len(new) {
		after := t.Cells(new, i)
		key := t.KeyOf(after)
		j, known := before[key]
		if !known {
			changes = append(changes, store.Change{Table: t.Name, Key: key, After: after})
			continue
		}
		delete(before, key)
		same = same && i == j
		if cells := t.Cells(old, j); !slices.Equal(cells, after) {
			changes = append(changes, store.Change{Table: t.Name, Key: key, Before: cells, After: after})
		}
	}
	for i := range t.Len(old) {
		if key := t.Key(old, i); len(before) > 0 {
			if _, gone := before[key]; gone {
				changes = append(changes, store.Change{Table: t.Name, Key: key, Before: t.Cells(old, i)})
			}
		}
	}
	return changes, same && len(changes) == 0
}

func countChanges(changes []store.Change) string {
	var added, changed, removed int
	for _, c := range changes {
		switch {
		case c.Before == nil:
			added++
		case c.After == nil:
			removed++
		default:
			changed++
		}
	}
	return fmt.Sprintf("%d added, %d changed, %d removed", added, changed, removed)
}

func rows(b *book.Book) (n int) {
	all := book.Tables()
	for i := range all {
		n += all[i].Len(b)
	}
	return n
}
