package flow

import (
	"context"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"tackline/book"
	"tackline/book/booktest"
	"tackline/fault"
	"tackline/schedule"
	"tackline/store"
)

var planner = Who{Name: "ines", Role: Planner}
var manager = Who{Name: "marta", Role: Manager}

// clock is a clock that stands until it is moved.
type clock struct {
	mu sync.Mutex
	t  time.Time
}

func (c *clock) now() time.Time { c.mu.Lock(); defer c.mu.Unlock(); return c.t }

func (c *clock) move(d time.Duration) { c.mu.Lock(); defer c.mu.Unlock(); c.t = c.t.Add(d) }

// open opens a shop on the database file of a folder.
func open(t *testing.T, dir string, c *clock) *Shop {
	t.Helper()
	st, err := store.Open(context.Background(), filepath.Join(dir, "shop.db"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(context.Background(), st, Options{Clock: c.now, SignInMin: -1, People: []NewUser{{manager.Name, Manager, "a password for marta"}, {planner.Name, Planner, "a password for ines"}}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		st.Close()
	})
	return s
}

func newClock() *clock { return &clock{t: time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC)} }

// stocked is a shop with the small book taken in.
func stocked(t *testing.T) *Shop {
	s := open(t, t.TempDir(), newClock())
	if err := s.ImportBook(context.Background(), planner, booktest.Small(), nil); err != nil {
		t.Fatal(err)
	}
	return s
}

func isKind(t *testing.T, err error, k fault.Kind) {
	t.Helper()
	if fault.KindOf(err) != k {
		t.Errorf("error %v of kind %d, want kind %d", err, fault.KindOf(err), k)
	}
}

// planned runs one planning run to its end.
func planned(t *testing.T, s *Shop, r PlanRequest) PlanProgress {
	t.Helper()
	run, err := s.StartPlan(context.Background(), planner, r)
	if err != nil {
		t.Fatal(err)
	}
	return ended(t, s, run)
}

func ended(t *testing.T, s *Shop, run int64) PlanProgress {
	t.Helper()
	for range 3000 {
		p, err := s.PlanRun(context.Background(), run)
		if err != nil {
			t.Fatal(err)
		}
		if p.Over() {
			return p
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("the run does not end")
	return PlanProgress{}
}

func TestImportIsAllOrNothing(t *testing.T) {
	s := stocked(t)
	ctx := context.Background()
	before, revision, err := s.Book(ctx)
	if err != nil {
		t.Fatal(err)
	}
	bad := before.Clone()
	bad.Lines[0].Product = "nothing-like-it"
	bad.Stations[0].Speed = -1
	err = s.ImportBook(ctx, planner, bad, nil)
	isKind(t, err, fault.Invalid)
	if n := len(fault.All(err)); n < 2 {
		t.Errorf("%d faults told, want both", n)
	}
	after, now, err := s.Book(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if now != revision || after.Lines[0].Product != before.Lines[0].Product {
		t.Error("a refused import changed the book")
	}
	isKind(t, s.ImportBook(ctx, Who{"eve", Viewer}, before, nil), fault.Denied)
}

func TestEditRow(t *testing.T) {
	s := stocked(t)
	ctx := context.Background()
	b, revision, err := s.Book(ctx)
	if err != nil {
		t.Fatal(err)
	}
	table, _ := book.TableNamed("stations")
	key := table.Key(b, 0)
	cells := table.Cells(b, 0)
	at, _, _ := table.Column("name")
	cells[at] = "Renamed"
	if err := s.EditRow(ctx, planner, "stations", key, cells, revision); err != nil {
		t.Fatal(err)
	}
	isKind(t, s.EditRow(ctx, manager, "stations", key, cells, revision), fault.Conflict) // somebody changed this row meanwhile
	isKind(t, s.EditRow(ctx, Who{"olaf", Operator}, "stations", key, cells, revision+1), fault.Denied)
	at, _, _ = table.Column("calendar")
	wrong := append([]string{}, cells...)
	wrong[at] = "no-such-calendar"
	err = s.EditRow(ctx, planner, "stations", key, wrong, revision+1)
	isKind(t, err, fault.Invalid)
	if !strings.Contains(err.Error(), "calendar") {
		t.Errorf("the fault does not name the column: %v", err)
	}
	isKind(t, s.DeleteRow(ctx, planner, "stations", "nobody", revision+1), fault.NotFound)
	isKind(t, s.EditRow(ctx, planner, "nonsense", key, cells, revision+1), fault.NotFound)

	changes, err := s.History(ctx, HistoryFilter{Table: "stations"})
	if err != nil || len(changes) != 1 {
		t.Fatalf("%d changes, %v; want the one", len(changes), err)
	}
	c := changes[0]
	if c.Who != planner.Name || c.Key != key || c.After[2] != "Renamed" || c.Before[2] == "Renamed" {
		t.Errorf("change %+v", c)
	}
}

func TestPlanAdoptAndChange(t *testing.T) {
	s := stocked(t)
	ctx := context.Background()
	if v, err := s.Current(ctx); v != nil || err != nil {
		t.Fatalf("a plan before any was made: %v, %v", v, err)
	}
	p := planned(t, s, PlanRequest{Name: "first"})
	if p.State != RunDone || p.PlanID == 0 || p.Done != 1 {
		t.Fatalf("run %+v", p)
	}
	v, err := s.ViewOf(ctx, p.PlanID)
	if err != nil {
		t.Fatal(err)
	}
	if v.State != Draft || len(v.Broken) > 0 || v.Plan.Status != schedule.Complete {
		t.Errorf("draft %s, %s, broken %v", v.State, v.Plan.Status, v.Broken)
	}
	isKind(t, s.Adopt(ctx, Who{"olaf", Operator}, p.PlanID), fault.Denied)
	if err := s.Adopt(ctx, planner, p.PlanID); err != nil {
		t.Fatal(err)
	}
	second := planned(t, s, PlanRequest{Name: "second", Seed: 2})
	if err := s.Adopt(ctx, planner, second.PlanID); err != nil {
		t.Fatal(err)
	}
	plans, err := s.Plans(ctx)
	if err != nil || len(plans) != 2 || plans[0].State != Adopted || plans[1].State != Past {
		t.Fatalf("plans %+v, %v", plans, err)
	}
	if v, err = s.Current(ctx); err != nil || v.PlanID != second.PlanID {
		t.Fatalf("current plan %v, %v", v, err)
	}

	// A changed book: the adopted plan is older, and says what it does not hold.
	b, revision, err := s.Book(ctx)
	if err != nil {
		t.Fatal(err)
	}
	table, _ := book.TableNamed("lines")
	cells := table.Cells(b, 0)
	at, _, _ := table.Column("quantity")
	cells[at] = "9"
	if err := s.EditRow(ctx, planner, "lines", table.Key(b, 0), cells, revision); err != nil {
		t.Fatal(err)
	}
	if plans, err = s.Plans(ctx); err != nil || !plans[0].Older {
		t.Errorf("the plan is not marked as older: %+v, %v", plans, err)
	}
	if v, err = s.Current(ctx); err != nil || len(v.Plan.Left) == 0 {
		t.Errorf("the new units have no place, but nothing is left: %v", err)
	}
}

func TestCancel(t *testing.T) {
	s := stocked(t)
	ctx := context.Background()
	long, err := s.StartPlan(ctx, planner, PlanRequest{Name: "long", Seconds: 600})
	if err != nil {
		t.Fatal(err)
	}
	waiting, err := s.StartPlan(ctx, planner, PlanRequest{Name: "waits", Seconds: 600})
	if err != nil {
		t.Fatal(err)
	}
	isKind(t, s.CancelPlan(ctx, Who{"olaf", Operator}, long), fault.Denied)
	for _, run := range []int64{waiting, long} {
		if err := s.CancelPlan(ctx, planner, run); err != nil {
			t.Fatal(err)
		}
		if p := ended(t, s, run); p.State != RunCancelled || p.PlanID != 0 {
			t.Errorf("run %+v", p)
		}
	}
	if p := planned(t, s, PlanRequest{Name: "after"}); p.State != RunDone {
		t.Errorf("a run after the cancelled ones: %+v", p)
	}
	isKind(t, s.CancelPlan(ctx, planner, 999), fault.NotFound)
	for _, seconds := range []float64{-1, 1e9} {
		if _, err := s.StartPlan(ctx, planner, PlanRequest{Seconds: seconds}); fault.KindOf(err) != fault.Invalid {
			t.Errorf("%v seconds: %v", seconds, err)
		}
	}
}

// TestKilledRun shows that a run of a program that is gone does not stay running, and that the next program plans on.
func TestKilledRun(t *testing.T) {
	dir := t.TempDir()
	c := newClock()
	s := open(t, dir, c)
	ctx := context.Background()
	if err := s.ImportBook(ctx, planner, booktest.Small(), nil); err != nil {
		t.Fatal(err)
	}
	run, err := s.StartPlan(ctx, planner, PlanRequest{Seconds: 600})
	if err != nil {
		t.Fatal(err)
	}
	for {
		if p, err := s.PlanRun(ctx, run); err != nil || p.State == RunRunning {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	again := open(t, dir, c)
	if p := ended(t, again, run); p.State != RunFailed || !strings.Contains(p.Error, "Plan again") {
		t.Errorf("run %+v", p)
	}
	if p := planned(t, again, PlanRequest{}); p.State != RunDone {
		t.Errorf("next run %+v", p)
	}
}

func TestSignIn(t *testing.T) {
	c := newClock()
	s := open(t, t.TempDir(), c)
	ctx := context.Background()
	if u, err := s.SignIn(ctx, "ines", "a password for ines"); err != nil || u.Role != Planner {
		t.Fatalf("%+v, %v", u, err)
	}
	_, unknown := s.SignIn(ctx, "nobody", "a password for ines")
	isKind(t, unknown, fault.Denied)
	for range failuresAllowed {
		_, err := s.SignIn(ctx, "ines", "wrong")
		isKind(t, err, fault.Denied)
		if err.Error() != unknown.Error() {
			t.Errorf("the refusal tells whether the name exists: %q against %q", err, unknown)
		}
	}
	if _, err := s.SignIn(ctx, "ines", "a password for ines"); err == nil || !strings.Contains(err.Error(), "Too many") {
		t.Errorf("not locked: %v", err)
	}
	c.move(lockFor + time.Minute)
	if _, err := s.SignIn(ctx, "ines", "a password for ines"); err != nil {
		t.Errorf("still locked: %v", err)
	}
}

func TestUsers(t *testing.T) {
	s := open(t, t.TempDir(), newClock())
	ctx := context.Background()
	isKind(t, s.AddUser(ctx, planner, User{Name: "jo", Role: Viewer}, "a long password"), fault.Denied)
	isKind(t, s.AddUser(ctx, manager, User{Name: " jo", Role: "emperor"}, "short"), fault.Invalid)
	if err := s.AddUser(ctx, manager, User{Name: "jo", Role: Viewer}, "a long password"); err != nil {
		t.Fatal(err)
	}
	isKind(t, s.AddUser(ctx, manager, User{Name: "jo", Role: Viewer}, "a long password"), fault.Conflict)
	if u, err := s.SignIn(ctx, "jo", "a long password"); err != nil || !u.MustChange {
		t.Errorf("%+v, %v: a password given by another must be changed", u, err)
	}
	if err := s.SetPassword(ctx, Who{"jo", Viewer}, "jo", "my own password"); err != nil {
		t.Fatal(err)
	}
	isKind(t, s.SetPassword(ctx, Who{"jo", Viewer}, manager.Name, "my own password"), fault.Denied)
	if u, err := s.SignIn(ctx, "jo", "my own password"); err != nil || u.MustChange {
		t.Errorf("%+v, %v", u, err)
	}
	isKind(t, s.ChangeUser(ctx, manager, User{Name: manager.Name, Role: Viewer}), fault.Conflict)                  // the last manager
	isKind(t, s.ChangeUser(ctx, manager, User{Name: manager.Name, Role: Manager, Disabled: true}), fault.Conflict) // and cannot be barred
	if err := s.ChangeUser(ctx, manager, User{Name: "jo", Role: Viewer, Disabled: true}); err != nil {
		t.Fatal(err)
	}
	_, err := s.SignIn(ctx, "jo", "my own password")
	isKind(t, err, fault.Denied)
}

func TestFirstStart(t *testing.T) {
	st, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "shop.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	s, err := Open(context.Background(), st, Options{SignInMin: -1})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	u, ok := s.FirstSignIn()
	if !ok || u.Role != Manager || len(u.Password) < 12 {
		t.Fatalf("first sign-in %+v, %v", u, ok)
	}
	if _, again := s.FirstSignIn(); again {
		t.Error("the first password is told twice")
	}
	if got, err := s.SignIn(context.Background(), u.Name, u.Password); err != nil || !got.MustChange {
		t.Errorf("%+v, %v", got, err)
	}
}

// TestRoles holds what each role may do.
func TestRoles(t *testing.T) {
	for _, role := range Roles() {
		plans := role == Manager || role == Planner
		for act, want := range map[Act]bool{MayLook: true, MayExport: true, MayImport: plans, MayPlan: plans, MayAdopt: plans, MayKeepPeople: role == Manager} {
			if May(role, act) != want {
				t.Errorf("%s may %s: %v, want %v", role, act, !want, want)
			}
		}
		if MayEdit(role, "stations") != plans || MayEdit(role, "exceptions") != (plans || role == Maintenance) {
			t.Errorf("%s: tables", role)
		}
	}
	if May("nobody", MayLook) {
		t.Error("a role that does not exist may look")
	}
}

// TestManyAtOnce edits, plans and looks from several goroutines; run it with -race.
func TestManyAtOnce(t *testing.T) {
	s := stocked(t)
	ctx := context.Background()
	table, _ := book.TableNamed("stations")
	var wait sync.WaitGroup
	var mu sync.Mutex
	done := 0
	for w := range 4 {
		wait.Go(func() {
			for range 5 {
				b, revision, err := s.Book(ctx)
				if err != nil {
					t.Error(err)
					return
				}
				cells := table.Cells(b, w%table.Len(b))
				at, _, _ := table.Column("name")
				cells[at] += "."
				switch err := s.EditRow(ctx, planner, "stations", table.KeyOf(cells), cells, revision); fault.KindOf(err) {
				case 0:
					mu.Lock()
					done++
					mu.Unlock()
				case fault.Conflict:
				default:
					t.Error(err)
				}
				if _, err := s.Current(ctx); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Go(func() { planned(t, s, PlanRequest{}) })
	wait.Wait()
	changes, err := s.History(ctx, HistoryFilter{Table: "stations"})
	if err != nil || len(changes) != done {
		t.Errorf("%d changes in the history, %d were acknowledged (%v)", len(changes), done, err)
	}
}
