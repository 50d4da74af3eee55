package demo

import (
	"fmt"
	"math/rand/v2"

	"tackline/order"
	"tackline/plant"
	"tackline/stock"
)

var classes = []order.Class{
	{ID: "rush", Name: "Rush, machine standing", Late: plant.MoneyOf(900)},
	{ID: "standard", Name: "Standard", Late: plant.MoneyOf(400)},
	{ID: "sister", Name: "Sister plant", Late: plant.MoneyOf(150)},
	{ID: "stock", Name: "For stock", Late: plant.MoneyOf(60)},
}

var customers = []string{"Harbour yard, Westhaven", "Sawmill at Tarn Bridge", "Scrap yard, Northmere", "Quarry above Calder Foot",
	"Dredging depot, Skerry Point", "Forest contractor, Alder Vale", "Recycling works, Low Moor", "Demolition crew, Eastgate",
	"Rail depot, Marl Junction", "Grain terminal, Sandwick"}

const weeks = 12

// orders spreads about 150 units over twelve weeks, some due this week, and a crate or two a week for Orrin Quay.
func (d *maker) orders() {
	no := 1001
	for week := range weeks {
		for range 9 + d.rnd.IntN(2) {
			d.attachment(no, week)
			no++
		}
		for range 1 + week%2 {
			d.crate(no, week)
			no++
		}
	}
}

func (d *maker) attachment(no, week int) {
	id := plant.OrderID(fmt.Sprint(no))
	class := plant.ClassID(pick(d.rnd, "standard", "standard", "standard", "standard", "rush", "stock"))
	customer := customers[d.rnd.IntN(len(customers))]
	if class == "stock" {
		customer = "Stock"
	}
	d.b.Orders = append(d.b.Orders, order.Order{ID: id, Customer: customer, Plant: brackwater, Class: class, Received: plant.Date(d.day(week*7 - 60 - d.rnd.IntN(15)))})
	quantity := 1
	if d.rnd.IntN(6) == 0 {
		quantity = 2
	}
	item, options := d.configuration()
	d.b.Lines = append(d.b.Lines, order.Line{Order: id, Line: 1, Product: item, Quantity: quantity, Due: d.wall(week*7+weekday(d.rnd), "16:00"),
		Options: order.ChoicesOf(options), State: order.Open})
}

// weekday gives a day from one to four days after the demo's morning, so that dues fall on working days for most mornings.
func weekday(r *rand.Rand) int { return 1 + r.IntN(5) }

func pick(r *rand.Rand, from ...string) string { return from[r.IntN(len(from))] }

func (d *maker) configuration() (plant.ItemID, map[string]string) {
	o := map[string]string{"colour": pick(d.rnd, "orange", "orange", "grey", "green"), "rotator": pick(d.rnd, "yes", "yes", "no"), "return_line": "no"}
	switch d.rnd.IntN(10) {
	case 0, 1, 2, 3, 4:
		o["jaws"], o["form"], o["size"] = pick(d.rnd, "3", "4", "4", "5"), pick(d.rnd, "open", "closed"), pick(d.rnd, "small", "small", "large")
		if o["jaws"] == "5" {
			o["form"] = "closed"
			o["return_line"] = "yes"
		}
		return "tine-grab", o
	case 5, 6, 7:
		o["size"], o["saw"] = pick(d.rnd, "small", "large"), pick(d.rnd, "no", "no", "yes")
		if o["saw"] == "yes" {
			o["rotator"], o["return_line"] = "yes", "yes"
		}
		return "log-grapple", o
	}
	o["volume"], o["magnet"], o["voltage"] = pick(d.rnd, "250", "400", "600"), "no", "none"
	if o["volume"] != "250" && d.rnd.IntN(3) == 0 {
		o["magnet"], o["voltage"] = "yes", pick(d.rnd, "24", "230")
	}
	return "clamshell", o
}

func (d *maker) crate(no, week int) {
	id := plant.OrderID(fmt.Sprint(no))
	d.b.Orders = append(d.b.Orders, order.Order{ID: id, Customer: "Orrin Quay", Plant: brackwater, Class: "sister", Received: plant.Date(d.day(week*7 - 30))})
	item, pieces := plant.ItemID("crate-cyl-80"), pick(d.rnd, "4", "6", "8")
	switch d.rnd.IntN(3) {
	case 0:
		item = "crate-cyl-100"
	case 1:
		item, pieces = "crate-pin-70", pick(d.rnd, "16", "24")
	}
	d.b.Lines = append(d.b.Lines, order.Line{Order: id, Line: 1, Product: item, Quantity: 1, Due: d.wall(week*7+4, "15:00"),
		Options: order.Choices("pieces=" + pieces), State: order.Open})
}

// onHand is what lies in stock at the start, and what is received every two weeks.
var onHand = []struct {
	item          string
	stock, weekly float64
}{
	{"plate-20", 14000, 5000}, {"plate-30", 9500, 3200}, {"bar-50", 40, 12}, {"bar-60", 38, 12}, {"bar-70", 64, 21}, {"bar-90", 40, 12},
	{"tube-80", 38, 11.5}, {"tube-100", 36, 11}, {"rod-eye", 110, 37}, {"gland-80", 46, 19}, {"gland-100", 40, 15}, {"seals-80", 46, 19},
	{"seals-100", 40, 15}, {"bush-70", 330, 110}, {"bush-90", 180, 60}, {"tip", 40, 13}, {"rotator", 15, 7}, {"manifold", 26, 11},
	{"hoses", 26, 11}, {"return-line", 8, 2.5}, {"saw-drive", 4, 1}, {"magnet", 1, 0.5}, {"paint", 90, 21}, {"plate-serial", 60, 11},
	{"skid", 34, 12}, {"plate-box", 5, 1}, {"cyl-80-400", 34, 0}, {"cyl-100-500", 30, 0}, {"pin-70", 180, 0}, {"pin-90", 90, 0},
	{"rod-80", 14, 0}, {"barrel-80", 14, 0}, {"rod-100", 14, 0}, {"barrel-100", 14, 0},
}

func (d *maker) materials() {
	lot, po := 2001, 5501
	for i, s := range onHand {
		it := d.itemNamed(s.item)
		d.b.Lots = append(d.b.Lots, stock.Lot{ID: plant.LotID(fmt.Sprintf("L-%d", lot)), Item: it.ID, Plant: it.Plant, Quantity: plant.QtyOf(s.stock),
			Heat: heatOf(it.Kind, d.rnd), Place: fmt.Sprintf("rack %c%d", 'A'+i%6, 1+i%9), Received: plant.Date(d.day(-7 - d.rnd.IntN(30)))})
		lot++
		for week := 0; s.weekly > 0 && week < weeks; week += 2 {
			at := d.wall(week*7+2+d.rnd.IntN(4), "10:00")
			d.b.Receipts = append(d.b.Receipts, stock.Receipt{ID: plant.ReceiptID(fmt.Sprintf("PO-%d", po)), Item: it.ID, Plant: it.Plant,
				Quantity: plant.QtyOf(s.weekly * 2), Promised: at, Expected: at, From: "supplier"})
			po++
		}
	}
}

func heatOf(kind string, r *rand.Rand) string {
	if kind == "bar" || kind == "tube" {
		return fmt.Sprintf("H-%05d", 10000+r.IntN(80000))
	}
	return ""
}
