package moves_test

import (
	"fmt"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/moves"
)

// Robot 2 is down, so its weld moved to robot 1.
func Example() {
	const hour = 3600
	day := plant.Time(1795586400) // Wed 25 Nov 2026 06:00 UTC
	open := func(from plant.Time) calendar.Open {
		return calendar.Make([]calendar.Span{{From: from, To: day + 100*hour}})
	}
	slot := func(station int, from plant.Time) schedule.Slot {
		return schedule.Slot{Station: station, Setup: from, Load: from, Run: from, Unload: from + 4*hour, End: from + 4*hour}
	}
	p := &schedule.Problem{Now: day, Horizon: day + 100*hour, Freeze: day + 24*hour, Centres: []schedule.Centre{{Name: "Robots"}},
		Stations: []schedule.Station{{Name: "Robot 1", Open: open(day), Pallets: 1}, {Name: "Robot 2", Open: open(day + 30*hour), Pallets: 1}},
		Jobs:     []schedule.Job{{ID: "4127"}}, Units: []schedule.Unit{{ID: "1042-1-1", Due: day + 24*hour}},
		Ops:     []schedule.Op{{Seq: 20, Name: "robot weld", Can: []schedule.Alternative{{Station: 0, Run: 4 * hour}, {Station: 1, Run: 4 * hour}}}},
		Adopted: []schedule.Slot{slot(1, day)}}
	report := moves.Between(p, &schedule.Plan{Slots: []schedule.Slot{slot(0, day+2*hour)}, Status: schedule.Complete})
	words := moves.Words{P: p, R: report}
	fmt.Println(words.Sentence(0))
	fmt.Println("unit", p.Units[0].ID, words.Ship(&report.Units[0]))
	// Output:
	// 4127, 20 robot weld: from Robot 2, Wed 25 Nov 06:00, to Robot 1, Wed 25 Nov 08:00. Why: Robot 2 closed until Thu 26 Nov 12:00.
	// unit 1042-1-1 ships Wed 25 Nov 12:00 instead of Wed 25 Nov 10:00, 2 h later
}
