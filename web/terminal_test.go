package web

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"tackline/demo"
	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
)

// terminalShop gives a shop with the small plant and a server, and a manager who is signed in.
func terminalShop(t *testing.T) (*flow.Shop, *Server, *visitor) {
	t.Helper()
	shop := smallShop(t)
	s := realServer(t, shop)
	return shop, s, enter(t, s, "manager", "manager-pass-word")
}

// enrol enrols a terminal as a manager does, opens its link, and gives the terminal as a visitor.
func enrol(t *testing.T, s *Server, boss *visitor, name, where string) *visitor {
	t.Helper()
	w := boss.post("/terminals", url.Values{"name": {name}, "where": {where}})
	if w.Code != http.StatusOK {
		t.Fatalf("enrolling: status %d: %s", w.Code, textOf(parse(t, w.Body.String())))
	}
	link, err := url.Parse(textOf(find(parse(t, w.Body.String()), "section.link code")[0]))
	if err != nil {
		t.Fatal(err)
	}
	return openLink(t, s, link.Path)
}

func openLink(t *testing.T, s *Server, path string) *visitor {
	t.Helper()
	v := &visitor{s: s}
	form := find(v.page(t, path), "main form")[0]
	w := v.post(attr(form, "action"), url.Values{"token": {attr(find(form, "input")[0], "value")}})
	if w.Code != http.StatusSeeOther {
		t.Fatalf("opening the link: status %d: %s", w.Code, w.Body.String())
	}
	for _, c := range w.Result().Cookies() {
		if c.Name == terminalCookie {
			v.cookie = c
		}
	}
	if v.cookie == nil {
		t.Fatal("the terminal got no cookie")
	}
	return v
}

// filledRoute puts values into the pattern of a route.
func filledRoute(pattern string) (method, path string) {
	method, path, _ = strings.Cut(pattern, " ")
	return method, strings.NewReplacer("{$}", "", "{unit}", "1", "{station}", "tack-1", "{plant}", "brackwater", "{run}", "1", "{name}", "x", "{table}", "items", "{trial}", "1", "{device}", "x", "{person}", "x", "{token}", "x", "{file...}", "x").Replace(path)
}

// TestATerminalReachesTheFloorAndNothingElse tries every route of the table with the cookie of a terminal, as a browser that keeps
// the path of the cookie would not.
func TestATerminalReachesTheFloorAndNothingElse(t *testing.T) {
	shop, s, boss := terminalShop(t)
	v := enrol(t, s, boss, "Tack 1", "station tack-1")
	floors := 0
	check := func(in bool) {
		for _, rt := range routes() {
			if rt.roles == nil {
				continue
			}
			method, path := filledRoute(rt.pattern)
			if strings.HasSuffix(path, "/live") {
				continue // never ends
			}
			w := v.do(httptest.NewRequest(method, path, nil))
			asked := w.Code == http.StatusSeeOther && strings.HasPrefix(w.Header().Get("Location"), "/sign-in")
			switch floor := strings.HasPrefix(path, "/floor"); {
			case !floor && !asked:
				t.Errorf("%s for a terminal: status %d to %q", rt.pattern, w.Code, w.Header().Get("Location"))
			case floor && in && (asked || rt.roles.has(flow.Operator) == (w.Code == http.StatusForbidden)):
				t.Errorf("%s for a terminal: status %d", rt.pattern, w.Code)
			case floor && !in && w.Code != http.StatusForbidden:
				t.Errorf("%s for a terminal that is shut out: status %d", rt.pattern, w.Code)
			case floor:
				floors++
			}
		}
	}
	check(true)
	if floors < 5 {
		t.Errorf("only %d routes of the floor were tried", floors)
	}
	r := httptest.NewRequest(http.MethodGet, "/floor", nil)
	r.AddCookie(v.cookie)
	if ctx, err := s.sessions.Load(r.Context(), ""); err != nil {
		t.Fatal(err)
	} else if _, u, in, err := s.signedInOnFloor(httptest.NewRecorder(), r.WithContext(ctx)); err != nil || !in || u.Name != "Tack 1" || u.Role != flow.Operator {
		t.Errorf("a terminal is signed in as %+v, %t, %v", u, in, err)
	}
	page := v.page(t, "/floor")
	if nav := find(page, "nav.sheets a"); len(nav) > 1 {
		t.Errorf("a terminal is led to %d sheets", len(nav))
	}
	for _, a := range find(page, "a") {
		if attr(a, "href") == "/account" {
			t.Error("a terminal is led to an account")
		}
	}
	list, err := shop.Devices(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if w := boss.post("/terminals/"+list[0].ID, url.Values{"do": {"shut out"}}); w.Code != http.StatusSeeOther {
		t.Fatalf("shutting it out: status %d", w.Code)
	}
	check(false)
}

// TestTheCookieOfATerminal: kept from scripts and other sites, sent to the floor only, renewed from day to day.
func TestTheCookieOfATerminal(t *testing.T) {
	now, _ := storyNow(t)
	clock := time.Unix(int64(now), 0)
	shop := smallShop(t)
	for _, secure := range []bool{false, true} {
		s, err := New(shop, Options{Clock: func() time.Time { return clock }, Secure: secure})
		if err != nil {
			t.Fatal(err)
		}
		boss := enter(t, s, "manager", "manager-pass-word")
		v := enrol(t, s, boss, "Tack "+strconv.FormatBool(secure), "station tack-1")
		c := v.cookie
		if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Secure != secure || c.Path != "/floor" || c.MaxAge != 400*24*3600 {
			t.Errorf("the cookie: %v", c)
		}
		if cs := v.get("/floor").Result().Cookies(); len(cs) != 0 {
			t.Errorf("given again on the same day: %v", cs)
		}
		before := s.clock
		s.clock = func() time.Time { return clock.Add(30 * time.Hour) }
		if cs := v.get("/floor").Result().Cookies(); len(cs) != 1 || cs[0].Value != c.Value || !cs[0].HttpOnly {
			t.Errorf("given again on another day: %v", cs)
		}
		s.clock = before
	}
}

// TestALinkWorksOnce: neither a second opening nor another site makes a terminal, and a look at the link alone does nothing.
func TestALinkWorksOnce(t *testing.T) {
	_, s, boss := terminalShop(t)
	w := boss.post("/terminals", url.Values{"name": {"Tack 1"}, "where": {"station tack-1"}})
	link, _ := url.Parse(textOf(find(parse(t, w.Body.String()), "section.link code")[0]))
	token := strings.TrimPrefix(link.Path, "/terminal/")
	if svg := find(parse(t, w.Body.String()), "section.link svg path"); len(svg) != 1 || len(attr(svg[0], "d")) < 1000 {
		t.Error("the link is not shown as a code")
	}
	v := &visitor{s: s}
	for range 2 {
		v.page(t, link.Path)
	}
	r := httptest.NewRequest(http.MethodPost, "/terminal", strings.NewReader(url.Values{"token": {token}}.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	if w := v.do(r); w.Code != http.StatusForbidden {
		t.Errorf("opened from another site: status %d", w.Code)
	}
	v = openLink(t, s, link.Path)
	if v.cookie.Value == token {
		t.Error("the terminal keeps the token of the link")
	}
	if w := (&visitor{s: s}).get(link.Path); w.Code != http.StatusNotFound {
		t.Errorf("looked at again: status %d", w.Code)
	}
	if w := (&visitor{s: s}).post("/terminal", url.Values{"token": {token}}); w.Code != http.StatusConflict || len(w.Result().Cookies()) != 0 {
		t.Errorf("opened again: status %d", w.Code)
	}
	if text := textOf(find(boss.page(t, "/terminals"), "main")[0]); strings.Contains(text, token) {
		t.Error("the link is shown again")
	}
	for _, wrong := range []string{"", "x", token, strings.Repeat("A", 43), strings.Repeat("%00", 43)} {
		v.cookie = &http.Cookie{Name: terminalCookie, Value: wrong}
		if w := v.get("/floor"); w.Code != http.StatusSeeOther {
			t.Errorf("with the token %q: status %d", wrong, w.Code)
		}
	}
}

// TestOpeningALinkSignsOut: a manager who opens the link at the terminal does not stay there.
func TestOpeningALinkSignsOut(t *testing.T) {
	_, s, boss := terminalShop(t)
	w := boss.post("/terminals", url.Values{"name": {"Tack 1"}, "where": {"station tack-1"}})
	link, _ := url.Parse(textOf(find(parse(t, w.Body.String()), "section.link code")[0]))
	boss.post("/terminal", url.Values{"token": {strings.TrimPrefix(link.Path, "/terminal/")}})
	if w := boss.get("/terminals"); w.Code != http.StatusSeeOther {
		t.Errorf("the manager is still signed in: status %d", w.Code)
	}
	_ = s
}

// TestOtherSitesCannotActForATerminal: the protection of users holds for terminals.
func TestOtherSitesCannotActForATerminal(t *testing.T) {
	_, s, boss := terminalShop(t)
	v := enrol(t, s, boss, "Tack 1", "station tack-1")
	for site, want := range map[string]int{"cross-site": http.StatusForbidden, "same-site": http.StatusForbidden, "same-origin": http.StatusUnprocessableEntity} {
		r := httptest.NewRequest(http.MethodPost, "/floor/tack-1/pin", strings.NewReader("old=1&new=1&again=1"))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", site)
		if w := v.do(r); w.Code != want {
			t.Errorf("posted from %s: status %d, want %d", site, w.Code, want)
		}
	}
}

// TestAUserOnATerminal: who signs in at a terminal is who he is, and the terminal stays what it is when he signs out.
func TestAUserOnATerminal(t *testing.T) {
	_, s, boss := terminalShop(t)
	v := enrol(t, s, boss, "Tack 1", "station tack-1")
	session := enter(t, s, "viewer", "viewer-pass-word").cookie
	ask := func(path string) int {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.AddCookie(session)
		return v.do(r).Code
	}
	if got := ask("/floor/tack-1/past"); got != http.StatusForbidden {
		t.Errorf("a viewer at a terminal may what an operator may: status %d", got)
	}
	if got := ask("/orders"); got != http.StatusOK {
		t.Errorf("a viewer at a terminal on Orders: status %d", got)
	}
}

// TestPINsOnTheSheet: a manager sets, unlocks and clears; the terminal asks; wrong tries lock and are shown.
func TestPINsOnTheSheet(t *testing.T) {
	shop, s, boss := terminalShop(t)
	b, _, err := shop.Book(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	p := b.People[0]
	at := pinHref(p.ID)
	for _, c := range []struct {
		pin, again string
		code       int
	}{{"480615", "480616", http.StatusUnprocessableEntity}, {"1234", "1234", http.StatusUnprocessableEntity}, {"480615", "480615", http.StatusSeeOther}} {
		if w := boss.post(at, url.Values{"do": {"set"}, "pin": {c.pin}, "again": {c.again}}); w.Code != c.code || strings.Contains(w.Body.String(), c.pin) {
			t.Errorf("PIN %s and %s: status %d; shown: %t", c.pin, c.again, w.Code, strings.Contains(w.Body.String(), c.pin))
		}
	}
	v := enrol(t, s, boss, "Tack 1", "station tack-1")
	change := func(old, fresh string) int {
		return v.post("/floor/tack-1/pin", url.Values{"person": {string(p.ID)}, "old": {old}, "new": {fresh}, "again": {fresh}}).Code
	}
	if got := change("480615", "719304"); got != http.StatusOK {
		t.Fatalf("changing one's own PIN: status %d", got)
	}
	for range 5 {
		if got := change("480615", "551709"); got != http.StatusForbidden {
			t.Errorf("changing with the PIN before: status %d", got)
		}
	}
	if got := change("719304", "551709"); got != http.StatusForbidden {
		t.Errorf("a locked PIN: status %d", got)
	}
	if text := textOf(find(boss.page(t, "/terminals/people?state=locked"), "table.list tbody")[0]); !strings.Contains(text, p.Name) || !strings.Contains(text, "locked") {
		t.Errorf("the list says %q", text)
	}
	for _, do := range []string{"unlock", "clear"} {
		if w := boss.post(at, url.Values{"do": {do}}); w.Code != http.StatusSeeOther {
			t.Errorf("%s: status %d", do, w.Code)
		}
	}
	if w := boss.post(at, url.Values{"do": {"clear"}}); w.Code != http.StatusNotFound {
		t.Errorf("clearing no PIN: status %d", w.Code)
	}
	if w := boss.post(pinHref("nobody"), url.Values{"do": {"set"}, "pin": {"480615"}, "again": {"480615"}}); w.Code != http.StatusNotFound {
		t.Errorf("the PIN of nobody: status %d", w.Code)
	}
}

// TestTerminalSheets opens each sheet, looks for what is inline, and exports the lists.
func TestTerminalSheets(t *testing.T) {
	shop, s, boss := terminalShop(t)
	v := enrol(t, s, boss, "Tack 1", "station tack-1")
	enrol(t, s, boss, "Cart", "plant "+string(firstPlant(t, shop)))
	b, _, _ := shop.Book(context.Background())
	list, _ := shop.Devices(context.Background())
	pages := map[*visitor][]string{v: {"/floor", "/floor/tack-1/pin"}, boss: {"/terminals", "/terminals?q=tack&sort=-name", "/terminals?state=in+use", "/terminals/" + list[0].ID, "/terminals/people", pinHref(b.People[0].ID),
		"/terminals/badges", "/terminals/badges?as=square", "/terminals/codes", "/terminals?q=nothing+like+it"}}
	for v, paths := range pages {
		for _, path := range paths {
			page := v.page(t, path)
			for _, n := range all(page, func(*html.Node) bool { return true }) {
				for _, a := range n.Attr {
					if n.Data == "style" || a.Key == "style" || strings.HasPrefix(a.Key, "on") {
						t.Errorf("%s: inline %s %s", path, n.Data, a.Key)
					}
				}
			}
		}
	}
	if n := len(find(boss.page(t, "/terminals/badges"), ".badges li svg path")); n != len(b.People) {
		t.Errorf("%d badges with a code for %d people", n, len(b.People))
	}
	if n := len(find(boss.page(t, "/terminals/codes"), ".badges li svg path")); n != len(b.Stations) {
		t.Errorf("%d signs with a code for %d stations", n, len(b.Stations))
	}
	if text := textOf(find(boss.page(t, "/terminals?q=tack"), "table.list tbody")[0]); !strings.Contains(text, "Tack 1") || strings.Contains(text, "Cart") {
		t.Errorf("filtered by tack: %q", text)
	}
	for _, path := range []string{"/terminals?format=csv", "/terminals/people?format=csv", "/terminals/people?format=xlsx"} {
		if w := boss.get(path); w.Code != http.StatusOK || w.Body.Len() < 100 {
			t.Errorf("%s: status %d, %d bytes", path, w.Code, w.Body.Len())
		}
	}
	for _, c := range []url.Values{{"name": {""}, "where": {"station tack-1"}}, {"name": {"Tack 1"}, "where": {"station tack-1"}}, {"name": {"x"}, "where": {"station nowhere"}}, {"name": {"x"}}} {
		if w := boss.post("/terminals", c); w.Code != http.StatusUnprocessableEntity || len(find(parse(t, w.Body.String()), ".faults li")) == 0 {
			t.Errorf("enrolling %v: status %d", c, w.Code)
		}
	}
}

func firstPlant(t *testing.T, shop *flow.Shop) plant.ID {
	t.Helper()
	b, _, err := shop.Book(context.Background())
	if err != nil || len(b.Plants) == 0 {
		t.Fatal("no plant", err)
	}
	return b.Plants[0].ID
}

// TestAnExpiredQualificationShows on the list of people.
func TestAnExpiredQualificationShows(t *testing.T) {
	now, _ := storyNow(t)
	b, err := demo.Small(now)
	if err != nil {
		t.Fatal(err)
	}
	b.Qualifications = append(b.Qualifications, plant.Qualification{Person: b.People[0].ID, Name: "weld-fillet-old", Expires: "2020-01-31"})
	shop := realShop(t, time.Unix(int64(now), 0))
	if err := shop.ImportBook(context.Background(), planner, b, nil); err != nil {
		t.Fatal(err)
	}
	boss := enter(t, realServer(t, shop), "manager", "manager-pass-word")
	rows := find(boss.page(t, "/terminals/people?expired=yes"), "table.list tbody tr")
	found := false
	for _, r := range rows {
		found = found || strings.Contains(textOf(r), "weld-fillet-old ran out 2020-01-31") && len(find(r, "span.late")) == 1
	}
	if !found {
		t.Errorf("of %d people with a qualification that ran out none is the one", len(rows))
	}
	if page := textOf(boss.page(t, pinHref(b.People[0].ID))); !strings.Contains(page, "ran out 2020-01-31") {
		t.Errorf("his sheet: %q", page)
	}
}

// TestAStolenDatabaseIsNoTerminal: what the database keeps of a terminal does not open the floor.
func TestAStolenDatabaseIsNoTerminal(t *testing.T) {
	shop, s, boss := terminalShop(t)
	v := enrol(t, s, boss, "Tack 1", "station tack-1")
	rows, err := shop.Store().Devices(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	kept, _ := json.Marshal(rows)
	if strings.Contains(string(kept), v.cookie.Value) {
		t.Error("the database keeps the token")
	}
	v.cookie = &http.Cookie{Name: terminalCookie, Value: rows[0].Token}
	if w := v.get("/floor"); w.Code != http.StatusSeeOther {
		t.Errorf("with the hash for a token: status %d", w.Code)
	}
}

// TestASignOnAtATerminal: by badge and PIN, recorded with the terminal; a wrong PIN is counted for it and records nothing.
func TestASignOnAtATerminal(t *testing.T) {
	ctx := context.Background()
	shop, s, boss := terminalShop(t)
	b, _, err := shop.Book(ctx)
	if err != nil {
		t.Fatal(err)
	}
	p := b.People[0]
	if err := shop.SetPIN(ctx, flow.Who{Name: "manager", Role: flow.Manager}, p.ID, "480615"); err != nil {
		t.Fatal(err)
	}
	v := enrol(t, s, boss, "Tack 1", "station tack-1")
	if w := v.post("/floor/tack-1/scan", url.Values{"code": {floor.Code(floor.CodePerson, string(p.ID))}}); !strings.Contains(w.Body.String(), `name="pin"`) {
		t.Errorf("a badge of who has a PIN asks for none: status %d", w.Code)
	}
	for n, pin := range []string{"", "480616", "480615"} {
		id := floor.NewID(s.clock().UnixMilli(), [10]byte{9: byte(n)})
		w := v.post("/floor/tack-1/act", url.Values{"do": {string(floor.SignOn)}, "person": {string(p.ID)}, "pin": {pin}, "id": {id}})
		if (w.Code == http.StatusSeeOther) != (pin == "480615") {
			t.Errorf("signing on with the PIN %q: status %d: %s", pin, w.Code, textOf(parse(t, w.Body.String())))
		}
		tries, err := shop.PINs(ctx)
		if want := []int{0, 1, 0}[n]; err != nil || tries[p.ID].Failures != want {
			t.Errorf("after the PIN %q %d wrong tries are counted, want %d; %v", pin, tries[p.ID].Failures, want, err)
		}
	}
	list, err := shop.Devices(ctx)
	if err != nil {
		t.Fatal(err)
	}
	events, err := shop.StationEvents(ctx, "tack-1")
	if err != nil || len(events) != 1 || events[0].Device != list[0].ID || events[0].Person != p.ID {
		t.Errorf("recorded: %+v, %v", events, err)
	}
	if _, device, err := shop.Store().Tries(ctx, string(p.ID), list[0].ID); err != nil || device.Failures != 1 {
		t.Errorf("counted at the terminal: %+v, %v", device, err)
	}
}
