package web

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"tackline/book"
	"tackline/floor"
	"tackline/plant"
)

// batchStation finds a station that takes loads, and two operations or more for it.
func (f *floorShop) batchStation(t *testing.T) (at *floorAt, ops []int) {
	t.Helper()
	v, err := f.shop.Current(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(v.Book.Stations, func(s plant.Station) bool { return v.Index.Centres[s.Centre].Takes == book.TakesBatch })
	if at, err = f.s.floorAt(t.Context(), string(v.Book.Stations[i].ID)); err != nil {
		t.Fatal(err)
	}
	for op := range v.Needs.Ops {
		if v.Problem.Ops[op].State == 0 && at.able(op) {
			ops = append(ops, op)
		}
	}
	if len(ops) < 2 {
		t.Fatalf("%d operations for a batch station", len(ops))
	}
	return at, ops
}

// TestFloorLoad: jobs of one kind go through a batch station as one load, which is finished together; what does not fit is told why.
func TestFloorLoad(t *testing.T) {
	f := newFloorShop(t)
	at, ops := f.batchStation(t)
	f.station = at.st.ID
	f.done(t, floor.SignOn)
	load := f.id()
	begin := func(op int) {
		t.Helper()
		k := at.desk.Key(op)
		e := floor.Event{ID: f.id(), Kind: floor.Start, Plant: at.plant, At: at.clock - 3600, Device: "test", Person: f.person, Job: k.Job, Seq: k.Seq, Station: at.st.ID, Batch: load}
		answers, err := f.shop.PostEvents(t.Context(), planner, []floor.Event{e}) // of an hour ago: a fact, whatever the plan says
		if err != nil || answers[0].Refused != nil {
			t.Fatalf("start: %v, %v", err, answers)
		}
	}
	begin(ops[0])
	f.shop.Floor(func(state *floor.State) {
		l := at.load(state)
		if l == nil || l.Jobs != 1 || l.Size != at.ix.op(ops[0]).Size {
			t.Fatalf("the load: %+v", l)
		}
		full := *l
		full.Size = full.Capacity
		if why := full.unfit(at, ops[1]); at.ix.op(ops[1]).Key == l.key && !strings.Contains(why, "needs") {
			t.Errorf("a full load takes more: %q", why)
		}
		other := *l
		other.key += "-other"
		if why := other.unfit(at, ops[1]); !strings.Contains(why, "cannot go together") {
			t.Errorf("a load of another kind: %q", why)
		}
	})
	k := at.desk.Key(ops[1])
	w := f.act(floor.Start, "job", string(k.Job), "op", strconv.Itoa(k.Seq), "load", "gone")
	if got := refusal(t, w); !strings.Contains(got, "does not run any more") {
		t.Errorf("into a load that is over: status %d: %q", w.Code, got)
	}
	begin(ops[1])
	page := f.page(t, floorHref(at.st.ID))
	if got := textOf(find(page, "#f-now")[0]); !strings.Contains(got, "One load: 2 jobs") {
		t.Errorf("the load is not shown: %q", got)
	}
	k = at.desk.Key(ops[0])
	f.done(t, floor.Finish, "job", string(k.Job), "op", strconv.Itoa(k.Seq), "good", strconv.Itoa(at.ix.job(ops[0]).Pieces), "whole", "yes")
	f.shop.Floor(func(state *floor.State) {
		for _, op := range ops[:2] {
			if o := state.Ops[at.desk.Key(op)]; o.Phase != floor.Done || o.Good != at.ix.job(op).Pieces {
				t.Errorf("%s: %+v", at.opText(op), o)
			}
		}
	})
}
