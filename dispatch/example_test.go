package dispatch_test

import (
	"fmt"
	"time"

	"tackline/book"
	"tackline/calendar"
	"tackline/dispatch"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// A grab is welded, then assembled with hoses that come on Monday. It is Friday, 06:00.
func Example() {
	friday := plant.At(time.Date(2026, 11, 27, 0, 0, 0, 0, time.UTC))
	clock := func(days, hours float64) plant.Time {
		return friday.Add(plant.HoursToSeconds(24*days + hours))
	}
	shift := calendar.Make([]calendar.Span{{From: clock(0, 6), To: clock(0, 14)}, {From: clock(3, 6), To: clock(3, 14)}})
	ix, err := book.NewIndex(&book.Book{
		Plants:  []plant.Plant{{ID: "yard", Name: "Yard", TimeZone: "UTC"}},
		Centres: []plant.Centre{{ID: "bay", Plant: "yard", Name: "Bays"}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	r := &needs.Result{Now: clock(0, 6),
		Units: []needs.Unit{{ID: "1042-1-1", Plant: "yard", Due: clock(3, 12)}},
		Jobs:  []needs.Job{{ID: "1042-1-1/grab", Item: "grab", Plant: "yard", Pieces: 1, Parent: needs.None, Ops: []int{0, 1}}},
		Ops: []needs.Op{{Seq: 10, Name: "weld", Centre: "bay"},
			{Seq: 20, Name: "assemble", Centre: "bay", Demands: []int{0}}},
		Demands: []needs.Demand{{Op: 1, Item: "hose", Plant: "yard", Qty: plant.Pieces(4),
			Covers: []needs.Cover{{Kind: needs.FromReceipt, Receipt: "PO-5512", Job: needs.None, Qty: plant.Pieces(4), At: clock(3, 7), Plant: "yard"}}}},
	}
	run := func(hours float64) []schedule.Alternative {
		return []schedule.Alternative{{Run: plant.HoursToSeconds(hours)}}
	}
	p := &schedule.Problem{Now: r.Now, Horizon: clock(7, 0),
		Centres:  []schedule.Centre{{ID: "bay", Name: "Bays"}},
		Stations: []schedule.Station{{ID: "bay-1", Name: "Bay 1", Open: shift, Pallets: 1}},
		Units:    []schedule.Unit{{ID: "1042-1-1", Due: clock(3, 12), Last: 1}},
		Jobs:     []schedule.Job{{ID: "1042-1-1/grab", Pieces: 1, Parent: schedule.None}},
		Ops:      []schedule.Op{{Seq: 10, Name: "weld", Can: run(4)}, {Seq: 20, Name: "assemble", Earliest: clock(3, 7), Can: run(3)}},
		Links:    []schedule.Link{{From: 0, To: 1, Carrier: schedule.None}},
	}
	slot := func(from, to plant.Time) schedule.Slot {
		return schedule.Slot{Setup: from, Load: from, Run: from, Unload: to, End: to}
	}
	plan := &schedule.Plan{Slots: []schedule.Slot{slot(clock(0, 6), clock(0, 10)), slot(clock(3, 7), clock(3, 10))}}

	kits := dispatch.Kits(ix, r, p, plan)
	for _, k := range kits {
		fmt.Println("kit for", r.Ops[k.Op].Name, "is", k.State+":", k.Lines[0].Qty, k.Lines[0].Name+",", k.Lines[0].Source)
	}
	for _, list := range dispatch.RunLists(ix, r, p, plan, kits) {
		for _, run := range list.Runs {
			fmt.Println(list.Station, r.Ops[run.Op].Name, run.Start.In(ix.Zone("yard")).Format("Mon 15:04"), "ready:", run.Ready)
			for _, b := range run.Blocks {
				fmt.Println("   ", b.What, "-", b.Clears)
			}
		}
	}
	for _, l := range dispatch.Loads(ix, r, p, plan) {
		fmt.Printf("week of %s: %g of %g h\n", plant.DateAt(l.Week, ix.Zone("yard")), l.Run, l.Open)
	}
	fmt.Println(len(dispatch.Shorts(ix, r, p, plan)), "short")

	// Output:
	// kit for assemble is planned: 4 hose, PO-5512, expected Mon 30 Nov 07:00
	// bay-1 weld Fri 06:00 ready: true
	// bay-1 assemble Mon 07:00 ready: false
	//     waits for weld on Bay 1 - Bay 1
	//     waits for hose (PO-5512, expected Mon 30 Nov 07:00) - materials
	// week of 2026-11-23: 4 of 8 h
	// week of 2026-11-30: 3 of 8 h
	// 0 short
}
