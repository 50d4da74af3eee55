package flow

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
	"tackline/store"
)

// AdoptionRow is a plan's having been made the adopted one.
type AdoptionRow struct {
	Plan     int64
	Before   int64 // the plan adopted before; 0: none was
	At       plant.Time
	Who      string
	UndoneAt plant.Time // 0: it stands
	UndoneBy string
	Act      int64 // its changes of the book are found by this number; see History
}

// Adoptions gives the latest adoptions, the newest first.
func (s *Shop) Adoptions(ctx context.Context) ([]AdoptionRow, error) {
	list, err := s.store.Adoptions(ctx, 50)
	out := make([]AdoptionRow, len(list))
	for i, d := range list {
		out[i] = AdoptionRow{d.Plan, d.Before, d.At, d.Who, d.UndoneAt, d.UndoneBy, d.Act}
	}
	return out, err
}

// UndoAdoption takes the adoption of the plan in force back: the plan becomes a draft again, the one adopted before is in force
// again, and the rows of the book that the adoption changed are as they were. Rows that somebody has changed since are told in
// a Conflict, one fault a row, and nothing happens; with leave they stay as they are now and the rest is taken back. planID is
// the plan that the person saw in force.
func (s *Shop) UndoAdoption(ctx context.Context, who Who, planID int64, leave bool) error {
	if err := need(who, MayAdopt); err != nil {
		return err
	}
	s.edit.Lock()
	defer s.edit.Unlock()
	l, err := s.load(ctx)
	if err != nil {
		return err
	}
	d, err := s.store.LastAdoption(ctx)
	if err != nil {
		return err
	}
	if d.Plan != planID {
		return fault.New(fault.Conflict, "Plan %d is not the adopted plan; plan %d is. Look again.", planID, d.Plan)
	}
	change, left, err := s.takeBack(ctx, who, l, &d, leave)
	if err != nil {
		return err
	}
	act := store.Act{At: s.now(), Who: who.Name, Kind: ActUndo, Note: undoNote(&d, change, left)}
	if _, err := s.store.UndoAdoption(ctx, d, act, change); err != nil {
		return err
	}
	if change != nil {
		s.loaded.Store(nil)
	}
	s.warm()
	return nil
}

func undoNote(d *store.Adoption, change *store.BookChange, left int) string {
	note := fmt.Sprintf("plan %d is a draft again", d.Plan)
	if d.Before != 0 {
		note += fmt.Sprintf(", plan %d is in force again", d.Before)
	}
	if change != nil {
		note += "; in the shop book " + countChanges(change.Changes)
	}
	if left > 0 {
		note += fmt.Sprintf("; %d rows left as changed since", left)
	}
	return note
}

// takeBack gives the change of the book that undoes an adoption, nil if there is nothing to undo, and how many rows it leaves
// because they have changed since.
func (s *Shop) takeBack(ctx context.Context, who Who, l *loadedBook, d *store.Adoption, leave bool) (*store.BookChange, int, error) {
	made, err := s.store.Changes(ctx, store.ChangeFilter{Act: d.Act, Limit: mostRowsTaken})
	if err != nil || len(made) == 0 {
		return nil, 0, err
	}
	b := l.book.Clone()
	var moved fault.List
	for _, c := range made { // the newest first: the order of rows added is undone too
		if err := needEdit(who, c.Table); err != nil {
			return nil, 0, err
		}
		ok, err := revert(b, c)
		if err != nil {
			return nil, 0, err
		}
		if !ok {
			moved = append(moved, s.movedSince(ctx, l, &c))
		}
	}
	if len(moved) > 0 && !leave {
		return nil, 0, moved
	}
	if err := harmful(book.Check(b, nil)).Err(); err != nil {
		return nil, 0, append(fault.List{fault.New(fault.Conflict,
			"The shop book would have faults without what the adoption brought; change these rows first, then undo.")}, fault.All(err)...)
	}
	tables, changes := difference(l.book, b)
	if len(tables) == 0 {
		return nil, len(moved), nil
	}
	return &store.BookChange{Base: l.revision, Book: b, Tables: tables, Changes: changes}, len(moved), nil
}

// mostRowsTaken bounds the rows of one adoption.
const mostRowsTaken = 1 << 20

// revert takes one change of a row back in b; ok is false if the row is not any more as the change left it.
func revert(b *book.Book, c store.Change) (ok bool, err error) {
	t, known := book.TableNamed(c.Table)
	if !known {
		return false, fmt.Errorf("the history names the table %q, which the book does not have", c.Table)
	}
	i := findRow(b, t, c.Key)
	switch {
	case c.After == nil && i >= 0, c.After != nil && i < 0:
		return false, nil
	case c.After != nil && !slices.Equal(t.Cells(b, i), c.After):
		return false, nil
	case c.Before == nil:
		t.Remove(b, i)
		return true, nil
	}
	if err := t.Append(b, t.Len(b)+2, c.Before).Err(); err != nil {
		return false, err
	}
	if i >= 0 {
		t.Replace(b, i)
	}
	return true, nil
}

// movedSince tells of a row that somebody changed after an adoption, by whom and when.
func (s *Shop) movedSince(ctx context.Context, l *loadedBook, c *store.Change) *fault.Fault {
	told := fault.New(fault.Conflict, "%s was changed by the adoption, and again since", c.Key)
	told.Table = c.Table
	later, err := s.store.Changes(ctx, store.ChangeFilter{Table: c.Table, Key: c.Key, After: c.Revision, Limit: 1})
	if err != nil || len(later) == 0 {
		return told
	}
	loc := time.UTC
	if ix, err := book.NewIndex(l.book); err == nil {
		loc = firstZone(ix)
	}
	told.Text += " by " + strings.TrimSpace(later[0].Who+" on "+later[0].At.Day(loc, s.now())+later[0].At.In(loc).Format(" 15:04"))
	return told
}
