package dispatch

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"tackline/book"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/setout"
)

// drawNeeds draws units with jobs of a few operations on all work centres, and parts from everywhere.
func drawNeeds(t *rapid.T) *needs.Result {
	r := &needs.Result{Now: now}
	centres := []plant.CentreID{"bench", "night", "saw"}
	for u := range rapid.IntRange(1, 4).Draw(t, "units") {
		r.Units = append(r.Units, needs.Unit{ID: plant.UnitID(fmt.Sprint(u)), Class: "standard", Plant: "brackwater",
			Due: now.Add(plant.Seconds(rapid.IntRange(0, 300).Draw(t, "due")) * hour)})
		var made []int
		for k := range rapid.IntRange(1, 3).Draw(t, "jobs") {
			var ops []needs.Op
			for range rapid.IntRange(1, 3).Draw(t, "operations") {
				ops = append(ops, needs.Op{Name: "work", Centre: rapid.SampledFrom(centres).Draw(t, "centre"), Run: plant.Seconds(rapid.IntRange(1, 9).Draw(t, "run")) * hour,
					Transfer: rapid.IntRange(0, 1).Draw(t, "transfer")})
			}
			top := len(r.Jobs)
			made = append(made, top)
			add(r, needs.Job{ID: plant.JobID(fmt.Sprint(u, "/", k)), Unit: u, Item: "grab", Plant: "brackwater", Pieces: rapid.IntRange(1, 3).Draw(t, "pieces"), Parent: needs.None}, ops...)
			r.Units[u].Top = top
			covers := []needs.Cover{one(needs.FromStock, now), one(needs.FromReceipt, now.Add(plant.Seconds(rapid.IntRange(1, 200).Draw(t, "hours"))*hour)),
				one(needs.FromPurchase, now.Add(100*hour)), one(needs.Issued, now)}
			covers[0].Plant = rapid.SampledFrom([]plant.ID{"brackwater", "fellgate"}).Draw(t, "from")
			for i := range covers {
				if rapid.Bool().Draw(t, "part") {
					consume(r, r.Jobs[top].Ops[0], "hose", covers[i])
				}
			}
			if k > 0 {
				consume(r, r.Jobs[top].Ops[0], "pin", needs.Cover{Kind: needs.FromJob, Job: made[k-1], Qty: plant.Pieces(1)})
			}
		}
	}
	return r
}

// What kits and run lists say fits the plan: each operation is on one list; what the plan begins now can start; what
// cannot start is not planned to; a kit is there by its begin, as bad as its worst part, and short where Shorts says so.
func TestViewsFitThePlan(t *testing.T) {
	ready, blocked, short := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r := drawNeeds(t)
		b := works()
		b.Transits = append(b.Transits, plant.Transit{From: "brackwater", To: "fellgate", Days: "mon-fri", Departs: 9 * 60, Hours: 2})
		ix, err := book.NewIndex(b)
		if err != nil {
			t.Fatal(err)
		}
		p, err := setout.Problem(ix, r)
		if err != nil {
			t.Fatal(err)
		}
		plan, err := search.Run(t.Context(), p, search.Options{Seed: 1, Workers: 1, Work: 1})
		if err != nil || plan.Status != schedule.Complete {
			t.Fatalf("no plan: %v", err)
		}
		s := &shopfloor{ix, r, p, plan}
		late := map[int]bool{}
		for _, x := range s.shorts() {
			late[x.Op] = true
			if short++; x.Comes <= x.Wanted || x.Qty <= 0 || len(x.Units) != 1 {
				t.Fatalf("short: %+v", x)
			}
		}
		kits := s.kits()
		for i, k := range kits {
			if i > 0 && k.Due < kits[i-1].Due {
				t.Fatal("kits are out of order")
			}
			checkKit(t, k, plan.Slots[k.Op], late[k.Op])
		}
		listed := map[int]bool{}
		for _, list := range RunLists(ix, r, p, plan, kits) {
			for i, run := range list.Runs {
				begin := plan.Slots[run.Op]
				if listed[run.Op] || run.Slot != i || run.Ready != (len(run.Blocks) == 0) || p.Stations[begin.Station].ID != list.Station {
					t.Fatalf("entry %d of %s: %+v", i, list.Station, run)
				}
				listed[run.Op] = true
				if begin.Load == now && !run.Ready {
					t.Fatalf("the plan begins operation %d now, but %+v", run.Op, run.Blocks)
				}
				for _, b := range run.Blocks {
					if blocked++; b.Clears == "" || b.Until > begin.Load && b.Clears != "manager" {
						t.Fatalf("operation %d begins at %d, but %+v", run.Op, begin.Load, b)
					}
				}
				if run.Ready {
					ready++
				}
			}
		}
		if len(listed) != len(p.Ops) {
			t.Fatalf("%d of %d operations are on lists", len(listed), len(p.Ops))
		}
	})
	if ready == 0 || blocked == 0 || short == 0 {
		t.Errorf("%d ready, %d blocks, %d short: the draw shows too little", ready, blocked, short)
	}
}

func checkKit(t *rapid.T, k Kit, begin schedule.Slot, short bool) {
	worst, comes := KitComplete, plant.Time(0)
	for _, l := range k.Lines {
		comes = max(comes, l.Comes)
		if worse[l.State] > worse[worst] {
			worst = l.State
		}
		if (l.State == KitComplete) != (l.Comes <= now) {
			t.Fatalf("%s is %s, there at %d", l.Name, l.State, l.Comes)
		}
	}
	if k.State != worst || k.Comes != comes || k.Comes > begin.Load || k.Due != begin.Load || (k.State == KitShort) != short {
		t.Fatalf("operation %d begins at %d, short %v: %+v", k.Op, begin.Load, short, k)
	}
}
