package demo

import (
	"context"
	"reflect"
	"testing"
	"time"

	"tackline/book"
	"tackline/flow"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/stock"
)

// wednesday is a morning with a clock change neither near nor far.
var wednesday = plant.At(time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC))

func made(t *testing.T, now plant.Time) *book.Book {
	t.Helper()
	b, err := Plant(14, now)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestPlantIsSound checks and plans the demo on mornings all over the year: a Monday, a Sunday, both clock changes, Christmas.
func TestPlantIsSound(t *testing.T) {
	for _, day := range []string{"2026-11-25", "2026-03-30", "2026-10-26", "2026-12-27", "2027-02-28"} {
		at, err := time.Parse("2006-01-02", day)
		if err != nil {
			t.Fatal(err)
		}
		b := made(t, plant.At(at.Add(9*time.Hour)))
		for _, f := range book.Check(b, nil) {
			t.Errorf("%s: %v", day, f)
		}
		now, err := flow.StartOf(b, 0)
		if err != nil {
			t.Fatal(err)
		}
		v, err := flow.Compute(context.Background(), b, now, search.Options{Work: 1, Workers: 1, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		if len(v.Broken) > 0 || v.Plan.Status != schedule.Complete {
			t.Errorf("%s: plan %s, %d rules broken", day, v.Plan.Status, len(v.Broken))
		}
		if n := len(v.Needs.Units); n < 110 || n > 190 {
			t.Errorf("%s: %d units open, want about 150", day, n)
		}
	}
}

func TestSameSeedSamePlant(t *testing.T) {
	a, b := made(t, wednesday), made(t, wednesday)
	if !reflect.DeepEqual(a, b) {
		t.Error("two makings with the same seed and morning differ")
	}
}

// TestThingsAreWrong holds what the sheets must have something to say about.
func TestThingsAreWrong(t *testing.T) {
	b := made(t, wednesday)
	found := map[string]bool{}
	for _, e := range b.Exceptions {
		found["robot down"] = found["robot down"] || e.Kind == "down"
	}
	for _, r := range b.Receipts {
		found["receipt late"] = found["receipt late"] || r.Promised != "" && r.Expected > r.Promised
	}
	for _, w := range b.Work {
		found["leak test failed"] = found["leak test failed"] || w.State == stock.Held
		found["work running"] = found["work running"] || w.State == stock.Running
	}
	for _, q := range b.Qualifications {
		found["qualification expired"] = found["qualification expired"] || q.Expires != "" && q.Expires < "2026-11-25"
	}
	for _, p := range b.Programs {
		found["program missing"] = found["program missing"] || !p.Approved
	}
	for _, l := range b.Lines {
		found["shipped lately"] = found["shipped lately"] || l.State == order.Shipped
	}
	for _, what := range []string{"robot down", "receipt late", "leak test failed", "work running", "qualification expired", "program missing", "shipped lately"} {
		if !found[what] {
			t.Errorf("the demo has no case of: %s", what)
		}
	}
	if n := len(b.Finished); n < 200 {
		t.Errorf("%d operations of the past, want 200 or more to learn from", n)
	}
}

func TestSmallIsSound(t *testing.T) {
	b, err := Small(wednesday)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range book.Check(b, nil) {
		t.Error(f)
	}
	if len(b.Stations) != 5 || len(b.Orders) != 3 || len(b.Plants) != 1 {
		t.Errorf("%d plants, %d stations, %d orders", len(b.Plants), len(b.Stations), len(b.Orders))
	}
}
