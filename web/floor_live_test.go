package web

import (
	"bufio"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
	"tackline/schedule"
)

// stream listens to a station and gives the lines that come, but for comments and blank ones.
func (f *floorShop) stream(t *testing.T, base string, station plant.StationID) (lines chan string) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, base+floorHref(station)+"/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.AddCookie(f.cookie)
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	if kind := answer.Header.Get("Content-Type"); answer.StatusCode != http.StatusOK || kind != "text/event-stream" {
		t.Fatalf("the stream of %s: status %d, %s", station, answer.StatusCode, kind)
	}
	lines = make(chan string, 100)
	read := bufio.NewScanner(answer.Body)
	if read.Scan(); read.Text() != "retry: 2000" { // it listens from here on
		t.Fatalf("the stream begins with %q", read.Text())
	}
	go func() {
		defer close(lines)
		for read.Scan() {
			if s := read.Text(); s != "" && !strings.HasPrefix(s, ":") {
				lines <- s
			}
		}
	}()
	return lines
}

// TestFloorLive: a station hears of what happens there and of nothing else, and its stream ends when the program is to stop.
func TestFloorLive(t *testing.T) {
	f := newFloorShop(t)
	server := httptest.NewServer(f.s)
	defer server.Close()
	v, err := f.shop.Current(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	far := v.Book.Stations[slices.IndexFunc(v.Book.Stations, func(s plant.Station) bool { return s.ID != f.station })].ID
	here, elsewhere := f.stream(t, server.URL, f.station), f.stream(t, server.URL, far)
	f.done(t, floor.SignOn)
	if got := <-here; got != "event: floor" {
		t.Errorf("told %q", got)
	}
	f.s.EndStreams()
	for range here { // ends, or the test hangs
	}
	for got := range elsewhere {
		t.Errorf("%s is told %q of another station", far, got)
	}
}

// TestFloorConcerns: a station is told of its own events, of work planned there, and of the work that this waits for.
func TestFloorConcerns(t *testing.T) {
	f := newFloorShop(t)
	v, err := f.shop.Current(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	l := v.Problem.Links[slices.IndexFunc(v.Problem.Links, func(l schedule.Link) bool {
		a, b := v.Plan.Slots[l.From].Station, v.Plan.Slots[l.To].Station
		return a >= 0 && b >= 0 && a != b && v.Problem.Ops[l.From].State == 0 && v.Problem.Ops[l.To].State == 0
	})]
	at, err := f.s.floorAt(t.Context(), string(v.Problem.Stations[v.Plan.Slots[l.To].Station].ID))
	if err != nil {
		t.Fatal(err)
	}
	wants := f.s.concerns(at)
	about := func(op int) *floor.Record {
		k := at.desk.Key(op)
		return &floor.Record{Event: floor.Event{Kind: floor.Finish, Job: k.Job, Seq: k.Seq}}
	}
	if !wants(about(l.To)) || !wants(about(l.From)) {
		t.Error("not told of its work, or of what it waits for")
	}
	if wants(&floor.Record{Event: floor.Event{Kind: floor.Down, Station: "elsewhere"}}) || wants(&floor.Record{Event: floor.Event{Kind: floor.Finish, Job: "none", Seq: 10}}) {
		t.Error("told of what does not concern it")
	}
}

// TestFloorPIN: who has a PIN signs on with it, by name or by badge.
func TestFloorPIN(t *testing.T) {
	f := newFloorShop(t)
	if err := f.shop.SetPIN(t.Context(), flow.Who{Name: "manager", Role: flow.Manager}, f.person, "704913"); err != nil {
		t.Fatal(err)
	}
	w := f.act(floor.SignOn)
	if page := parse(t, w.Body.String()); w.Code != http.StatusForbidden || len(find(page, "form.pin")) != 1 || len(find(page, ".no")) != 0 {
		t.Errorf("without the PIN: status %d, want to be asked for it and told no more", w.Code)
	}
	if w := f.post(floorHref(f.station)+"/scan", url.Values{"code": {floor.Code(floor.CodePerson, string(f.person))}, "id": {f.id()}}); len(find(parse(t, w.Body.String()), "form.pin")) != 1 {
		t.Errorf("by badge without the PIN: status %d, want to be asked for it", w.Code)
	}
	if w := f.act(floor.SignOn, "pin", "111111"); w.Code != http.StatusForbidden || refusal(t, w) == "" {
		t.Errorf("with a wrong PIN: status %d: %q", w.Code, refusal(t, w))
	}
	if w := f.act(floor.Start); w.Code != http.StatusConflict {
		t.Errorf("a start without having signed on: status %d", w.Code)
	}
	f.done(t, floor.SignOn, "pin", "704913")
	f.done(t, floor.Start)
}
