package store_test

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
	"tackline/stock"
	"tackline/store"
	"tackline/store/storetest"
)

func open(t *testing.T, path string) *store.Store {
	t.Helper()
	s, err := store.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestSQLite(t *testing.T) {
	storetest.Run(t, func(t *testing.T) *store.Store {
		return open(t, filepath.Join(t.TempDir(), "odd name %41?#", "shop.db"))
	})
}

func TestASecondOpenKeepsTheData(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	s := open(t, path)
	b := &book.Book{Lots: []stock.Lot{{ID: "L1", Item: "i", Plant: "p", Quantity: 1500}}}
	rev, err := s.SaveBook(context.Background(), 0, store.Act{}, b, []string{"lots"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	got, at, err := open(t, path).Book(context.Background())
	if err != nil || at != rev || len(got.Lots) != 1 || got.Lots[0] != b.Lots[0] {
		t.Errorf("after a second open: %+v, revision %d, %v", got.Lots, at, err)
	}
	if left, _ := filepath.Glob(path + ".before*"); len(left) != 0 {
		t.Errorf("a database that is up to date was copied: %v", left)
	}
}

func raw(t *testing.T, path string, statements ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
}

func TestANewerDatabaseIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	open(t, path).Close()
	raw(t, path, `INSERT INTO goose_db_version (version_id, is_applied) VALUES (9999, 1)`)
	_, err := store.Open(context.Background(), path)
	if fault.KindOf(err) != fault.Conflict || !strings.Contains(err.Error(), "newer Tackline") {
		t.Errorf("a newer database: %v", err)
	}
}

func TestAnOlderDatabaseIsCopiedAsideBeforeItsUpdate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	open(t, path).Close()
	raw(t, path, `DELETE FROM goose_db_version WHERE version_id > 2`, `DROP TABLE floor_events`, `DROP TABLE floor_chains`, `DROP TABLE floor_ops`, `DROP TABLE floor_stations`, `DROP TABLE person_pins`, `DROP TABLE pin_tries`, `DROP TABLE devices`, `ALTER TABLE plans DROP COLUMN facts`,
		`DELETE FROM counters WHERE name = 'event'`,
		`INSERT INTO b_settings (seq, setting, value) VALUES (1, 'currency', 'EUR')`)
	b, _, err := open(t, path).Book(context.Background())
	if err != nil || len(b.Settings) != 1 {
		t.Fatalf("after the update: %v, %v", b.Settings, err)
	}
	copies, _ := filepath.Glob(path + ".before-update-from-2")
	if len(copies) != 1 {
		t.Fatalf("copies: %v", copies)
	}
	old, err := sql.Open("sqlite", copies[0])
	if err != nil {
		t.Fatal(err)
	}
	defer old.Close()
	var n int
	if err := old.QueryRow(`SELECT COUNT(*) FROM b_settings`).Scan(&n); err != nil || n != 1 {
		t.Errorf("rows in the copy: %d, %v", n, err)
	}
	if err := old.QueryRow(`SELECT COUNT(*) FROM sqlite_master WHERE name = 'floor_events'`).Scan(&n); err != nil || n != 0 {
		t.Errorf("the copy was made after the update: %d, %v", n, err)
	}
}

func TestADamagedFileIsReported(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	if err := os.WriteFile(path, []byte(strings.Repeat("this is no database ", 500)), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := store.Open(context.Background(), path)
	if fault.KindOf(err) != fault.Conflict || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("a file that is no database: %v", err)
	}
	whole := filepath.Join(t.TempDir(), "shop.db")
	open(t, whole).Close()
	pages, err := os.ReadFile(whole)
	if err != nil {
		t.Fatal(err)
	}
	for i := 100; i < len(pages); i++ { // the header stays
		pages[i] = 0xa5
	}
	if err := os.WriteFile(whole, pages, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Open(context.Background(), whole); fault.KindOf(err) != fault.Conflict || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("a database of scrambled pages: %v", err)
	}
}

// Readers see a whole revision, never half of one, while a writer replaces the book again and again.
func TestReadersSeeWholeRevisions(t *testing.T) {
	ctx := context.Background()
	s := open(t, filepath.Join(t.TempDir(), "shop.db"))
	const revisions = 15
	var wg sync.WaitGroup
	for range 3 {
		wg.Go(func() {
			for rev := int64(0); rev < revisions; {
				b, at, err := s.Book(ctx)
				if err != nil {
					t.Error(err)
					return
				}
				if len(b.Pools) != int(at) || len(b.Settings) != int(at) || at < rev {
					t.Errorf("revision %d after %d has %d pools and %d settings", at, rev, len(b.Pools), len(b.Settings))
					return
				}
				rev = at
			}
		})
	}
	b := &book.Book{}
	for rev := int64(0); rev < revisions; rev++ {
		id := string(rune('a' + rev))
		b.Pools = append(b.Pools, plant.Pool{ID: plant.PoolID(id), Plant: "p", Name: "x"})
		b.Settings = append(b.Settings, plant.Setting{Name: id, Value: "x"})
		if _, err := s.SaveBook(ctx, rev, store.Act{}, b, []string{"pools", "settings"}, nil); err != nil {
			t.Fatal(err)
		}
	}
	wg.Wait()
}

// A token of a session does not stand in the database: who reads the file cannot sign in with it.
func TestSessionTokensAreNotInTheFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	s := open(t, path)
	const token = "a-token-that-nobody-must-find"
	if err := s.Sessions(nil).Commit(token, []byte("who"), time.Now().Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob(path + "*")
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil || strings.Contains(string(b), token) {
			t.Errorf("%s: %v, or the token is in it", f, err)
		}
	}
}
