package demo

import (
	"strings"

	"tackline/order"
	"tackline/plant"
	"tackline/stock"
)

// wrong puts six things wrong, each of which a sheet must show: a robot down, a late receipt, a failed leak test, an
// expired qualification, a program that is not approved, and rush orders that came in yesterday.
func (d *maker) wrong() {
	d.rush("1201", "tine-grab", "colour=orange; form=closed; jaws=5; return_line=yes; rotator=yes; size=large", 7)
	d.rush("1202", "log-grapple", "colour=grey; return_line=yes; rotator=yes; saw=yes; size=small", 5)
	d.b.Exceptions = append(d.b.Exceptions, plant.Exception{Station: "weld-robot-2", Kind: "down", Reason: "wire feeder motor failed",
		From: d.wall(0, "04:30"), To: d.wall(1, "12:00")})
	d.lateReceipt("rotator")
	d.failedTest()
	for i := range d.b.Qualifications {
		if d.b.Qualifications[i].Name == "weld-fillet" {
			d.b.Qualifications[i].Expires = plant.Date(d.day(-3))
			break
		}
	}
	for i := range d.b.Programs {
		if p := &d.b.Programs[i]; p.ID == "WH-large-5" || p.ID == "MWH-large-5" {
			p.Approved, p.Due, p.Note = false, plant.Date(d.day(2)), "first time this head is built; program is being written"
		}
	}
	for i, name := range []string{"leave", "ill"} {
		d.b.Absences = append(d.b.Absences, plant.Absence{Person: d.b.People[4+i*9].ID, From: d.wall(0, "00:00"), To: d.wall(3+i*4, "00:00"), Reason: name})
	}
}

// rush adds an order for a machine that stands still, received yesterday and due in so many days.
func (d *maker) rush(id plant.OrderID, item plant.ItemID, options order.Choices, due int) {
	d.b.Orders = append(d.b.Orders, order.Order{ID: id, Customer: "Scrap yard, Northmere", Plant: brackwater, Class: "rush", Received: plant.Date(d.day(-1)),
		Note: "machine stands still; ask before moving the date"})
	d.b.Lines = append(d.b.Lines, order.Line{Order: id, Line: 1, Product: item, Quantity: 1, Due: d.wall(d.workday(due), "16:00"), Options: options, Priority: 1, State: order.Open})
}

// lateReceipt moves the first receipt of an item by nine days.
func (d *maker) lateReceipt(item plant.ItemID) {
	for i := range d.b.Receipts {
		r := &d.b.Receipts[i]
		if r.Item != item {
			continue
		}
		promised, _ := r.Promised.Time(d.zone)
		r.Expected = plant.WallAt(promised.Add(9*24*3600), d.zone)[:16]
		r.From = "supplier; carrier lost the pallet"
		return
	}
}

// failedTest holds the first cylinder lot on the floor at its leak test: what came after the test has not happened.
func (d *maker) failedTest() {
	const test = 20 // operation of a cylinder's route
	for _, r := range d.b.Releases {
		if !strings.HasPrefix(string(r.Item), "cyl-") {
			continue
		}
		var work []stock.Work
		for _, w := range d.b.Work {
			if w.Job != r.Job || w.Seq < test {
				work = append(work, w)
			}
		}
		d.b.Work = append(work, stock.Work{Job: r.Job, Seq: test, State: stock.Held, End: d.wall(1, "10:00"),
			Note: "cylinder 3 of the lot lost 14 bar in 60 s; seal decision open"})
		return
	}
}
