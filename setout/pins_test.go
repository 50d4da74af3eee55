package setout_test

import (
	"context"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tackline/book"
	"tackline/demo"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/setout"
)

// smallPlan gives the small plant, what it needs, and a plan of it.
func smallPlan(t *testing.T) (*book.Book, *needs.Result, *schedule.Problem, *schedule.Plan) {
	t.Helper()
	b, err := demo.Small(wednesday)
	if err != nil {
		t.Fatal(err)
	}
	b.Lines[0].Quantity = 3         // so that stations are in demand
	for _, st := range b.Stations { // and each work centre has a choice of two
		st.ID += "-too"
		b.Stations = append(b.Stations, st)
	}
	r, p := laidOut(t, b)
	plan, err := search.Run(context.Background(), p, search.Options{Seed: 1, Work: int64(20 * len(p.Ops))})
	if err != nil || plan.Status != schedule.Complete {
		t.Fatal(err, plan.Status)
	}
	return b, r, p, plan
}

// Whatever is pinned: the plan keeps every rule, has the work on its station, never before its time, and says how late it begins.
func TestPinsAreKept(t *testing.T) {
	b, r, p, _ := smallPlan(t)
	rapid.Check(t, func(t *rapid.T) {
		pinned := b.Clone()
		for i := range p.Ops {
			if p.Ops[i].State != schedule.ToPlan || rapid.IntRange(0, 3).Draw(t, "leave") > 0 {
				continue
			}
			pin := order.Pin{Job: r.Jobs[r.Ops[i].Job].ID, Seq: r.Ops[i].Seq}
			if can := p.Ops[i].Can; rapid.Bool().Draw(t, "station") {
				pin.Station = p.Stations[can[rapid.IntRange(0, len(can)-1).Draw(t, "which")].Station].ID
			}
			if pin.Station == "" || rapid.Bool().Draw(t, "time") {
				pin.Begin = plant.WallAt(wednesday.Add(plant.Seconds(60*rapid.IntRange(0, 20*24*60).Draw(t, "minutes"))), time.UTC)
			}
			pinned.Pins = append(pinned.Pins, pin)
		}
		checkPinned(t, pinned)
	})
}

func checkPinned(t *rapid.T, b *book.Book) {
	if faults := book.Check(b, nil); len(faults) > 0 {
		t.Fatal(faults)
	}
	ix, r, p := indexedAndLaidOut(t, b)
	if loose := setout.LooseRows(ix, r, p); len(loose) > 0 {
		t.Fatal(loose)
	}
	plan, err := search.Run(context.Background(), p, search.Options{Seed: 1, Work: int64(8 * len(p.Ops))})
	if err != nil {
		t.Fatal(err)
	}
	if broken := schedule.Check(p, plan); len(broken) > 0 || plan.Status != schedule.Complete {
		t.Fatal(plan.Status, broken)
	}
	late := 0.0
	for i := range p.Ops {
		pin, slot := ix.Pins[book.JobOp{Job: r.Jobs[r.Ops[i].Job].ID, Seq: r.Ops[i].Seq}], plan.Slots[i]
		if pin == nil {
			continue
		}
		if pin.Station != "" && p.Stations[slot.Station].ID != pin.Station {
			t.Fatalf("pinned to %s, planned on %s", pin.Station, p.Stations[slot.Station].ID)
		}
		if begin, ok := pin.Begin.Time(time.UTC); ok {
			if slot.Load < begin {
				t.Fatalf("pinned to begin %d, planned at %d", begin, slot.Load)
			}
			late += slot.Load.Sub(begin).Hours()
		}
	}
	if s := schedule.Measure(p, plan); s.PinHours < late-1e-6 || s.PinHours > late+1e-6 {
		t.Fatalf("pins begin %g h late, measured %g", late, s.PinHours)
	}
}

// What can be kept is kept: pins to where a plan has the work anyway are kept to the second when planning goes on from it.
func TestPinsThatFitAreKeptInTime(t *testing.T) {
	_, _, p, plan := smallPlan(t)
	rapid.Check(t, func(t *rapid.T) {
		q := *p
		q.Ops = append([]schedule.Op(nil), p.Ops...)
		q.Adopted = plan.Slots
		q.Weights.Pin = plant.MoneyOf(500)
		for i := range q.Ops {
			o := &q.Ops[i]
			if o.State != schedule.ToPlan || rapid.IntRange(0, 3).Draw(t, "leave") > 0 {
				continue
			}
			slot := plan.Slots[i]
			for k, a := range o.Can {
				if a.Station == slot.Station {
					o.Can = o.Can[k : k+1 : k+1]
					break
				}
			}
			o.Pinned, o.Earliest, o.Why = slot.Load, max(o.Earliest, slot.Load), "pinned to begin then"
		}
		again, err := search.Run(context.Background(), &q, search.Options{Seed: 2, Work: int64(20 * len(q.Ops))})
		if err != nil {
			t.Fatal(err)
		}
		if broken := schedule.Check(&q, again); len(broken) > 0 {
			t.Fatal(broken)
		}
		if s := schedule.Measure(&q, again); s.PinHours > 0 {
			t.Fatalf("pins that fit begin %g h late", s.PinHours)
		}
	})
}

// The checker proves pins and forbidden times without knowing of them: a plan made before breaks rule 1 on another station, rule 8
// before its time, and begins late after it.
func TestCheckerProvesPins(t *testing.T) {
	b, r, p, plan := smallPlan(t)
	op := p.Units[0].Last
	key := order.Pin{Job: r.Jobs[r.Ops[op].Job].ID, Seq: r.Ops[op].Seq}
	load := plan.Slots[op].Load
	day := plant.Seconds(24 * 3600)
	for _, tt := range []struct {
		name string
		pin  func(*book.Book)
		rule string // that is broken; "": none
		late float64
	}{
		{"where and when it is", func(b *book.Book) { key.Begin = wall(load); b.Pins = []order.Pin{key} }, "", 0},
		{"a day later", func(b *book.Book) { key.Begin = wall(load.Add(day)); b.Pins = []order.Pin{key} }, "8 joins and material", 0},
		{"a day earlier", func(b *book.Book) { key.Begin = wall(load.Add(-day)); b.Pins = []order.Pin{key} }, "", 24},
		{"not before a later day", func(b *book.Book) {
			b.Forbids = []order.Forbid{{Job: key.Job, Seq: key.Seq, Before: wall(load.Add(day))}}
		}, "8 joins and material", 0},
		{"on another station", func(b *book.Book) {
			for i := range r.Ops { // one that has a choice
				if can := p.Ops[i].Can; len(can) > 1 && p.Ops[i].State == schedule.ToPlan {
					other := can[0]
					if other.Station == plan.Slots[i].Station {
						other = can[1]
					}
					b.Pins = []order.Pin{{Job: r.Jobs[r.Ops[i].Job].ID, Seq: r.Ops[i].Seq, Station: p.Stations[other.Station].ID}}
					return
				}
			}
		}, "1 station and duration", 0},
	} {
		pinned := b.Clone()
		tt.pin(pinned)
		_, q := laidOut(t, pinned)
		broken := schedule.Check(q, plan)
		got := ""
		for _, v := range broken {
			got = v.Rule
		}
		if got != tt.rule {
			t.Errorf("%s: broken %v, want %q", tt.name, broken, tt.rule)
		}
		if late := schedule.Measure(q, plan).PinHours; late < tt.late-0.02 || late > tt.late+0.02 {
			t.Errorf("%s: %g h late, want %g", tt.name, late, tt.late)
		}
	}
}

// wall writes the minute of an instant.
func wall(t plant.Time) plant.Wall { return plant.WallAt(t, time.UTC) }
