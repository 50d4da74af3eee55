package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"time"
)

// Sessions keeps the sessions of signed-in users, for scs (it is a scs.CtxStore). Sessions outlast a restart.
type Sessions struct {
	s     *Store
	clock func() time.Time
}

// Sessions gives the session store; clock nil is the system's clock.
func (s *Store) Sessions(clock func() time.Time) *Sessions {
	if clock == nil {
		clock = time.Now
	}
	return &Sessions{s, clock}
}

// tokenHash is what stands in the database in the place of a token, so that who reads the database cannot sign in with it.
func tokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// FindCtx gives the data of a session that has not expired.
func (x *Sessions) FindCtx(ctx context.Context, token string) (data []byte, found bool, err error) {
	err = x.s.view(ctx, func(tx Tx) error {
		var text string
		err := tx.row(ctx, `SELECT data FROM sessions WHERE token = ? AND expires > ?`, tokenHash(token), x.clock().UnixMilli()).Scan(&text)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		if err != nil {
			return err
		}
		data, err = base64.StdEncoding.DecodeString(text)
		found = err == nil
		return err
	})
	return data, found, err
}

// CommitCtx stores a session, and forgets those that have expired.
func (x *Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	return x.s.update(ctx, func(tx Tx) error {
		if _, err := tx.exec(ctx, `DELETE FROM sessions WHERE expires <= ?`, x.clock().UnixMilli()); err != nil {
			return err
		}
		_, err := tx.exec(ctx, `INSERT INTO sessions (token, data, expires) VALUES (?, ?, ?)
			ON CONFLICT (token) DO UPDATE SET data = excluded.data, expires = excluded.expires`,
			tokenHash(token), base64.StdEncoding.EncodeToString(data), expiry.UnixMilli())
		return err
	})
}

// DeleteCtx forgets a session.
func (x *Sessions) DeleteCtx(ctx context.Context, token string) error {
	return x.s.update(ctx, func(tx Tx) error {
		_, err := tx.exec(ctx, `DELETE FROM sessions WHERE token = ?`, tokenHash(token))
		return err
	})
}

// Find is FindCtx without a context.
func (x *Sessions) Find(token string) ([]byte, bool, error) {
	return x.FindCtx(context.Background(), token)
}

// Commit is CommitCtx without a context.
func (x *Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return x.CommitCtx(context.Background(), token, data, expiry)
}

// Delete is DeleteCtx without a context.
func (x *Sessions) Delete(token string) error { return x.DeleteCtx(context.Background(), token) }
