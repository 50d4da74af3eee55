package web

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tackline/book"
	"tackline/demo"
	"tackline/flow"
	"tackline/plant"
	"tackline/store"
)

// realShop opens a shop on a database of its own, with a user for each role whose password is the name and "-pass-word".
func realShop(t testing.TB, now time.Time) *flow.Shop {
	t.Helper()
	st, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "shop.db"))
	if err != nil {
		t.Fatal(err)
	}
	var people []flow.NewUser
	for _, r := range flow.Roles() {
		people = append(people, flow.NewUser{Name: r, Role: r, Password: r + "-pass-word"})
	}
	shop, err := flow.Open(context.Background(), st, flow.Options{Clock: func() time.Time { return now }, SignInMin: -1, TrialSec: 0.05, People: people})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { shop.Close(); st.Close() })
	return shop
}

func realServer(t testing.TB, shop *flow.Shop) *Server {
	t.Helper()
	s, err := New(shop, Options{Sessions: shop.Store().Sessions(time.Now), Clock: shop.Clock, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func enter(t testing.TB, s *Server, name, password string) *visitor {
	t.Helper()
	v := &visitor{s: s}
	w := v.post("/sign-in", url.Values{"name": {name}, "password": {password}})
	if w.Code != http.StatusSeeOther {
		t.Fatalf("sign-in of %s: status %d: %s", name, w.Code, textOf(parse(t, w.Body.String())))
	}
	v.cookie = w.Result().Cookies()[0]
	return v
}

// TestUsers goes the way of a new user: added, made to choose a password, given another role, shut out.
func TestUsers(t *testing.T) {
	now, _ := storyNow(t)
	s := realServer(t, realShop(t, time.Unix(int64(now), 0)))
	boss := enter(t, s, "manager", "manager-pass-word")
	if w := boss.post("/users", url.Values{"name": {"ida"}, "role": {"viewer"}, "password": {"short"}}); w.Code != http.StatusUnprocessableEntity || len(find(parse(t, w.Body.String()), ".faults li")) == 0 {
		t.Errorf("a short password: status %d", w.Code)
	}
	if w := boss.post("/users", url.Values{"name": {"ida"}, "role": {"viewer"}, "password": {"first-password"}}); w.Code != http.StatusSeeOther {
		t.Fatalf("adding a user: status %d", w.Code)
	}
	ida := enter(t, s, "ida", "first-password")
	if w := ida.get("/"); w.Header().Get("Location") != "/account" {
		t.Errorf("a password given by somebody else must be changed first: status %d to %q", w.Code, w.Header().Get("Location"))
	}
	for _, c := range []struct {
		old, fresh, again string
		code              int
	}{{"wrong-password", "her-own-password", "her-own-password", http.StatusUnprocessableEntity}, {"first-password", "her-own-password", "another-password", http.StatusUnprocessableEntity},
		{"first-password", "first-password", "first-password", http.StatusUnprocessableEntity}, {"first-password", "her-own-password", "her-own-password", http.StatusOK}} {
		if w := ida.post("/account", url.Values{"old": {c.old}, "new": {c.fresh}, "again": {c.again}}); w.Code != c.code {
			t.Errorf("%+v: status %d", c, w.Code)
		}
	}
	if w := ida.get("/materials"); w.Code != http.StatusOK {
		t.Errorf("a viewer on Materials: status %d", w.Code)
	}
	if w := boss.post("/users/ida", url.Values{"role": {"operator"}}); w.Code != http.StatusSeeOther {
		t.Errorf("changing a role: status %d", w.Code)
	}
	if w := ida.get("/materials"); w.Code != http.StatusForbidden {
		t.Errorf("the new role counts at once: status %d", w.Code)
	}
	boss.post("/users/ida", url.Values{"role": {"operator"}, "disabled": {"yes"}})
	if w := ida.get("/"); w.Code != http.StatusSeeOther {
		t.Errorf("who is shut out must sign in again: status %d", w.Code)
	}
}

// TestShop imports the small plant, plans it as a person would, and opens every sheet on the draft and on the adopted plan.
func TestShop(t *testing.T) {
	now, _ := storyNow(t)
	shop := realShop(t, time.Unix(int64(now), 0))
	b, err := demo.Small(now)
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	who := flow.Who{Name: "planner", Role: flow.Planner}
	if err := shop.ImportBook(ctx, who, b, nil); err != nil {
		t.Fatal(err)
	}
	s := realServer(t, shop)
	v := enter(t, s, "planner", "planner-pass-word")
	if got := textOf(find(v.page(t, "/"), "main")[0]); !strings.Contains(got, "no plan yet") {
		t.Errorf("before the first plan: %q", got)
	}
	id := planOnce(t, shop, who)
	if got := textOf(find(v.page(t, "/orders"), "header")[0]); !strings.Contains(got, "newest draft") {
		t.Errorf("a draft must be called one: %q", got)
	}
	if err := shop.Adopt(ctx, who, id); err != nil {
		t.Fatal(err)
	}
	view, err := shop.Current(ctx)
	if err != nil {
		t.Fatal(err)
	}
	paths := append([]string{}, demoPaths...)
	for i := range view.Needs.Units {
		paths = append(paths, unitHref(view.Needs.Units[i].ID))
	}
	ix, err := s.index(view)
	if err != nil {
		t.Fatal(err)
	}
	for op := range view.Needs.Ops {
		paths = append(paths, ix.timesHref(op), ix.kitHref(op))
	}
	for i := range view.Book.Stations {
		paths = append(paths, stationHref(view.Book.Stations[i].ID))
	}
	for _, tb := range book.Tables() {
		paths = append(paths, "/book/"+tb.Name, "/book/"+tb.Name+"/row")
		if tb.Len(view.Book) > 0 {
			paths = append(paths, "/book/"+tb.Name+"/row?"+query("key", tb.Key(view.Book, 0)))
		}
	}
	for _, path := range paths {
		v.page(t, path)
	}
}

// planOnce makes a plan and gives its number.
func planOnce(t testing.TB, shop *flow.Shop, who flow.Who) int64 {
	t.Helper()
	run, err := shop.StartPlan(context.Background(), who, flow.PlanRequest{Name: "test", Seconds: 2, Workers: 1, Seed: 1, Work: 1})
	if err != nil {
		t.Fatal(err)
	}
	for {
		p, err := shop.PlanRun(context.Background(), run)
		if err != nil {
			t.Fatal(err)
		}
		if p.Over() {
			if p.PlanID == 0 {
				t.Fatalf("planning: %s %s", p.State, p.Error)
			}
			return p.PlanID
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// demoPaths is sheets with something of every kind of list.
var demoPaths = []string{"/", "/orders", "/orders?q=grab&sort=-customer", "/stations", "/kits", "/kits?sort=missing", "/load", "/materials", "/shortages", "/plan", "/book"}

// demoShop gives a shop with the demo plant and an adopted plan.
func demoShop(t testing.TB) *flow.Shop {
	t.Helper()
	now := plant.At(time.Date(2026, 11, 26, 6, 0, 0, 0, time.UTC))
	b, err := demo.Plant(14, now)
	if err != nil {
		t.Fatal(err)
	}
	return adoptedShop(t, b, now)
}

// smallShop gives a shop with the small plant and an adopted plan.
func smallShop(t testing.TB) *flow.Shop {
	t.Helper()
	now, _ := storyNow(t)
	b, err := demo.Small(now)
	if err != nil {
		t.Fatal(err)
	}
	return adoptedShop(t, b, now)
}

var planner = flow.Who{Name: "planner", Role: flow.Planner}

// adoptedShop gives a shop with a book and an adopted plan of it.
func adoptedShop(t testing.TB, b *book.Book, now plant.Time) *flow.Shop {
	t.Helper()
	shop := realShop(t, time.Unix(int64(now), 0))
	if err := shop.ImportBook(context.Background(), planner, b, nil); err != nil {
		t.Fatal(err)
	}
	if err := shop.Adopt(context.Background(), planner, planOnce(t, shop, planner)); err != nil {
		t.Fatal(err)
	}
	return shop
}

// BenchmarkSheets times each sheet on the demo plant, from the request to the last byte.
func BenchmarkSheets(b *testing.B) {
	shop := demoShop(b)
	v := enter(b, realServer(b, shop), "planner", "planner-pass-word")
	view, err := shop.Current(context.Background())
	if err != nil {
		b.Fatal(err)
	}
	unit := unitHref(view.Needs.Units[len(view.Needs.Units)/2].ID)
	for _, path := range append([]string{unit, stationHref(view.Book.Stations[0].ID)}, demoPaths...) {
		b.Run(path, func(b *testing.B) {
			var took []time.Duration
			for b.Loop() {
				began := time.Now()
				if w := v.get(path); w.Code != http.StatusOK {
					b.Fatal(path, w.Code)
				}
				took = append(took, time.Since(began))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "p95-ms")
		})
	}
}
