package schedule_test

import (
	"fmt"
	"time"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

// Two jaws of a small grab are tacked and welded, then assembled. The bench is open from 06:00 to 14:00.
func Example() {
	monday := time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC)
	clock := func(days, hours float64) plant.Time {
		return plant.At(monday) + plant.Time((24*days+hours)*3600)
	}
	hours := plant.HoursToSeconds
	shift := calendar.Make([]calendar.Span{{From: clock(0, 6), To: clock(0, 14)}, {From: clock(1, 6), To: clock(1, 14)}})
	p := &schedule.Problem{
		Now: clock(0, 6), Horizon: clock(7, 0), Freeze: clock(1, 6),
		Centres: []schedule.Centre{{ID: "bench", Name: "Benches"}},
		Stations: []schedule.Station{
			{ID: "bench-1", Name: "Bench 1", Open: shift, Pallets: 1},
			{ID: "bench-2", Name: "Bench 2", Open: shift, Pallets: 1},
		},
		Pools:    []schedule.Pool{{ID: "welders", Name: "Welders", Heads: []schedule.Step{{At: clock(0, 0), N: 1}}}},
		Families: []plant.Family{""},
		Units:    []schedule.Unit{{ID: "1042-1-1", Due: clock(1, 12), LateDay: plant.MoneyOf(400), Last: 2}},
		Jobs: []schedule.Job{
			{ID: "1042-1-1/jaw", Unit: 0, Pieces: 2, Value: plant.MoneyOf(900), Parent: 1},
			{ID: "1042-1-1/grab", Unit: 0, Pieces: 1, Parent: schedule.None},
		},
		Weights: schedule.Weights{Wait: 0.0005},
	}
	crew := []schedule.Need{{Pool: 0, Heads: 1, When: schedule.OnRun}}
	p.Ops = []schedule.Op{
		{Job: 0, Seq: 10, Name: "tack", Needs: crew, Can: []schedule.Alternative{{Station: 0, Run: hours(3)}}},
		{Job: 0, Seq: 20, Name: "weld", Needs: crew, Can: []schedule.Alternative{{Station: 0, Run: hours(6)}}},
		{Job: 1, Seq: 10, Name: "assemble", Needs: crew, Can: []schedule.Alternative{{Station: 1, Run: hours(2)}}},
	}
	p.Links = []schedule.Link{
		{From: 0, To: 1, Carrier: schedule.None},
		{From: 1, To: 2, Carrier: schedule.None, Meeting: true},
	}

	at := func(station int, from, to plant.Time) schedule.Slot {
		return schedule.Slot{Station: station, Setup: from, Load: from, Run: from, Unload: to, End: to}
	}
	plan := &schedule.Plan{Status: schedule.Complete, Slots: []schedule.Slot{
		at(0, clock(0, 6), clock(0, 9)),
		at(0, clock(0, 9), clock(1, 7)), // 5 h on Monday, 1 h on Tuesday
		at(1, clock(1, 8), clock(1, 10)),
	}}
	fmt.Println(len(schedule.Check(p, plan)), "rules broken")
	s := schedule.Measure(p, plan)
	fmt.Printf("%d late, %.0f h of waiting cost %s, bound %s\n", s.LateUnits, s.WaitHours, s.Waiting, s.Bound)
	fmt.Println(schedule.Explain(p, plan)[0].Sentence)

	plan.Slots[2] = at(1, clock(1, 6), clock(1, 8)) // an hour too early
	for _, v := range schedule.Check(p, plan) {
		fmt.Printf("%s: %s\n", v.Rule, v.Text)
	}

	// Output:
	// 0 rules broken
	// 0 late, 17 h of waiting cost 7.65, bound 0.00
	// Ships Tue 24 Nov 10:00, 2 h before it is due: 16 h shop closed, 11 h working, 1 h left for later.
	// 4 crew: from 2026-11-24T06:00:00Z 2 heads of Welders are in use, of 1 there: job 1042-1-1/jaw, 20 weld; job 1042-1-1/grab, 10 assemble
	// 8 joins and material: job 1042-1-1/grab, 10 assemble begins at 2026-11-24T06:00:00Z, before what job 1042-1-1/jaw, 20 weld passes on is there at 2026-11-24T07:00:00Z
}
