package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"tackline/flow"
	"tackline/plant"
)

// handShop gives a server on the small plant with an adopted plan, and that plan's view.
func handShop(t *testing.T) (*Server, *flow.Shop, *flow.View) {
	t.Helper()
	shop := smallShop(t)
	v, err := shop.Current(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return realServer(t, shop), shop, v
}

// firstToPlan gives the form of the last operation of the first unit: it can be moved.
func firstToPlan(v *flow.View) url.Values {
	op := v.Problem.Units[0].Last
	return url.Values{"job": {string(v.Needs.Jobs[v.Needs.Ops[op].Job].ID)}, "op": {plainNumber(float64(v.Needs.Ops[op].Seq))}}
}

func with(form url.Values, pairs ...string) url.Values {
	out := url.Values{}
	for k, v := range form {
		out[k] = v
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		out.Set(pairs[i], pairs[i+1])
	}
	return out
}

// TestByHand goes the way of a planner without script: opens the form, pins, looks at what it costs, takes it back, pins again,
// keeps and adopts, and takes the pin out from the list.
func TestByHand(t *testing.T) {
	s, shop, v := handShop(t)
	who := enter(t, s, "planner", "planner-pass-word")
	form := firstToPlan(v)
	page := who.page(t, "/plan/hand?"+form.Encode())
	if len(find(page, "fieldset")) != 4 || len(find(page, "option")) < 2 {
		t.Error("the form does not offer to pin, forbid, split and prioritise")
	}
	begin := v.Problem.Now.Add(30 * 24 * 3600)
	pin := with(form, "do", "pin", "at", begin.In(time.UTC).Format(formTime), "note", "the buyer comes")
	w := who.post("/plan/hand", pin)
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), "/plan?") {
		t.Fatalf("pin: status %d to %q: %s", w.Code, w.Header().Get("Location"), textOf(parse(t, w.Body.String())))
	}
	trial := who.page(t, w.Header().Get("Location"))
	if got := textOf(find(trial, "main")[0]); !strings.Contains(got, "Tried: Pin operation") || !strings.Contains(got, "Nothing is kept yet") || len(find(trial, ".trial tbody tr")) != 7 {
		t.Errorf("the trial says %q", got)
	}
	id := between(w.Header().Get("Location"), "try=", "")
	if w := who.get("/plan/drawing?try=" + id); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), `"hand"`) {
		t.Errorf("the drawing of a trial: status %d", w.Code)
	}
	if w := who.post("/plan/trials/"+id+"/back", form); w.Code != http.StatusSeeOther {
		t.Errorf("taken back: status %d", w.Code)
	}
	if w := who.get("/plan?try=" + id); w.Code != http.StatusNotFound {
		t.Errorf("a trial that is over: status %d", w.Code)
	}

	w = who.post("/plan/hand", pin)
	w = who.post("/plan/trials/"+between(w.Header().Get("Location"), "try=", "")+"/keep", with(form, "adopt", "yes"))
	if w.Code != http.StatusSeeOther {
		t.Fatalf("kept: status %d: %s", w.Code, textOf(parse(t, w.Body.String())))
	}
	kept := who.page(t, w.Header().Get("Location"))
	list := textOf(find(kept, ".hands")[0])
	if !strings.Contains(list, "pinned to begin") || !strings.Contains(list, "the buyer comes, planner") {
		t.Errorf("the list says %q", list)
	}
	now, err := shop.Current(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if now.State != flow.Adopted || now.Problem.Ops[now.Problem.Units[0].Last].Pinned != begin {
		t.Errorf("the plan in force does not hold the pin: %s", now.State)
	}
	unit := who.page(t, unitHref(now.Needs.Units[0].ID))
	if got := textOf(find(unit, "main")[0]); !strings.Contains(got, "pinned at its time") {
		t.Error("the unit does not say that its last operation is pinned")
	}
	if w := who.post("/plan/hand", with(form, "do", "unpin")); w.Code != http.StatusSeeOther {
		t.Errorf("unpin: status %d", w.Code)
	}
}

func between(s, from, to string) string {
	_, s, _ = strings.Cut(s, from)
	if to == "" {
		to = "&"
	}
	s, _, _ = strings.Cut(s, to)
	return s
}

// What is refused comes back as a form with its reason; nothing is tried.
func TestByHandRefusals(t *testing.T) {
	s, _, v := handShop(t)
	who := enter(t, s, "planner", "planner-pass-word")
	form := firstToPlan(v)
	for _, c := range []struct {
		pairs []string
		code  int
		says  string
	}{
		{[]string{"do", "pin", "at", "2001-01-01T06:00"}, 422, "a time from now on"},
		{[]string{"do", "pin", "at", "noon"}, 422, "a date and time such as"},
		{[]string{"do", "pin"}, 422, "a station or a time"},
		{[]string{"do", "pin", "station", "nowhere"}, 422, "a name from the sheet stations"},
		{[]string{"do", "forbid"}, 422, "a station or a time"},
		{[]string{"do", "split", "pieces", "half"}, 422, "a whole number of pieces"},
		{[]string{"do", "split", "pieces", "1"}, 409, "one piece"},
		{[]string{"do", "prioritise", "of", "unit x", "factor", "0"}, 422, "above 0"},
		{[]string{"do", "unpin"}, 404, "not pinned"},
		{[]string{"do", "shove"}, 422, "pin, unpin"},
		{[]string{"do", "pin", "station", "x", "job", "9-9-9/x"}, 404, "There is no job"},
		{[]string{"do", "pin", "station", "x", "note", strings.Repeat("x", 300)}, 422, "at most 200"},
	} {
		w := who.post("/plan/hand", with(form, c.pairs...))
		if got := textOf(parse(t, w.Body.String())); w.Code != c.code || !strings.Contains(got, c.says) {
			t.Errorf("%v: status %d, want %d: %s", c.pairs, w.Code, c.code, got)
		}
	}
	viewer := enter(t, s, "viewer", "viewer-pass-word")
	if w := viewer.post("/plan/hand", with(form, "do", "unpin")); w.Code != http.StatusForbidden {
		t.Errorf("a viewer: status %d", w.Code)
	}
	if page := viewer.page(t, "/plan"); len(find(page, "#drop")) > 0 {
		t.Error("a viewer is offered to move bars")
	}
}

// The drawing gives each bar the stations that it can be moved to, and none to what has begun.
func TestDrawingSaysWhatCanBeMoved(t *testing.T) {
	s, _, v := handShop(t)
	ix, err := s.index(v)
	if err != nil {
		t.Fatal(err)
	}
	d := drawPlan(ix)
	b := d.Bars
	for i := range b.Able {
		op := ix.opAt(plant.JobID(d.Jobs[b.Job[i]]), b.Seq[i])
		movable := v.Problem.Ops[op].State == 0
		if (b.Able[i] >= 0) != movable {
			t.Errorf("bar %d: stations %d, movable %v", i, b.Able[i], movable)
		}
		if movable {
			found := false
			for _, st := range d.Able[b.Able[i]] {
				found = found || st == b.Station[i]
			}
			if !found {
				t.Errorf("bar %d is not on a station that it can be moved to", i)
			}
		}
	}
}
