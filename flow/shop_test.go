package flow_test

import (
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"tackline/book"
	"tackline/book/booktest"
	"tackline/fault"
	"tackline/flow"
	"tackline/store"
)

func TestMain(m *testing.M) {
	if place := os.Getenv(crashPlace); place != "" {
		crashChild(place)
	}
	if place := os.Getenv(floorCrashPlace); place != "" {
		floorCrashChild(place)
	}
	os.Exit(m.Run())
}

var (
	ctx    = context.Background()
	boss   = flow.Who{Name: "mara", Role: flow.Manager}
	looker = flow.Who{Name: "vito", Role: flow.Viewer}
)

// fakeClock moves only when told.
type fakeClock struct {
	mu sync.Mutex
	at time.Time
}

func newClock() *fakeClock {
	return &fakeClock{at: time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC)}
}

func (c *fakeClock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

func (c *fakeClock) pass(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

func openStore(t testing.TB, path string) *store.Store {
	t.Helper()
	s, err := store.Open(ctx, path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func openShop(t testing.TB, s *store.Store, o flow.Options) *flow.Shop {
	t.Helper()
	if o.Clock == nil {
		o.Clock = newClock().now
	}
	o.SignInMin = -1
	shop, err := flow.Open(ctx, s, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { shop.Close() })
	return shop
}

// newShop gives a shop on a store of its own, with the book b in it; nil: an empty one.
func newShop(t testing.TB, b *book.Book) *flow.Shop {
	t.Helper()
	shop := openShop(t, openStore(t, filepath.Join(t.TempDir(), "shop.db")), flow.Options{})
	if b != nil {
		must(t, shop.ImportBook(ctx, boss, b, nil))
	}
	return shop
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func refused(t *testing.T, err error, kind fault.Kind, what string) {
	t.Helper()
	if fault.KindOf(err) != kind {
		t.Errorf("%s: %v; expected a fault of kind %v", what, err, kind)
	}
}

func revision(t *testing.T, shop *flow.Shop) int64 {
	t.Helper()
	_, n, err := shop.Book(ctx)
	must(t, err)
	return n
}

func table(t *testing.T, name string) *book.Table {
	t.Helper()
	tab, ok := book.TableNamed(name)
	if !ok {
		t.Fatalf("no table %s", name)
	}
	return tab
}

// cells gives the cells of the row of the stored book with a key, nil without one.
func cells(t *testing.T, shop *flow.Shop, name, key string) []string {
	t.Helper()
	b, _, err := shop.Book(ctx)
	must(t, err)
	tab := table(t, name)
	for i := range tab.Len(b) {
		if tab.Key(b, i) == key {
			return tab.Cells(b, i)
		}
	}
	return nil
}

// with gives cells with one column changed.
func with(t *testing.T, name string, row []string, column, value string) []string {
	t.Helper()
	j, _, ok := table(t, name).Column(column)
	if !ok {
		t.Fatalf("%s has no column %s", name, column)
	}
	row = append([]string(nil), row...)
	row[j] = value
	return row
}

// set changes one cell of the stored book.
func set(t *testing.T, shop *flow.Shop, name, key, column, value string) {
	t.Helper()
	row := cells(t, shop, name, key)
	if row == nil {
		t.Fatalf("no row %q in %s", key, name)
	}
	must(t, shop.EditRow(ctx, boss, name, key, with(t, name, row, column, value), revision(t, shop)))
}

// add adds a row of some columns, given as column, value, column, value, ...
func add(t *testing.T, shop *flow.Shop, name string, pairs ...string) {
	t.Helper()
	row := make([]string, len(table(t, name).Columns))
	for i := 0; i < len(pairs); i += 2 {
		row = with(t, name, row, pairs[i], pairs[i+1])
	}
	must(t, shop.EditRow(ctx, boss, name, "", row, revision(t, shop)))
}

func small() *book.Book { return booktest.Small() }
