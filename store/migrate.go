package store

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"os"

	"github.com/pressly/goose/v3"
	"github.com/riverqueue/river/riverdriver"
	"github.com/riverqueue/river/riverdriver/riversqlite"
	"github.com/riverqueue/river/rivermigrate"

	"tackline/fault"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// migrate brings the tables up to date: ours, and those of the job queue.
func (s *Store) migrate(ctx context.Context) error {
	files, err := fs.Sub(migrationFiles, "migrations")
	if err != nil {
		return err
	}
	dialect := goose.DialectSQLite3
	if s.postgres {
		dialect = goose.DialectPostgres
	}
	p, err := goose.NewProvider(dialect, s.write, files)
	if err != nil {
		return err
	}
	have, know, err := p.GetVersions(ctx)
	if err != nil {
		return fmt.Errorf("read the version of the database %s: %w", s.place, err)
	}
	if have > know {
		return fault.New(fault.Conflict, "The database %s was made by a newer Tackline: its tables have version %d, this program knows %d. "+
			"Use the newer program, or put back a copy made before the update.", s.place, have, know)
	}
	if have < know {
		if err := s.backup(ctx, have); err != nil {
			return err
		}
		if _, err := p.Up(ctx); err != nil {
			return fmt.Errorf("bring the database %s up to date: %w", s.place, err)
		}
	}
	return s.migrateQueue(ctx)
}

// backup copies an existing file before its tables are changed to FILE.before-update-from-V (and -2, -3, ...). On
// PostgreSQL backups are the server's matter.
func (s *Store) backup(ctx context.Context, version int64) error {
	if s.postgres || version == 0 {
		return nil
	}
	base := fmt.Sprintf("%s.before-update-from-%d", s.place, version)
	to := base
	for n := 2; ; n++ {
		if _, err := os.Stat(to); os.IsNotExist(err) {
			break
		}
		to = fmt.Sprintf("%s-%d", base, n)
	}
	if _, err := s.write.ExecContext(ctx, `VACUUM INTO ?`, to); err != nil {
		return fmt.Errorf("copy the database to %s before its update: %w", to, err)
	}
	return nil
}

// Queue gives what the job queue needs to keep its jobs in this database. It shares the one writing connection, so that
// jobs can be added in the same transaction as what they are about. PostgreSQL has no queue yet: nil.
func (s *Store) Queue() riverdriver.Driver[*sql.Tx] {
	if s.postgres {
		return nil
	}
	return riversqlite.New(s.write)
}

func (s *Store) migrateQueue(ctx context.Context) error {
	driver := s.Queue()
	if driver == nil {
		return nil
	}
	m, err := rivermigrate.New(driver, nil)
	if err != nil {
		return err
	}
	if _, err := m.Migrate(ctx, rivermigrate.DirectionUp, nil); err != nil {
		return fmt.Errorf("bring the job queue of %s up to date: %w", s.place, err)
	}
	return nil
}
