package needs

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tackline/plant"
)

// The records of the textbooks count in weeks; here a week is one second.

// weeks turns gross needs of weeks from, from+1, ... into wants.
func weeks(from int, gross ...int) []Want {
	var out []Want
	for i, g := range gross {
		if g > 0 {
			out = append(out, Want{plant.Time(from + i), plant.Pieces(g)})
		}
	}
	return out
}

func stockOf(n int) []Supply { return []Supply{{0, plant.Pieces(n)}} }

func comes(week, n int) Supply { return Supply{plant.Time(week), plant.Pieces(n)} }

// received gives the planned receipts of each week.
func received(n Netting, from, to int) []int {
	out := make([]int, to-from+1)
	for _, o := range n.Orders {
		if at := int(o.At) - from; at >= 0 && at < len(out) {
			out[at] += o.Qty.Ceil()
		}
	}
	return out
}

// onHand projects the stock at the end of each week by the ladder: on hand + receipts - gross.
func onHand(r Record, n Netting, from, to int) []int {
	var out []int
	for w := from; w <= to; w++ {
		q := plant.Qty(0)
		for _, l := range r.Lots {
			q += l.Qty
		}
		for _, s := range r.Receipts {
			if int(s.At) <= w {
				q += s.Qty
			}
		}
		for _, o := range n.Orders {
			if int(o.At) <= w {
				q += o.Qty
			}
		}
		for _, x := range r.Wants {
			if int(x.At) <= w {
				q -= x.Qty
			}
		}
		out = append(out, int(q/1000))
	}
	return out
}

// Krajewski, Ritzman, Malhotra, Operations Management, ch. on resource planning: the seat subassembly of the ladder-back
// chair. Gross 150, 0, 0, 120, 0, 150, 120, 0; scheduled receipt 230 in week 1; on hand 37. The fixed and the periodic
// quantity are the book's; lot-for-lot and safety stock follow from the same record by the ladder.
func TestLadderBackChair(t *testing.T) {
	cases := []struct {
		name   string
		rule   LotRule
		safety int
		orders []int
		onHand []int
	}{
		{"fixed 230", LotRule{Kind: FixedLot, Qty: plant.Pieces(230)}, 0,
			[]int{0, 0, 0, 230, 0, 0, 230, 0}, []int{117, 117, 117, 227, 227, 77, 187, 187}},
		{"lot for lot", LotRule{Kind: AsNeeded}, 0,
			[]int{0, 0, 0, 3, 0, 150, 120, 0}, []int{117, 117, 117, 0, 0, 0, 0, 0}},
		{"periodic, 3 weeks", LotRule{Kind: AsNeeded, Window: 3}, 0,
			[]int{0, 0, 0, 153, 0, 0, 120, 0}, []int{117, 117, 117, 150, 150, 0, 0, 0}},
		{"fixed 230, safety stock 80", LotRule{Kind: FixedLot, Qty: plant.Pieces(230)}, 80,
			[]int{0, 0, 0, 230, 0, 230, 0, 0}, []int{117, 117, 117, 227, 227, 307, 187, 187}},
		// By hand from the same record: short 3 in week 4, at least 100 -> 100, 97 left; week 6 short 53 -> 100, 47
		// left; week 7 short 73 -> 100.
		{"minimum 100 in multiples of 50", LotRule{Kind: Minimum, Qty: plant.Pieces(100), Multiple: plant.Pieces(50)}, 0,
			[]int{0, 0, 0, 100, 0, 100, 100, 0}, []int{117, 117, 117, 97, 97, 47, 27, 27}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := Record{Lots: stockOf(37), Receipts: []Supply{comes(1, 230)}, Wants: weeks(1, 150, 0, 0, 120, 0, 150, 120, 0),
				Safety: plant.Pieces(c.safety), Rule: c.rule}
			n := Net(r)
			if d := cmp.Diff(c.orders, received(n, 1, 8)); d != "" {
				t.Errorf("planned receipts (-want +got):\n%s", d)
			}
			if d := cmp.Diff(c.onHand, onHand(r, n, 1, 8)); d != "" {
				t.Errorf("projected on hand (-want +got):\n%s", d)
			}
		})
	}
}

// Hopp and Spearman, Factory Physics, 3rd ed., ch. 3 (part A): open receipts are moved before anything new is ordered.
// Gross 15, 20, 50, 10, 30, 30, 30, 30; on hand and three receipts together 140; net 0 0 0 0 0 15 30 30; fixed order
// period 2: lots 45 and 30.
func TestReceiptsMoveBeforeNewOrders(t *testing.T) {
	r := Record{Lots: stockOf(20), Receipts: []Supply{comes(1, 10), comes(2, 10), comes(4, 100)},
		Wants: weeks(1, 15, 20, 50, 10, 30, 30, 30, 30), Rule: LotRule{Kind: AsNeeded}}
	n := Net(r)
	if d := cmp.Diff([]int{0, 0, 0, 0, 0, 15, 30, 30}, received(n, 1, 8)); d != "" {
		t.Errorf("net requirements (-want +got):\n%s", d)
	}
	first := plant.Never
	for _, d := range n.Draws {
		if d.Of == OfReceipt && d.From == 2 {
			first = min(first, r.Wants[d.Want].At)
		}
	}
	if first != 3 {
		t.Errorf("the receipt of week 4 is first wanted in week %d; the book moves it to week 3", first)
	}
	r.Rule.Window = 2
	if d := cmp.Diff([]int{0, 0, 0, 0, 0, 45, 0, 30}, received(Net(r), 1, 8)); d != "" {
		t.Errorf("lots of two periods (-want +got):\n%s", d)
	}
}

// Nahmias, Production and Operations Analysis, example 7.1 (trumpets): receipts stay in their week.
func TestTrumpets(t *testing.T) {
	casings := Net(Record{Lots: stockOf(23), Receipts: []Supply{comes(8, 12), comes(10, 6), comes(11, 9)},
		Wants: weeks(8, 77, 42, 38, 21, 26, 112, 45, 14, 76, 38), InTime: true})
	net := []int{42, 42, 32, 12, 26, 112, 45, 14, 76, 38}
	if d := cmp.Diff(net, received(casings, 8, 17)); d != "" {
		t.Fatalf("trumpets, net (-want +got):\n%s", d)
	}
	var wants []Want // three valves for each casing assembly, four weeks before
	for _, o := range casings.Orders {
		wants = append(wants, Want{o.At - 4, 3 * o.Qty})
	}
	valves := Net(Record{Lots: stockOf(186), Receipts: []Supply{comes(5, 96)}, Wants: wants, InTime: true})
	if d := cmp.Diff([]int{0, 0, 66, 36, 78, 336, 135, 42, 228, 114}, received(valves, 4, 13)); d != "" {
		t.Errorf("valves, net (-want +got):\n%s", d)
	}
}

// A textbook homework record with three components under one parent that releases 50, 65, 80 (the arithmetic is redone
// by hand: B 3 x 50 = 150 = on hand; 3 x 65 - 50 = 145; and so on).
func TestThreeComponents(t *testing.T) {
	cases := []struct {
		name     string
		per      int
		onHand   int
		receipts []Supply
		net      []int
	}{
		{"B", 3, 150, []Supply{comes(2, 50)}, []int{0, 145, 240}},
		{"C", 1, 50, nil, []int{0, 65, 80}},
		{"D", 2, 50, nil, []int{50, 130, 160}},
	}
	for _, c := range cases {
		n := Net(Record{Lots: stockOf(c.onHand), Receipts: c.receipts, Wants: weeks(1, 50*c.per, 65*c.per, 80*c.per)})
		if d := cmp.Diff(c.net, received(n, 1, 3)); d != "" {
			t.Errorf("%s, net (-want +got):\n%s", c.name, d)
		}
	}
}

// bill is a small product structure for the textbook explosions.
type bill struct {
	parent, child string
	per           int
}

// explode nets a structure level by level and gives "item quantity@due" as net needs by week.
func explode(order []string, bills []bill, lead, have map[string]int, top string, n, due int) map[string]map[int]int {
	wants := map[string][]Want{top: {{plant.Time(due), plant.Pieces(n)}}}
	out := map[string]map[int]int{}
	for _, item := range order {
		net := Net(Record{Lots: stockOf(have[item]), Wants: wants[item]})
		for _, o := range net.Orders {
			if out[item] == nil {
				out[item] = map[int]int{}
			}
			out[item][int(o.At)] += o.Qty.Ceil()
		}
		for at, q := range out[item] {
			for _, b := range bills {
				if b.parent == item {
					wants[b.child] = append(wants[b.child], Want{plant.Time(at - lead[item]), plant.Pieces(q * b.per)})
				}
			}
		}
		for k := range wants { // the earliest need draws first
			sortWants(wants[k])
		}
	}
	return out
}

func sortWants(w []Want) {
	for i := range w {
		for j := i; j > 0 && w[j].At < w[j-1].At; j-- {
			w[j], w[j-1] = w[j-1], w[j]
		}
	}
}

// Heizer and Render, Operations Management, ch. on material requirements planning: the "Awesome" speaker kit. D and E are
// used on two levels, so each waits for its deepest parent.
func TestSpeakerKit(t *testing.T) {
	bills := []bill{{"A", "B", 2}, {"A", "C", 3}, {"B", "D", 2}, {"B", "E", 2}, {"C", "E", 2}, {"C", "F", 2}, {"F", "D", 2}, {"F", "G", 1}}
	lead := map[string]int{"A": 1, "B": 2, "C": 1, "D": 1, "E": 2, "F": 3, "G": 2}
	have := map[string]int{"A": 10, "B": 15, "C": 20, "D": 10, "E": 10, "F": 5, "G": 0}
	got := explode([]string{"A", "B", "C", "E", "F", "D", "G"}, bills, lead, have, "A", 50, 8)
	want := map[string]map[int]int{"A": {8: 40}, "B": {7: 65}, "C": {7: 100}, "E": {5: 120, 6: 200}, "F": {6: 195},
		"D": {3: 380, 5: 130}, "G": {3: 195}}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("net by week due (-want +got):\n%s", d)
	}
}

// Stevenson, Operations Management, ch. 12, problem 2: 20 end items of 2B, 1C, 3D; each of those of 2E; quantities only.
func TestQuantitiesOnly(t *testing.T) {
	bills := []bill{{"A", "B", 2}, {"A", "C", 1}, {"A", "D", 3}, {"B", "E", 2}, {"C", "E", 2}, {"D", "E", 2}}
	got := explode([]string{"A", "B", "C", "D", "E"}, bills, nil, map[string]int{"B": 10, "C": 10, "D": 25, "E": 12}, "A", 20, 9)
	want := map[string]map[int]int{"A": {9: 20}, "B": {9: 30}, "C": {9: 10}, "D": {9: 35}, "E": {9: 138}}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("net (-want +got):\n%s", d)
	}
}

// A textbook homework structure without stock, offsets by hand: Z due 10, so A and B due 8; A released 7, so C and D due
// 7; D released 6, so E due 6.
func TestDeepOffset(t *testing.T) {
	bills := []bill{{"Z", "A", 2}, {"Z", "B", 3}, {"A", "C", 4}, {"A", "D", 4}, {"D", "E", 2}}
	lead := map[string]int{"Z": 2, "A": 1, "B": 1, "C": 1, "D": 1, "E": 3}
	got := explode([]string{"Z", "A", "B", "C", "D", "E"}, bills, lead, nil, "Z", 59, 10)
	want := map[string]map[int]int{"Z": {10: 59}, "A": {8: 118}, "B": {8: 177}, "C": {7: 472}, "D": {7: 472}, "E": {6: 944}}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("net by week due (-want +got):\n%s", d)
	}
}

// Hopp and Spearman, Factory Physics, ch. 3.1.8: divide by the yield, do not multiply by one plus the scrap (which gives
// 105 for the first). 100 / 0.95 = 105.26; 60 / 0.97 = 61.86; 8379 of 10000 survive 0.98 x 0.95 x 0.90: 100 / 0.8379 = 119.3.
func TestYieldGrossUp(t *testing.T) {
	for _, c := range []struct {
		need  int
		scrap float64
		start int
	}{{100, 5, 106}, {60, 3, 62}, {100, 16.21, 120}, {95, 5, 100}, {7, 0, 7}, {0, 5, 0}} {
		if got := start(c.need, c.scrap); got != c.start {
			t.Errorf("start(%d, %g %%) = %d; want %d", c.need, c.scrap, got, c.start)
		}
	}
}

func supplies1(t *rapid.T, name string) []Supply {
	out := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Supply {
		return Supply{plant.Time(rapid.IntRange(0, 60).Draw(t, "at")), plant.Qty(rapid.IntRange(0, 9000).Draw(t, "qty"))}
	}), 0, 5).Draw(t, name)
	for i := range out { // in order of time
		for j := i; j > 0 && out[j].At < out[j-1].At; j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}

// Every want is covered exactly, nothing is drawn beyond what is there, the safety stock is filled, and orders follow
// their rule.
func TestNettingBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Record{Lots: supplies1(t, "lots"), Started: supplies1(t, "started"), Receipts: supplies1(t, "receipts"),
			Safety: plant.Qty(rapid.IntRange(0, 4000).Draw(t, "safety")), InTime: rapid.Bool().Draw(t, "in time"),
			NoOrders: rapid.Bool().Draw(t, "no orders"),
			Rule: LotRule{Kind: rapid.SampledFrom([]string{"", AsNeeded, FixedLot, Minimum}).Draw(t, "rule"),
				Qty: plant.Qty(rapid.IntRange(0, 5000).Draw(t, "lot")), Multiple: plant.Qty(rapid.IntRange(0, 3000).Draw(t, "multiple")),
				Window: plant.Seconds(rapid.IntRange(0, 9).Draw(t, "window"))}}
		for i := rapid.IntRange(0, 8).Draw(t, "wants"); i > 0; i-- {
			r.Wants = append(r.Wants, Want{plant.Time(rapid.IntRange(0, 60).Draw(t, "at")), plant.Qty(rapid.IntRange(0, 9000).Draw(t, "qty"))})
		}
		n := Net(r)
		covered := make([]plant.Qty, len(r.Wants))
		var safety plant.Qty
		left := map[Source][]plant.Qty{OfLot: amounts(r.Lots), OfStarted: amounts(r.Started), OfReceipt: amounts(r.Receipts)}
		for _, o := range n.Orders {
			left[OfOrder] = append(left[OfOrder], o.Qty)
		}
		for _, d := range n.Draws {
			if left[d.Of][d.From] -= d.Qty; left[d.Of][d.From] < 0 || d.Qty <= 0 {
				t.Fatalf("overdrawn: %+v of %+v", d, n)
			}
			if d.Want == None {
				safety += d.Qty
			} else {
				covered[d.Want] += d.Qty
			}
			if r.InTime && d.Want != None && d.Of == OfReceipt && r.Receipts[d.From].At > r.Wants[d.Want].At {
				t.Fatalf("a receipt is drawn before it comes: %+v", d)
			}
		}
		for i, w := range r.Wants {
			if covered[i]+n.Short[i] != w.Qty || !r.NoOrders && n.Short[i] != 0 {
				t.Fatalf("want %d: %d covered, %d short of %d", i, covered[i], n.Short[i], w.Qty)
			}
		}
		if !r.NoOrders && safety != r.Safety {
			t.Fatalf("safety stock %d, filled %d", r.Safety, safety)
		}
		checkRule(t, &r, &n)
	})
}

func checkRule(t *rapid.T, r *Record, n *Netting) {
	for i, o := range n.Orders {
		switch {
		case i > 0 && o.At < n.Orders[i-1].At:
			t.Fatalf("orders are not in order of need: %v", n.Orders)
		case r.NoOrders:
			t.Fatalf("ordered %v", o)
		case r.Rule.Kind == FixedLot && r.Rule.Qty > 0:
			if o.Qty != r.Rule.Qty {
				t.Fatalf("fixed lot %v", o)
			}
		case r.Rule.Multiple > 0 && o.Qty%r.Rule.Multiple != 0:
			t.Fatalf("%v is no multiple of %v", o.Qty, r.Rule.Multiple)
		case r.Rule.Kind == Minimum && o.Qty < r.Rule.Qty:
			t.Fatalf("%v is below the minimum %v", o.Qty, r.Rule.Qty)
		}
	}
}
