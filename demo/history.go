package demo

import (
	"fmt"
	"math"

	"tackline/order"
	"tackline/plant"
	"tackline/stock"
)

// history makes shipped orders of the last six weeks with what their operations took: planned by the formulas' usual
// values, actual with a log-normal spread (sigma 0.18, a spread usual for manual work: common practice).
func (d *maker) history() {
	no := 901
	for day := -42; day < 0; day++ {
		if wd := (int(d.now.In(d.zone).Weekday()) + day%7 + 7) % 7; wd == 0 || wd == 6 {
			continue
		}
		for range 1 + d.rnd.IntN(2) {
			d.past(no, day)
			no++
		}
	}
}

// pastOps are the operations recorded for a past unit: item, operation, station, planned minutes, pieces.
func pastOps(item plant.ItemID, r int) []stock.Finished {
	jaw, head, pieces := plant.ItemID("jaw-closed-small"), plant.ItemID("head-tg-small-4"), 4
	if item == "log-grapple" {
		jaw, head, pieces = "arm-small", "head-lg-small", 2
	}
	if item == "clamshell" {
		jaw, head, pieces = "shell-400", "head-cs-400", 2
	}
	return []stock.Finished{
		{Item: jaw, Seq: 20, Station: plant.StationID(fmt.Sprintf("tack-%d", 1+r%2)), Pieces: pieces, Planned: 26 * float64(pieces)},
		{Item: jaw, Seq: 30, Station: plant.StationID(fmt.Sprintf("weld-robot-%d", 1+r%3)), Pieces: pieces, Planned: 41 * float64(pieces)},
		{Item: jaw, Seq: 70, Station: plant.StationID(fmt.Sprintf("pallet-mill-%d", 1+r%2)), Pieces: pieces, Planned: 52 * float64(pieces)},
		{Item: head, Seq: 30, Station: plant.StationID(fmt.Sprintf("weld-robot-%d", 1+(r+1)%3)), Pieces: 1, Planned: 105},
		{Item: head, Seq: 70, Station: plant.StationID(fmt.Sprintf("pallet-mill-%d", 1+(r+1)%2)), Pieces: 1, Planned: 96},
		{Item: item, Seq: 20, Station: "sub-assembly-1", Pieces: 1, Planned: 95},
		{Item: item, Seq: 30, Station: plant.StationID(fmt.Sprintf("assembly-%d", 1+r%2)), Pieces: 1, Planned: 300},
		{Item: item, Seq: 40, Station: "function-test-1", Pieces: 1, Planned: 50},
		{Item: item, Seq: 60, Station: "shipping-1", Pieces: 1, Planned: 38},
	}
}

func (d *maker) past(no, day int) {
	item, options := d.configuration()
	id := plant.OrderID(fmt.Sprintf("0%d", no))
	d.b.Orders = append(d.b.Orders, order.Order{ID: id, Customer: customers[d.rnd.IntN(len(customers))], Plant: brackwater, Class: "standard", Received: plant.Date(d.day(day - 55))})
	d.b.Lines = append(d.b.Lines, order.Line{Order: id, Line: 1, Product: item, Quantity: 1, Due: d.wall(day+d.rnd.IntN(3), "16:00"),
		Options: order.ChoicesOf(options), State: order.Shipped, ShippedAt: d.wall(day, "15:20")})
	ops := pastOps(item, d.rnd.IntN(12))
	for i, f := range ops {
		f.Unit = plant.UnitID(fmt.Sprintf("%s-1-1", id))
		f.Actual = math.Round(f.Planned * math.Exp(d.rnd.NormFloat64()*0.18))
		on := day - (len(ops)-1-i)*2/3
		start := 7*60 + d.rnd.IntN(90)
		f.Start, f.End = d.minutes(on, start), d.minutes(on, start+int(f.Actual))
		f.Due, f.Result = d.minutes(on, start+int(f.Planned)), "good"
		if f.Seq == 40 && d.rnd.IntN(12) == 0 {
			f.Result = "repaired"
		}
		d.b.Finished = append(d.b.Finished, f)
	}
}

// minutes gives a wall time m minutes after midnight of day n.
func (d *maker) minutes(n, m int) plant.Wall {
	return d.wall(n, fmt.Sprintf("%02d:%02d", m/60%24, m%60))
}
