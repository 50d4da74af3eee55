package store

import (
	"context"
	"database/sql"
	"errors"
	"path/filepath"

	"tackline/fault"
)

// Hold reserves the store for one program that plans, until the function that it gives is called or the program ends,
// however it ends. While another holds it, a Conflict is returned. Reading and writing need no hold.
//
// The hold is the lock on a second, empty SQLite file beside the database: the system frees it when a program is killed,
// and it works on every system that the database works on. On PostgreSQL there is no background planning yet, and no hold.
func (s *Store) Hold(ctx context.Context) (release func() error, err error) {
	if s.postgres {
		return func() error { return nil }, nil
	}
	path, err := filepath.Abs(s.place)
	if err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite", "file:"+escaped(path+".hold")+"?_pragma=busy_timeout(0)")
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	conn, err := db.Conn(context.WithoutCancel(ctx))
	if err == nil {
		_, err = conn.ExecContext(ctx, "BEGIN EXCLUSIVE")
	}
	if err != nil {
		db.Close()
		return nil, fault.New(fault.Conflict, "Another Tackline works on the database %s already. Stop it first, or use its screens. (%v)", s.place, err)
	}
	return func() error { return errors.Join(conn.Close(), db.Close()) }, nil
}
