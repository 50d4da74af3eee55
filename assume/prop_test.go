package assume_test

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tackline/assume"
	"tackline/book"
	"tackline/book/booktest"
)

// drawn gives an assumption of any kind with names and times that the small book knows, mostly.
func drawn(t *rapid.T) assume.Assumption {
	pick := func(name string, from ...string) string { return rapid.SampledFrom(from).Draw(t, name) }
	shape := rapid.SampledFrom(assume.Shapes()).Draw(t, "kind")
	values := map[string]string{
		"station": pick("station", "saw-1", "robot-1", "robot-2", "booth-1", "bench-1", "mill-1", "lost-1"), "calendar": pick("calendar", "day", "night", "south-day"),
		"days": pick("days", "mon-fri", "sat", "all"), "hours": pick("hours", "18:00-22:00", "22:00-06:00", "06:00-06:00"),
		"pool": pick("pool", "welders", "fitters", "millers"), "person": pick("person", "p-1", "p-2", "extra-1"), "heads": pick("heads", "1", "2"),
		"order": pick("order", "1001", "1002", "1003"), "line": pick("line", "1", "2"), "item": pick("item", "grab", "plate", "rotator"),
		"quantity": pick("quantity", "1", "3"), "options": pick("options", "", "jaws=3"), "class": "standard", "receipt": pick("receipt", "R-1", "extra-1"),
		"job": pick("job", "1001-1-1/jaw-closed", "1001-1-2/jaw-closed"), "op": "10", "reason": pick("reason", "", "for the sake of argument"),
		"from": pick("from", "2026-11-26T06:00", "2026-12-01T06:00"), "to": pick("to", "2026-12-02T12:00", "2026-12-08T18:00"), "at": "2026-12-11T12:00",
	}
	for _, name := range shape.May {
		if rapid.Bool().Draw(t, "without "+name) {
			values[name] = ""
		}
	}
	a, faults := assume.Read(shape.Kind, func(name string) string { return values[name] })
	if len(faults) > 0 {
		t.Fatalf("%v: %v", values, faults)
	}
	return a
}

// TestApplyProperties: the book given never changes; what does not fit leaves nothing behind; an assumption dropped again is as
// if it had never been made; names stay unique and the book can be planned; every assumption can be said.
func TestApplyProperties(t *testing.T) {
	before, b := booktest.Small(), booktest.Small()
	rapid.Check(t, func(t *rapid.T) {
		list := rapid.SliceOfN(rapid.Custom(drawn), 0, 5).Draw(t, "list")
		got, unfit := assume.Fitting(b, list)
		bad := map[int]bool{}
		for _, f := range unfit {
			bad[f.Row-1] = true
		}
		var fits []assume.Assumption
		for i, a := range list {
			if !bad[i] {
				fits = append(fits, a)
			}
			if s := assume.Sentence(b, a, now); !bad[i] && (len(s) < 10 || strings.Contains(s, "unknown")) {
				t.Fatalf("%+v is said as %q", a, s)
			}
		}
		again, err := assume.Apply(b, fits)
		if err != nil || !reflect.DeepEqual(got, again) {
			t.Fatalf("the fitting ones alone give another book (%v):\n%s", err, cmp.Diff(got, again))
		}
		if d := cmp.Diff(before, b); d != "" {
			t.Fatalf("the book given has changed:\n%s", d)
		}
		if len(fits) > 0 {
			most, err := assume.Apply(b, fits[:len(fits)-1])
			if err != nil {
				t.Fatal(err)
			}
			step, err := assume.Apply(most, fits[len(fits)-1:])
			if err != nil || !reflect.DeepEqual(step, got) {
				t.Fatalf("one by one gives another book (%v):\n%s", err, cmp.Diff(got, step))
			}
			dropped, err := assume.Apply(b, fits[:len(fits)-1])
			if err != nil || !reflect.DeepEqual(dropped, most) {
				t.Fatalf("dropping the last again leaves something behind (%v):\n%s", err, cmp.Diff(most, dropped))
			}
		}
		if faults := book.Check(got, nil); len(faults) > 0 {
			t.Fatalf("the changed book has faults:\n%v", faults)
		}
	})
}

// TestNothingAssumed gives the same book.
func TestNothingAssumed(t *testing.T) {
	b := booktest.Small()
	got, err := assume.Apply(b, nil)
	if err != nil || !reflect.DeepEqual(got, b) {
		t.Errorf("%v\n%s", err, cmp.Diff(b, got))
	}
}

// TestOddBooks: books of any content, however broken, are neither changed nor too much.
func TestOddBooks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := booktest.Random(t)
		before := b.Clone()
		list := rapid.SliceOfN(rapid.Custom(drawn), 1, 3).Draw(t, "list")
		for i := range list { // names that the book has
			if n := len(b.Stations); n > 0 && list[i].Station != "" {
				list[i].Station = b.Stations[i%n].ID
			}
			if n := len(b.Pools); n > 0 && list[i].Pool != "" {
				list[i].Pool = b.Pools[i%n].ID
			}
			if n := len(b.Lines); n > 0 && list[i].Order != "" {
				list[i].Order = b.Lines[i%n].Order
			}
		}
		assume.Fitting(b, list)
		if d := cmp.Diff(before, b); d != "" {
			t.Fatalf("the book given has changed:\n%s", d)
		}
	})
}
