package web

import (
	"slices"
	"testing"

	"tackline/plant"
	"tackline/schedule"
)

// A branch that waits at its meeting point is early by the plain clock; if a truck brings it just when the meeting begins, it
// is just in time.
func TestEarlinessKnowsTrucks(t *testing.T) {
	v := storyView(t)
	s := testServer(t, v)
	early := func() (string, int) {
		ix, err := s.index(v)
		if err != nil {
			t.Fatal(err)
		}
		for unit := range v.Needs.Units {
			root := ix.branchesOf(unit)
			if root == nil {
				continue
			}
			for _, kid := range root.kids {
				if kid.job < 0 || kid.decides {
					continue
				}
				ops := v.Needs.Jobs[kid.job].Ops
				for i := range v.Problem.Links {
					l := &v.Problem.Links[i]
					if l.From == ops[len(ops)-1] && l.To == kid.meets && v.Plan.Slots[l.To].Load > v.Plan.Slots[l.From].End && v.Problem.Ops[l.From].State != schedule.Done {
						return kid.early, i
					}
				}
			}
		}
		t.Fatal("the story has no branch that waits")
		return "", 0
	}
	text, link := early()
	if text == "just in time" {
		t.Fatalf("a branch that waits is %q", text)
	}
	p := *v.Problem
	p.Links = slices.Clone(p.Links)
	l := &p.Links[link]
	at := v.Plan.Slots[l.From].End.Add(l.Lag)
	transit := v.Plan.Slots[l.To].Load.Sub(at)
	l.Carrier, l.Transfer = len(p.Carriers), 0
	p.Carriers = append(slices.Clone(p.Carriers), schedule.Carrier{Name: "truck", Departures: []plant.Time{at}, Transit: transit})
	v.Problem = &p
	s = testServer(t, v)
	if text, again := early(); again != link || text != "just in time" {
		t.Errorf("with a truck that comes when the meeting begins: %q", text)
	}
}
