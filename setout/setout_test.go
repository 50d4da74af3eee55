package setout

import (
	"testing"
	"time"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"

	"github.com/google/go-cmp/cmp"
)

// The plants of these tests stand in Dublin, where the clock shows UTC in winter. Now is Wednesday 25 November 2026, 06:00.
var now = at("2026-11-25T06:00")

// at reads a time in UTC.
func at(s string) plant.Time {
	w, err := time.Parse("2006-01-02T15:04", s)
	if err != nil {
		panic(err)
	}
	return plant.At(w)
}

const (
	minute plant.Seconds = 60
	hour   plant.Seconds = 3600
)

// shop is a small book: a centre of each kind in Brackwater, a saw in Fellgate, one shift of 06:00 to 14:00.
func shop() *book.Book {
	return &book.Book{
		Plants:    []plant.Plant{{ID: "brackwater", Name: "Brackwater", TimeZone: "Europe/Dublin"}, {ID: "fellgate", Name: "Fellgate", TimeZone: "Europe/Dublin"}},
		Calendars: []plant.Calendar{{ID: "early", Plant: "brackwater"}, {ID: "late", Plant: "brackwater"}},
		Shifts: []plant.Shift{
			{Calendar: "early", Name: "early", Days: "mon-fri", From: 6 * 60, To: 14 * 60},
			{Calendar: "late", Name: "late", Days: "mon-fri", From: 14 * 60, To: 22 * 60},
		},
		Centres: []plant.Centre{
			{ID: "weld", Plant: "brackwater", Name: "Weld robots", Takes: "one", Setup: 20},
			{ID: "paint", Plant: "brackwater", Name: "Paint booths", Takes: "batch", Capacity: "m2"},
			{ID: "rack", Plant: "brackwater", Name: "Drying rack", Takes: "places"},
			{ID: "plating", Plant: "brackwater", Name: "Plating works", Takes: "away"},
			{ID: "saw", Plant: "fellgate", Name: "Saws", Takes: "one"},
		},
		Stations: []plant.Station{
			{ID: "weld-1", Centre: "weld", Name: "Weld robot 1", Calendar: "early", Speed: 1, Pallets: 1, Capacity: 1000, Family: "jaw"},
			{ID: "weld-2", Centre: "weld", Name: "Weld robot 2", Calendar: "early", Speed: 0.8, Pallets: 2, Capacity: 1000},
			{ID: "booth", Centre: "paint", Name: "Booth", Calendar: "early", Speed: 1, Pallets: 1, Capacity: 10000},
			{ID: "rack-1", Centre: "rack", Name: "Rack 1", Calendar: "early", Speed: 1, Pallets: 1, Capacity: 6000},
			{ID: "plater", Centre: "plating", Name: "Plater", Calendar: "early", Speed: 1, Pallets: 1, Capacity: 1000},
			{ID: "saw-1", Centre: "saw", Name: "Saw 1", Calendar: "early", Speed: 1, Pallets: 1, Capacity: 1000},
		},
		Pools:    []plant.Pool{{ID: "crew", Plant: "brackwater", Name: "Crew"}, {ID: "welders", Plant: "brackwater", Name: "Welders", Qualification: "weld-fillet"}},
		People:   []plant.Person{{ID: "p-1", Pool: "crew", Calendar: "early"}, {ID: "p-2", Pool: "crew", Calendar: "late"}},
		Transits: []plant.Transit{{From: "fellgate", To: "brackwater", Days: "tue,fri", Departs: 15 * 60, Hours: 3.5}},
		Classes:  []order.Class{{ID: "standard", Late: 40000}},
	}
}

// one gives a result of one unit, made by one job of the operations given.
func one(pieces int, ops ...needs.Op) *needs.Result {
	r := &needs.Result{Now: now, Units: []needs.Unit{{ID: "1-1-1", Class: "standard", Plant: "brackwater", Due: at("2026-12-11T16:00")}}}
	add(r, needs.Job{ID: "1-1-1/grab", Unit: 0, Item: "grab", Plant: "brackwater", Pieces: pieces, Parent: needs.None}, ops...)
	return r
}

// add appends a job with its operations, numbered 10, 20, ..., and gives its index.
func add(r *needs.Result, j needs.Job, ops ...needs.Op) int {
	for i, o := range ops {
		o.Job, o.Seq = len(r.Jobs), 10*(i+1)
		if o.Nature == "" {
			o.Nature = product.Attended
		}
		if o.Centre == "" {
			o.Centre = "weld"
		}
		if o.Closed == "" {
			o.Closed = product.Pause
		}
		j.Ops = append(j.Ops, len(r.Ops))
		r.Ops = append(r.Ops, o)
	}
	r.Jobs = append(r.Jobs, j)
	return len(r.Jobs) - 1
}

// consume adds a demand of operation op, with its covers.
func consume(r *needs.Result, op int, item plant.ItemID, covers ...needs.Cover) {
	d := len(r.Demands)
	job := r.Ops[op].Job
	r.Demands = append(r.Demands, needs.Demand{Job: job, Op: op, Item: item, Plant: r.Jobs[job].Plant, Covers: covers})
	r.Ops[op].Demands = append(r.Ops[op].Demands, d)
	r.Jobs[job].Demands = append(r.Jobs[job].Demands, d)
}

func made(job int) needs.Cover { return needs.Cover{Kind: needs.FromJob, Job: job} }

func index(t testing.TB, b *book.Book) *book.Index {
	t.Helper()
	ix, err := book.NewIndex(b)
	if err != nil {
		t.Fatal(err)
	}
	return ix
}

func problem(t testing.TB, b *book.Book, r *needs.Result) *schedule.Problem {
	t.Helper()
	p, err := Problem(index(t, b), r)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func same(t *testing.T, what string, got, want any) {
	t.Helper()
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s (- want, + got):\n%s", what, d)
	}
}

func TestFrame(t *testing.T) {
	b := shop()
	b.Settings = []plant.Setting{{Name: "freeze_hours", Value: "36"}, {Name: "horizon_days", Value: "10"}, {Name: "move_cost", Value: "12.5"}}
	r := one(2, needs.Op{Name: "weld", Run: 600}, needs.Op{Name: "assemble", Run: 600})
	r.Jobs[0].Value = 5000
	p := problem(t, b, r)
	same(t, "times", []plant.Time{p.Now, p.Freeze, p.Horizon}, []plant.Time{now, at("2026-11-26T18:00"), at("2026-12-05T06:00")})
	// The other weights are the defaults of the settings: 0.0005 an hour, 90.00, 60.00 and 500.00 an hour.
	same(t, "weights", p.Weights, schedule.Weights{Wait: 0.0005, Setup: 9000, Overtime: 6000, Move: 1250, Pin: 50000})
	same(t, "units", p.Units, []schedule.Unit{{ID: "1-1-1", Due: at("2026-12-11T16:00"), LateDay: 40000, Last: 1}})
	same(t, "jobs", p.Jobs, []schedule.Job{{ID: "1-1-1/grab", Item: "grab", Unit: 0, Pieces: 2, Value: 5000, Parent: schedule.None}})
	same(t, "links", p.Links, []schedule.Link{{From: 0, To: 1, Carrier: schedule.None}})
	for i, want := range b.Stations {
		if p.Stations[i].ID != want.ID || p.Centres[p.Stations[i].Centre].ID != want.Centre {
			t.Errorf("station %d is %s of %s, want %s of %s", i, p.Stations[i].ID, p.Centres[p.Stations[i].Centre].ID, want.ID, want.Centre)
		}
	}
	longer, err := ProblemUntil(index(t, b), r, at("2027-03-01T00:00"))
	if err != nil || longer.Horizon != at("2027-03-01T00:00") || !longer.Stations[0].Open.IsOpen(at("2027-02-26T13:59")) || p.Stations[0].Open.IsOpen(at("2027-02-26T13:59")) {
		t.Errorf("the longer horizon is %v, error %v; want open time until 1 March 2027, and only there", longer.Horizon, err)
	}
}

// One operation of 4 pieces: setup 10 min, load 2 min, run 9 min, unload 3 min, on robot 1 (normal speed, one pallet) and
// robot 2 (speed 0.8, two pallets), by 3 crew rows.
func TestNatures(t *testing.T) {
	crew := []needs.Crew{{Pool: "crew", Heads: 1, For: "load"}, {Pool: "crew", Heads: 2, For: "run"}, {Pool: "welders", Heads: 3, For: "both"}}
	both := schedule.OnLoad | schedule.OnRun
	tests := []struct {
		name, centre, nature, closed string
		speed                        float64 // of the able row of robot 2; 0: no able rows
		can                          []schedule.Alternative
		needs                        []schedule.Need
		setup                        plant.Seconds
		rule                         schedule.Closed
	}{
		{"attended: all in the run, 4 x (2 + 9 + 3) = 56 min; at 0.8, 4 x 9 / 0.8 = 45, with 4 x 5 it is 65 min", "weld", "attended", "whole", 0,
			[]schedule.Alternative{{Station: 0, Run: 56 * minute}, {Station: 1, Run: 65 * minute}},
			[]schedule.Need{{Pool: 0, Heads: 1, When: both}, {Pool: 0, Heads: 2, When: schedule.OnRun}, {Pool: 1, Heads: 3, When: both}}, 10 * minute, schedule.Whole},
		{"tended: 4 x 2, 4 x 9, 4 x 3; with two pallets one load, 45 min, one unload, and 3 x (2 + 3) beside", "weld", "tended", "pause", 0,
			[]schedule.Alternative{{Station: 0, Load: 8 * minute, Run: 36 * minute, Unload: 12 * minute},
				{Station: 1, Load: 2 * minute, Run: 45 * minute, Unload: 3 * minute, Beside: 15 * minute}},
			[]schedule.Need{{Pool: 0, Heads: 1, When: schedule.OnLoad}, {Pool: 0, Heads: 2, When: schedule.OnRun}, {Pool: 1, Heads: 3, When: both}}, 10 * minute, schedule.Pause},
		{"able: only robot 2, 36 min / (0.8 x 0.7) = 3857.1 s, rounded up", "weld", "tended", "through", 0.7,
			[]schedule.Alternative{{Station: 1, Load: 2 * minute, Run: 3858, Unload: 3 * minute, Beside: 15 * minute}},
			[]schedule.Need{{Pool: 0, Heads: 1, When: schedule.OnLoad}, {Pool: 0, Heads: 2, When: schedule.OnRun}, {Pool: 1, Heads: 3, When: both}}, 10 * minute, schedule.Through},
		{"batch: a load, a run, an unload, whatever the pieces", "paint", "batch", "pause", 0,
			[]schedule.Alternative{{Station: 2, Load: 2 * minute, Run: 9 * minute, Unload: 3 * minute}},
			[]schedule.Need{{Pool: 0, Heads: 1, When: schedule.OnLoad}, {Pool: 0, Heads: 2, When: schedule.OnRun}, {Pool: 1, Heads: 3, When: both}}, 10 * minute, schedule.Pause},
		{"dwell: the stay, nobody, through closed time whatever the row says", "rack", "dwell", "pause", 0,
			[]schedule.Alternative{{Station: 3, Run: 9 * minute}}, nil, 0, schedule.Through},
		{"away: the lead time, nobody", "plating", "away", "pause", 0,
			[]schedule.Alternative{{Station: 4, Run: 9 * minute}}, nil, 0, schedule.Pause},
	}
	for _, tt := range tests {
		o := needs.Op{Centre: plant.CentreID(tt.centre), Nature: tt.nature, Closed: tt.closed, Setup: 600, Load: 120, Run: 540, Unload: 180,
			Crew: crew, Size: 4000, Key: "red", Family: "jaw"}
		if tt.speed > 0 {
			o.Able = []needs.Able{{Station: "weld-2", Speed: tt.speed}}
		}
		p := problem(t, shop(), one(4, o))
		got := p.Ops[0]
		same(t, tt.name, got.Can, tt.can)
		same(t, tt.name+": crew", got.Needs, tt.needs)
		if got.Setup != tt.setup || got.Closed != tt.rule || got.Size != 4000 || got.Key != "red" || got.Earliest != now || got.Why != "" || got.State != schedule.ToPlan {
			t.Errorf("%s: got %+v", tt.name, got)
		}
		if hasSetup := tt.setup > 0; hasSetup != (p.Families[got.Family] == "jaw") {
			t.Errorf("%s: family %q", tt.name, p.Families[got.Family])
		}
	}
}

// Division of floating point must not add a second: 3600 s / 0.9 is 4000 s, and 36 s / 1.2 is 30 s.
func TestSlowerRoundsUp(t *testing.T) {
	for _, tt := range []struct {
		run   plant.Seconds
		speed float64
		want  plant.Seconds
	}{{3600, 0.9, 4000}, {36, 1.2, 30}, {10, 3, 4}, {0, 0.5, 0}, {1, 1000, 1}, {2160, 0.8 * 0.9, 3000}} {
		if got := slower(tt.run, tt.speed); got != tt.want {
			t.Errorf("%d s at speed %g: got %d s, want %d s", tt.run, tt.speed, got, tt.want)
		}
	}
}

func TestSharedShapes(t *testing.T) {
	o := needs.Op{Run: 600, Crew: []needs.Crew{{Pool: "crew", Heads: 1, For: "both"}}}
	p := problem(t, shop(), one(2, o, o))
	if &p.Ops[0].Can[0] != &p.Ops[1].Can[0] || &p.Ops[0].Needs[0] != &p.Ops[1].Needs[0] {
		t.Error("equal operations do not share their stations and crew")
	}
}
