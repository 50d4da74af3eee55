package store

import (
	"flag"
	"os"
	"strings"
	"testing"

	"tackline/book"
)

const bookMigration = "migrations/00001_book.sql"

var write = flag.Bool("write", false, "write the migration of the book's tables (only before the first release)")

// The columns of the database are those of the book. Once a version is released its migrations stay as they are: a new
// column then gets a migration of its own, and this test compares what all of them make together.
func TestMigrationHasTheColumnsOfTheBook(t *testing.T) {
	var b strings.Builder
	b.WriteString("-- +goose Up\n")
	for i := range book.Tables() {
		b.WriteString(Schema(&book.Tables()[i]) + "\n\n")
	}
	want := strings.TrimSuffix(b.String(), "\n")
	if *write {
		if err := os.WriteFile(bookMigration, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(bookMigration)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("%s does not agree with the book; wanted:\n%s", bookMigration, want)
	}
}
