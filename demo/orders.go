package demo

import (
	"fmt"
	"math/rand/v2"
	"time"

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

// ahead is how many days before its due date the work on an order may begin: orders are not built far ahead, or the yard fills.
const ahead = 19

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
	due := d.workday(week*7 + weekday(d.rnd))
	d.b.Lines = append(d.b.Lines, order.Line{Order: id, Line: 1, Product: item, Quantity: quantity, Due: d.wall(due, "16:00"),
		Release: d.wall(due-ahead, "06:00"), Options: order.ChoicesOf(options), State: order.Open})
}

// weekday gives a day from one to four days after the demo's morning, so that dues fall on working days for most mornings.
func weekday(r *rand.Rand) int { return 1 + r.IntN(5) }

// workday gives n, or the Friday before if n days from the demo's morning is on a weekend.
func (d *maker) workday(n int) int {
	switch d.now.In(d.zone).AddDate(0, 0, n).Weekday() {
	case time.Saturday:
		return n - 1
	case time.Sunday:
		return n - 2
	}
	return n
}

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
	due := d.workday(week*7 + 4)
	item, pieces := plant.ItemID("crate-cyl-80"), pick(d.rnd, "4", "6", "8")
	switch d.rnd.IntN(3) {
	case 0:
		item = "crate-cyl-100"
	case 1:
		item, pieces = "crate-pin-70", pick(d.rnd, "16", "24")
	}
	d.b.Lines = append(d.b.Lines, order.Line{Order: id, Line: 1, Product: item, Quantity: 1, Due: d.wall(due, "15:00"), Release: d.wall(due-ahead, "06:00"),
		Options: order.Choices("pieces=" + pieces), State: order.Open})
}

// onHand is what lies in stock at the start, and what is received every two weeks.
var onHand = []struct {
	item          string
	stock, weekly float64
}{
	{"plate-20", 25000, 5000}, {"plate-30", 16000, 3200}, {"bar-50", 60, 12}, {"bar-60", 60, 12}, {"bar-70", 105, 21},
	{"bar-90", 60, 12}, {"tube-80", 58, 11.5}, {"tube-100", 55, 11}, {"rod-eye", 185, 37}, {"gland-80", 95, 19},
	{"gland-100", 75, 15}, {"seals-80", 95, 19}, {"seals-100", 75, 15}, {"bush-70", 550, 110}, {"bush-90", 300, 60},
	{"tip", 45, 13}, {"rotator", 6, 7}, {"manifold", 38, 11}, {"hoses", 38, 11}, {"return-line", 9, 2.5},
	{"saw-drive", 3, 1.2}, {"magnet", 2, 0.5}, {"paint", 75, 22}, {"plate-serial", 38, 11}, {"skid", 43, 12.5},
	{"plate-box", 5, 1.2}, {"cyl-80-400", 40, 0}, {"cyl-100-500", 34, 0}, {"pin-70", 190, 0}, {"pin-90", 90, 0},
	{"rod-80", 16, 0}, {"barrel-80", 16, 0}, {"rod-100", 16, 0}, {"barrel-100", 16, 0},
}

func (d *maker) materials() {
	lot, po := 2001, 5501
	for i, s := range onHand {
		it := d.itemNamed(s.item)
		d.b.Lots = append(d.b.Lots, stock.Lot{ID: plant.LotID(fmt.Sprintf("L-%d", lot)), Item: it.ID, Plant: it.Plant, Quantity: plant.QtyOf(s.stock) + it.Safety,
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
