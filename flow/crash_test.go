package flow_test

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tackline/book"
	"tackline/flow"
	"tackline/store"
)

// crashPlace names the database that a child of the crash test works on until it is killed.
const crashPlace = "TACKLINE_CRASH_TEST_DATABASE"

// crashChild edits, adds, removes, imports, plans and adopts without end. It says "try MARK" before each change and
// "did MARK" after it; each change leaves its mark in the history or among the acts, once.
func crashChild(place string) {
	s, err := store.Open(ctx, place)
	if err == nil {
		var shop *flow.Shop
		if shop, err = flow.Open(ctx, s, flow.Options{SignInMin: -1}); err == nil {
			for n := 0; err == nil; n++ {
				err = crashStep(shop, fmt.Sprintf("m%d-%d", os.Getpid(), n), n)
			}
		}
	}
	fmt.Println("error", err)
	os.Exit(1)
}

func crashStep(shop *flow.Shop, mark string, n int) error {
	b, rev, err := shop.Book(ctx)
	if err != nil {
		return err
	}
	b = b.Clone()
	lots, _ := book.TableNamed("lots")
	row := []string{mark, "pin", "north", "1", "", "shelf", ""}
	change := func() error { b.Orders[1].Note = mark; return shop.ImportBook(ctx, boss, b, nil) }
	switch n % 8 {
	case 0, 4:
		orders, _ := book.TableNamed("orders")
		b.Orders[0].Note = mark
		change = func() error { return shop.EditRow(ctx, boss, "orders", "1001", orders.Cells(b, 0), rev) }
	case 1, 5:
		change = func() error { return shop.EditRow(ctx, boss, "lots", "", row[:len(lots.Columns)], rev) }
	case 2:
		if last := b.Lots[len(b.Lots)-1].ID; len(b.Lots) > 2 {
			mark = "gone-" + string(last)
			change = func() error { return shop.DeleteRow(ctx, boss, "lots", string(last), rev) }
		}
	case 6:
		run, err := shop.StartPlan(ctx, boss, flow.PlanRequest{Name: mark, Workers: 1})
		if err != nil {
			return err
		}
		p := flow.PlanProgress{State: flow.RunWaiting}
		for ; !p.Over() && err == nil; time.Sleep(5 * time.Millisecond) {
			p, err = shop.PlanRun(ctx, run)
		}
		if err != nil || p.State != flow.RunDone {
			return fmt.Errorf("run %+v, %w", p, err)
		}
		mark = fmt.Sprintf("plan %d, %s", p.PlanID, mark)
		change = func() error { return shop.Adopt(ctx, boss, p.PlanID) }
	}
	fmt.Println("try", mark)
	if err := change(); err != nil {
		return err
	}
	fmt.Println("did", mark)
	return nil
}

// TestKilledAtRandomMoments kills a program that changes its shop, fifteen times. Each change that was acknowledged is
// there exactly once; the one under way is there or not, never in part.
func TestKilledAtRandomMoments(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	s := openStore(t, path)
	shop, err := flow.Open(ctx, s, flow.Options{SignInMin: -1})
	must(t, err)
	must(t, shop.ImportBook(ctx, boss, small(), nil))
	must(t, shop.Close())
	must(t, s.Close())
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	var did, open []string
	for range 15 {
		d, o := runAndKill(t, path, time.Duration(random.IntN(400))*time.Millisecond)
		did, open = append(did, d...), append(open, o...)
	}
	t.Logf("%d changes acknowledged, %d under way when killed", len(did), len(open))
	if len(did) < 15 {
		t.Fatalf("only %d changes were made: the test proves nothing", len(did))
	}
	checkAfterCrashes(t, openShop(t, openStore(t, path), flow.Options{}), did, open)
}

// runAndKill runs a child, kills it after a while, and gives the marks that it acknowledged and the one under way, if any.
func runAndKill(t *testing.T, path string, after time.Duration) (did, open []string) {
	t.Helper()
	child := exec.CommandContext(context.Background(), os.Args[0])
	child.Env = append(os.Environ(), crashPlace+"="+path)
	out, err := child.StdoutPipe()
	must(t, err)
	must(t, child.Start())
	var timer *time.Timer // begins with the first change: how long a start takes does not matter
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if timer == nil {
			timer = time.AfterFunc(after, func() { child.Process.Kill() })
		}
		switch kind, mark, _ := strings.Cut(lines.Text(), " "); kind {
		case "try":
			open = []string{mark}
		case "did":
			did, open = append(did, mark), nil
		default:
			t.Errorf("the child said: %s", lines.Text())
		}
	}
	if err := child.Wait(); err == nil || !strings.Contains(err.Error(), "killed") {
		t.Errorf("the child was not killed: %v", err)
	}
	return did, open
}

func checkAfterCrashes(t *testing.T, shop *flow.Shop, did, open []string) {
	t.Helper()
	changes, err := shop.History(ctx, flow.HistoryFilter{Limit: 1 << 30})
	must(t, err)
	acts, err := shop.Acts(ctx, 1<<30)
	must(t, err)
	found := map[string]int{}
	for _, c := range changes {
		found[markOf(c)]++
	}
	revisions := int64(0)
	for _, a := range acts {
		switch a.Kind {
		case flow.ActAdopt:
			found[a.Note]++
		case flow.ActImport, flow.ActEdit, flow.ActDelete:
			revisions++
		}
	}
	for _, mark := range did {
		if found[mark] != 1 {
			t.Errorf("the acknowledged change %s is there %d times", mark, found[mark])
		}
		delete(found, mark)
	}
	for mark, n := range found {
		if n != 1 || !slices.Contains(open, mark) {
			t.Errorf("the change %s is there %d times and was neither acknowledged nor under way", mark, n)
		}
	}
	if n := revision(t, shop); n != revisions {
		t.Errorf("revision %d after %d acts that change the book", n, revisions)
	}
	checkReplay(t, shop, changes)
	checkPlans(t, shop)
}

// markOf gives the mark that a change of the crash test left.
func markOf(c flow.Change) string {
	switch {
	case c.After == nil:
		return "gone-" + c.Key
	case c.Table == "lots":
		return c.Key
	}
	return c.After[len(c.After)-1]
}

// checkReplay does the changes of the history again, one after another, on the first book: that gives the book as stored.
func checkReplay(t *testing.T, shop *flow.Shop, changes []flow.Change) {
	t.Helper()
	rows := func(b *book.Book) map[string]string {
		m := map[string]string{}
		for _, tab := range book.Tables() {
			for i := range tab.Len(b) {
				m[tab.Name+": "+tab.Key(b, i)] = strings.Join(tab.Cells(b, i), " | ")
			}
		}
		return m
	}
	want := rows(small())
	for _, c := range slices.Backward(changes) {
		key := c.Table + ": " + c.Key
		if was, there := want[key]; there != (c.Before != nil) || was != strings.Join(c.Before, " | ") {
			t.Errorf("change %d of %s begins with %v, but the row was %q", c.ID, key, c.Before, was)
		}
		want[key] = strings.Join(c.After, " | ")
		if c.After == nil {
			delete(want, key)
		}
	}
	b, _, err := shop.Book(ctx)
	must(t, err)
	got := rows(b)
	for key, row := range want {
		if got[key] != row {
			t.Errorf("%s is %q, by the history %q", key, got[key], row)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d rows, by the history %d", len(got), len(want))
	}
	if faults := book.Check(b, nil); len(faults) > 0 {
		t.Errorf("the stored book has faults: %v", faults)
	}
}

// checkPlans looks that every plan is whole, at most one is adopted, and no run claims to be under way.
func checkPlans(t *testing.T, shop *flow.Shop) {
	t.Helper()
	adopted := 0
	for _, p := range states(t, shop) {
		if p.State == flow.Adopted {
			adopted++
		}
		if v := view(t, shop, p.ID); len(v.Plan.Left) != 0 || len(v.Broken) != 0 {
			t.Errorf("plan %d: left %v, broken %v", p.ID, v.Plan.Left, v.Broken)
		}
	}
	if adopted > 1 {
		t.Errorf("%d adopted plans", adopted)
	}
	runs, err := shop.PlanRuns(ctx)
	must(t, err)
	for _, r := range runs {
		// a run that waited for its turn is worked now
		if r.State == flow.RunRunning && r.Started == 0 {
			t.Errorf("run %+v", r)
		}
		if p := until(t, shop, r.Run, over); p.State != flow.RunDone && p.State != flow.RunFailed {
			t.Errorf("run %+v", p)
		}
	}
}
