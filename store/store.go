package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	_ "github.com/jackc/pgx/v5/stdlib" // PostgreSQL
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"tackline/fault"
)

// Store is an open database. It is safe for concurrent use.
type Store struct {
	write    *sql.DB // one connection: writers queue here, not in the database
	read     *sql.DB // many connections
	postgres bool
	place    string
	tables   []tableSQL
}

// Open opens the database at place and brings its tables up to date. place is a file path (SQLite; the file and its folder
// are made if they do not exist) or a URL that begins with postgres://. An existing file is copied aside before its tables
// are changed. A database that a newer program made is refused with a Conflict.
func Open(ctx context.Context, place string) (*Store, error) {
	s := &Store{place: place, postgres: strings.HasPrefix(place, "postgres://"), tables: tableStatements()}
	var err error
	if s.postgres {
		err = s.connectPostgres()
	} else {
		err = s.connectSQLite()
	}
	if err == nil {
		err = s.migrate(ctx)
	}
	if err != nil {
		s.Close()
		return nil, s.inWords(err)
	}
	return s, nil
}

// inWords says what to do about a file that SQLite cannot use. See sqlite.org/rescode.html.
func (s *Store) inWords(err error) error {
	var e *sqlite.Error
	if fault.KindOf(err) != fault.Internal || !errors.As(err, &e) {
		return err
	}
	switch e.Code() & 0xff {
	case sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT:
		return fault.New(fault.Conflict, "The file %s is damaged or is no database of Tackline. Put back a copy of it, or choose another folder. (%v)", s.place, err)
	case sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_FULL:
		return fault.New(fault.Conflict, "The database %s cannot be written. Look at the rights of its folder and at the free space. (%v)", s.place, err)
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return fault.New(fault.Conflict, "The database %s is in use by another program for long. Try again, or stop that program. (%v)", s.place, err)
	}
	return err
}

func (s *Store) connectPostgres() (err error) {
	if s.write, err = sql.Open("pgx", s.place); err != nil {
		return err
	}
	s.read = s.write
	return nil
}

func (s *Store) connectSQLite() error {
	path, err := filepath.Abs(s.place)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return fmt.Errorf("make the folder of the database: %w", err)
	}
	if s.write, err = sql.Open("sqlite", sqliteDSN(path, false)); err != nil {
		return err
	}
	s.write.SetMaxOpenConns(1)
	s.write.SetMaxIdleConns(1)
	if s.read, err = sql.Open("sqlite", sqliteDSN(path, true)); err != nil {
		return err
	}
	s.read.SetMaxOpenConns(8)
	s.read.SetMaxIdleConns(8)
	return nil
}

// sqliteDSN holds every setting, so that each new connection of a pool gets them: write-ahead log (readers and the writer
// do not wait for each other), each commit waits until the log is on the disk (what was acknowledged survives a loss of power;
// see sqlite.org/pragma.html#pragma_synchronous), foreign keys, 10 s of waiting for another process, write transactions that
// take the lock at once (a transaction that began as a reader could not be retried).
func sqliteDSN(path string, readOnly bool) string {
	q := url.Values{"_txlock": {"immediate"}, "_pragma": {"busy_timeout(10000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)"}}
	if readOnly {
		q["_txlock"] = []string{"deferred"}
		q["_pragma"] = append(q["_pragma"], "query_only(1)")
	}
	return "file:" + escaped(path) + "?" + q.Encode()
}

func escaped(path string) string { return (&url.URL{Path: path}).EscapedPath() }

// Close closes the database.
func (s *Store) Close() error {
	var errs []error
	if s.read != nil && s.read != s.write {
		errs = append(errs, s.read.Close())
	}
	if s.write != nil {
		errs = append(errs, s.write.Close())
	}
	return errors.Join(errs...)
}

// Tx is one transaction, in the placeholders of the database.
type Tx struct {
	*sql.Tx
	s *Store
}

func (t Tx) exec(ctx context.Context, query string, args ...any) (sql.Result, error) {
	return t.ExecContext(ctx, t.s.bind(query), args...)
}

func (t Tx) row(ctx context.Context, query string, args ...any) *sql.Row {
	return t.QueryRowContext(ctx, t.s.bind(query), args...)
}

// each calls scan for every row of a query.
func (t Tx) each(ctx context.Context, scan func(*sql.Rows) error, query string, args ...any) error {
	rows, err := t.QueryContext(ctx, t.s.bind(query), args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := scan(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// rowsOf gives the rows of a query, each scanned into the targets of a T.
func rowsOf[T any](ctx context.Context, t Tx, targets func(*T) []any, query string, args ...any) (list []T, err error) {
	err = t.each(ctx, func(r *sql.Rows) error {
		var x T
		err := r.Scan(targets(&x)...)
		list = append(list, x)
		return err
	}, query, args...)
	return list, err
}

// listOf is rowsOf in a transaction of its own.
func listOf[T any](ctx context.Context, s *Store, targets func(*T) []any, query string, args ...any) (list []T, err error) {
	err = s.view(ctx, func(tx Tx) error {
		list, err = rowsOf(ctx, tx, targets, query, args...)
		return err
	})
	return list, err
}

// next gives the next number of a counter: numbers of acts, plans and runs, never used twice.
func (t Tx) next(ctx context.Context, counter string) (n int64, err error) {
	err = t.row(ctx, `UPDATE counters SET value = value + 1 WHERE name = ? RETURNING value`, counter).Scan(&n)
	return n, err
}

// update runs f in a write transaction.
func (s *Store) update(ctx context.Context, f func(Tx) error) error {
	return run(ctx, s, s.write, nil, f)
}

// view runs f in a read transaction: all its queries see one state.
func (s *Store) view(ctx context.Context, f func(Tx) error) error {
	o := &sql.TxOptions{ReadOnly: true}
	if s.postgres {
		o.Isolation = sql.LevelRepeatableRead
	}
	return run(ctx, s, s.read, o, f)
}

func run(ctx context.Context, s *Store, db *sql.DB, o *sql.TxOptions, f func(Tx) error) error {
	tx, err := db.BeginTx(ctx, o)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := f(Tx{tx, s}); err != nil {
		return err
	}
	return tx.Commit()
}

// bind writes the placeholders ? as $1, $2, ... for PostgreSQL. No statement of this package has a ? in text.
func (s *Store) bind(query string) string {
	if !s.postgres {
		return query
	}
	var b strings.Builder
	n := 0
	for _, r := range query {
		if r != '?' {
			b.WriteRune(r)
			continue
		}
		n++
		b.WriteString("$" + strconv.Itoa(n))
	}
	return b.String()
}

func notFound(err error, what string, args ...any) error {
	if errors.Is(err, sql.ErrNoRows) {
		return fault.New(fault.NotFound, what, args...)
	}
	return err
}
