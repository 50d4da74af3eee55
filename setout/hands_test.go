package setout

import (
	"strings"
	"testing"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
	"tackline/stock"
)

const job = "1-1-1/grab"

// stationsOf names the stations that an operation can be done on.
func stationsOf(p *schedule.Problem, op int) string {
	var out []string
	for _, a := range p.Ops[op].Can {
		out = append(out, string(p.Stations[a.Station].ID))
	}
	return strings.Join(out, " ")
}

func TestPinsAndForbids(t *testing.T) {
	friday := at("2026-11-27T08:00")
	for _, tt := range []struct {
		name     string
		pins     []order.Pin
		forbids  []order.Forbid
		stations string
		earliest plant.Time
		why      string
		pinned   plant.Time
		loose    string
	}{
		{name: "nothing by hand", stations: "weld-1 weld-2", earliest: now},
		{name: "a station", pins: []order.Pin{{Job: job, Seq: 10, Station: "weld-2"}}, stations: "weld-2", earliest: now},
		{name: "a time", pins: []order.Pin{{Job: job, Seq: 10, Begin: "2026-11-27T08:00"}}, stations: "weld-1 weld-2",
			earliest: friday, why: "pinned to begin 2026-11-27 08:00", pinned: friday},
		{name: "both", pins: []order.Pin{{Job: job, Seq: 10, Station: "weld-1", Begin: "2026-11-27T08:00"}}, stations: "weld-1",
			earliest: friday, why: "pinned to begin 2026-11-27 08:00", pinned: friday},
		{name: "a time that has passed", pins: []order.Pin{{Job: job, Seq: 10, Begin: "2026-11-24T08:00"}}, stations: "weld-1 weld-2", earliest: now, pinned: now,
			loose: "pins 0: the begin of operation 10 of job 1-1-1/grab, 2026-11-24 08:00, has passed: it is planned as soon as it can be"},
		{name: "a forbidden station", forbids: []order.Forbid{{Job: job, Seq: 10, Station: "weld-1"}}, stations: "weld-2", earliest: now},
		{name: "a forbidden time", forbids: []order.Forbid{{Job: job, Seq: 10, Before: "2026-11-27T08:00"}}, stations: "weld-1 weld-2",
			earliest: friday, why: "not to begin, by hand, before 2026-11-27 08:00"},
		{name: "everything forbidden", forbids: []order.Forbid{{Job: job, Seq: 10, Station: "weld-1"}, {Job: job, Seq: 10, Station: "weld-2"}},
			stations: "weld-1 weld-2", earliest: now,
			loose: "forbids 0: no station is left for operation 10 of job 1-1-1/grab, so none is forbidden. Take one of its rows out\n" +
				"forbids 1: no station is left for operation 10 of job 1-1-1/grab, so none is forbidden. Take one of its rows out"},
		{name: "a job that is gone", pins: []order.Pin{{Job: "0-1-1/grab", Seq: 10, Station: "weld-1"}}, stations: "weld-1 weld-2", earliest: now,
			loose: "pins 0: job 0-1-1/grab is not in the plan: it is done, or its order has changed. Take the row out, or name the job as the plan does now"},
		{name: "an operation that is not in this configuration", forbids: []order.Forbid{{Job: job, Seq: 30, Station: "weld-1"}}, stations: "weld-1 weld-2", earliest: now,
			loose: "forbids 0: job 1-1-1/grab has no operation 30 with the options of its order. Take the row out"},
	} {
		b := shop()
		b.Pins, b.Forbids = tt.pins, tt.forbids
		r := one(1, needs.Op{Run: 60}, needs.Op{Run: 60})
		p := problem(t, b, r)
		o := &p.Ops[0]
		if stationsOf(p, 0) != tt.stations || o.Earliest != tt.earliest || o.Why != tt.why || o.Pinned != tt.pinned {
			t.Errorf("%s: stations %s, earliest %d (%s), pinned %d", tt.name, stationsOf(p, 0), o.Earliest, o.Why, o.Pinned)
		}
		if other := &p.Ops[1]; len(other.Can) != 2 || other.Earliest != now || other.Pinned != 0 {
			t.Errorf("%s: the operation after it changed: %+v", tt.name, other)
		}
		same(t, tt.name, loose(t, b, r, p), tt.loose)
	}
}

// TestTwoWaits: what a pin and a forbidden time hold back after another wait, and that wait, are both told.
func TestTwoWaits(t *testing.T) {
	b := shop()
	b.Forbids = []order.Forbid{{Job: job, Seq: 10, Before: "2026-11-26T08:00"}}
	b.Pins = []order.Pin{{Job: job, Seq: 10, Begin: "2026-11-27T08:00"}}
	o := problem(t, b, one(1, needs.Op{Run: 60}, needs.Op{Run: 60})).Ops[0]
	if o.Earliest != at("2026-11-27T08:00") || o.Why != "pinned to begin 2026-11-27 08:00" || len(o.Also) != 1 ||
		o.Also[0] != (schedule.Wait{Until: at("2026-11-26T08:00"), Why: "not to begin, by hand, before 2026-11-26 08:00"}) {
		t.Errorf("earliest %d (%s), before that %+v", o.Earliest, o.Why, o.Also)
	}
}

func loose(t *testing.T, b *book.Book, r *needs.Result, p *schedule.Problem) string {
	t.Helper()
	var out []string
	for _, l := range LooseRows(index(t, b), r, p) {
		out = append(out, l.Table+" "+string(rune('0'+l.Row))+": "+l.Text)
	}
	return strings.Join(out, "\n")
}

// What the floor has begun or done no hand moves: the row says nothing any more, and the plan says so.
func TestPinsLeaveTheFloorAlone(t *testing.T) {
	for state, want := range map[string]string{
		stock.Done:    "pins 0: operation 10 of job 1-1-1/grab is done. The row can be taken out",
		stock.Running: "pins 0: operation 10 of job 1-1-1/grab runs already. The row can be taken out",
		stock.Frozen:  "pins 0: operation 10 of job 1-1-1/grab is frozen where the table work says. Take one of the two rows out",
		stock.Held:    "",
	} {
		b := shop()
		b.Pins = []order.Pin{{Job: job, Seq: 10, Station: "weld-2", Begin: "2026-11-27T08:00"}}
		b.Work = []stock.Work{{Job: job, Seq: 10, State: state, Station: "weld-1", Start: "2026-11-25T05:30", End: "2026-11-25T06:30"}}
		r := one(1, needs.Op{Run: 60})
		p := problem(t, b, r)
		o := &p.Ops[0]
		if state != stock.Held && (o.Pinned != 0 || o.Earliest != now || o.Fixed.Station != 0) || state == stock.Held && (o.Pinned == 0 || stationsOf(p, 0) != "weld-2") {
			t.Errorf("%s: %+v", state, o)
		}
		same(t, state, loose(t, b, r, p), want)
	}
}

// A booth of 10 m2 does not take 12: a pin to it is told, not obeyed.
func TestPinToAStationThatIsTooSmall(t *testing.T) {
	b := shop()
	b.Stations = append(b.Stations, plant.Station{ID: "hall", Centre: "paint", Name: "Hall", Calendar: "early", Speed: 1, Pallets: 1, Capacity: 20000})
	b.Pins = []order.Pin{{Job: job, Seq: 10, Station: "booth"}}
	r := one(3, needs.Op{Centre: "paint", Nature: "batch", Run: 60, Size: 12000})
	p := problem(t, b, r)
	same(t, "stations", stationsOf(p, 0), "hall")
	same(t, "told", loose(t, b, r, p), "pins 0: booth cannot take operation 10 of job 1-1-1/grab: it is too small for its 3 pieces, or forbidden. Pin another station")
}

// The cost of a late day is 400.00 times the factor of the row that names a unit most closely.
func TestPriorities(t *testing.T) {
	for _, tt := range []struct {
		name  string
		rows  []order.Priority
		want  [3]plant.Money
		loose string
	}{
		{"none", nil, [3]plant.Money{40000, 40000, 40000}, ""},
		{"an order", []order.Priority{{Of: "order", Name: "1", Factor: 2}}, [3]plant.Money{80000, 80000, 40000}, ""},
		{"a line", []order.Priority{{Of: "order", Name: "1", Factor: 2}, {Of: "line", Name: "1-2", Factor: 0.5}}, [3]plant.Money{80000, 20000, 40000}, ""},
		{"a unit", []order.Priority{{Of: "line", Name: "1-1", Factor: 3}, {Of: "unit", Name: "1-1-1", Factor: 1.125}}, [3]plant.Money{45000, 40000, 40000}, ""},
		{"a job made for two units", []order.Priority{{Of: "unit", Name: "1-1-1", Factor: 2}, {Of: "job", Name: "stock/pin/1", Factor: 5}}, [3]plant.Money{200000, 40000, 200000}, ""},
		{"what is gone", []order.Priority{{Of: "unit", Name: "9-1-1", Factor: 2}, {Of: "job", Name: "stock/pin/9", Factor: 5}}, [3]plant.Money{40000, 40000, 40000},
			"priorities 0: nothing of unit 9-1-1 is to be built: it has shipped, or its name is another. Take the row out\n" +
				"priorities 1: job stock/pin/9 is not in the plan: it is done, or its order has changed. Take the row out, or name the job as the plan does now"},
	} {
		b := shop()
		b.Priorities = tt.rows
		r := &needs.Result{Now: now}
		for i, u := range []needs.Unit{{ID: "1-1-1", Order: "1", Line: 1}, {ID: "1-2-1", Order: "1", Line: 2}, {ID: "2-1-1", Order: "2", Line: 1}} {
			u.Class, u.Plant, u.Due, u.Top = "standard", "brackwater", at("2026-12-11T16:00"), i
			r.Units = append(r.Units, u)
			add(r, needs.Job{ID: plant.JobID(u.ID + "/grab"), Unit: i, Item: "grab", Plant: "brackwater", Pieces: 1, Parent: needs.None}, needs.Op{Run: 60})
		}
		add(r, needs.Job{ID: "stock/pin/1", Unit: needs.None, Item: "pin", Plant: "brackwater", Pieces: 8, Parent: needs.None, For: []int{0, 2}}, needs.Op{Run: 60})
		p := problem(t, b, r)
		same(t, tt.name, [3]plant.Money{p.Units[0].LateDay, p.Units[1].LateDay, p.Units[2].LateDay}, tt.want)
		same(t, tt.name, loose(t, b, r, p), tt.loose)
	}
}

func TestSplitsThatDoNotApplyAreTold(t *testing.T) {
	b := shop()
	b.Splits = []order.Split{{Job: "stock/pin/1", Part: "b", Pieces: 3}, {Job: "stock/pin/1", Part: "c", Pieces: 8}, {Job: "1-1-1/jaw", Part: "b", Pieces: 2}, {Job: "stock/pin/7", Part: "b", Pieces: 1}}
	r := one(1, needs.Op{Run: 60})
	pin := needs.Job{ID: "stock/pin/1", Unit: needs.None, Item: "pin", Plant: "brackwater", Pieces: 5, Parent: needs.None}
	add(r, pin, needs.Op{Run: 60})
	pin.ID, pin.Part, pin.Pieces = "stock/pin/1+b", "b", 3
	add(r, pin, needs.Op{Run: 60})
	add(r, needs.Job{ID: "1-1-1/jaw", Unit: 0, Item: "jaw", Plant: "brackwater", Pieces: 4, Set: true, Parent: 0}, needs.Op{Run: 60})
	p := problem(t, b, r)
	same(t, "told", loose(t, b, r, p), "splits 1: job stock/pin/1 has 5 pieces to split, so 8 cannot be taken off it. Give fewer, or take the row out\n"+
		"splits 2: the pieces of job 1-1-1/jaw are a set and stay together. Take the row out\n"+
		"splits 3: job stock/pin/7 is not in the plan: it is done, or its order has changed. Take the row out, or name the job as the plan does now")
}
