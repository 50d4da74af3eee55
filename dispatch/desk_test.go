package dispatch

import (
	"strings"
	"testing"

	"tackline/floor"
	"tackline/needs"
	"tackline/plant"
	"tackline/stock"
)

func (s *shopfloor) desk() *Desk { return NewDesk(s.ix, s.r, s.p, s.plan, s.kits()) }

// told gives what keeps an operation from starting at a station at an instant: "what | who clears it".
func told(d *Desk, op int, station plant.StationID, t plant.Time, s *floor.State) (out []string, kitAlone bool) {
	blocks, kitAlone := d.Blocks(op, station, t, s)
	for _, b := range blocks {
		out = append(out, b.What+" | "+b.Clears)
	}
	return out, kitAlone
}

const grabJob plant.JobID = "1-1-1/grab"

// The second operation of a job of 4 waits for the first, until that has passed on its first pieces or is over.
func TestDeskWaitsForWhatComesBefore(t *testing.T) {
	for name, tt := range map[string]struct {
		transfer int
		first    floor.Op
		want     []string
	}{
		"not begun":        {1, floor.Op{}, []string{"waits for tack on Night bench | Night bench"}},
		"runs":             {2, floor.Op{Phase: floor.Running, Station: "night-1", Good: 1}, []string{"waits for tack on Night bench | Night bench"}},
		"first are there":  {2, floor.Op{Phase: floor.Running, Station: "night-1", Good: 2}, nil},
		"all must be over": {0, floor.Op{Phase: floor.Running, Station: "night-1", Good: 3}, []string{"waits for tack on Night bench | Night bench"}},
		"over":             {0, floor.Op{Phase: floor.Done, Ended: now}, nil},
		"over and held": {0, floor.Op{Phase: floor.Done, Ended: now, Holds: []floor.Stop{{Event: "x", Reason: "undercut"}}},
			[]string{"tack before it is held: undercut | quality"}},
	} {
		r := asked(needs.Op{Name: "tack", Centre: "night", Run: hour, Transfer: tt.transfer}, needs.Op{Name: "weld", Run: hour})
		r.Jobs[0].Pieces = 4
		d := lay(t, works(), r, [3]string{"night-1", "11-25T06:00", "11-25T10:00"}, [3]string{"bench-1", "11-26T06:00", "11-26T10:00"}).desk()
		state := floor.NewState()
		state.SetOp(floor.OpKey{Job: grabJob, Seq: 10}, tt.first)
		got, _ := told(d, 1, "bench-1", now.Add(4*hour), state)
		same(t, name, got, tt.want)
		if d.Over(0, state) != (tt.first.Phase == floor.Done) {
			t.Errorf("%s: over: %v", name, d.Over(0, state))
		}
	}
}

// Holds, the station, papers and the kit: each is said, and only a kit can be done without.
func TestDeskSaysEachReason(t *testing.T) {
	r := asked(needs.Op{Name: "assemble", Run: hour})
	consume(r, 0, "hose", needs.Cover{Kind: needs.FromReceipt, Receipt: "PO-1", Qty: plant.Pieces(2), At: at("2026-11-30T10:00"), Plant: "brackwater"})
	d := lay(t, works(), r, [3]string{"bench-1", "11-30T10:00", "11-30T11:00"}).desk()
	key := floor.OpKey{Job: grabJob, Seq: 10}
	if op, ok := d.Op(key); !ok || op != 0 || d.Key(0) != key {
		t.Fatalf("operation %d, %v", op, ok)
	}
	state := floor.NewState()
	const kit = "waits for Hose 1/2 (PO-1, expected Mon 30 Nov 10:00, late by 3 days) | materials"
	got, alone := told(d, 0, "bench-1", now, state)
	same(t, "kit", got, []string{kit})
	if !alone {
		t.Error("only the kit is missing")
	}
	got, _ = told(d, 0, "bench-1", at("2026-11-30T10:00"), state)
	same(t, "when the kit has come", got, []string(nil))

	state.SetOp(key, floor.Op{Holds: []floor.Stop{{Event: "x", Reason: "drawing question"}}})
	state.Stations["bench-1"] = floor.Station{Down: &floor.Stop{Reason: "vice broken"}}
	got, alone = told(d, 0, "bench-1", now, state)
	same(t, "all", got, []string{"held: drawing question | quality", "Bench 1 is down: vice broken | maintenance", kit})
	if alone {
		t.Error("more than the kit is missing")
	}
	state.SetOp(key, floor.Op{Kit: floor.Delivered})
	state.Stations["bench-1"] = floor.Station{}
	got, _ = told(d, 0, "bench-1", now, state)
	same(t, "kit delivered", got, []string(nil))
}

// What is over in the sister plant is on the truck until that arrives.
func TestDeskOnTheTruck(t *testing.T) {
	r := asked(needs.Op{Name: "assemble", Run: hour})
	j := add(r, needs.Job{ID: "1-1-1/bar", Unit: 0, Item: "plate", Plant: "fellgate", Pieces: 1, Parent: 0}, needs.Op{Name: "saw", Centre: "saw", Run: hour})
	consume(r, 0, "plate", needs.Cover{Kind: needs.FromJob, Job: j, Qty: plant.Pieces(1)})
	d := lay(t, works(), r, [3]string{"bench-1", "11-30T06:00", "11-30T07:00"}, [3]string{"saw-1", "11-25T06:00", "11-25T07:00"}).desk()
	state := floor.NewState()
	state.SetOp(floor.OpKey{Job: "1-1-1/bar", Seq: 10}, floor.Op{Phase: floor.Done, Ended: at("2026-11-26T08:00")})
	got, _ := told(d, 0, "bench-1", at("2026-11-27T10:00"), state)
	same(t, "on the way", got, []string{"job 1-1-1/bar is on its way, truck from Fellgate to Brackwater | materials"})
	got, _ = told(d, 0, "bench-1", at("2026-11-27T18:30"), state)
	same(t, "there", got, []string(nil))
}

// Whose qualification has expired may not start; the refusal says so and names who can. A crew that asks for nothing is for everybody.
func TestDeskUnfit(t *testing.T) {
	b := works()
	b.Pools = []plant.Pool{{ID: "welders", Plant: "brackwater", Name: "Welders", Qualification: "weld-fillet"}, {ID: "fitters", Plant: "brackwater", Name: "Fitters"}}
	for _, p := range []plant.PersonID{"p-1", "p-2", "p-3"} {
		b.People = append(b.People, plant.Person{ID: p, Name: "N. " + strings.ToUpper(string(p)), Pool: "welders", Calendar: "always"})
	}
	b.Qualifications = []plant.Qualification{{Person: "p-1", Name: "weld-fillet", Expires: "2026-11-24"}, {Person: "p-2", Name: "weld-fillet", Expires: "2026-11-25"}}
	r := asked(needs.Op{Name: "weld", Run: hour, Crew: []needs.Crew{{Pool: "welders", Heads: 1, For: "both"}}},
		needs.Op{Name: "fit", Run: hour, Crew: []needs.Crew{{Pool: "fitters", Heads: 1, For: "both"}}}, needs.Op{Name: "look", Run: hour})
	d := lay(t, b, r).desk()
	for _, tt := range []struct {
		op   int
		who  plant.PersonID
		when plant.Time
		want string
	}{
		{0, "p-1", now, "weld-fillet of N. P-1 expired on 2026-11-24. Who can: N. P-2."},
		{0, "p-2", now, ""},
		{0, "p-3", now, "N. P-3 does not hold weld-fillet. Who can: N. P-2."},
		{0, "p-2", at("2026-11-26T00:00"), "weld-fillet of N. P-2 expired on 2026-11-25. Nobody in the shop book can."},
		{1, "p-3", now, ""}, {2, "p-1", now, ""},
	} {
		same(t, string(tt.who), d.Unfit(tt.op, tt.who, tt.when), tt.want)
	}
}

// What the shop book says is done needs no event.
func TestDeskTakesTheBooksWord(t *testing.T) {
	r := asked(needs.Op{Name: "tack", Centre: "night", Run: hour}, needs.Op{Name: "weld", Run: hour})
	b := works()
	b.Work = []stock.Work{{Job: grabJob, Seq: 10, State: stock.Done, Station: "night-1", Start: "2026-11-24T08:00", End: "2026-11-24T09:00"}}
	d := lay(t, b, r, [3]string{}, [3]string{"bench-1", "11-26T06:00", "11-26T07:00"}).desk()
	got, _ := told(d, 1, "bench-1", now, floor.NewState())
	same(t, "blocks", got, []string(nil))
}

// One thing at a time, as many as there are pallets, or any number.
func TestLimit(t *testing.T) {
	b := works()
	b.Stations[1].Pallets = 2
	d := lay(t, b, asked(needs.Op{Run: hour}))
	for id, want := range map[plant.StationID]int{"bench-1": 1, "night-1": 2, "booth-1": 1, "rack-1": 0, "plater": 0, "unknown": 1} {
		if got := Limit(d.ix, id); got != want {
			t.Errorf("%s: %d, want %d", id, got, want)
		}
	}
}

// What the plan does not know upsets it: a station out of order or up again, a hold or its end, work that runs over. What it knows does not.
func TestUpsets(t *testing.T) {
	r := asked(needs.Op{Name: "tack", Centre: "night", Run: hour}, needs.Op{Name: "weld", Run: hour})
	d := lay(t, works(), r, [3]string{"night-1", "11-25T06:00", "11-25T07:00"}, [3]string{"bench-1", "11-26T06:00", "11-26T07:00"}).desk()
	words := func(s *floor.State, t plant.Time, known floor.Facts) (out []string) {
		for _, u := range d.Upsets(t, s, known) {
			out = append(out, u.What)
		}
		return out
	}
	s := floor.NewState()
	key := floor.OpKey{Job: grabJob, Seq: 10}
	s.SetOp(key, floor.Op{Phase: floor.Running, Station: "night-1", Began: now})
	same(t, "in time", words(s, at("2026-11-25T07:15"), floor.Facts{}), []string(nil))
	same(t, "runs over", words(s, at("2026-11-25T07:16"), floor.Facts{}), []string{"tack of job 1-1-1/grab runs over: it was to end Wed 25 Nov 07:00"})

	stop := &floor.Stop{Event: "x", At: now.Add(hour), Reason: "vice broken"}
	s.SetOp(key, floor.Op{Phase: floor.Paused, Station: "night-1", Holds: []floor.Stop{{Event: "y", At: now, Reason: "undercut"}}})
	s.Stations["bench-1"], s.Stations["saw-1"] = floor.Station{Down: stop}, floor.Station{Down: stop}
	same(t, "new to the plan", words(s, now, floor.Facts{}), []string{"tack of job 1-1-1/grab is held: undercut", "Bench 1 is out of order: vice broken"})

	known := floor.Facts{Work: []stock.Work{{Job: grabJob, Seq: 10, State: stock.Held}}, Down: []plant.Exception{{Station: "bench-1", Kind: "down"}}}
	same(t, "known to the plan", words(s, now, known), []string(nil))
	same(t, "over again", words(floor.NewState(), now, known), []string{"Bench 1 works again"})
	s.SetOp(key, floor.Op{Phase: floor.Running, Station: "night-1", Since: now.Add(-hour)})
	s.Stations["bench-1"] = floor.Station{}
	same(t, "both over", words(s, now, known), []string{"tack of job 1-1-1/grab is held no more", "Bench 1 works again"})
}

// How a station stands: work that is late to begin, runs over, was begun early, or is in time.
func TestPace(t *testing.T) {
	r := asked(needs.Op{Name: "tack", Run: hour}, needs.Op{Name: "weld", Run: 2 * hour})
	s := lay(t, works(), r, [3]string{"bench-1", "11-25T06:00", "11-25T07:00"}, [3]string{"bench-1", "11-25T08:00", "11-25T10:00"})
	d, list := s.desk(), s.runs("bench-1")
	first, second := floor.OpKey{Job: grabJob, Seq: 10}, floor.OpKey{Job: grabJob, Seq: 20}
	over := floor.Op{Phase: floor.Done, Ended: at("2026-11-25T07:00")}
	six, eight := at("2026-11-25T06:00"), at("2026-11-25T08:00")
	for name, tt := range map[string]struct {
		first, second floor.Op
		now           string
		want          Pace
	}{
		"not begun, in time":       {floor.Op{}, floor.Op{}, "2026-11-25T05:50", Pace{Op: 0, Next: six}},
		"should have begun":        {floor.Op{}, floor.Op{}, "2026-11-25T06:20", Pace{Op: 0, Behind: 20 * minute, Next: six}},
		"begun late":               {floor.Op{Phase: floor.Running, Began: six.Add(10 * minute)}, floor.Op{}, "2026-11-25T06:20", Pace{Op: 0, Begun: true, Behind: 10 * minute}},
		"runs over":                {floor.Op{Phase: floor.Paused, Began: six}, floor.Op{}, "2026-11-25T07:30", Pace{Op: 0, Begun: true, Behind: 30 * minute}},
		"next, in time":            {over, floor.Op{}, "2026-11-25T07:30", Pace{Op: 1, Next: eight}},
		"next, begun ahead":        {over, floor.Op{Phase: floor.Running, Began: eight.Add(-hour)}, "2026-11-25T07:30", Pace{Op: 1, Begun: true, Behind: -hour}},
		"begun out of turn counts": {floor.Op{}, floor.Op{Phase: floor.Running, Began: eight}, "2026-11-25T08:30", Pace{Op: 1, Begun: true}},
		"all over":                 {over, over, "2026-11-25T11:00", Pace{Op: -1}},
	} {
		state := floor.NewState()
		state.SetOp(first, tt.first)
		state.SetOp(second, tt.second)
		same(t, name, d.Pace(list, at(tt.now), state), tt.want)
	}
}

// The next trucks, in the order in which they leave.
func TestTrucks(t *testing.T) {
	r := asked(needs.Op{Name: "assemble", Run: hour})
	j := add(r, needs.Job{ID: "1-1-1/bar", Unit: 0, Item: "plate", Plant: "fellgate", Pieces: 1, Parent: 0}, needs.Op{Name: "saw", Centre: "saw", Run: hour})
	consume(r, 0, "plate", needs.Cover{Kind: needs.FromJob, Job: j, Qty: plant.Pieces(1)})
	d := lay(t, works(), r).desk()
	var got []string
	for _, x := range d.Trucks(now, 3) {
		got = append(got, x.Name+" "+x.Leaves.In(d.f.ix.Zone("fellgate")).Format("Mon 15:04")+" "+x.Arrives.In(d.f.ix.Zone("fellgate")).Format("15:04"))
	}
	same(t, "trucks", got, []string{"truck from Fellgate to Brackwater Fri 15:00 18:30", "truck from Fellgate to Brackwater Tue 15:00 18:30", "truck from Fellgate to Brackwater Fri 15:00 18:30"})
}
