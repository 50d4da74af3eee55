package dispatch_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tackline/book"
	"tackline/dispatch"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
	"tackline/schedule/search"
)

// loads lists the load: "centre week: run + setup of open, operations".
func (w *world) loads() (out []string) {
	for _, l := range dispatch.Loads(w.ix, w.r, w.p, w.plan) {
		out = append(out, fmt.Sprintf("%s %s: %g + %g of %g, %d", l.Centre, plant.DateAt(l.Week, w.ix.Zone("main")), l.Run, l.Setup, l.Open, len(l.Ops)))
	}
	return out
}

// From Wednesday 06:00 a station of one shift of 8 hours is open 3 x 8 = 24 hours in the first week and 40 in the next.
// Assembly and test, 2 h + 1 h, are on Monday; weld and cut, 1 h and 0.5 h, in the first week.
func TestLoadsOfABook(t *testing.T) {
	w := planned(t, shop(), plan)
	same(t, "load", []string{
		"bench 2026-11-23: 0 + 0 of 24, 0", "bench 2026-11-30: 3 + 0 of 40, 2",
		"weld 2026-11-23: 1 + 0 of 24, 1", "weld 2026-11-30: 0 + 0 of 40, 0",
		"cut 2026-11-23: 0.5 + 0 of 24, 1", "cut 2026-11-30: 0 + 0 of 40, 0"}, w.loads())
}

// A piece of two places dries for 72 hours from Friday 13:00: until Monday 0:00 that is 59 h, then 13 h, each for two
// places; with weeks from Sunday 35 h and 37 h. Six places of 24 and of 40 open hours are 144 and 240 hours. Assembly of
// 2 h pauses over the night: it is in one week all the same.
func TestLoadsOverTheWeekend(t *testing.T) {
	b := shop()
	b.Centres[1].Takes = "places"
	b.Stations[1].Capacity = plant.Pieces(6)
	b.Ops[2].Nature, b.Ops[2].Run, b.Ops[2].Size = "dwell", "72 * 60", "2"
	late := map[string]string{"cut": plan["cut"], "weld": "2026-11-27T13:00 2026-11-30T13:00",
		"assembly": "2026-11-30T13:00 2026-12-01T07:00", "test": "2026-12-01T07:00 2026-12-01T08:00"}
	racks := func() (out []string) {
		for _, line := range planned(t, b, late).loads() {
			if line[:4] == "weld" {
				out = append(out, line)
			}
		}
		return out
	}
	same(t, "weeks from Monday", []string{"weld 2026-11-23: 118 + 0 of 144, 1", "weld 2026-11-30: 26 + 0 of 240, 1"}, racks())
	b.Settings = []plant.Setting{{Name: "week_start", Value: "sun"}}
	same(t, "weeks from Sunday", []string{"weld 2026-11-22: 70 + 0 of 144, 1", "weld 2026-11-29: 74 + 0 of 240, 1"}, racks())
}

// The hours of all weeks together are the hours of all work, whatever the plant: counted here from the times of the
// operations alone, a batch once, places by size; and the open hours are those of the calendars.
func TestLoadsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shape := scheduletest.DrawShape(t, 25)
		shape.Fixed = false // what the floor says may last other than its times
		p := scheduletest.Make(shape)
		plan, err := search.Run(context.Background(), p, search.Options{Work: 1, Workers: 1, Seed: 1})
		if err != nil || plan.Status != schedule.Complete {
			t.Fatalf("no complete plan: %v", err)
		}
		run, setup := map[plant.CentreID]float64{}, 0.0
		last := p.Now
		for _, l := range dispatch.Loads(indexOf(t, p), nil, p, plan) {
			run[l.Centre] += l.Run
			setup += l.Setup
			if l.Week.Add(7*24*3600) > last && l.Run+l.Setup > 0 {
				last = l.Week.Add(7 * 24 * 3600)
			}
		}
		want := workHours(p, plan)
		for c, h := range want {
			if math.Abs(h-run[c]) > 1e-6 {
				t.Fatalf("%s: %g hours of load; the operations take %g", c, run[c], h)
			}
		}
		if m := schedule.Measure(p, plan).SetupHours; math.Abs(m-setup) > 1e-6 {
			t.Fatalf("%g hours of setup; the plan has %g", setup, m)
		}
	})
}

// workHours adds up load, run and unload of each work centre.
func workHours(p *schedule.Problem, plan *schedule.Plan) map[plant.CentreID]float64 {
	type batch struct{ station, number int }
	longest := map[batch]float64{}
	out := map[plant.CentreID]float64{}
	for op, s := range plan.Slots {
		st := &p.Stations[s.Station]
		if st.Takes == schedule.NoLimit {
			continue
		}
		for _, a := range p.Ops[op].Can {
			if a.Station != s.Station {
				continue
			}
			run := a.Run.Hours()
			if b := (batch{s.Station, s.Batch}); st.Takes == schedule.Batch && s.Batch != 0 {
				before := longest[b]
				longest[b] = max(before, run)
				run = longest[b] - before
			}
			hours := a.Load.Hours() + run + a.Unload.Hours()
			if st.Takes == schedule.Places {
				hours *= p.Ops[op].Size.Float()
			}
			out[p.Centres[st.Centre].ID] += hours
		}
	}
	return out
}

// indexOf gives the index of a book that has the work centres of a problem, in one plant in Dublin.
func indexOf(t *rapid.T, p *schedule.Problem) *book.Index {
	b := &book.Book{Plants: []plant.Plant{{ID: "main", Name: "Main works", TimeZone: "Europe/Dublin"}}}
	for _, c := range p.Centres {
		b.Centres = append(b.Centres, plant.Centre{ID: c.ID, Plant: "main", Name: c.Name})
	}
	ix, err := book.NewIndex(b)
	if err != nil {
		t.Fatal(err)
	}
	return ix
}

// TestStationLoadsAddUp: the stations of a work centre together are its load, and the work of a station is what stretches of
// the plan say.
func TestStationLoadsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := scheduletest.Make(scheduletest.DrawShape(t, 20))
		plan, err := search.Run(context.Background(), p, search.Options{Work: 1, Workers: 1, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		ix := indexOf(t, p)
		type week struct {
			centre plant.CentreID
			from   plant.Time
		}
		open, done := map[week]float64{}, map[week]float64{}
		work := map[plant.StationID]float64{}
		for _, l := range dispatch.StationLoads(ix, p, plan) {
			open[week{l.Centre, l.Week}] += l.Open
			done[week{l.Centre, l.Week}] += l.Run + l.Setup
			work[l.Station] += l.Run + l.Setup
		}
		for _, l := range dispatch.Loads(ix, nil, p, plan) {
			k := week{l.Centre, l.Week}
			if math.Abs(open[k]-l.Open) > 1e-6 || math.Abs(done[k]-l.Run-l.Setup) > 1e-6 {
				t.Fatalf("%s: stations %g of %g hours, work centre %g of %g", l.Centre, done[k], open[k], l.Run+l.Setup, l.Open)
			}
		}
		schedule.EachStretch(p, plan, func(s schedule.Stretch) {
			st := &p.Stations[s.Station]
			hours := s.To.Sub(max(s.From, min(p.Now, s.To))).Hours()
			if st.Takes == schedule.Places {
				hours *= p.Ops[s.Ops[0]].Size.Float()
			}
			if st.Takes != schedule.NoLimit {
				work[st.ID] -= hours
			}
		})
		for id, h := range work {
			if math.Abs(h) > 1e-6 {
				t.Fatalf("%s: %g hours are not accounted for", id, h)
			}
		}
	})
}
