package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"tackline/flow"
)

// mayOpen is who may open each sheet, written again here by hand: a change of routes.go that opens or shuts a sheet must
// be made in both places.
var mayOpen = map[string]string{
	"/":                "manager planner materials operator inspector shipper maintenance viewer",
	"/orders":          "manager planner materials operator inspector shipper maintenance viewer",
	"/units/1042-1-1":  "manager planner materials operator inspector shipper maintenance viewer",
	"/stations":        "manager planner materials operator inspector shipper maintenance viewer",
	"/stations/tack-1": "manager planner materials operator inspector shipper maintenance viewer",
	"/kits":            "manager planner materials operator inspector shipper maintenance viewer",
	"/load":            "manager planner maintenance viewer",
	"/load/operations?centre=tack&week=2026-11-23": "manager planner maintenance viewer",
	"/materials": "manager planner materials viewer",
	"/shortages": "manager planner materials viewer",
	"/account":   "manager planner materials operator inspector shipper maintenance viewer",
}

func TestRoles(t *testing.T) {
	s := testServer(t, storyView(t))
	nobody := &visitor{s: s}
	for path, allowed := range mayOpen {
		w := nobody.get(path)
		if w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), "/sign-in") {
			t.Errorf("%s, nobody signed in: status %d to %q", path, w.Code, w.Header().Get("Location"))
		}
		for _, role := range flow.Roles() {
			want := http.StatusForbidden
			if strings.Contains(" "+allowed+" ", " "+role+" ") {
				want = http.StatusOK
			}
			w := signIn(t, s, role).get(path)
			if w.Code != want {
				t.Errorf("%s for %s: status %d, want %d", path, role, w.Code, want)
			}
			if want == http.StatusForbidden && !strings.Contains(w.Body.String(), "This sheet is for") {
				t.Errorf("%s for %s: the refusal does not say who may", path, role)
			}
		}
	}
}

// TestEveryRouteAsks tries each route of the table without signing in and with a role that it does not name.
func TestEveryRouteAsks(t *testing.T) {
	s := testServer(t, storyView(t))
	for _, rt := range routes() {
		if rt.roles == nil {
			continue
		}
		method, path, _ := strings.Cut(rt.pattern, " ")
		path = strings.NewReplacer("{$}", "", "{unit}", "1", "{station}", "1", "{run}", "1", "{name}", "x", "{table}", "items", "{plan}", "1").Replace(path)
		w := (&visitor{s: s}).do(httptest.NewRequest(method, path, nil))
		if w.Code != http.StatusSeeOther && w.Code != http.StatusUnauthorized {
			t.Errorf("%s without signing in: status %d", rt.pattern, w.Code)
		}
		for _, role := range flow.Roles() {
			if rt.roles.has(role) {
				continue
			}
			if w := signIn(t, s, role).do(httptest.NewRequest(method, path, nil)); w.Code != http.StatusForbidden {
				t.Errorf("%s for %s: status %d, want 403", rt.pattern, role, w.Code)
			}
		}
	}
}

// TestNavigation: the list of sheets leads only to sheets that the role may open, and marks the one in sight.
func TestNavigation(t *testing.T) {
	s := testServer(t, storyView(t))
	for _, role := range flow.Roles() {
		v := signIn(t, s, role)
		page := v.page(t, "/kits")
		for _, a := range find(page, "nav.sheets a") {
			href := attr(a, "href")
			if allowed, ours := mayOpen[href]; ours && !strings.Contains(" "+allowed+" ", " "+role+" ") {
				t.Errorf("%s is led to %s", role, href)
			}
			if (attr(a, "aria-current") == "page") != (href == "/kits") {
				t.Errorf("%s: %s is marked wrongly", role, href)
			}
		}
	}
}

func TestSignIn(t *testing.T) {
	s := testServer(t, storyView(t))
	v := &visitor{s: s}
	w := v.post("/sign-in", url.Values{"name": {"planner"}, "password": {"wrong"}})
	if w.Code != http.StatusForbidden || !strings.Contains(w.Body.String(), "The name or the password is wrong.") {
		t.Errorf("wrong password: status %d", w.Code)
	}
	for to, want := range map[string]string{"/kits?state=short": "/kits?state=short", "https://elsewhere.example/": "/", "//elsewhere.example": "/", "/\\elsewhere.example": "/", "": "/"} {
		w := v.post("/sign-in", url.Values{"name": {"planner"}, "password": {"planner-pass"}, "to": {to}})
		if got := w.Header().Get("Location"); got != want {
			t.Errorf("signing in on the way to %q leads to %q, want %q", to, got, want)
		}
	}
	in := signIn(t, s, "planner")
	if w := in.post("/sign-out", nil); w.Code != http.StatusSeeOther {
		t.Errorf("sign-out: status %d", w.Code)
	}
	if w := in.get("/"); w.Code != http.StatusSeeOther {
		t.Errorf("after signing out: status %d, want to be asked to sign in", w.Code)
	}
}
