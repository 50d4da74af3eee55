package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"

	"tackline/floor"
	"tackline/plant"
)

// StoredRecord is a row of the record of events, as it stands in the database.
type StoredRecord struct {
	floor.Record
	Wrong string // why the row cannot be what was recorded, in words, before its hash is looked at; "" if nothing tells
}

// ChainEnd is the last event of a plant.
type ChainEnd struct {
	Number int64
	Hash   string
}

// StoredOp is the stored state of an operation, unread.
type StoredOp struct {
	Phase   floor.Phase
	Station plant.StationID
	State   string // JSON
}

// StoredFloor is what is stored beside the events.
type StoredFloor struct {
	Ends     map[plant.ID]ChainEnd
	Ops      map[floor.OpKey]StoredOp
	Stations map[plant.StationID]string // JSON
}

// AuditFloor reads all that is stored of the floor as it is at one instant, though others write meanwhile: it calls undo for every Undo,
// then record for every record in the order in which they were made, and gives the rest. It trusts nothing that it reads.
func (s *Store) AuditFloor(ctx context.Context, undo func(*floor.Event), record func(*StoredRecord) error) (f *StoredFloor, err error) {
	err = s.view(ctx, func(tx Tx) error {
		err := tx.each(ctx, func(rows *sql.Rows) error {
			var body string
			var e floor.Event
			if err := rows.Scan(&body); err != nil {
				return err
			}
			if json.Unmarshal([]byte(body), &e) == nil { // if not, the row is found wrong below
				undo(&e)
			}
			return nil
		}, `SELECT body FROM floor_events WHERE kind = ? ORDER BY seq`, string(floor.Undo))
		if err == nil {
			err = tx.eachStored(ctx, record)
		}
		if err == nil {
			f, err = tx.storedFloor(ctx)
		}
		return err
	})
	return f, err
}

// eachStored calls do for every row of the record.
func (t Tx) eachStored(ctx context.Context, do func(*StoredRecord) error) error {
	return t.each(ctx, func(rows *sql.Rows) error {
		var r StoredRecord
		var c floor.Event // as the columns have it
		var body sql.RawBytes
		if err := rows.Scan(&c.ID, &c.Plant, &r.Number, &r.Got, &c.At, &c.Kind, &c.Device, &c.Person, &c.Job, &c.Seq, &c.Station, &body, &r.Hash); err != nil {
			return err
		}
		if err := json.Unmarshal(body, &r.Event); err != nil {
			r.Wrong = "its text cannot be read"
			r.Event = c
			return do(&r)
		}
		e := &r.Event
		written, err := json.Marshal(e)
		switch {
		case err != nil:
			r.Wrong = "its text cannot be written again"
		case string(written) != string(body):
			r.Wrong = "its text is not as the program writes it"
		case c != floor.Event{ID: e.ID, Plant: e.Plant, At: e.At, Kind: e.Kind, Device: e.Device, Person: e.Person, Job: e.Job, Seq: e.Seq, Station: e.Station}:
			r.Wrong = "its columns and its text do not agree"
		}
		return do(&r)
	}, `SELECT id, plant, number, got, at, kind, device, person, job, op, station, body, hash FROM floor_events ORDER BY seq`)
}

// storedFloor reads the ends of the chains and the state.
func (t Tx) storedFloor(ctx context.Context) (*StoredFloor, error) {
	f := &StoredFloor{Ends: map[plant.ID]ChainEnd{}, Ops: map[floor.OpKey]StoredOp{}, Stations: map[plant.StationID]string{}}
	err := t.each(ctx, func(rows *sql.Rows) error {
		var id plant.ID
		var end ChainEnd
		err := rows.Scan(&id, &end.Number, &end.Hash)
		f.Ends[id] = end
		return err
	}, `SELECT plant, number, hash FROM floor_chains`)
	if err != nil {
		return nil, fmt.Errorf("ends of the chains: %w", err)
	}
	err = t.each(ctx, func(rows *sql.Rows) error {
		var k floor.OpKey
		var o StoredOp
		err := rows.Scan(&k.Job, &k.Seq, &o.Phase, &o.Station, &o.State)
		f.Ops[k] = o
		return err
	}, `SELECT job, op, phase, station, state FROM floor_ops`)
	if err != nil {
		return nil, fmt.Errorf("state of operations: %w", err)
	}
	err = t.each(ctx, func(rows *sql.Rows) error {
		var id plant.StationID
		var state string
		err := rows.Scan(&id, &state)
		f.Stations[id] = state
		return err
	}, `SELECT station, state FROM floor_stations`)
	return f, err
}
