package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// TestPolicy checks the headers of every kind of answer, and that the policy allows nothing inline.
func TestPolicy(t *testing.T) {
	v := signIn(t, testServer(t, storyView(t)), "planner")
	for _, path := range []string{"/", "/orders", "/units/1042-1-1", "/no-such-sheet", "/assets/mark.svg", "/orders?format=csv"} {
		h := v.get(path).Header()
		policy := h.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'", "form-action 'self'", "base-uri 'none'"} {
			if !strings.Contains(policy, want) {
				t.Errorf("%s: the policy %q lacks %q", path, policy, want)
			}
		}
		if strings.Contains(policy, "unsafe") {
			t.Errorf("%s: the policy %q allows something unsafe", path, policy)
		}
		if h.Get("X-Content-Type-Options") != "nosniff" || h.Get("X-Frame-Options") != "DENY" || h.Get("Referrer-Policy") == "" {
			t.Errorf("%s: headers %v", path, h)
		}
	}
}

// TestNothingInline looks on every sheet for what the policy would refuse: styles, scripts and handlers in the page.
func TestNothingInline(t *testing.T) {
	s := testServer(t, storyView(t))
	v := signIn(t, s, "planner")
	paths := []string{"/sign-in", "/no-such-sheet", "/kit?job=1042-1-1%2Fjaw-4c&op=30", "/times?job=1042-1-1%2Fjaw-4c&op=20"}
	for p := range mayOpen {
		paths = append(paths, p)
	}
	for _, path := range paths {
		page := parse(t, v.get(path).Body.String())
		for _, n := range all(page, func(*html.Node) bool { return true }) {
			if n.Data == "style" || n.Data == "script" && (n.FirstChild != nil || attr(n, "src") == "") {
				t.Errorf("%s: inline %s", path, n.Data)
			}
			for _, a := range n.Attr {
				if a.Key == "style" || strings.HasPrefix(a.Key, "on") || strings.HasPrefix(a.Key, "hx-on") || strings.HasPrefix(strings.TrimSpace(a.Val), "javascript:") {
					t.Errorf("%s: %s has the attribute %s", path, n.Data, a.Key)
				}
				if (a.Key == "src" || a.Key == "href") && strings.Contains(a.Val, "//") {
					t.Errorf("%s: %s leads outside: %s", path, n.Data, a.Val)
				}
			}
		}
	}
}

// TestIdsAreUnique: links within a sheet and labels need it.
func TestIdsAreUnique(t *testing.T) {
	v := signIn(t, testServer(t, storyView(t)), "planner")
	for path := range mayOpen {
		page := v.page(t, path)
		seen := map[string]bool{}
		for _, n := range all(page, func(n *html.Node) bool { return attr(n, "id") != "" }) {
			if id := attr(n, "id"); seen[id] {
				t.Errorf("%s: two elements with id %q", path, id)
			} else {
				seen[id] = true
			}
		}
		for _, a := range find(page, "main a") {
			if href := attr(a, "href"); strings.HasPrefix(href, "#") && !seen[href[1:]] {
				t.Errorf("%s: the link %s leads nowhere", path, href)
			}
		}
	}
}

// TestCrossOrigin: a form on another site must not act here.
func TestCrossOrigin(t *testing.T) {
	v := signIn(t, testServer(t, storyView(t)), "planner")
	r := httptest.NewRequest(http.MethodPost, "/sign-out", nil)
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	if w := v.do(r); w.Code != http.StatusForbidden {
		t.Errorf("post from another site: status %d, want 403", w.Code)
	}
	r = httptest.NewRequest(http.MethodPost, "/sign-out", nil)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	if w := v.do(r); w.Code != http.StatusSeeOther {
		t.Errorf("post from here: status %d", w.Code)
	}
}

func TestCookies(t *testing.T) {
	v := signIn(t, testServer(t, nil), "viewer")
	if !v.cookie.HttpOnly || v.cookie.SameSite != http.SameSiteLaxMode {
		t.Errorf("session cookie %v", v.cookie)
	}
	w := v.post("/theme", url.Values{"sheet": {"blueprint"}, "back": {"/kits"}})
	if w.Header().Get("Location") != "/kits" || len(w.Result().Cookies()) == 0 {
		t.Fatalf("theme: %v", w.Header())
	}
	r := httptest.NewRequest(http.MethodGet, "/", nil)
	r.AddCookie(w.Result().Cookies()[0])
	if page := parse(t, v.do(r).Body.String()); attr(find(page, "html")[0], "data-sheet") != "blueprint" {
		t.Error("the theme chosen is not in the page")
	}
	if page := v.page(t, "/"); attr(find(page, "html")[0], "data-sheet") != "" {
		t.Error("without a choice the page must follow the system")
	}
}

// TestPanicIsAPage: a defect gives a page that tells nothing of the inside.
func TestPanicIsAPage(t *testing.T) {
	s := testServer(t, storyView(t))
	v := signIn(t, s, "planner")
	delete(s.sheets, "orders")
	w := v.get("/orders")
	if w.Code != http.StatusInternalServerError || strings.Contains(w.Body.String(), "goroutine") || strings.Contains(w.Body.String(), "nil pointer") {
		t.Errorf("status %d: %s", w.Code, w.Body.String())
	}
	if !strings.Contains(w.Body.String(), "nothing was changed") {
		t.Error("the page does not say what it means for the reader")
	}
}
