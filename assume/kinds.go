package assume

import "tackline/plant"

// Kind says what is assumed.
type Kind string

// Kinds of assumptions.
const (
	StationDown   Kind = "down"     // a station is down between two times
	Overtime      Kind = "overtime" // a station, or all that follows a calendar, is open in a window
	ExtraShift    Kind = "shift"    // a calendar gets one more shift
	Away          Kind = "away"     // a person, or some people of a pool, are away
	ExtraPeople   Kind = "people"   // a pool has more people
	OrderAdded    Kind = "order"    // an order line comes
	OrderDropped  Kind = "drop"     // an order, or one line of it, is cancelled
	DueMoved      Kind = "due"      // an order, or one line of it, is due at another time
	ReceiptMoved  Kind = "receipt"  // a kit, purchase or transfer comes later or earlier
	DeliveryAdded Kind = "delivery" // something comes that nobody has ordered yet
	WorkHeld      Kind = "hold"     // an operation is held
)

// Assumption is one change of a book. Kind says which of the other fields count; see Shapes.
type Assumption struct {
	Kind     Kind             `json:"kind"`
	Station  plant.StationID  `json:"station,omitempty" ref:"stations" title:"Station"`
	Calendar plant.CalendarID `json:"calendar,omitempty" ref:"calendars" title:"Calendar"`
	Days     string           `json:"days,omitempty" title:"Days of the week" eg:"mon-fri"`
	Hours    string           `json:"hours,omitempty" title:"From and to" eg:"22:00-06:00"`
	Pool     plant.PoolID     `json:"pool,omitempty" ref:"pools" title:"Crew pool"`
	Person   plant.PersonID   `json:"person,omitempty" ref:"people" title:"Person"`
	Heads    int              `json:"heads,omitempty" title:"People" eg:"1"`
	Order    plant.OrderID    `json:"order,omitempty" ref:"orders" title:"Order"`
	Line     int              `json:"line,omitempty" title:"Line" eg:"1"`
	Customer string           `json:"customer,omitempty" title:"Customer"`
	Class    plant.ClassID    `json:"class,omitempty" ref:"classes" title:"Order class"`
	Item     plant.ItemID     `json:"item,omitempty" ref:"items" title:"Item"`
	Quantity plant.Qty        `json:"quantity,omitempty" title:"Quantity" eg:"1"`
	Options  string           `json:"options,omitempty" title:"Options" eg:"jaws=4; form=closed"`
	Receipt  plant.ReceiptID  `json:"receipt,omitempty" ref:"receipts" title:"Receipt"`
	Job      plant.JobID      `json:"job,omitempty" title:"Job" eg:"1042-1-1/jaw-4c"`
	Op       int              `json:"op,omitempty" title:"Operation" eg:"20"`
	From     plant.Wall       `json:"from,omitempty" title:"From"`
	To       plant.Wall       `json:"to,omitempty" title:"Until"`
	At       plant.Wall       `json:"at,omitempty" title:"When"`
	Reason   string           `json:"reason,omitempty" title:"Reason"`
}

// Shape says which fields an assumption of a kind has. Need are the fields without which it means nothing; May are the others
// that count.
type Shape struct {
	Kind  Kind
	Title string // in a few words, for lists and choices
	Note  string // what the fields mean, for the person who fills them in
	Need  []string
	May   []string
	At    string // what its time is called; "": it has none
}

var shapes = []Shape{
	{StationDown, "Station down", "The station is closed from one time until another.", []string{"station", "from", "to"}, []string{"reason"}, ""},
	{Overtime, "Overtime", "Name a station, or a calendar for all stations and people that follow it. A station on its own needs people too: say how many come of each crew that its work needs, or of one pool.",
		[]string{"from", "to"}, []string{"station", "calendar", "heads", "pool", "reason"}, ""},
	{ExtraShift, "Extra shift", "All stations and people that follow the calendar work one more shift. Between two dates it counts as overtime and holidays stay closed; without dates it is there for good, at no extra cost.",
		[]string{"calendar", "days", "hours"}, []string{"from", "to", "reason"}, ""},
	{Away, "People away", "Name a person, or a pool and how many of it.", []string{"from", "to"}, []string{"person", "pool", "heads", "reason"}, ""},
	{ExtraPeople, "Extra people", "They work as most people of the pool do, or by the calendar named, and hold what the pool must hold. Without dates they are there for good.",
		[]string{"pool", "heads"}, []string{"calendar", "from", "to", "reason"}, ""},
	{OrderAdded, "Order added", "A line of a new order, or one more line of an order that is there. Without a class it has the one that most orders have.", []string{"order", "item", "at"},
		[]string{"quantity", "options", "customer", "class", "reason"}, "Due"},
	{OrderDropped, "Order dropped", "All open lines of the order, or the one named.", []string{"order"}, []string{"line", "reason"}, ""},
	{DueMoved, "Due date moved", "All open lines of the order, or the one named, are due then.", []string{"order", "at"}, []string{"line", "reason"}, "Due then"},
	{ReceiptMoved, "Kit or delivery late or early", "The purchase or transfer comes then.", []string{"receipt", "at"}, []string{"reason"}, "Comes"},
	{DeliveryAdded, "Delivery added", "A quantity that is not on order yet comes then.", []string{"item", "quantity", "at"}, []string{"reason"}, "Comes"},
	{WorkHeld, "Work held", "An operation that has not begun is held, and goes on then.", []string{"job", "op", "at"}, []string{"reason"}, "Goes on"},
}

// Shapes gives the shape of every kind, in the order in which they are offered. The result is shared: do not change it.
func Shapes() []Shape { return shapes }

// ShapeOf gives the shape of a kind; ok is false if there is no such kind.
func ShapeOf(k Kind) (s *Shape, ok bool) {
	for i := range shapes {
		if shapes[i].Kind == k {
			return &shapes[i], true
		}
	}
	return nil, false
}
