package store_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"strings"
	"sync/atomic"
	"testing"

	"tackline/store"
	"tackline/store/storetest"
)

// TACKLINE_POSTGRES names a server for tests, such as postgres://user@host/database; each test works in a schema of its
// own, dropped at the end.
func TestPostgreSQL(t *testing.T) {
	server := os.Getenv("TACKLINE_POSTGRES")
	if server == "" {
		t.Skip("set TACKLINE_POSTGRES to a server, or run scripts/postgres.sh, which makes a throw-away one")
	}
	admin, err := sql.Open("pgx", server)
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close()
	var n atomic.Int64
	storetest.Run(t, func(t *testing.T) *store.Store {
		schema := fmt.Sprintf("tackline_test_%d_%d", os.Getpid(), n.Add(1))
		if _, err := admin.Exec("CREATE SCHEMA " + schema); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { admin.Exec("DROP SCHEMA " + schema + " CASCADE") })
		mark := "?"
		if strings.Contains(server, "?") {
			mark = "&"
		}
		s, err := store.Open(context.Background(), server+mark+"search_path="+schema)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { s.Close() })
		return s
	})
}
