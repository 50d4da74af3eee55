package web

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"tackline/book"
	"tackline/dispatch"
	"tackline/fault"
	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
)

// testServer gives a server that shows v, or no plan if v is nil. Each role is a user of that name; the password is the
// name and "-pass".
func testServer(t testing.TB, v *flow.View) *Server {
	t.Helper()
	s := &Server{
		current: func(context.Context) (*flow.View, error) { return v, nil },
		book:    func(context.Context) (*book.Book, int64, error) { return v.Book, v.Revision, nil },
		whatIf:  func(context.Context, plant.UnitID) (flow.WhatIf, bool, error) { return flow.WhatIf{}, false, nil },
		floorOp: func(floor.OpKey) (floor.Op, bool) { return floor.Op{}, false },
		upsets: func(context.Context) ([]dispatch.Upset, error) {
			if v == nil {
				return nil, nil
			}
			return []dispatch.Upset{{What: "Weld robot 2 is out of order: gearbox", Op: -1, Station: "weld-robot-2"}}, nil
		},
		user: func(_ context.Context, name string) (flow.User, error) {
			for _, r := range flow.Roles() {
				if r == name {
					return flow.User{Name: name, Role: r}, nil
				}
			}
			return flow.User{}, fault.New(fault.NotFound, "There is no user %s.", name)
		},
	}
	s.signIn = func(ctx context.Context, name, password string) (flow.User, error) {
		u, err := s.user(ctx, name)
		if err != nil || password != name+"-pass" {
			return flow.User{}, fault.New(fault.Denied, "The name or the password is wrong.")
		}
		return u, nil
	}
	now, _ := storyNow(t)
	o := Options{Clock: func() time.Time { return time.Unix(int64(now), 0) }, Log: slog.New(slog.NewTextHandler(io.Discard, nil))}
	if err := s.start(o); err != nil {
		t.Fatal(err)
	}
	return s
}

// visitor is a signed-in reader.
type visitor struct {
	s      *Server
	cookie *http.Cookie
}

func signIn(t testing.TB, s *Server, role string) *visitor {
	t.Helper()
	v := &visitor{s: s}
	w := v.post("/sign-in", url.Values{"name": {role}, "password": {role + "-pass"}})
	if w.Code != http.StatusSeeOther || len(w.Result().Cookies()) == 0 {
		t.Fatalf("sign-in of %s: status %d", role, w.Code)
	}
	v.cookie = w.Result().Cookies()[0]
	return v
}

func (v *visitor) do(r *http.Request) *httptest.ResponseRecorder {
	if v.cookie != nil {
		r.AddCookie(v.cookie)
	}
	w := httptest.NewRecorder()
	v.s.ServeHTTP(w, r)
	return w
}

func (v *visitor) get(path string) *httptest.ResponseRecorder {
	return v.do(httptest.NewRequest(http.MethodGet, path, nil))
}

func (v *visitor) post(path string, form url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return v.do(r)
}

// page gets a page that must be there and parses it.
func (v *visitor) page(t testing.TB, path string) *html.Node {
	t.Helper()
	w := v.get(path)
	if w.Code != http.StatusOK {
		t.Fatalf("GET %s: status %d: %s", path, w.Code, textOf(parse(t, w.Body.String())))
	}
	return parse(t, w.Body.String())
}

func parse(t testing.TB, s string) *html.Node {
	t.Helper()
	n, err := html.Parse(strings.NewReader(s))
	if err != nil {
		t.Fatal(err)
	}
	return n
}
