package setout

import (
	"fmt"
	"testing"
	"time"

	"tackline/calendar"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"

	"pgregory.net/rapid"
)

func TestStationTime(t *testing.T) {
	b := shop()
	b.Exceptions = []plant.Exception{
		{Station: "weld-2", From: "2026-11-26T08:00", To: "2026-11-29T00:00", Kind: "down"},
		{Calendar: "early", From: "2026-11-27T00:00", To: "2026-11-28T00:00", Kind: "holiday"},
		{Calendar: "early", From: "2026-11-28T06:00", To: "2026-11-28T12:00", Kind: "overtime"},
		{Station: "weld-1", From: "2026-11-29T06:00", To: "2026-11-29T08:00", Kind: "overtime"},
	}
	p := problem(t, b, one(1, needs.Op{Run: 600}))
	hours := func(o calendar.Open) plant.Seconds { return o.Work(now, at("2026-11-30T00:00")) / hour }
	for i, want := range []struct{ open, overtime plant.Seconds }{
		// From Wednesday: 8 h, Thursday 8 h, Friday off, Saturday 6 h overtime; robot 1 2 h more on Sunday.
		{24, 8},
		{10, 0}, // robot 2 is down from Thursday 08:00 over the overtime of its calendar: 8 h and 2 h
		{22, 6},
	} {
		if got := p.Stations[i]; hours(got.Open) != want.open || hours(got.Overtime) != want.overtime {
			t.Errorf("%s: open %d h, overtime %d h; want %d h, %d h", got.ID, hours(got.Open), hours(got.Overtime), want.open, want.overtime)
		}
	}
	if &p.Stations[2].Open.Spans()[0] != &p.Stations[3].Open.Spans()[0] {
		t.Error("stations with one calendar do not share its spans")
	}
	if first := p.Stations[2].Open.Spans()[0].From; first != at("2026-09-28T05:00") { // 60 days back is Saturday 26 September; 06:00 summer time is 05:00 UTC
		t.Errorf("open time begins %v, want Monday 28 September 06:00 in Dublin", first.In(time.UTC))
	}
}

func TestHeads(t *testing.T) {
	b := shop()
	b.Pools = []plant.Pool{
		{ID: "crew", Plant: "brackwater", Heads: 2, Calendar: "late"},
		{ID: "welders", Plant: "brackwater", Qualification: "weld-fillet"},
	}
	b.People = []plant.Person{
		{ID: "p-1", Pool: "crew", Calendar: "early"},
		{ID: "p-2", Pool: "crew", Calendar: "late"},
		{ID: "w-1", Pool: "welders", Calendar: "early"}, // holds it to 26 November, the last day included
		{ID: "w-2", Pool: "welders", Calendar: "early"}, // holds it for ever, but is away
		{ID: "w-3", Pool: "welders", Calendar: "early"}, // holds something else
		{ID: "w-4", Pool: "welders", Calendar: "late"},  // renewed
	}
	b.Qualifications = []plant.Qualification{
		{Person: "w-1", Name: "weld-fillet", Expires: "2026-11-26"}, {Person: "w-2", Name: "weld-fillet"}, {Person: "w-3", Name: "crane"},
		{Person: "w-4", Name: "weld-fillet", Expires: "2026-11-01"}, {Person: "w-4", Name: "weld-fillet", Expires: "2027-11-01"},
	}
	b.Absences = []plant.Absence{{Person: "w-2", From: "2026-11-25T08:00", To: "2026-11-27T07:00"}}
	p := problem(t, b, one(1, needs.Op{Run: 600}))
	for _, tt := range []struct {
		at            string
		crew, welders int
	}{
		{"2026-11-25T05:59", 0, 0},
		{"2026-11-25T06:00", 1, 2},
		{"2026-11-25T08:00", 1, 1},
		{"2026-11-25T14:00", 3, 1}, // the late shift, with 2 extra heads; w-4
		{"2026-11-25T22:00", 0, 0},
		{"2026-11-26T13:59", 1, 1}, // the last day of w-1
		{"2026-11-27T06:00", 1, 0},
		{"2026-11-27T07:00", 1, 1}, // w-2 is back
		{"2026-11-28T10:00", 0, 0}, // Saturday
	} {
		if c, w := headsAt(p.Pools[0].Heads, at(tt.at)), headsAt(p.Pools[1].Heads, at(tt.at)); c != tt.crew || w != tt.welders {
			t.Errorf("%s: crew %d, welders %d; want %d, %d", tt.at, c, w, tt.crew, tt.welders)
		}
	}
	last := p.Pools[0].Heads[len(p.Pools[0].Heads)-1]
	if last.N != 0 || last.At > p.Horizon || p.Pools[0].Heads[0].At > now {
		t.Errorf("heads begin at %+v and end with %+v; want the first before now, and 0 by the horizon", p.Pools[0].Heads[0], last)
	}
}

func headsAt(steps []schedule.Step, t plant.Time) int {
	n := 0
	for _, s := range steps {
		if s.At <= t {
			n = s.N
		}
	}
	return n
}

// However people come and go, the steps count them as looking at each person does.
func TestHeadsCountEachPerson(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := shop()
		b.Pools = []plant.Pool{{ID: "crew", Plant: "brackwater"}}
		b.People, b.Absences = nil, nil
		b.Settings = []plant.Setting{{Name: "horizon_days", Value: "8"}}
		type absence struct{ from, to plant.Time }
		away := map[plant.PersonID][]absence{}
		for i := range rapid.IntRange(0, 4).Draw(rt, "people") {
			id := plant.PersonID(fmt.Sprint("p-", i))
			cal := rapid.SampledFrom([]plant.CalendarID{"early", "late"}).Draw(rt, "calendar")
			b.People = append(b.People, plant.Person{ID: id, Pool: "crew", Calendar: cal})
			for range rapid.IntRange(0, 2).Draw(rt, "absences") {
				from := now.Add(plant.Seconds(rapid.IntRange(0, 100).Draw(rt, "from")) * hour)
				to := from.Add(plant.Seconds(rapid.IntRange(0, 60).Draw(rt, "hours")) * hour)
				away[id] = append(away[id], absence{from, to})
				b.Absences = append(b.Absences, plant.Absence{Person: id, From: plant.WallAt(from, time.UTC), To: plant.WallAt(to, time.UTC)})
			}
		}
		p := problem(t, b, one(1, needs.Op{Run: 600}))
		for m := now; m < p.Horizon; m = m.Add(30 * minute) {
			want := 0
			for _, person := range b.People {
				w := m.In(time.UTC)
				h, weekend := w.Hour(), w.Weekday() == 0 || w.Weekday() == 6
				here := !weekend && (person.Calendar == "early" && h >= 6 && h < 14 || person.Calendar == "late" && h >= 14 && h < 22)
				for _, a := range away[person.ID] {
					here = here && (m < a.from || m >= a.to)
				}
				if here {
					want++
				}
			}
			if got := headsAt(p.Pools[0].Heads, m); got != want {
				rt.Fatalf("%v: %d heads, want %d", m.In(time.UTC), got, want)
			}
		}
	})
}

func TestChangeovers(t *testing.T) {
	b := shop()
	b.Setups = []plant.Setup{
		{Centre: "weld", From: "*", To: "*", Minutes: 30},
		{Centre: "weld", From: "*", To: "frame", Minutes: 40},
		{Centre: "weld", From: "jaw", To: "*", Minutes: 50},
		{Centre: "weld", From: "frame", To: "jaw", Minutes: 60},
		{Centre: "weld", From: "tine", To: "tine", Minutes: 5},
		{Centre: "saw", From: "jaw", To: "frame", Minutes: 7},
	}
	// Robot 1 stands set up for jaw, so the families are "", jaw, and then frame and tine in the order of the operations.
	r := one(1, needs.Op{Family: "frame", Run: 60}, needs.Op{Family: "tine", Run: 60}, needs.Op{Family: "jaw", Run: 60}, needs.Op{Run: 60},
		needs.Op{Centre: "paint", Nature: "batch", Family: "frame", Run: 60}, needs.Op{Centre: "paint", Nature: "batch", Family: "jaw", Run: 60})
	p := problem(t, b, r)
	same(t, "families", p.Families, []plant.Family{"", "jaw", "frame", "tine"})
	m := minute
	same(t, "welding", p.Centres[0].Changeover, [][]plant.Seconds{
		{0, 0, 0, 0},               //          nothing set up: no changeover
		{0, 0, 50 * m, 50 * m},     // jaw:     to frame both rows have one *, the one that names jaw wins
		{0, 60 * m, 0, 30 * m},     // frame:   no * wins
		{0, 30 * m, 40 * m, 5 * m}, // tine:    to itself by its own row
	})
	if p.Centres[1].Changeover != nil {
		t.Errorf("painting has neither rows nor a default, but the matrix %v", p.Centres[1].Changeover)
	}

	b.Setups = nil // only the default of 20 min between different families
	p = problem(t, b, r)
	same(t, "default", p.Centres[0].Changeover, [][]plant.Seconds{{0, 0, 0, 0}, {0, 0, 20 * m, 20 * m}, {0, 20 * m, 0, 20 * m}, {0, 20 * m, 20 * m, 0}})
}
