package calendar_test

import (
	"fmt"
	"time"

	"tackline/calendar"
	"tackline/plant"
)

// Eight hours of work begun on Friday noon on an early shift are done on Monday, around two hours of maintenance.
func Example() {
	early := []plant.Shift{{Calendar: "early", Name: "early", Days: "mon-fri", From: 6 * 60, To: 14 * 60}}
	closed := []plant.Exception{{Calendar: "early", Kind: "maintenance", From: "2026-11-30T08:00", To: "2026-11-30T10:00"}}
	at := func(s plant.Wall) plant.Time { t, _ := s.Time(time.UTC); return t }

	open, _, err := calendar.Expand(early, closed, time.UTC, at("2026-11-23T00:00"), at("2026-12-07T00:00"))
	if err != nil {
		fmt.Println(err)
		return
	}
	end := open.Add(at("2026-11-27T12:00"), 8*3600)
	fmt.Println("done", plant.WallAt(end, time.UTC))
	fmt.Println("whole", plant.WallAt(open.Fit(at("2026-11-30T07:00"), 5*3600), time.UTC))
	fmt.Println("begun by", plant.WallAt(open.Sub(end, 8*3600), time.UTC))
	// Output:
	// done 2026-11-30T14:00Z
	// whole 2026-12-01T06:00Z
	// begun by 2026-11-27T12:00Z
}
