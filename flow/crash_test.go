package flow

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"tackline/book"
	"tackline/book/booktest"
	"tackline/store"
)

// editForever renames a station again and again and says each revision once it is acknowledged.
func editForever(dir string) error {
	ctx := context.Background()
	st, err := store.Open(ctx, filepath.Join(dir, "shop.db"))
	if err != nil {
		return err
	}
	s, err := Open(ctx, st, Options{SignInMin: -1})
	if err != nil {
		return err
	}
	table, _ := book.TableNamed("stations")
	at, _, _ := table.Column("name")
	for {
		b, revision, err := s.Book(ctx)
		if err != nil {
			return err
		}
		cells := table.Cells(b, 0)
		cells[at] = fmt.Sprintf("Renamed %d", revision+1)
		if err := s.EditRow(ctx, planner, "stations", table.Key(b, 0), cells, revision); err != nil {
			return err
		}
		fmt.Println(revision + 1)
	}
}

// TestKilledWhileEditing kills a program that edits, at random moments, a dozen times. What was acknowledged is there once,
// and the book is as one of its revisions left it.
func TestKilledWhileEditing(t *testing.T) {
	if dir := os.Getenv("TACKLINE_EDIT_FOREVER"); dir != "" {
		t.Fatal(editForever(dir))
	}
	dir := t.TempDir()
	s := open(t, dir, newClock())
	ctx := context.Background()
	if err := s.ImportBook(ctx, planner, booktest.Small(), nil); err != nil {
		t.Fatal(err)
	}
	table, _ := book.TableNamed("stations")
	at, _, _ := table.Column("name")
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 1))
	for range 12 {
		acknowledged := killedAfter(t, dir, time.Duration(150+rnd.IntN(250))*time.Millisecond)
		b, revision, err := s.Book(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if revision < acknowledged || revision > acknowledged+1 && acknowledged > 0 {
			t.Fatalf("revision %d, %d was acknowledged last", revision, acknowledged)
		}
		changes, err := s.History(ctx, HistoryFilter{Table: "stations", Limit: 100_000})
		if err != nil {
			t.Fatal(err)
		}
		if int64(len(changes)) != revision-1 { // the first revision is the import
			t.Fatalf("%d changes in the history at revision %d", len(changes), revision)
		}
		if revision > 1 && table.Cells(b, 0)[at] != fmt.Sprintf("Renamed %d", revision) {
			t.Fatalf("the station is called %q at revision %d", table.Cells(b, 0)[at], revision)
		}
	}
}

// killedAfter runs the editing program, kills it, and gives the last revision that it said.
func killedAfter(t *testing.T, dir string, wait time.Duration) (last int64) {
	t.Helper()
	c := exec.Command(os.Args[0], "-test.run=^TestKilledWhileEditing$")
	c.Env = append(os.Environ(), "TACKLINE_EDIT_FOREVER="+dir)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(wait, func() { _ = c.Process.Kill() })
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if n, err := strconv.ParseInt(lines.Text(), 10, 64); err == nil {
			last = n
		} else {
			t.Logf("the editing program says: %s", lines.Text())
		}
	}
	_ = c.Wait()
	return last
}
