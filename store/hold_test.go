package store_test

import (
	"context"
	"path/filepath"
	"testing"

	"tackline/fault"
	"tackline/store"
)

func TestOneHoldAtATime(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "odd name %41?#", "shop.db")
	first, second := open(t, path), open(t, path)
	release, err := first.Hold(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []*store.Store{first, second} {
		if _, err := s.Hold(ctx); fault.KindOf(err) != fault.Conflict {
			t.Errorf("a second hold: %v", err)
		}
	}
	if _, err := second.Revision(ctx); err != nil { // reading and writing need no hold
		t.Error(err)
	}
	if err := second.Record(ctx, store.Act{Kind: "edit"}); err != nil {
		t.Error(err)
	}
	if err := release(); err != nil {
		t.Fatal(err)
	}
	again, err := second.Hold(ctx)
	if err != nil {
		t.Fatalf("after the release: %v", err)
	}
	if err := again(); err != nil {
		t.Error(err)
	}
}
