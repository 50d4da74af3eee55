package whatif_test

import (
	"context"
	"fmt"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/whatif"
)

// A bench is open for eight hours a day; the second of two units waits for the first and is late.
func Example() {
	const hour = 3600
	day := plant.Time(1795586400) // Wed 25 Nov 2026 06:00 UTC
	var spans []calendar.Span
	for d := range plant.Time(10) {
		spans = append(spans, calendar.Span{From: day + d*24*hour, To: day + d*24*hour + 8*hour})
	}
	slot := func(from, to plant.Time) schedule.Slot {
		return schedule.Slot{Setup: day + from, Load: day + from, Run: day + from, Unload: day + to, End: day + to}
	}
	p := &schedule.Problem{Now: day, Horizon: day + 240*hour, Freeze: day, Centres: []schedule.Centre{{Name: "Assembly"}},
		Stations: []schedule.Station{{Name: "Bench", Open: calendar.Make(spans), Pallets: 1}}, Weights: schedule.Weights{Overtime: 1000},
		Jobs: []schedule.Job{{ID: "4127", Parent: schedule.None}, {ID: "4128", Unit: 1, Parent: schedule.None}},
		Units: []schedule.Unit{{ID: "1042-1-1", Due: day + 12*hour, LateDay: 40000},
			{ID: "1043-1-1", Due: day + 20*hour, LateDay: 40000, Last: 1}},
		Ops: []schedule.Op{{Job: 0, Seq: 10, Name: "assemble", Can: []schedule.Alternative{{Run: 6 * hour}}},
			{Job: 1, Seq: 10, Name: "assemble", Can: []schedule.Alternative{{Run: 6 * hour}}}}}
	plan := &schedule.Plan{Slots: []schedule.Slot{slot(0, 6*hour), slot(6*hour, 28*hour)}, Status: schedule.Complete}
	ctx := context.Background()
	asker, err := whatif.NewAsker(ctx, p, plan, whatif.Options{Work: 200})
	if err != nil {
		fmt.Println(err)
		return
	}
	answer, err := asker.Ask(ctx, asker.Late()[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	words := whatif.Words{P: p, Currency: "EUR"}
	for i := range answer.Effects[:1] {
		e := &answer.Effects[i]
		fmt.Printf("%s: %s; %s\n", words.Change(&e.Change), words.Effect(e), words.Total(e))
	}
	// Output:
	// Overtime on Bench from Wed 25 Nov 14:00 to Wed 25 Nov 22:00: ships Wed 25 Nov 18:00, 8 h before it is due; costs EUR 40.00 in overtime; the plan costs EUR 93.33 less
}
