// Command smallplants writes the small plants that bench/solver/small.mjs proves the optima of, a line of JSON each, to standard output.
// Nothing that it writes is about a real plant.
package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"os"

	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/scheduletest"
	"tackline/schedule/search"
)

func main() {
	if err := write(); err != nil {
		fmt.Fprintln(os.Stderr, "smallplants:", err)
		os.Exit(1)
	}
}

// write writes all plants, each with the cost of a plan that a short search finds: no optimum is dearer.
func write() error {
	w := bufio.NewWriter(os.Stdout)
	out := json.NewEncoder(w)
	for seed := range uint64(scheduletest.SmallPlants) {
		p := scheduletest.Small(seed)
		known, err := search.Run(context.Background(), p, search.Options{Seed: 1, Work: 2000})
		if err != nil {
			return err
		}
		plant := hoursOf(seed, p)
		plant.AtMost = int(schedule.Measure(p, known).Total)
		if err := out.Encode(plant); err != nil {
			return err
		}
	}
	return w.Flush()
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
