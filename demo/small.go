package demo

import (
	"tackline/book"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// Small gives a plant that can be read in ten minutes: one plant, five stations, one product with two options, three orders.
func Small(now plant.Time) (*book.Book, error) {
	d, err := newMaker(1, now)
	if err != nil {
		return nil, err
	}
	d.set("plan_from", string(d.wall(0, "06:00")))
	d.smallWorks()
	d.smallProduct()
	d.smallOrders()
	return d.b, nil
}

func (d *maker) smallWorks() {
	d.b.Plants = []plant.Plant{{ID: "yard", Name: "Small yard", TimeZone: "Europe/Dublin", Units: "metric"}}
	d.calendar("day", "yard", "Day shift", [][4]string{{"morning", "mon-fri", "07:00", "12:00"}, {"afternoon", "mon-fri", "12:30", "16:00"}})
	d.calendar("always", "yard", "Always open", [][4]string{{"all day", "all", "00:00", "24:00"}})
	for _, c := range []struct {
		id, name, takes string
		setup, capacity float64
		calendar        plant.CalendarID
	}{{"tack", "Tack bench", "one", 5, 1, "day"}, {"robot", "Weld robot", "one", 20, 1, "day"}, {"booth", "Paint booth", "batch", 15, 4, "day"},
		{"rack", "Drying rack", "places", 0, 8, "always"}, {"bay", "Assembly bay", "one", 0, 1, "day"}} {
		d.b.Centres = append(d.b.Centres, plant.Centre{ID: plant.CentreID(c.id), Plant: "yard", Name: c.name, Takes: c.takes, Capacity: "places",
			Setup: c.setup, Order: 10 * (len(d.b.Centres) + 1)})
		d.b.Stations = append(d.b.Stations, plant.Station{ID: plant.StationID(c.id + "-1"), Centre: plant.CentreID(c.id), Name: c.name,
			Calendar: c.calendar, Speed: 1, Pallets: 1, Capacity: plant.QtyOf(c.capacity)})
	}
	d.b.Pools = []plant.Pool{{ID: "welders", Plant: "yard", Name: "Welders", Qualification: "weld-fillet"}, {ID: "fitters", Plant: "yard", Name: "Fitters"}}
	d.b.People = []plant.Person{{ID: "p-1", Name: "A. Aldane", Pool: "welders", Calendar: "day"}, {ID: "p-2", Name: "B. Birrow", Pool: "welders", Calendar: "day"},
		{ID: "p-3", Name: "C. Eskell", Pool: "fitters", Calendar: "day"}, {ID: "p-4", Name: "D. Farrant", Pool: "fitters", Calendar: "day"}}
	d.b.Qualifications = []plant.Qualification{{Person: "p-1", Name: "weld-fillet", Expires: plant.Date(d.day(300))}, {Person: "p-2", Name: "weld-fillet"}}
}

func (d *maker) smallProduct() {
	d.item(product.Item{ID: "plates", Name: "Plate kit for a jaw", Kind: product.Bought, Plant: "yard", Policy: "stock", Mass: 60, Cost: plant.MoneyOf(90), Lead: 7})
	d.item(product.Item{ID: "cylinder", Name: "Cylinder 80/50", Kind: product.Bought, Plant: "yard", Policy: "stock", Mass: 30, Cost: plant.MoneyOf(380), Lead: 12})
	d.item(product.Item{ID: "jaw", Name: "Jaw", Kind: product.Made, Plant: "yard", Mass: 60, Cost: plant.MoneyOf(260)}, "weld_mm", "2400", "mm", "leg_mm", "8", "mm")
	d.item(product.Item{ID: "grab", Name: "Grab", Kind: product.Made, Plant: "yard", Product: true, Family: "grab", Mass: 300, Cost: plant.MoneyOf(3900)})
	d.option("grab", "jaws", "Number of jaws", "number", "2|3|4", "3")
	d.option("grab", "colour", "Colour", "choice", "orange|grey", "orange")
	d.part("jaw", 10, "plates", "1", "ea", 10, "", false)
	d.part("grab", 10, "jaw", "opt.jaws", "ea", 10, "", true)
	d.part("grab", 20, "cylinder", "opt.jaws", "ea", 10, "", false)
	d.route("jaw",
		op{seq: 10, name: "tack", centre: "tack", nature: product.Attended, setup: "5", run: "25", crew: "welders"},
		op{seq: 20, name: "robot weld", centre: "robot", nature: product.Tended, load: "6", run: "weld_minutes(item.leg_mm, item.weld_mm, 'robot')", un: "4", family: "jaw", program: "W-1", fixture: "F-1", draw: "D-1", crew: "welders load"},
		op{seq: 30, name: "paint", centre: "booth", nature: product.Batch, load: "5", run: "30", un: "5", key: "{opt.colour}", family: "{opt.colour}", crew: "fitters"},
		op{seq: 40, name: "dry", centre: "rack", nature: product.Dwell, run: "60 * dry_hours(4, 20)"})
	d.route("grab",
		op{seq: 10, name: "assemble", centre: "bay", nature: product.Attended, run: "90 + 30 * opt.jaws", draw: "D-2", crew: "fitters x2"},
		op{seq: 20, name: "test, sign off and ship", centre: "bay", nature: product.Attended, run: "60", crew: "fitters", hold: true})
	d.b.Programs = []product.Program{{ID: "W-1", Revision: "A", Approved: true}}
	d.b.Drawings = []product.Drawing{{ID: "D-1", Revision: "B", Approved: true}, {ID: "D-2", Revision: "A", Approved: true}}
}

func (d *maker) smallOrders() {
	d.b.Classes = []order.Class{{ID: "standard", Name: "Standard", Late: plant.MoneyOf(400)}}
	for i, o := range []struct {
		customer, options string
		due               int
	}{{"Harbour yard", "jaws=4; colour=orange", 5}, {"Scrap yard", "jaws=3; colour=grey", 6}, {"Quarry", "jaws=2; colour=orange", 8}} {
		id := plant.OrderID([]string{"1", "2", "3"}[i])
		d.b.Orders = append(d.b.Orders, order.Order{ID: id, Customer: o.customer, Plant: "yard", Class: "standard", Received: plant.Date(d.day(-10))})
		d.b.Lines = append(d.b.Lines, order.Line{Order: id, Line: 1, Product: "grab", Quantity: 1, Due: d.wall(o.due, "16:00"), Options: order.Choices(o.options), State: order.Open})
	}
	d.b.Lots = []stock.Lot{{ID: "L-1", Item: "plates", Plant: "yard", Quantity: plant.Pieces(7), Place: "yard A", Received: plant.Date(d.day(-5))},
		{ID: "L-2", Item: "cylinder", Plant: "yard", Quantity: plant.Pieces(6), Place: "shelf 2", Received: plant.Date(d.day(-5))}}
	d.b.Receipts = []stock.Receipt{{ID: "PO-1", Item: "plates", Plant: "yard", Quantity: plant.Pieces(4), Promised: d.wall(1, "10:00"), Expected: d.wall(2, "10:00"), From: "supplier"},
		{ID: "PO-2", Item: "cylinder", Plant: "yard", Quantity: plant.Pieces(4), Promised: d.wall(2, "10:00"), Expected: d.wall(2, "10:00"), From: "supplier"}}
}
