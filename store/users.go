package store

import (
	"context"

	"tackline/fault"
	"tackline/plant"
)

// User is somebody who can sign in. Hash is the argon2id hash of the password, never the password.
type User struct {
	Name        string
	Role        string
	Hash        string
	MustChange  bool
	Disabled    bool
	Made        plant.Time
	Failures    int        // refused sign-ins in a row
	LockedUntil plant.Time // no sign-in before
}

const userColumns = `name, role, hash, must_change, disabled, made, failures, locked_until`

func (u *User) targets() []any {
	return []any{&u.Name, &u.Role, &u.Hash, &u.MustChange, &u.Disabled, &u.Made, &u.Failures, &u.LockedUntil}
}

// AddUser stores a new user, with the act.
func (s *Store) AddUser(ctx context.Context, u User, a Act) error {
	return s.update(ctx, func(tx Tx) error {
		res, err := tx.exec(ctx, `INSERT INTO users (`+userColumns+`) VALUES (?, ?, ?, ?, ?, ?, 0, 0) ON CONFLICT (name) DO NOTHING`,
			u.Name, u.Role, u.Hash, u.MustChange, u.Disabled, u.Made)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n != 1 {
			return fault.New(fault.Conflict, "There is a user %q already.", u.Name)
		}
		_, err = tx.act(ctx, a)
		return err
	})
}

// SaveUser stores a changed user, with the act.
func (s *Store) SaveUser(ctx context.Context, u User, a Act) error {
	return s.update(ctx, func(tx Tx) error {
		res, err := tx.exec(ctx, `UPDATE users SET role = ?, hash = ?, must_change = ?, disabled = ?, failures = ?, locked_until = ? WHERE name = ?`,
			u.Role, u.Hash, u.MustChange, u.Disabled, u.Failures, u.LockedUntil, u.Name)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n != 1 {
			return fault.New(fault.NotFound, "There is no user %q.", u.Name)
		}
		_, err = tx.act(ctx, a)
		return err
	})
}

// CountFailure adds a refused sign-in of a user and gives how many there were in a row.
func (s *Store) CountFailure(ctx context.Context, name string) (failures int, err error) {
	err = s.update(ctx, func(tx Tx) error {
		err := tx.row(ctx, `UPDATE users SET failures = failures + 1 WHERE name = ? RETURNING failures`, name).Scan(&failures)
		return notFound(err, "There is no user %q.", name)
	})
	return failures, err
}

// LockUser refuses sign-ins of a user until a time.
func (s *Store) LockUser(ctx context.Context, name string, until plant.Time) error {
	return s.update(ctx, func(tx Tx) error {
		_, err := tx.exec(ctx, `UPDATE users SET locked_until = ? WHERE name = ?`, until, name)
		return err
	})
}

// ClearFailures forgets the refused sign-ins of a user.
func (s *Store) ClearFailures(ctx context.Context, name string) error {
	return s.update(ctx, func(tx Tx) error {
		_, err := tx.exec(ctx, `UPDATE users SET failures = 0, locked_until = 0 WHERE name = ?`, name)
		return err
	})
}

// User gives the user with a name.
func (s *Store) User(ctx context.Context, name string) (u User, err error) {
	err = s.view(ctx, func(tx Tx) error {
		err := tx.row(ctx, `SELECT `+userColumns+` FROM users WHERE name = ?`, name).Scan(u.targets()...)
		return notFound(err, "There is no user %q.", name)
	})
	return u, err
}

// Users gives all users by name.
func (s *Store) Users(ctx context.Context) ([]User, error) {
	return listOf(ctx, s, (*User).targets, `SELECT `+userColumns+` FROM users ORDER BY name`)
}
