package setout

import (
	"strings"
	"testing"

	"tackline/fault"
	"tackline/needs"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
)

const none = schedule.None

func TestRoute(t *testing.T) {
	plain := schedule.Link{From: 0, To: 1, Carrier: none}
	overlap := schedule.Link{From: 0, To: 1, Carrier: none, Transfer: 3, Pieces: 8}
	tended := needs.Op{Nature: product.Tended, Transfer: 3, Run: 60}
	tests := []struct {
		name   string
		first  needs.Op
		second needs.Op
		pieces int
		set    bool
		want   schedule.Link
	}{
		{"pieces pass on by threes", tended, needs.Op{Run: 60}, 8, false, overlap},
		{"no transfer quantity", needs.Op{Run: 60}, needs.Op{Run: 60}, 8, false, plain},
		{"a set stays together", tended, needs.Op{Run: 60}, 8, true, plain},
		{"a transfer quantity of the whole job", tended, needs.Op{Run: 60}, 3, false, plain},
		{"into a batch", tended, needs.Op{Centre: "paint", Nature: product.Batch, Run: 60}, 8, false, plain},
		{"out of a rack", needs.Op{Centre: "rack", Nature: product.Dwell, Transfer: 3, Run: 60, Size: 1}, needs.Op{Run: 60}, 8, false, plain},
		{"away work includes the way", tended, needs.Op{Centre: "plating", Nature: product.Away, Run: 60}, 8, false, plain},
		{"to another plant by truck", needs.Op{Centre: "saw", Transfer: 3, Run: 60}, needs.Op{Run: 60}, 8, false, schedule.Link{From: 0, To: 1, Carrier: 0}},
	}
	for _, tt := range tests {
		r := one(tt.pieces, tt.first, tt.second)
		r.Jobs[0].Set = tt.set
		same(t, tt.name, problem(t, shop(), r).Links, []schedule.Link{tt.want})
	}
}

// A grab (job 0: operations 0, 1) takes jaws (job 1: operation 2) and a frame (job 2: operations 3, 4) at its first operation,
// and pins made to stock (job 3: operation 5) at both. The frame takes plate sawn in Fellgate (job 4: operation 6).
func TestJoins(t *testing.T) {
	r := one(1, needs.Op{Run: 60}, needs.Op{Run: 60})
	jaws := add(r, needs.Job{ID: "1-1-1/jaw", Unit: 0, Item: "jaw", Plant: "brackwater", Pieces: 4, Set: true, Parent: 0}, needs.Op{Run: 60})
	frame := add(r, needs.Job{ID: "1-1-1/frame", Unit: 0, Item: "frame", Plant: "brackwater", Pieces: 1, Parent: 0}, needs.Op{Run: 60}, needs.Op{Run: 60})
	pins := add(r, needs.Job{ID: "stock/pin/1", Unit: needs.None, Item: "pin", Plant: "brackwater", Pieces: 40, Parent: needs.None}, needs.Op{Run: 60})
	plate := add(r, needs.Job{ID: "1-1-1/plate", Unit: 0, Item: "plate", Plant: "fellgate", Pieces: 1, Parent: frame}, needs.Op{Centre: "saw", Run: 60})
	consume(r, 0, "jaw", made(jaws), made(jaws)) // covered in two parts by one job: one link
	consume(r, 0, "frame", made(frame))
	consume(r, 0, "pin", made(pins))
	consume(r, 1, "pin", needs.Cover{Kind: needs.FromStock, Job: needs.None, At: now, Plant: "brackwater"}, made(pins))
	consume(r, 3, "plate", made(plate))
	p := problem(t, shop(), r)
	same(t, "links", p.Links, []schedule.Link{
		{From: 2, To: 0, Carrier: none, Meeting: true}, // jaws and frame meet
		{From: 4, To: 0, Carrier: none, Meeting: true},
		{From: 5, To: 0, Carrier: none},                // pins wait in stock
		{From: 0, To: 1, Carrier: none, Meeting: true}, // the grab and more pins meet
		{From: 5, To: 1, Carrier: none},
		{From: 6, To: 3, Carrier: 0}, // one branch alone meets nothing
		{From: 3, To: 4, Carrier: none},
	})
	if p.Jobs[pins].Parent != 0 || p.Jobs[plate].Parent != frame || p.Jobs[0].Parent != none {
		t.Errorf("parents: pins %d, plate %d, grab %d; want the grab, the frame, none", p.Jobs[pins].Parent, p.Jobs[plate].Parent, p.Jobs[0].Parent)
	}
	c := p.Carriers[0]
	next := c.Departures[:0:0]
	for _, d := range c.Departures {
		if d >= now && len(next) < 3 {
			next = append(next, d)
		}
	}
	same(t, "trucks", next, []plant.Time{at("2026-11-27T15:00"), at("2026-12-01T15:00"), at("2026-12-04T15:00")})
	if c.Name != "truck from Fellgate to Brackwater" || c.Transit != 3*hour+30*minute || len(p.Carriers) != 1 {
		t.Errorf("carriers %+v", p.Carriers)
	}
}

// Every fault is found in one go, and each once.
func TestFaults(t *testing.T) {
	b := shop()
	b.Transits = nil
	b.Centres = append(b.Centres, plant.Centre{ID: "blast", Plant: "brackwater", Takes: "one"})
	r := one(4, needs.Op{Run: 60}, needs.Op{Centre: "blast", Name: "blast", Row: 3}, needs.Op{Centre: "paint", Nature: product.Batch, Name: "paint", Size: 10001, Row: 4},
		needs.Op{Able: []needs.Able{{Station: "saw-1", Speed: 1}}, Name: "weld", Row: 5}, needs.Op{Centre: "lathe", Name: "turn", Row: 6},
		needs.Op{Crew: []needs.Crew{{Pool: "fitters", Heads: 1}}, Name: "fit", Row: 7})
	plate := add(r, needs.Job{Unit: 0, Item: "plate", Plant: "fellgate", Pieces: 1, Parent: 0}, needs.Op{Centre: "saw", Run: 60}, needs.Op{Centre: "saw", Run: 60})
	empty := add(r, needs.Job{Unit: 0, Item: "label", Plant: "brackwater", Pieces: 1, Parent: 0})
	consume(r, 0, "plate", made(plate))
	consume(r, 1, "plate", made(plate))
	consume(r, 0, "label", made(empty))
	r.Units = append(r.Units, needs.Unit{ID: "2-1-1", Product: "kit", Class: "standard", Top: needs.None})
	_, err := Problem(index(t, b), r)
	want := []string{
		`items, item: kit is ordered (unit 2-1-1), but no operation makes it`,
		`operations row 5, centre: operation 20 (blast) of grab has no station in work centre blast that can do it: it has no stations`,
		`operations row 6, centre: operation 30 (paint) of grab has no station in work centre paint that can do it: booth holds 10 m2 and 4 pieces take 10.001`,
		`operations row 7, centre: operation 40 (weld) of grab has no station in work centre weld that can do it: saw-1 does not belong to it`,
		`operations row 8, centre: operation 50 (turn) of grab: there is no work centre "lathe"`,
		`crews, pool: operation 60 (fit) of grab needs crew pool "fitters", which is unknown`,
		`transits: plate goes from plant fellgate to plant brackwater, but no truck runs that way`,
		`items, item: label is made here, but no operation makes it`,
	}
	same(t, "faults", strings.Split(fault.All(err).Error(), "\n"), want)
}
