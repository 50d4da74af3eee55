package store

import (
	"context"
	"database/sql"
	"errors"

	"tackline/fault"
	"tackline/plant"
)

// Device is an enrolled terminal. Token is the SHA-256 of the token that it carries, never the token itself.
type Device struct {
	ID       string
	Name     string
	Plant    plant.ID
	Station  plant.StationID // "" if it is carried about
	Token    string
	Enrolled plant.Time
	Opened   plant.Time // when it opened its link; 0: not yet
	Until    plant.Time // until when the link can be opened
	Seen     plant.Time // 0: never
	Disabled bool
}

const deviceColumns = `id, name, plant, station, token_hash, enrolled, opened, link_until, seen, disabled`

func (d *Device) targets() []any {
	return []any{&d.ID, &d.Name, &d.Plant, &d.Station, &d.Token, &d.Enrolled, &d.Opened, &d.Until, &d.Seen, &d.Disabled}
}

// AddDevice stores a new device, with the act. Two devices cannot have one name.
func (s *Store) AddDevice(ctx context.Context, d Device, a Act) error {
	return s.update(ctx, func(tx Tx) error {
		res, err := tx.exec(ctx, `INSERT INTO devices (`+deviceColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
			d.ID, d.Name, d.Plant, d.Station, d.Token, d.Enrolled, d.Opened, d.Until, d.Seen, d.Disabled)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n != 1 {
			return fault.New(fault.Conflict, "There is a terminal %q already. Choose another name.", d.Name)
		}
		_, err = tx.act(ctx, a)
		return err
	})
}

// SaveDevice stores a changed device, with the act, if its token is still was: of two who change it at once, one wins. When it was
// last seen is not set back.
func (s *Store) SaveDevice(ctx context.Context, d Device, was string, a Act) error {
	return s.update(ctx, func(tx Tx) error {
		res, err := tx.exec(ctx, `UPDATE devices SET token_hash = ?, opened = ?, link_until = ?, disabled = ?, seen = CASE WHEN seen < ? THEN ? ELSE seen END WHERE id = ? AND token_hash = ?`,
			d.Token, d.Opened, d.Until, d.Disabled, d.Seen, d.Seen, d.ID, was)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n != 1 {
			return fault.New(fault.Conflict, "The terminal %s was changed meanwhile, or is gone.", d.Name)
		}
		_, err = tx.act(ctx, a)
		return err
	})
}

// SeeDevice notes when a device was last there.
func (s *Store) SeeDevice(ctx context.Context, id string, at plant.Time) error {
	return s.update(ctx, func(tx Tx) error {
		_, err := tx.exec(ctx, `UPDATE devices SET seen = ? WHERE id = ? AND seen < ?`, at, id, at)
		return err
	})
}

// Device gives the device with an ID.
func (s *Store) Device(ctx context.Context, id string) (d Device, err error) {
	err = s.view(ctx, func(tx Tx) error {
		err := tx.row(ctx, `SELECT `+deviceColumns+` FROM devices WHERE id = ?`, id).Scan(d.targets()...)
		return notFound(err, "There is no terminal %q.", id)
	})
	return d, err
}

// DeviceByToken gives the device whose token has a hash, and whether there is one.
func (s *Store) DeviceByToken(ctx context.Context, hash string) (d Device, ok bool, err error) {
	err = s.view(ctx, func(tx Tx) error {
		err := tx.row(ctx, `SELECT `+deviceColumns+` FROM devices WHERE token_hash = ?`, hash).Scan(d.targets()...)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		ok = err == nil
		return err
	})
	return d, ok, err
}

// Devices gives all devices by name.
func (s *Store) Devices(ctx context.Context) ([]Device, error) {
	return listOf(ctx, s, (*Device).targets, `SELECT `+deviceColumns+` FROM devices ORDER BY name`)
}
