package search_test

import (
	"context"
	"fmt"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
)

// Two jobs on one mill that is open for ten hours: the one that is due first goes first.
func ExampleRun() {
	const hour = 3600
	open := calendar.Make([]calendar.Span{{From: 0, To: 10 * hour}})
	p := &schedule.Problem{
		Horizon:  10 * hour,
		Centres:  []schedule.Centre{{Name: "Mills"}},
		Stations: []schedule.Station{{Name: "Pallet mill 1", Open: open, Pallets: 1}},
		Jobs:     []schedule.Job{{ID: "4127"}, {ID: "4128", Unit: 1}},
		Units: []schedule.Unit{
			{ID: "grab 1", Due: 9 * hour, LateDay: plant.MoneyOf(200), Last: 0},
			{ID: "grab 2", Due: 4 * hour, LateDay: plant.MoneyOf(200), Last: 1}},
		Ops: []schedule.Op{
			{Job: 0, Can: []schedule.Alternative{{Run: 4 * hour}}},
			{Job: 1, Can: []schedule.Alternative{{Run: 3 * hour}}}},
	}
	plan, err := search.Run(context.Background(), p, search.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, u := range p.Units {
		fmt.Printf("%s ships at hour %d\n", u.ID, plan.Slots[u.Last].End/hour)
	}
	fmt.Println(plan.Status, len(schedule.Check(p, plan)), "rules broken")
	// Output:
	// grab 1 ships at hour 7
	// grab 2 ships at hour 3
	// complete 0 rules broken
}
