package storetest

import (
	"context"
	"database/sql"
	"errors"
	"math"
	"testing"
	"time"

	"tackline/fault"
	"tackline/needs"
	"tackline/store"
)

func draft(name string) *store.Plan {
	return &store.Plan{Name: name, By: "Ana", Made: act.At, Now: act.At - 60, Revision: 3, Status: "complete", Rule: "slack first",
		Seed: math.MaxUint64, Work: 12345678901, Score: `{"LateUnits":2}`, Assumed: `[{"kind":"drop","order":"1042"}]`,
		Slots: []store.Slot{
			{Job: "1042-1-1/jaw", Seq: 20, Station: "weld-1", Setup: 1, Load: 2, Run: 3, Unload: 4, End: 5, Batch: 6},
			{Job: "1042-1-1/jaw", Seq: 10, Why: "no room before the horizon"},
			{Job: "1042-1-1/Gelenk Ø80", Seq: 10, Station: "mill", Setup: -1, Load: 2, Run: 3, Unload: 4, End: math.MaxInt64 / 4},
		},
		Pegs: []needs.Peg{
			{Item: "pin", Plant: "main", Kind: needs.Proposed, From: "stock/pin/4", Qty: 6000},
			{Job: "1042-1-1/jaw", Seq: 10, Item: "pin", No: 1, Plant: "main", Kind: needs.FromReceipt, From: "PO-5", Qty: 250, At: math.MaxInt64 / 4},
		}}
}

func addPlan(t *testing.T, s *store.Store, name string) int64 {
	t.Helper()
	id, err := s.AddPlan(context.Background(), draft(name), act)
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func adoptPlan(t *testing.T, s *store.Store, plan int64, a store.Act, c *store.BookChange) int64 {
	t.Helper()
	revision, err := s.AdoptPlan(context.Background(), plan, a, c)
	if err != nil {
		t.Fatal(err)
	}
	return revision
}

func current(t *testing.T, s *store.Store) int64 {
	t.Helper()
	id, _, err := s.CurrentPlan(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func plans(t *testing.T, s *store.Store) {
	ctx := context.Background()
	a, b := addPlan(t, s, "a"), addPlan(t, s, "b")
	same(t, "current without an adopted plan", current(t, s), b)
	adopt := store.Act{At: 99, Who: "Ben", Kind: "adopt"}
	adoptPlan(t, s, a, adopt, nil)
	same(t, "current", current(t, s), a)
	got, err := s.Plan(ctx, a)
	if err != nil {
		t.Fatal(err)
	}
	want := draft("a")
	want.ID, want.State, want.Adopted = a, "adopted", 99
	same(t, "plan", got, want)

	adoptPlan(t, s, b, adopt, nil)
	for plan, want := range map[int64]fault.Kind{a: fault.Conflict, 77: fault.NotFound} {
		_, err := s.AdoptPlan(ctx, plan, adopt, nil)
		isKind(t, err, want)
	}
	isKind(t, s.DiscardPlan(ctx, b, act), fault.Conflict)
	c := addPlan(t, s, "c")
	if err := s.DiscardPlan(ctx, c, act); err != nil {
		t.Fatal(err)
	}
	if _, err = s.Plan(ctx, c); fault.KindOf(err) != fault.NotFound {
		t.Errorf("a discarded plan: %v", err)
	}
	if d := addPlan(t, s, "d"); d == c {
		t.Error("the number of a discarded plan was used again")
	}
	list, err := s.Plans(ctx)
	if err != nil {
		t.Fatal(err)
	}
	states := ""
	for _, p := range list {
		states += p.Name + " " + p.State + ", "
	}
	same(t, "states", states, "d draft, b adopted, a past, ")
}

func largeNumbers(t *testing.T, s *store.Store) {
	p := draft("large")
	p.Work, p.Made, p.Seed = math.MaxInt64, math.MinInt64, 1<<63
	id, err := s.AddPlan(context.Background(), p, act)
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.Plan(context.Background(), id)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "work", got.Work, p.Work)
	same(t, "made", got.Made, p.Made)
	same(t, "seed", got.Seed, p.Seed)
}

func addRun(t *testing.T, s *store.Store, job int64) int64 {
	t.Helper()
	id, err := s.AddRun(context.Background(), store.Run{Name: "r", By: "Ana", Seconds: 1.5, Workers: 2, Seed: math.MaxUint64, Work: 3, Anew: true, Assumed: "[]", Asked: 7},
		func(*sql.Tx, int64) (int64, error) { return job, nil })
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func runs(t *testing.T, s *store.Store) {
	ctx := context.Background()
	refused := errors.New("no")
	if _, err := s.AddRun(ctx, store.Run{}, func(*sql.Tx, int64) (int64, error) { return 0, refused }); !errors.Is(err, refused) {
		t.Errorf("a run whose job was refused: %v", err)
	}
	id := addRun(t, s, 41)
	ok1, err1 := s.StartRun(ctx, id, 8)
	ok2, err2 := s.StartRun(ctx, id, 9)
	if !ok1 || ok2 || err1 != nil || err2 != nil {
		t.Errorf("started %t %t, %v %v", ok1, ok2, err1, err2)
	}
	if err := s.RunProgress(ctx, id, 0.25, "weighing"); err != nil {
		t.Fatal(err)
	}
	got, err := s.Run(ctx, id)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "run", got, store.Run{ID: id, Job: 41, Name: "r", By: "Ana", Seconds: 1.5, Workers: 2, Seed: math.MaxUint64, Work: 3, Anew: true, Assumed: "[]",
		State: "running", Done: 0.25, Text: "weighing", Asked: 7, Started: 8})
	plan, ok, err := s.FinishRun(ctx, id, draft("made"), act, "done")
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	if ok, err := s.EndRun(ctx, id, "cancelled", "", 10); ok || err != nil {
		t.Errorf("a run that was over was cancelled: %t, %v", ok, err)
	}
	got, err = s.Run(ctx, id)
	if err != nil || got.Plan != plan || got.State != "done" || got.Done != 1 {
		t.Errorf("finished run %+v, %v", got, err)
	}

	cancelled := addRun(t, s, 42)
	if ok, err := s.EndRun(ctx, cancelled, "cancelled", "by Ben", 10); !ok || err != nil {
		t.Errorf("cancelled %t, %v", ok, err)
	}
	if _, ok, err := s.FinishRun(ctx, cancelled, draft("late"), act, "done"); ok || err != nil {
		t.Errorf("a cancelled run was finished: %t, %v", ok, err)
	}
	list, err := s.Plans(ctx)
	if err != nil || len(list) != 1 {
		t.Errorf("plans %v, %v", list, err)
	}
	all, err := s.Runs(ctx, 10)
	if err != nil || len(all) != 2 || all[0].ID != cancelled {
		t.Errorf("runs %+v, %v", all, err)
	}
	_, err = s.Run(ctx, 99)
	isKind(t, err, fault.NotFound)
}

func users(t *testing.T, s *store.Store) {
	ctx := context.Background()
	u := store.User{Name: "Zoë", Role: "planner", Hash: "$argon2id$...", MustChange: true, Made: 5}
	for _, x := range []store.User{u, {Name: "ana", Role: "viewer"}} {
		if err := s.AddUser(ctx, x, act); err != nil {
			t.Fatal(err)
		}
	}
	isKind(t, s.AddUser(ctx, u, act), fault.Conflict)
	got, err := s.User(ctx, u.Name)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "user", got, u)
	for want := 1; want <= 2; want++ {
		if n, err := s.CountFailure(ctx, u.Name); n != want || err != nil {
			t.Errorf("failures %d, %v; want %d", n, err, want)
		}
	}
	if err := s.LockUser(ctx, u.Name, 77); err != nil {
		t.Fatal(err)
	}
	if got, err = s.User(ctx, u.Name); err != nil || got.LockedUntil != 77 || got.Failures != 2 {
		t.Errorf("locked user %+v, %v", got, err)
	}
	if err := s.ClearFailures(ctx, u.Name); err != nil {
		t.Fatal(err)
	}
	u.Role, u.Disabled, u.MustChange = "manager", true, false
	if err := s.SaveUser(ctx, u, act); err != nil {
		t.Fatal(err)
	}
	got, _ = s.User(ctx, u.Name)
	same(t, "changed user", got, u)
	_, err = s.User(ctx, "nobody")
	isKind(t, err, fault.NotFound)
	isKind(t, s.SaveUser(ctx, store.User{Name: "nobody"}, act), fault.NotFound)
	list, err := s.Users(ctx)
	if err != nil || len(list) != 2 {
		t.Errorf("users %v, %v", list, err)
	}
}

func sessions(t *testing.T, s *store.Store) {
	now := time.Unix(1_000_000, 0)
	x := s.Sessions(func() time.Time { return now })
	data := []byte{0, 255, 'a', '\n'}
	find := func(token string, want bool) {
		t.Helper()
		got, found, err := x.Find(token)
		if err != nil || found != want {
			t.Errorf("session %s found %t, %v; want %t", token, found, err, want)
		}
		if want {
			same(t, "data", got, data)
		}
	}
	find("a", false)
	for _, token := range []string{"a", "b"} {
		if err := x.Commit(token, []byte("before"), now.Add(time.Hour)); err != nil {
			t.Fatal(err)
		}
		if err := x.Commit(token, data, now.Add(time.Minute)); err != nil {
			t.Fatal(err)
		}
	}
	find("a", true)
	if err := x.Delete("a"); err != nil {
		t.Fatal(err)
	}
	find("a", false)
	find("b", true)
	now = now.Add(time.Minute)
	find("b", false)
	if err := x.Delete("nothing"); err != nil {
		t.Errorf("deleting no session: %v", err)
	}
}
