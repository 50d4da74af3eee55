package flow_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"tackline/book"
	"tackline/demo"
	"tackline/flow"
	"tackline/plant"
	"tackline/schedule"
)

// An adopted plan is shown against any later book: jobs come and go, stations close and vanish. Whatever the change, the
// view is made, every operation has a slot or a reason, and each explanation runs from the start of the plan to the ship
// date without gap or overlap.
func TestAnAdoptedPlanOutlastsChangesOfTheBook(t *testing.T) {
	first, err := demo.Plant(14, plant.At(newClock().now()))
	must(t, err)
	shop := newShop(t, first.Clone())
	p := until(t, shop, start(t, shop, flow.PlanRequest{Name: "first", Workers: 1, Work: 1}), over)
	must(t, shop.Adopt(ctx, boss, p.PlanID))
	taken, lacking, broken := 0, 0, 0
	for seed := uint64(1); taken < changedBooks && seed < 50*changedBooks; seed++ {
		rnd := rand.New(rand.NewPCG(seed, 3))
		b := first.Clone()
		did := ""
		for range 1 + rnd.IntN(4) {
			did += change(rnd, b) + ", "
		}
		if len(book.Check(b, nil)) > 0 {
			continue // refused anyway
		}
		taken++
		must(t, shop.ImportBook(ctx, boss, b, nil))
		v, err := shop.Current(ctx)
		if err != nil {
			t.Fatalf("seed %d, %s: %v", seed, did, err)
		}
		lacking, broken = lacking+min(len(v.Plan.Left), 1), broken+min(len(v.Broken), 1)
		if problems := notWhole(v); len(problems) > 0 {
			t.Errorf("seed %d, %s: %v", seed, did, problems)
		}
	}
	if taken < changedBooks || lacking == 0 || broken == 0 {
		t.Errorf("%d changed books were tried; in %d the plan lacks operations, in %d it breaks a rule", taken, lacking, broken)
	}
}

// changedBooks is how many changes of the demo plant are tried.
const changedBooks = 10

// change changes b in one of the ways in which a shop book changes, and says in which.
func change(rnd *rand.Rand, b *book.Book) string {
	row := rnd.IntN
	ways := []string{"more", "fewer", "cancel", "close", "remove station", "remove part", "remove operation", "remove work", "renumber", "slower"}
	way := ways[rnd.IntN(len(ways))]
	switch way {
	case "more":
		b.Lines[row(len(b.Lines))].Quantity += 3
	case "fewer":
		b.Lines[row(len(b.Lines))].Quantity = 1
	case "cancel":
		for i := range b.Lines {
			if i%2 == 0 {
				b.Lines[i].State = "cancelled"
			}
		}
	case "close":
		b.Exceptions = append(b.Exceptions, plant.Exception{Station: b.Stations[row(len(b.Stations))].ID, From: "2026-11-25T08:00", To: "2026-12-09T08:00", Kind: "down"})
	case "remove station":
		i := row(len(b.Stations))
		gone := b.Stations[i].ID
		b.Stations = append(b.Stations[:i:i], b.Stations[i+1:]...)
		var able = b.Ables[:0:0]
		for _, a := range b.Ables {
			if a.Station != gone {
				able = append(able, a)
			}
		}
		b.Ables = able
	case "remove part":
		i := row(len(b.Parts))
		b.Parts = append(b.Parts[:i:i], b.Parts[i+1:]...)
	case "remove operation":
		i := row(len(b.Ops))
		b.Ops = append(b.Ops[:i:i], b.Ops[i+1:]...)
	case "remove work":
		b.Work = nil
	case "renumber":
		b.Ops[row(len(b.Ops))].Seq++
	case "slower":
		b.Stations[row(len(b.Stations))].Speed = 0.3
	}
	return way
}

// notWhole says which operations have neither a slot nor a reason, and which explanations do not add up.
func notWhole(v *flow.View) (problems []string) {
	say := func(format string, args ...any) {
		if len(problems) < 5 {
			problems = append(problems, fmt.Sprintf(format, args...))
		}
	}
	left := map[int]bool{}
	for _, l := range v.Plan.Left {
		if l.Why == "" {
			say("operation %d is left without a reason", l.Op)
		}
		left[l.Op] = true
	}
	if len(v.Plan.Slots) != len(v.Needs.Ops) || len(v.Problem.Ops) != len(v.Needs.Ops) || len(v.Why) != len(v.Needs.Units) {
		say("%d slots, %d operations set out, %d needed; %d explanations of %d units",
			len(v.Plan.Slots), len(v.Problem.Ops), len(v.Needs.Ops), len(v.Why), len(v.Needs.Units))
		return problems
	}
	for op, slot := range v.Plan.Slots {
		if left[op] != (slot.Station == schedule.None) {
			say("operation %d: left %t, station %d", op, left[op], slot.Station)
		}
	}
	for _, e := range v.Why {
		at := v.Problem.Now
		for _, s := range e.Segments {
			if s.From != at || s.To < s.From {
				say("unit %d: a segment from %d to %d after %d", e.Unit, s.From, s.To, at)
			}
			at = s.To
		}
		if len(e.Segments) > 0 && at != e.Ship {
			say("unit %d: the segments end at %d, it ships at %d", e.Unit, at, e.Ship)
		}
	}
	return problems
}
