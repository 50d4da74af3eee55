package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"tackline/fault"
	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
)

// floorShop is the small plant with an adopted plan, an operator at a terminal, and an operation of it that can start now.
type floorShop struct {
	*visitor
	shop    *flow.Shop
	station plant.StationID
	person  plant.PersonID
	key     floor.OpKey
	pieces  int
	n       int
}

func newFloorShop(t *testing.T) *floorShop {
	t.Helper()
	shop := smallShop(t)
	f := &floorShop{visitor: enter(t, realServer(t, shop), "operator", "operator-pass-word"), shop: shop}
	desk, v, err := shop.Desk(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	now, err := shop.Now(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for op := range v.Needs.Ops {
		if v.Plan.Slots[op].Station < 0 || v.Problem.Ops[op].State != 0 {
			continue
		}
		station := v.Problem.Stations[v.Plan.Slots[op].Station].ID
		blocks, _ := desk.Blocks(op, station, now, floor.NewState())
		for _, p := range v.Book.People {
			if len(blocks) == 0 && desk.Unfit(op, p.ID, now) == "" {
				f.station, f.person, f.key, f.pieces = station, p.ID, desk.Key(op), v.Needs.Jobs[v.Needs.Ops[op].Job].Pieces
				return f
			}
		}
	}
	t.Fatal("nothing can start")
	return nil
}

// id makes the next identifier of an event.
func (f *floorShop) id() string {
	f.n++
	return floor.NewID(1_795_000_000_000, [10]byte{9: byte(f.n)})
}

// act posts a form of the terminal, about the operation if kind is about one.
func (f *floorShop) act(kind floor.Kind, pairs ...string) *httptest.ResponseRecorder {
	form := url.Values{"do": {string(kind)}, "id": {f.id()}, "person": {string(f.person)}}
	switch kind {
	case floor.Start, floor.Pause, floor.Resume, floor.Count, floor.Finish, floor.Join, floor.Leave:
		form.Set("job", string(f.key.Job))
		form.Set("op", strconv.Itoa(f.key.Seq))
	}
	return f.post(floorHref(f.station)+"/act", with(form, pairs...))
}

// done posts a form that must be taken, and gives the page that follows.
func (f *floorShop) done(t *testing.T, kind floor.Kind, pairs ...string) *html.Node {
	t.Helper()
	w := f.act(kind, pairs...)
	if w.Code != http.StatusSeeOther {
		t.Fatalf("%s: status %d: %s", kind, w.Code, refusal(t, w))
	}
	return f.page(t, w.Header().Get("Location"))
}

// refusal gives what a page refuses.
func refusal(t *testing.T, w *httptest.ResponseRecorder) string {
	t.Helper()
	var says []string
	for _, n := range find(parse(t, w.Body.String()), ".no p") {
		says = append(says, textOf(n))
	}
	return strings.Join(says, " ")
}

func (f *floorShop) op() (o floor.Op) {
	f.shop.Floor(func(s *floor.State) { o = s.Ops[f.key] })
	return o
}

// TestFloorDay goes the way of an operation at a terminal, without script.
func TestFloorDay(t *testing.T) {
	f := newFloorShop(t)
	if w := f.act(floor.Start); w.Code != http.StatusConflict || !strings.Contains(refusal(t, w), "not signed on") {
		t.Fatalf("a start of somebody who is not signed on: status %d: %s", w.Code, refusal(t, w))
	}
	f.done(t, floor.SignOn)
	page := f.done(t, floor.Start)
	if now := textOf(find(page, "#f-now")[0]); !strings.Contains(now, string(f.key.Job)) || !strings.Contains(now, "running") {
		t.Errorf("what runs: %q", now)
	}
	if w := f.act(floor.Start); w.Code != http.StatusConflict || !strings.Contains(refusal(t, w), "runs already") {
		t.Errorf("a second start: status %d: %s", w.Code, refusal(t, w))
	}
	page = f.done(t, floor.Pause, "reason", "waits for the crane")
	if now := textOf(find(page, "#f-now")[0]); !strings.Contains(now, "paused") || !strings.Contains(now, "waits for the crane") {
		t.Errorf("paused: %q", now)
	}
	f.done(t, floor.Resume)
	left := strconv.Itoa(f.pieces)
	if w := f.act(floor.Finish, "good", "0"); w.Code != http.StatusUnprocessableEntity || !strings.Contains(refusal(t, w), "0 of "+left) {
		t.Errorf("finished without a count: status %d: %s", w.Code, refusal(t, w))
	}
	if w := f.act(floor.Finish, "good", "9999"); !strings.Contains(refusal(t, w), "only "+left+" are left") {
		t.Errorf("too many: %s", refusal(t, w))
	}
	if w := f.act(floor.Finish, "good", left, "scrap", "1"); !strings.Contains(refusal(t, w), "why 1 piece is scrap") {
		t.Errorf("scrap without a reason: %s", refusal(t, w))
	}
	f.done(t, floor.Finish, "good", left)
	if o := f.op(); o.Phase != floor.Done || o.Good != f.pieces {
		t.Errorf("finished: %+v", o)
	}
	past := f.page(t, floorHref(f.station)+"/past")
	if got := textOf(find(past, "article.past")[0]); !strings.Contains(got, "Finished, "+left+" good") {
		t.Errorf("what was recorded last: %q", got)
	}
	undo := find(past, "article.past form input")
	of := map[string]string{}
	for _, n := range undo {
		of[attr(n, "name")] = attr(n, "value")
	}
	f.done(t, floor.Undo, "of", of["of"], "job", of["job"], "op", of["op"], "reason", "wrong count")
	if o := f.op(); o.Phase != floor.Running || o.Good != 0 {
		t.Errorf("the finish undone: %+v", o)
	}
	f.done(t, floor.SignOff)
	if o := f.op(); len(o.People()) != 0 {
		t.Errorf("who signs off leaves his work: %+v", o.Stints)
	}
}

// TestFloorUnfit: who may not do the work does not join it either.
func TestFloorUnfit(t *testing.T) {
	f := newFloorShop(t)
	at, err := f.s.floorAt(t.Context(), string(f.station))
	if err != nil {
		t.Fatal(err)
	}
	op, _ := at.desk.Op(f.key)
	people := at.ix.view.Book.People
	i := slices.IndexFunc(people, func(p plant.Person) bool { return at.desk.Unfit(op, p.ID, at.now) != "" })
	if i < 0 {
		t.Fatal("everybody may do it")
	}
	f.done(t, floor.SignOn)
	f.done(t, floor.Start)
	f.done(t, floor.SignOn, "person", string(people[i].ID))
	if w := f.act(floor.Join, "person", string(people[i].ID)); w.Code != http.StatusConflict || !strings.Contains(refusal(t, w), "does not hold") {
		t.Errorf("%s joins: status %d: %q", people[i].Name, w.Code, refusal(t, w))
	}
	if o := f.op(); len(o.People()) != 1 {
		t.Errorf("who works on it: %v", o.People())
	}
}

// TestFloorTwice: a form that is sent twice is recorded once.
func TestFloorTwice(t *testing.T) {
	f := newFloorShop(t)
	f.done(t, floor.SignOn)
	f.done(t, floor.Start)
	id := f.id()
	f.done(t, floor.Trouble, "id", id, "reason", "missing part")
	f.done(t, floor.Trouble, "id", id, "reason", "missing part")
	n, of := 0, ""
	f.shop.Floor(func(s *floor.State) {
		n = len(s.Stations[f.station].Troubles)
		of = s.Stations[f.station].Troubles[0].Event
	})
	if n != 1 {
		t.Errorf("%d troubles of a form sent twice", n)
	}
	if got := textOf(find(f.page(t, "/floor"), "main")[0]); !strings.Contains(got, "missing part") || !strings.Contains(got, string(f.key.Job)) {
		t.Errorf("the list of stations says neither what runs nor what is wrong: %q", got)
	}
	f.done(t, floor.Cleared, "of", of)
	if w := f.act(floor.Down, "reason", "other"); !strings.Contains(refusal(t, w), "say in a few words") {
		t.Errorf("other without words: %s", refusal(t, w))
	}
	f.done(t, floor.Down, "reason", "other", "note", "oil on the floor")
	if w := f.act(floor.Up); w.Code != http.StatusForbidden {
		t.Errorf("an operator puts a station back to work: status %d", w.Code)
	}
}

// TestFloorScan scans codes of every kind, right and wrong.
func TestFloorScan(t *testing.T) {
	f := newFloorShop(t)
	scan := func(code string) *httptest.ResponseRecorder {
		return f.post(floorHref(f.station)+"/scan", url.Values{"code": {code}, "id": {f.id()}})
	}
	for _, c := range []struct{ code, to string }{
		{floor.Code(floor.CodeOp, floorKey(f.key)), floorHref(f.station) + "?pick="},
		{floorKey(f.key), floorHref(f.station) + "?pick="},
		{strings.ToUpper(string(f.key.Job)), floorHref(f.station) + "?pick="},
		{floor.Code(floor.CodePerson, string(f.person)), floorHref(f.station) + "?told=sign+on"},
		{floor.Code(floor.CodePerson, string(f.person)), floorHref(f.station)},
		{floor.Code(floor.CodeStation, "elsewhere-at-all"), ""},
		{floor.Code(floor.CodeStation, string(f.station)), floorHref(f.station)},
	} {
		w := scan(c.code)
		if to := w.Header().Get("Location"); c.to != "" && !strings.HasPrefix(to, c.to) || c.to == "" && to != "" {
			t.Errorf("%s leads to %q, want %q: status %d: %s", c.code, to, c.to, w.Code, refusal(t, w))
		}
	}
	for code, want := range map[string]string{
		"": "Nothing was scanned", "9999999": "Expected a traveller", "W:1~~": "no code of ours", "L:9~X": "read wrong",
		floor.Code(floor.CodeOp, "no-such-job 10"): "does not have it",
		floor.Code(floor.CodeLot, "L-none"):        "lot L-none",
		floor.Code(floor.CodePerson, "p-none"):     "no such person",
	} {
		if w := scan(code); w.Code < 400 || !strings.Contains(refusal(t, w), want) {
			t.Errorf("%q: status %d: %q, want %q", code, w.Code, refusal(t, w), want)
		}
	}
	if w := scan(floor.Code(floor.CodeKit, floorKey(f.key))); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "the kit for operation") {
		t.Errorf("a kit: status %d", w.Code)
	}
}

// TestFloorRoles: everybody may look at the floor; who may report nothing sees it refused, at each route.
func TestFloorRoles(t *testing.T) {
	f := newFloorShop(t)
	for _, role := range flow.Roles() {
		v := enter(t, f.s, role, role+"-pass-word")
		for _, path := range []string{"/floor", floorHref(f.station)} {
			if w := v.get(path); w.Code != http.StatusOK {
				t.Errorf("%s for %s: status %d", path, role, w.Code)
			}
		}
		may := role != flow.Viewer && role != flow.Shipper
		for _, path := range []string{"/act", "/scan"} {
			w := v.post(floorHref(f.station)+path, url.Values{"do": {"sign on"}, "person": {string(f.person)}, "id": {f.id()}})
			if (w.Code == http.StatusForbidden) == may {
				t.Errorf("%s for %s: status %d", path, role, w.Code)
			}
		}
	}
	if w := f.get("/floor/no-such-station"); w.Code != http.StatusNotFound {
		t.Errorf("an unknown station: status %d", w.Code)
	}
	w := f.act("hold", "reason", "x")
	if w.Code != status[fault.Invalid].code {
		t.Errorf("a kind that a terminal does not report: status %d", w.Code)
	}
}
