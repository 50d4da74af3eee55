package order

import "tackline/plant"

// See package plant for the meaning of the tags.

// Class is a kind of order with the cost of a day's lateness.
type Class struct {
	ID   plant.ClassID `col:"class,key" eg:"standard" note:"order class"`
	Name string        `col:"name" eg:"Standard" note:"name on screens"`
	Late plant.Money   `col:"late_per_day" def:"400" eg:"400.00" note:"cost of one unit being one day late"`
}

// Order is what a customer, a sister plant or the stock asks for.
type Order struct {
	ID       plant.OrderID `col:"order,key" eg:"1042" note:"order number"`
	Customer string        `col:"customer,need" eg:"Harbour yard, Westhaven" note:"customer, sister plant, or stock"`
	Plant    plant.ID      `col:"plant,need" ref:"plants" eg:"brackwater" note:"plant that ships it; its time zone reads the dates"`
	Class    plant.ClassID `col:"class,need" ref:"classes" eg:"standard" note:"order class"`
	Received plant.Date    `col:"received" eg:"2026-10-05" note:"day received"`
	Note     string        `col:"note" eg:"" note:"for people"`
}

// States of an order line.
const (
	Open      = "open"
	Shipped   = "shipped"
	Cancelled = "cancelled"
)

// Line asks for a quantity of one product with the options chosen.
type Line struct {
	Order     plant.OrderID `col:"order,key" ref:"orders" eg:"1042" note:"order"`
	Line      int           `col:"line,key" eg:"1" note:"line number"`
	Product   plant.ItemID  `col:"product,need" ref:"items" eg:"tine-grab" note:"item ordered; its product column must be yes"`
	Quantity  int           `col:"quantity,need" eg:"2" note:"units wanted"`
	Due       plant.Wall    `col:"due,need" eg:"2026-12-11T16:00" note:"when it is promised to leave the plant"`
	Release   plant.Wall    `col:"not_before" eg:"" note:"no work before this; empty is at once"`
	Options   Choices       `col:"options" eg:"jaws=4; form=closed; rotator=yes" note:"option=value, separated by ;"`
	Priority  int           `col:"priority" def:"0" eg:"0" note:"larger goes first among equals"`
	State     string        `col:"state" enum:"open|shipped|cancelled" def:"open" eg:"open" note:"open, shipped or cancelled"`
	ShippedAt plant.Wall    `col:"shipped_at" eg:"" note:"when it left, if shipped"`
}
