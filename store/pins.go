package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"

	"tackline/fault"
	"tackline/plant"
)

// PIN is what is kept of the PIN of a person of the book: the argon2id hash, never the PIN itself.
type PIN struct {
	Person plant.PersonID
	Hash   string
	Key    string // mark of the key that the hash was made under
	Set    plant.Time
}

// Subjects of wrong tries.
const (
	TriesOfPerson = "person"
	TriesOfDevice = "device"
)

// Tries is the wrong PINs of a person, or at a device. Names of people need not be in the book: what nobody is called is counted
// like a name.
type Tries struct {
	Kind, Name  string
	Failures    int
	Since       plant.Time // the first of them
	Last        plant.Time
	LockedUntil plant.Time // no try before
}

func (p *PIN) targets() []any { return []any{&p.Person, &p.Hash, &p.Key, &p.Set} }

func (t *Tries) targets() []any {
	return []any{&t.Kind, &t.Name, &t.Failures, &t.Since, &t.Last, &t.LockedUntil}
}

const triesColumns = `kind, name, failures, since, last, locked_until`

// SavePIN stores the PIN of a person in the place of an earlier one and forgets his wrong tries, with the act.
func (s *Store) SavePIN(ctx context.Context, p PIN, a Act) error {
	return s.update(ctx, func(tx Tx) error {
		_, err := tx.exec(ctx, `INSERT INTO person_pins (person, hash, key_mark, set_at) VALUES (?, ?, ?, ?)
			ON CONFLICT (person) DO UPDATE SET hash = excluded.hash, key_mark = excluded.key_mark, set_at = excluded.set_at`, p.Person, p.Hash, p.Key, p.Set)
		if err != nil {
			return err
		}
		return tx.forgetTries(ctx, p.Person, a)
	})
}

// ClearPIN removes the PIN of a person and forgets his wrong tries, with the act.
func (s *Store) ClearPIN(ctx context.Context, person plant.PersonID, a Act) error {
	return s.update(ctx, func(tx Tx) error {
		res, err := tx.exec(ctx, `DELETE FROM person_pins WHERE person = ?`, person)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n != 1 {
			return fault.New(fault.NotFound, "%s has no PIN.", person)
		}
		return tx.forgetTries(ctx, person, a)
	})
}

// ForgetTries forgets the wrong tries of a person, so that he may try at once, with the act.
func (s *Store) ForgetTries(ctx context.Context, person plant.PersonID, a Act) error {
	return s.update(ctx, func(tx Tx) error { return tx.forgetTries(ctx, person, a) })
}

func (t Tx) forgetTries(ctx context.Context, person plant.PersonID, a Act) error {
	if _, err := t.exec(ctx, `DELETE FROM pin_tries WHERE kind = ? AND name = ?`, TriesOfPerson, person); err != nil {
		return err
	}
	_, err := t.act(ctx, a)
	return err
}

// PIN gives the PIN of a person, and whether he has one.
func (s *Store) PIN(ctx context.Context, person plant.PersonID) (p PIN, ok bool, err error) {
	err = s.view(ctx, func(tx Tx) error {
		err := tx.row(ctx, `SELECT person, hash, key_mark, set_at FROM person_pins WHERE person = ?`, person).Scan(p.targets()...)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		ok = err == nil
		return err
	})
	return p, ok, err
}

// PINs gives all PINs by person.
func (s *Store) PINs(ctx context.Context) ([]PIN, error) {
	return listOf(ctx, s, (*PIN).targets, `SELECT person, hash, key_mark, set_at FROM person_pins ORDER BY person`)
}

// AllTries gives all wrong tries of a kind by name.
func (s *Store) AllTries(ctx context.Context, kind string) ([]Tries, error) {
	return listOf(ctx, s, (*Tries).targets, `SELECT `+triesColumns+` FROM pin_tries WHERE kind = ? ORDER BY name`, kind)
}

// Tries gives the wrong tries of a person and at a device.
func (s *Store) Tries(ctx context.Context, person, device string) (p, d Tries, err error) {
	p, d = Tries{Kind: TriesOfPerson, Name: person}, Tries{Kind: TriesOfDevice, Name: device}
	err = s.view(ctx, func(tx Tx) error {
		for _, t := range []*Tries{&p, &d} {
			err := tx.row(ctx, `SELECT `+triesColumns+` FROM pin_tries WHERE kind = ? AND name = ?`, t.Kind, t.Name).Scan(t.targets()...)
			if err != nil && !errors.Is(err, sql.ErrNoRows) {
				return err
			}
		}
		return nil
	})
	return p, d, err
}

// ChangeTries lets change judge the wrong tries of a person and at a device and stores what it makes of them. Nobody else
// changes them meanwhile. If change gives an error, nothing is stored. Tries at devices, and of people
// without a PIN, whose last is before forget are forgotten, so that made-up names do not fill the database.
func (s *Store) ChangeTries(ctx context.Context, person, device string, forget plant.Time, change func(p, d *Tries) error) error {
	return s.update(ctx, func(tx Tx) error {
		_, err := tx.exec(ctx, `DELETE FROM pin_tries WHERE last < ? AND locked_until < ? AND (kind = ? OR name NOT IN (SELECT person FROM person_pins))`, forget, forget, TriesOfDevice)
		if err != nil {
			return err
		}
		pair := [2]Tries{{Kind: TriesOfPerson, Name: person}, {Kind: TriesOfDevice, Name: device}}
		for i := range pair { // the row is written before it is read, so that PostgreSQL lets nobody else read it until the end
			t := &pair[i]
			if err := tx.row(ctx, `INSERT INTO pin_tries (`+triesColumns+`) VALUES (?, ?, 0, 0, 0, 0)
				ON CONFLICT (kind, name) DO UPDATE SET failures = pin_tries.failures RETURNING `+triesColumns, t.Kind, t.Name).Scan(t.targets()...); err != nil {
				return err
			}
		}
		if err := change(&pair[0], &pair[1]); err != nil {
			return err
		}
		for _, t := range pair {
			if _, err := tx.exec(ctx, `UPDATE pin_tries SET failures = ?, since = ?, last = ?, locked_until = ? WHERE kind = ? AND name = ?`,
				t.Failures, t.Since, t.Last, t.LockedUntil, t.Kind, t.Name); err != nil {
				return err
			}
		}
		return nil
	})
}

// Beside gives the path of a file that lies beside the database but is no part of it, so that who copies the database does not copy
// it. A database on a server has no such place: a Conflict.
func (s *Store) Beside(ending string) (string, error) {
	if s.postgres {
		return "", fault.New(fault.Conflict, "The database is on a server, so that nothing can lie beside it. Name a file for it.")
	}
	path, err := filepath.Abs(s.place)
	if err != nil {
		return "", fmt.Errorf("find the folder of the database: %w", err)
	}
	return path + ending, nil
}
