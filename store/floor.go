package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tackline/floor"
	"tackline/plant"
)

// FloorChange is what events change in the state of the floor: the operations and stations named, as they are afterwards.
type FloorChange struct {
	Ops      map[floor.OpKey]floor.Op
	Stations map[plant.StationID]floor.Station
}

// AppendEvents records events, in their order, and the state that follows, in one transaction: all or nothing. It numbers and seals
// them by plant. No event may be recorded already; see KnownEvents.
func (s *Store) AppendEvents(ctx context.Context, events []floor.Event, got plant.Time, c FloorChange) (records []floor.Record, err error) {
	err = s.update(ctx, func(tx Tx) error {
		if records, err = tx.seal(ctx, events, got); err != nil {
			return err
		}
		return tx.saveFloor(ctx, c)
	})
	return records, err
}

// seal inserts events at the end of the chains of their plants.
func (t Tx) seal(ctx context.Context, events []floor.Event, got plant.Time) ([]floor.Record, error) {
	last, err := t.take(ctx, "event", int64(len(events)))
	if err != nil {
		return nil, err
	}
	insert, err := t.PrepareContext(ctx, t.s.bind(`INSERT INTO floor_events (seq, id, plant, number, got, at, kind, device, person, job, op, station, body, hash)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`))
	if err != nil {
		return nil, err
	}
	defer insert.Close()
	type end struct {
		number int64
		hash   string
	}
	ends := map[plant.ID]end{}
	records := make([]floor.Record, len(events))
	for i := range events {
		e := &events[i]
		at, known := ends[e.Plant]
		if !known {
			err := t.row(ctx, `SELECT number, hash FROM floor_chains WHERE plant = ?`, string(e.Plant)).Scan(&at.number, &at.hash)
			if err != nil && !errors.Is(err, sql.ErrNoRows) {
				return nil, err
			}
		}
		r := floor.Record{Event: *e, Number: at.number + 1, Got: got}
		if r.Hash, err = floor.Seal(at.hash, &r); err != nil {
			return nil, err
		}
		ends[e.Plant] = end{r.Number, r.Hash}
		body, err := json.Marshal(e)
		if err != nil {
			return nil, err
		}
		if _, err := insert.ExecContext(ctx, last-int64(len(events)-1-i), e.ID, e.Plant, r.Number, got, e.At, e.Kind, e.Device, e.Person, e.Job, e.Seq, e.Station,
			string(body), r.Hash); err != nil {
			return nil, fmt.Errorf("record event %s: %w", e.ID, err)
		}
		records[i] = r
	}
	for id, at := range ends {
		if _, err := t.exec(ctx, `INSERT INTO floor_chains (plant, number, hash) VALUES (?, ?, ?)
			ON CONFLICT (plant) DO UPDATE SET number = excluded.number, hash = excluded.hash`, id, at.number, at.hash); err != nil {
			return nil, err
		}
	}
	return records, nil
}

func (t Tx) saveFloor(ctx context.Context, c FloorChange) error {
	for k, o := range c.Ops {
		state, err := json.Marshal(o)
		if err != nil {
			return err
		}
		if _, err := t.exec(ctx, `INSERT INTO floor_ops (job, op, phase, station, state) VALUES (?, ?, ?, ?, ?)
			ON CONFLICT (job, op) DO UPDATE SET phase = excluded.phase, station = excluded.station, state = excluded.state`,
			k.Job, k.Seq, o.Phase, o.Station, string(state)); err != nil {
			return err
		}
	}
	for id, st := range c.Stations {
		state, err := json.Marshal(st)
		if err != nil {
			return err
		}
		if _, err := t.exec(ctx, `INSERT INTO floor_stations (station, state) VALUES (?, ?) ON CONFLICT (station) DO UPDATE SET state = excluded.state`,
			id, string(state)); err != nil {
			return err
		}
	}
	return nil
}

// mostNamed bounds the names in one query.
const mostNamed = 500

// KnownEvents gives those of the events named that are recorded, with their numbers.
func (s *Store) KnownEvents(ctx context.Context, ids []string) (map[string]int64, error) {
	known := map[string]int64{}
	if len(ids) == 0 {
		return known, nil
	}
	err := s.view(ctx, func(tx Tx) error {
		for part := range slices.Chunk(ids, mostNamed) {
			args := make([]any, len(part))
			for i, id := range part {
				args[i] = id
			}
			err := tx.each(ctx, func(r *sql.Rows) error {
				var id string
				var number int64
				err := r.Scan(&id, &number)
				known[id] = number
				return err
			}, `SELECT id, number FROM floor_events WHERE id IN (?`+strings.Repeat(", ?", len(part)-1)+`)`, args...)
			if err != nil {
				return err
			}
		}
		return nil
	})
	return known, err
}

// OpHistory gives what was recorded about an operation, in order.
func (s *Store) OpHistory(ctx context.Context, k floor.OpKey) ([]floor.Event, error) {
	list, err := s.history(ctx, `WHERE job = ? AND op = ?`, k.Job, k.Seq)
	return aboutOp(list, true), err
}

// StationHistory gives what was recorded about a station itself, in order.
func (s *Store) StationHistory(ctx context.Context, id plant.StationID) ([]floor.Event, error) {
	list, err := s.history(ctx, `WHERE station = ?`, id)
	return aboutOp(list, false), err
}

func (s *Store) history(ctx context.Context, where string, args ...any) (list []floor.Event, err error) {
	err = s.EachRecord(ctx, func(r *floor.Record) error {
		list = append(list, r.Event)
		return nil
	}, where, args...)
	return list, err
}

// aboutOp keeps the events that are about an operation, or about a station.
func aboutOp(list []floor.Event, op bool) (out []floor.Event) {
	for i := range list {
		if _, _, is := list[i].Subject(); is == op {
			out = append(out, list[i])
		}
	}
	return out
}

// EachRecord calls do for every record in the order in which they were made; where, which may be empty, is a condition with its
// arguments.
func (s *Store) EachRecord(ctx context.Context, do func(*floor.Record) error, where string, args ...any) error {
	return s.view(ctx, func(tx Tx) error {
		return tx.each(ctx, func(rows *sql.Rows) error {
			var r floor.Record
			var body string
			if err := rows.Scan(&r.Number, &r.Got, &body, &r.Hash); err != nil {
				return err
			}
			if err := json.Unmarshal([]byte(body), &r.Event); err != nil {
				return fmt.Errorf("event %d: %w", r.Number, err)
			}
			return do(&r)
		}, `SELECT number, got, body, hash FROM floor_events `+where+` ORDER BY seq`, args...)
	})
}

// Floor reads the state of the floor.
func (s *Store) Floor(ctx context.Context) (*floor.State, error) {
	state := floor.NewState()
	err := s.view(ctx, func(tx Tx) error {
		err := tx.each(ctx, func(rows *sql.Rows) error {
			var k floor.OpKey
			var text string
			if err := rows.Scan(&k.Job, &k.Seq, &text); err != nil {
				return err
			}
			var o floor.Op
			err := json.Unmarshal([]byte(text), &o)
			state.SetOp(k, o)
			return err
		}, `SELECT job, op, state FROM floor_ops ORDER BY job, op`)
		if err != nil {
			return err
		}
		return tx.each(ctx, func(rows *sql.Rows) error {
			var id plant.StationID
			var text string
			if err := rows.Scan(&id, &text); err != nil {
				return err
			}
			var st floor.Station
			err := json.Unmarshal([]byte(text), &st)
			state.Stations[id] = st
			return err
		}, `SELECT station, state FROM floor_stations`)
	})
	return state, err
}

// ReplaceFloor puts a state in the place of the stored one.
func (s *Store) ReplaceFloor(ctx context.Context, state *floor.State) error {
	return s.update(ctx, func(tx Tx) error {
		for _, q := range []string{`DELETE FROM floor_ops`, `DELETE FROM floor_stations`} {
			if _, err := tx.exec(ctx, q); err != nil {
				return err
			}
		}
		return tx.saveFloor(ctx, FloorChange{state.Ops, state.Stations})
	})
}
