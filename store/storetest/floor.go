package storetest

import (
	"context"
	"testing"

	"tackline/floor"
	"tackline/plant"
	"tackline/store"
)

// onTheFloor records events of two plants, reads them back in order and by subject, and with them the state.
func onTheFloor(t *testing.T, s *store.Store) {
	ctx := context.Background()
	events := []floor.Event{
		{Kind: floor.Start, Plant: "a", Job: "j1", Seq: 20, Station: "robot"},
		{Kind: floor.SignOn, Plant: "b", Station: "bench"},
		{Kind: floor.Trouble, Plant: "a", Station: "robot", Job: "j1", Seq: 20, Reason: "crane"},
		{Kind: floor.Finish, Plant: "a", Job: "j1", Seq: 20, Good: 4},
	}
	state := floor.NewState()
	for i := range events {
		e := &events[i]
		e.ID, e.At, e.Device, e.Person = floor.NewID(int64(i), [10]byte{9: 1}), plant.Time(100+i), "t1", "p-1"
		state.Apply(e, nil)
	}
	change := store.FloorChange{Ops: state.Ops, Stations: state.Stations}
	records, err := s.AppendEvents(ctx, events[:3], 500, change)
	if err != nil {
		t.Fatal(err)
	}
	more, err := s.AppendEvents(ctx, events[3:], 501, change)
	if err != nil {
		t.Fatal(err)
	}
	records = append(records, more...)
	for i, want := range []int64{1, 1, 2, 3} {
		same(t, "number in its plant", records[i].Number, want)
	}
	if _, err := s.AppendEvents(ctx, events[2:3], 502, change); err == nil {
		t.Error("an event was recorded twice")
	}

	var read []floor.Record
	if err := s.EachRecord(ctx, func(r *floor.Record) error { read = append(read, *r); return nil }, ""); err != nil {
		t.Fatal(err)
	}
	same(t, "records", read, records)
	chains := map[plant.ID]*floor.Chain{"a": {}, "b": {}}
	for i := range read {
		if err := chains[read[i].Plant].Next(&read[i]); err != nil {
			t.Error(err)
		}
	}
	knowsEvents(t, s, events[2].ID)
	op, err := s.OpHistory(ctx, floor.OpKey{Job: "j1", Seq: 20})
	if err != nil {
		t.Fatal(err)
	}
	same(t, "history of the operation", op, []floor.Event{events[0], events[3]})
	station, err := s.StationHistory(ctx, "robot")
	if err != nil {
		t.Fatal(err)
	}
	same(t, "history of the station", station, events[2:3])
	sameFloor(t, s, state)
	audited(t, s, read, state)
	if err := s.ReplaceFloor(ctx, floor.NewState()); err != nil {
		t.Fatal(err)
	}
	sameFloor(t, s, floor.NewState())
}

// knowsEvents looks up the second event of its plant among few, and among more than a query may name.
func knowsEvents(t *testing.T, s *store.Store, id string) {
	t.Helper()
	for _, others := range []int{0, 1, 70_000} {
		ids := []string{id}
		for i := range others {
			ids = append(ids, floor.NewID(int64(1000+i), [10]byte{}))
		}
		known, err := s.KnownEvents(context.Background(), ids)
		if err != nil {
			t.Fatal(err)
		}
		same(t, "known events", known, map[string]int64{id: 2})
	}
}

func sameFloor(t *testing.T, s *store.Store, want *floor.State) {
	t.Helper()
	got, err := s.Floor(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	same(t, "operations", got.Ops, want.Ops)
	same(t, "stations", got.Stations, want.Stations)
}

// audited looks that a record can be gone through: nothing in it is wrong, its Undos come first, and the rest is there.
func audited(t *testing.T, s *store.Store, want []floor.Record, state *floor.State) {
	t.Helper()
	of := want[len(want)-1]
	undo := floor.Event{ID: floor.NewID(90, [10]byte{}), Kind: floor.Undo, Plant: of.Plant, At: 200, Device: "t1", Person: "p-1", Job: of.Job, Seq: of.Seq, Of: of.ID, Reason: "wrong button"}
	more, err := s.AppendEvents(context.Background(), []floor.Event{undo}, 502, store.FloorChange{})
	if err != nil {
		t.Fatal(err)
	}
	want = append(want, more...)
	var read []floor.Record
	undos := 0
	f, err := s.AuditFloor(context.Background(), func(e *floor.Event) {
		if undos++; len(read) > 0 || e.ID != undo.ID {
			t.Errorf("Undo %s after %d records", e.ID, len(read))
		}
	}, func(r *store.StoredRecord) error {
		if read = append(read, r.Record); r.Wrong != "" {
			t.Errorf("event %d: %s", r.Number, r.Wrong)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	same(t, "records", read, want)
	ends := map[plant.ID]store.ChainEnd{}
	for i := range want {
		ends[want[i].Plant] = store.ChainEnd{Number: want[i].Number, Hash: want[i].Hash}
	}
	same(t, "ends", f.Ends, ends)
	if undos != 1 || len(f.Ops) != len(state.Ops) || len(f.Stations) != len(state.Stations) {
		t.Errorf("%d Undos, %d operations, %d stations", undos, len(f.Ops), len(f.Stations))
	}
}
