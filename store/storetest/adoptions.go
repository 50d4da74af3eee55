package storetest

import (
	"context"
	"testing"

	"tackline/fault"
	"tackline/store"
)

// adoptions adopts two drafts, the second with a change of the book, and undoes both.
func adoptions(t *testing.T, s *store.Store) {
	ctx := context.Background()
	one, two := sample(t, 1), sample(t, 2)
	base := save(t, s, 0, one)
	a, b := addPlan(t, s, "a"), addPlan(t, s, "b")
	_, err := s.LastAdoption(ctx)
	isKind(t, err, fault.NotFound)
	adopt := store.Act{At: 99, Who: "Ben", Kind: "adopt"}
	same(t, "revision after adopting alone", adoptPlan(t, s, a, adopt, nil), base)

	_, err = s.AdoptPlan(ctx, b, adopt, &store.BookChange{Base: base + 7, Book: two, Tables: allTables()})
	isKind(t, err, fault.Conflict)
	same(t, "adopted after a refusal", current(t, s), a)
	changes := []store.Change{{Table: "plants", Key: "k001", After: []string{"k001"}}}
	revision := adoptPlan(t, s, b, adopt, &store.BookChange{Base: base, Book: two, Tables: allTables(), Changes: changes})
	same(t, "revision after the change", revision, base+1)
	got, _ := load(t, s)
	same(t, "changed book", got, two)

	last, err := s.LastAdoption(ctx)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "last adoption", last, store.Adoption{ID: 2, Plan: b, Before: a, Act: last.Act, Revision: revision, At: 99, Who: "Ben"})
	made, err := s.Changes(ctx, store.ChangeFilter{Act: last.Act, Limit: 9})
	if err != nil || len(made) != 1 || made[0].Key != "k001" {
		t.Errorf("changes of the adoption: %+v, %v", made, err)
	}

	undo := store.Act{At: 111, Who: "Cem", Kind: "undo"}
	after, err := s.UndoAdoption(ctx, last, undo, &store.BookChange{Base: revision, Book: one, Tables: allTables()})
	if err != nil {
		t.Fatal(err)
	}
	same(t, "revision after undoing", after, revision+1)
	got, _ = load(t, s)
	same(t, "book put back", got, one)
	same(t, "the plan before is adopted again", current(t, s), a)
	_, err = s.UndoAdoption(ctx, last, undo, nil)
	isKind(t, err, fault.Conflict)

	first, err := s.LastAdoption(ctx)
	if err != nil || first.Plan != a || first.Before != 0 {
		t.Fatalf("last adoption after undoing: %+v, %v", first, err)
	}
	if _, err := s.UndoAdoption(ctx, first, undo, nil); err != nil {
		t.Fatal(err)
	}
	_, adopted, err := s.CurrentPlan(ctx)
	if err != nil || adopted != 0 {
		t.Errorf("adopted after undoing all: %d, %v", adopted, err)
	}
	list, err := s.Adoptions(ctx, 9)
	if err != nil || len(list) != 2 || list[0].Plan != b || list[0].UndoneBy != "Cem" || list[0].UndoneAt != 111 {
		t.Errorf("adoptions: %+v, %v", list, err)
	}
	adoptPlan(t, s, b, adopt, nil) // a plan whose adoption was undone can be adopted again
}
