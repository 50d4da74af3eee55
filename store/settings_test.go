package store

import (
	"context"
	"database/sql"
	"path/filepath"
	"testing"
)

// Settings made by a statement would hold for one connection of the pool only; in the DSN they hold for every one.
func TestEveryConnectionHasTheSettings(t *testing.T) {
	ctx := context.Background()
	s, err := Open(ctx, filepath.Join(t.TempDir(), "shop.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	check := func(db *sql.DB, many int, readOnly string) {
		for range many {
			c, err := db.Conn(ctx)
			if err != nil {
				t.Fatal(err)
			}
			defer c.Close() // held to the end, so that each is another connection
			for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "10000", "query_only": readOnly} {
				var got string
				if err := c.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
					t.Errorf("%s is %s, %v; want %s", pragma, got, err, want)
				}
			}
		}
	}
	check(s.read, 8, "1")
	check(s.write, 1, "0")
	if n := s.write.Stats().MaxOpenConnections; n != 1 {
		t.Errorf("%d writers", n)
	}
}

func TestPlaceholders(t *testing.T) {
	const query = "UPDATE x SET a = ?, b = ? WHERE c = ?"
	if got := (&Store{}).bind(query); got != query {
		t.Error(got)
	}
	if got := (&Store{postgres: true}).bind(query); got != "UPDATE x SET a = $1, b = $2 WHERE c = $3" {
		t.Error(got)
	}
}
