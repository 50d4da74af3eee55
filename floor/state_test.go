package floor

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tackline/plant"
)

// anyClock shows instants in tests.
func anyClock(t plant.Time) string { return fmt.Sprintf("second %d", t) }

var oneEach = Rules{Limit: func(id plant.StationID) int {
	if id == "rack" {
		return 0
	}
	return 1
}, When: anyClock}

// idOf makes an identifier for a test.
func idOf(n int) string { return NewID(int64(n), [10]byte{9: byte(n), 8: byte(n >> 8)}) }

// shopRecord is a floor that records events, as a store does.
type shopRecord struct {
	state  *State
	events []Event
}

func (r *shopRecord) history(e *Event) (list []Event) {
	op, station, aboutOp := e.Subject()
	for _, x := range r.events {
		if o, s, about := x.Subject(); about == aboutOp && o == op && s == station {
			list = append(list, x)
		}
	}
	return list
}

// post records an event unless it is refused.
func (r *shopRecord) post(e Event) error {
	e.ID, e.Plant, e.Device, e.Person = idOf(len(r.events)+1), "brackwater", "t1", cmpOr(e.Person, "p-1")
	if e.At == 0 {
		e.At = plant.Time(1000 + len(r.events))
	}
	if err := e.Valid(); err != nil {
		return err
	}
	history := r.history(&e)
	if err := r.state.Refuse(&e, history, oneEach); err != nil {
		return err
	}
	r.state.Apply(&e, history)
	r.events = append(r.events, e)
	return nil
}

func cmpOr(a, b plant.PersonID) plant.PersonID {
	if a != "" {
		return a
	}
	return b
}

func text(t interface{ Fatal(...any) }, v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// sameState compares two states by what they say of each operation and station.
func sameState(t interface {
	Fatal(...any)
	Errorf(string, ...any)
}, a, b *State) {
	for k, o := range a.Ops {
		if x, y := text(t, o), text(t, b.Ops[k]); x != y {
			t.Errorf("%v: %s, folded anew %s", k, x, y)
		}
	}
	for k, st := range a.Stations {
		if x, y := text(t, st), text(t, b.Stations[k]); x != y {
			t.Errorf("%v: %s, folded anew %s", k, x, y)
		}
	}
	for id := range a.at {
		if x, y := text(t, a.At(id)), text(t, b.At(id)); x != y {
			t.Errorf("at %v: %s, folded anew %s", id, x, y)
		}
	}
	if len(a.Ops) != len(b.Ops) || len(a.Stations) != len(b.Stations) {
		t.Errorf("%d operations and %d stations, folded anew %d and %d", len(a.Ops), len(a.Stations), len(b.Ops), len(b.Stations))
	}
}

// drawEvent draws an event, sensible or not.
func drawEvent(t *rapid.T, r *shopRecord) Event {
	e := Event{Kind: rapid.SampledFrom(Kinds()).Draw(t, "kind"), Person: rapid.SampledFrom([]plant.PersonID{"p-1", "p-2"}).Draw(t, "person")}
	n := needs[e.Kind]
	if n.op || e.Kind == Undo && rapid.Bool().Draw(t, "about an operation") {
		e.Job, e.Seq = rapid.SampledFrom([]plant.JobID{"j1", "j2"}).Draw(t, "job"), 10*rapid.IntRange(1, 2).Draw(t, "op")
	}
	if n.station || e.Kind == Undo && e.Job == "" {
		e.Station = rapid.SampledFrom([]plant.StationID{"robot", "rack"}).Draw(t, "station")
	}
	if n.reason {
		e.Reason = rapid.SampledFrom([]string{"crane", Repaired, Accepted}).Draw(t, "reason")
	}
	if n.of && len(r.events) > 0 {
		e.Of = rapid.SampledFrom(r.events).Draw(t, "of").ID
	}
	if n.item {
		e.Item, e.Lot, e.Qty = "pin", "L-1", plant.Qty(rapid.IntRange(1, 3).Draw(t, "qty"))
	}
	if n.check {
		e.Check, e.Pass = rapid.SampledFrom([]string{"leak", "paint"}).Draw(t, "check"), rapid.Bool().Draw(t, "pass")
	}
	if e.Kind == Count || e.Kind == Finish {
		e.Good, e.Repair = rapid.IntRange(0, 2).Draw(t, "good"), rapid.IntRange(0, 1).Draw(t, "repair")
	}
	if e.Kind == Start && rapid.Bool().Draw(t, "in a load") {
		e.Batch = "load-1"
	}
	return e
}

// TestNoForbiddenState: whatever is sent, what is recorded keeps the rules, and the state kept while recording is the state that the
// record gives when it is folded anew.
func TestNoForbiddenState(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := &shopRecord{state: NewState()}
		for range rapid.IntRange(1, 60).Draw(t, "events") {
			_ = r.post(drawEvent(t, r))
			running := map[string]bool{}
			for k, o := range r.state.Ops {
				checkOp(t, k, &o)
				if o.Phase == Running && o.Station == "robot" {
					running[o.Batch+map[bool]string{true: fmt.Sprint(k)}[o.Batch == ""]] = true
				}
			}
			if len(running) > 1 {
				t.Fatalf("two things run on a station that takes one: %v", running)
			}
		}
		sameState(t, r.state, Fold(r.events))
	})
}

func checkOp(t *rapid.T, k OpKey, o *Op) {
	open := len(o.People())
	switch {
	case (o.Phase == Done || o.Phase == Paused || o.Phase == Waiting) && open > 0:
		t.Fatalf("%v is %q and %d people work on it", k, o.Phase, open)
	case o.Phase == Running && len(o.Holds) > 0:
		t.Fatalf("%v runs while it is held", k)
	case o.Phase == Done && (o.Ended == 0 || o.Began == 0 || len(o.Holds) > 0 && o.Holds[0].At < o.Ended):
		t.Fatalf("%v is done: %+v", k, o)
	case o.Phase == Waiting && (o.Began != 0 || o.Pieces() != 0 || o.Station != ""):
		t.Fatalf("%v has not begun: %+v", k, o)
	case o.Good < 0 || o.Repair < 0 || o.Scrap < 0:
		t.Fatalf("%v: %+v", k, o)
	}
	for _, p := range o.Parts {
		if p.Qty <= 0 {
			t.Fatalf("%v: %d of %s are picked", k, p.Qty, p.Item)
		}
	}
	people := o.People()
	slices.Sort(people)
	if len(slices.Compact(people)) != open {
		t.Fatalf("%v: somebody works twice on it: %v", k, o.Stints)
	}
}

// step is one line of the table of an operation's life: in a phase, held or not, a kind of event leads to a phase; "" refuses.
var life = map[string]map[Kind]string{
	"waiting":      {Start: "running", Hold: "waiting held"},
	"waiting held": {Hold: "waiting held", Decide: "waiting"},
	"running":      {Pause: "paused", Finish: "done", Count: "running", Join: "running", Leave: "running", Hold: "paused held"},
	"paused":       {Resume: "running", Finish: "done", Count: "paused", Hold: "paused held"},
	"paused held":  {Hold: "paused held", Count: "paused held", Decide: "paused"},
	"done":         {Hold: "done held"},
	"done held":    {Hold: "done held", Decide: "done"},
}

// TestLifeOfAnOperation follows every sequence of five events about one operation, and compares each step with the table above.
func TestLifeOfAnOperation(t *testing.T) {
	kinds := []Kind{Start, Pause, Resume, Count, Finish, Join, Leave, Hold, Decide}
	seen := map[string]bool{}
	var follow func(r *shopRecord, at string, left int)
	follow = func(r *shopRecord, at string, left int) {
		seen[at] = true
		if left == 0 {
			return
		}
		for _, k := range kinds {
			o := r.state.Ops[OpKey{"j", 10}]
			e := Event{Kind: k, Job: "j", Seq: 10, Station: "robot", Reason: "crane", Person: "p-2"}
			switch k {
			case Count:
				e.Good = 1
			case Leave:
				if len(o.People()) > 0 {
					e.Person = o.People()[0]
				}
			case Join:
				e.Person = "p-3"
				if slices.Contains(o.People(), "p-3") {
					continue
				}
			case Decide:
				if e.Reason = Accepted; len(o.Holds) == 0 {
					e.Of = idOf(1)
				} else {
					e.Of = o.Holds[0].Event
				}
			}
			if k == Leave && at == "running" && len(o.People()) == 0 {
				continue // nobody is there to leave; it runs alone
			}
			want := life[at][k]
			if k == Decide && len(o.Holds) > 1 {
				want = at
			}
			next := &shopRecord{state: Fold(r.events), events: slices.Clone(r.events)}
			err := next.post(e)
			if (err == nil) != (want != "") {
				t.Fatalf("%s: %s: %v, want %q", at, k, err, want)
			}
			if err != nil {
				continue
			}
			got := next.state.Ops[OpKey{"j", 10}]
			if name := phaseName(&got); name != want {
				t.Fatalf("%s: %s leads to %s, want %s", at, k, name, want)
			}
			follow(next, want, left-1)
		}
	}
	follow(&shopRecord{state: NewState()}, "waiting", 5)
	if len(seen) != len(life) {
		t.Errorf("%d of %d states were reached: %v", len(seen), len(life), seen)
	}
}

func phaseName(o *Op) string {
	name := map[Phase]string{Waiting: "waiting", Running: "running", Paused: "paused", Done: "done"}[o.Phase]
	if len(o.Holds) > 0 {
		name += " held"
	}
	return name
}
