package search

import (
	"bufio"
	"encoding/json"
	"flag"
	"os"
	"strconv"
	"strings"
	"testing"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
)

var (
	smallTo   = flag.String("write-small", "", "write the small plants to this file, a line of JSON each, for the exact solver")
	smallFrom = flag.String("small-optima", "", "compare with this file instead of testdata/small-optima.tsv")
)

// smallPlants is the number of small plants whose optimum is known.
const smallPlants = 500

// TestWriteSmall writes the small plants for bench/solver/small.mjs.
func TestWriteSmall(t *testing.T) {
	if *smallTo == "" {
		t.Skip("only with -write-small FILE")
	}
	f, err := os.Create(*smallTo)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(f)
	out := json.NewEncoder(w)
	for seed := range uint64(smallPlants) {
		p := scheduletest.Small(seed)
		plant := hoursOf(seed, p)
		plant.AtMost = int(schedule.Measure(p, run(t, p, Options{Seed: 1, Work: 2000})).Total)
		if err := out.Encode(plant); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// smallJSON is a plant with hours from now for times and cents for money.
type smallJSON struct {
	Seed       uint64         `json:"seed"`
	Horizon    int            `json:"horizon"`
	Stations   []smallStation `json:"stations"`
	Changeover [][][]int      `json:"changeover"` // by centre
	Pools      [][][2]int     `json:"pools"`      // steps: from this hour on so many
	Carriers   []smallCarrier `json:"carriers"`
	Units      []smallUnit    `json:"units"`
	Ops        []smallOp      `json:"ops"`
	Links      []smallLink    `json:"links"`
	Weights    map[string]int `json:"weights"`
	AtMost     int            `json:"atMost"` // cents: a plan of this cost is known
	Keep       map[int][2]int `json:"keep"`   // by operation: station and begin of setup that cost nothing
}

type smallStation struct {
	Centre   int      `json:"centre"`
	Open     [][2]int `json:"open"`
	Overtime [][2]int `json:"overtime"`
	Takes    int      `json:"takes"`
	Pallets  int      `json:"pallets"`
	Capacity int      `json:"capacity"`
	Family   int      `json:"family"`
}

type smallCarrier struct {
	Departures []int `json:"departures"`
	Transit    int   `json:"transit"`
}

type smallUnit struct {
	Due  int `json:"due"`
	Late int `json:"late"` // cents an hour
	Last int `json:"last"`
}

type smallOp struct {
	Earliest int      `json:"earliest"`
	Closed   int      `json:"closed"`
	Setup    int      `json:"setup"`
	Family   int      `json:"family"`
	Key      string   `json:"key"`
	Size     int      `json:"size"`
	Needs    [][3]int `json:"needs"` // pool, heads, when
	Can      [][5]int `json:"can"`   // station, load, run, unload, beside
	Pinned   *int     `json:"pinned"`
}

type smallLink struct {
	From     int `json:"from"`
	To       int `json:"to"`
	Lag      int `json:"lag"`
	Carrier  int `json:"carrier"`
	Transfer int `json:"transfer"`
	Pieces   int `json:"pieces"`
	Wait     int `json:"wait"` // cents an hour
}

const hourLong = 3600

func at(p *schedule.Problem, t plant.Time) int { return int(t.Sub(p.Now) / hourLong) }

func spansOf(p *schedule.Problem, o calendar.Open) [][2]int {
	out := [][2]int{}
	for _, s := range o.Spans() {
		out = append(out, [2]int{at(p, s.From), at(p, s.To)})
	}
	return out
}

// hoursOf writes a small plant in hours.
func hoursOf(seed uint64, p *schedule.Problem) smallJSON {
	out := smallJSON{Seed: seed, Horizon: at(p, p.Horizon), Keep: map[int][2]int{}, Weights: map[string]int{"setup": int(p.Weights.Setup),
		"overtime": int(p.Weights.Overtime), "move": int(p.Weights.Move), "pin": int(p.Weights.Pin)}}
	for _, c := range p.Centres {
		m := [][]int{}
		for _, row := range c.Changeover {
			r := []int{}
			for _, d := range row {
				r = append(r, int(d/hourLong))
			}
			m = append(m, r)
		}
		out.Changeover = append(out.Changeover, m)
	}
	for _, s := range p.Stations {
		out.Stations = append(out.Stations, smallStation{Centre: s.Centre, Open: spansOf(p, s.Open), Overtime: spansOf(p, s.Overtime),
			Takes: int(s.Takes), Pallets: s.Pallets, Capacity: s.Capacity.Ceil(), Family: s.Family})
	}
	for _, pool := range p.Pools {
		steps := [][2]int{}
		for _, h := range pool.Heads {
			steps = append(steps, [2]int{at(p, h.At), h.N})
		}
		out.Pools = append(out.Pools, steps)
	}
	for _, c := range p.Carriers {
		x := smallCarrier{Transit: int(c.Transit / hourLong)}
		for _, t := range c.Departures {
			x.Departures = append(x.Departures, at(p, t))
		}
		out.Carriers = append(out.Carriers, x)
	}
	for _, u := range p.Units {
		out.Units = append(out.Units, smallUnit{at(p, u.Due), int(u.LateDay / 24), u.Last})
	}
	for i := range p.Ops {
		out.Ops = append(out.Ops, opHours(p, &p.Ops[i]))
		if p.Adopted != nil && p.Adopted[i].Station != schedule.None && p.Adopted[i].Setup < p.Freeze {
			out.Keep[i] = [2]int{p.Adopted[i].Station, at(p, p.Adopted[i].Setup)}
		}
	}
	for _, l := range p.Links {
		x := smallLink{From: l.From, To: l.To, Lag: int(l.Lag / hourLong), Carrier: l.Carrier, Transfer: l.Transfer, Pieces: l.Pieces}
		if l.Meeting {
			x.Wait = int(float64(p.Jobs[p.Ops[l.From].Job].Value)*p.Weights.Wait + 0.5)
		}
		out.Links = append(out.Links, x)
	}
	return out
}

func opHours(p *schedule.Problem, o *schedule.Op) smallOp {
	out := smallOp{Earliest: max(0, at(p, o.Earliest)), Closed: int(o.Closed), Setup: int(o.Setup / hourLong), Family: o.Family, Key: o.Key, Size: o.Size.Ceil()}
	if o.Earliest == 0 {
		out.Earliest = 0
	}
	for _, n := range o.Needs {
		out.Needs = append(out.Needs, [3]int{n.Pool, n.Heads, int(n.When)})
	}
	for _, a := range o.Can {
		out.Can = append(out.Can, [5]int{a.Station, int(a.Load / hourLong), int(a.Run / hourLong), int(a.Unload / hourLong), int(a.Beside / hourLong)})
	}
	if o.Pinned != 0 {
		pin := at(p, o.Pinned)
		out.Pinned = &pin
	}
	return out
}

// smallOptimum is a line of testdata/small-optima.tsv.
type smallOptimum struct {
	seed   uint64
	cost   plant.Money
	proved bool
	slots  []schedule.Slot
}

// smallOptima reads what the exact solver found.
func smallOptima(t *testing.T) []smallOptimum {
	t.Helper()
	name := "testdata/small-optima.tsv"
	if *smallFrom != "" {
		name = *smallFrom
	}
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var out []smallOptimum
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Split(line, "\t")
		seed, err := strconv.ParseUint(f[0], 10, 64)
		if err != nil || len(f) < 3 {
			t.Fatalf("%s: %q", name, line)
		}
		cost, err := strconv.ParseInt(f[1], 10, 64)
		if err != nil {
			t.Errorf("plant %d: %s", seed, f[2])
			continue
		}
		out = append(out, smallOptimum{seed, plant.Money(cost), f[2] == "proved", slotsOf(t, f[len(f)-1])})
	}
	return out
}

// slotsOf reads a plan in hours: station, setup, load, run, unload, end, batch by operation.
func slotsOf(t *testing.T, text string) []schedule.Slot {
	t.Helper()
	var out []schedule.Slot
	for _, op := range strings.Fields(text) {
		var n [7]int64
		for i, x := range strings.Split(op, ",") {
			v, err := strconv.ParseInt(x, 10, 64)
			if err != nil || i >= len(n) {
				t.Fatalf("slot %q", op)
			}
			n[i] = v
		}
		at := func(h int64) plant.Time { return scheduletest.Now + plant.Time(h*hourLong) }
		out = append(out, schedule.Slot{Station: int(n[0]), Setup: at(n[1]), Load: at(n[2]), Run: at(n[3]), Unload: at(n[4]), End: at(n[5]), Batch: int(n[6])})
	}
	return out
}

// TestSmallOptima compares with optima that a general-purpose constraint solver proved (bench/solver/small.mjs), with a
// model of the rules that shares nothing with this program. Its plans keep all rules and cost what it says; no plan found
// here is cheaper; the bound is never above; and the search reaches most within its budget.
func TestSmallOptima(t *testing.T) {
	optima := smallOptima(t)
	reached, proved := 0, 0
	for _, o := range optima {
		p := scheduletest.Small(o.seed)
		exact := &schedule.Plan{Slots: o.slots, Status: schedule.Complete}
		for _, v := range schedule.Check(p, exact) {
			t.Errorf("plant %d: the solver's plan breaks rule %s: %s", o.seed, v.Rule, v.Text)
		}
		score := schedule.Measure(p, exact)
		if score.Total != o.cost {
			t.Errorf("plant %d: the solver's plan costs %s by our measure, %s by its own: %+v", o.seed, score.Total, o.cost, score)
		}
		if score.Bound > o.cost {
			t.Errorf("plant %d: the bound is %s, a plan costs %s", o.seed, score.Bound, o.cost)
		}
		if !o.proved {
			continue
		}
		proved++
		switch got := schedule.Measure(p, run(t, p, Options{Seed: 1, Work: smallWork})).Total; {
		case got < o.cost-second:
			t.Errorf("plant %d: the search found %s, the proved optimum is %s", o.seed, got, o.cost)
		case got <= o.cost+second:
			reached++
		default:
			t.Logf("plant %d: the search found %s, the optimum is %s", o.seed, got, o.cost)
		}
	}
	t.Logf("%d of %d proved optima reached", reached, proved)
	if reached*100 < smallReached*proved {
		t.Errorf("the search reaches %d of %d optima, at least %d %% expected", reached, proved, smallReached)
	}
}

const (
	second       = 1      // cents: the solver plans in whole hours; work put off for a second may spare a second of something
	smallWork    = 10_000 // budget of the search for a small plant
	smallReached = 85     // per cent of the optima that the search must reach
)
