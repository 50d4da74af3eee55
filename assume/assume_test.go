package assume_test

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tackline/assume"
	"tackline/book"
	"tackline/book/booktest"
	"tackline/order"
	"tackline/plant"
)

var now = plant.At(time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC))

// one is an assumption of each kind that fits booktest.Small, the sentence that says it, and the rows that it adds, changes
// or removes.
var one = []struct {
	a       assume.Assumption
	says    string
	added   []string // table: cells that the added row contains
	changed []string
}{
	{assume.Assumption{Kind: assume.StationDown, Station: "robot-1", From: "2026-11-30T06:00", To: "2026-12-02T12:00", Reason: "drive"},
		"Robot 1 is down from Mon 30 Nov 06:00 to Wed 2 Dec 12:00 (drive).",
		[]string{"exceptions:  robot-1 2026-11-30T06:00 2026-12-02T12:00 down drive"}, nil},
	{assume.Assumption{Kind: assume.Overtime, Calendar: "day", From: "2026-11-28T06:00", To: "2026-11-28T12:00"},
		"Days: overtime from Sat 28 Nov 06:00 to Sat 28 Nov 12:00.",
		[]string{"exceptions: day  2026-11-28T06:00 2026-11-28T12:00 overtime "}, nil},
	{assume.Assumption{Kind: assume.Overtime, Station: "robot-2", Heads: 1, From: "2026-11-28T06:00", To: "2026-11-28T12:00"},
		"Robot 2 works overtime from Sat 28 Nov 06:00 to Sat 28 Nov 12:00, with 1 of Welders.",
		[]string{"calendars: overtime-robot-2-1 north Overtime on robot-2",
			"exceptions:  robot-2 2026-11-28T06:00 2026-11-28T12:00 overtime ",
			"exceptions: overtime-robot-2-1  2026-11-28T06:00 2026-11-28T12:00 overtime ",
			"people: extra-1 Extra person, Welders welders overtime-robot-2-1",
			"qualifications: extra-1 weld-fillet "}, nil},
	{assume.Assumption{Kind: assume.ExtraShift, Calendar: "day", Days: "mon-fri", Hours: "18:00-22:00"},
		"Days: an extra shift 18:00-22:00 on mon-fri, for good.",
		[]string{"shifts: day extra-1 mon-fri 18:00 22:00"}, nil},
	{assume.Assumption{Kind: assume.ExtraShift, Calendar: "day", Days: "sat", Hours: "22:00-02:00", From: "2026-11-27T00:00", To: "2026-12-07T00:00"},
		"Days: an extra shift 22:00-02:00 on sat, from Fri 27 Nov 00:00 to Mon 7 Dec 00:00.",
		[]string{"exceptions: day  2026-11-28T22:00 2026-11-29T02:00 overtime extra shift",
			"exceptions: day  2026-12-05T22:00 2026-12-06T02:00 overtime extra shift"}, nil},
	{assume.Assumption{Kind: assume.Away, Person: "p-1", From: "2026-11-30T00:00", To: "2026-12-05T00:00", Reason: "course"},
		"A. Marsh is away from Mon 30 Nov 00:00 to Sat 5 Dec 00:00 (course).",
		[]string{"absences: p-1 2026-11-30T00:00 2026-12-05T00:00 course"}, nil},
	{assume.Assumption{Kind: assume.Away, Pool: "welders", From: "2026-12-08T00:00", To: "2026-12-09T00:00"}, // p-2 is on leave then
		"1 of Welders is away from Tue 8 Dec 00:00 to Wed 9 Dec 00:00.",
		[]string{"absences: p-1 2026-12-08T00:00 2026-12-09T00:00 "}, nil},
	{assume.Assumption{Kind: assume.ExtraPeople, Pool: "welders", Heads: 2, From: "2026-11-30T00:00", To: "2026-12-05T00:00"},
		"2 more of Welders come, from Mon 30 Nov 00:00 to Sat 5 Dec 00:00.",
		[]string{"people: extra-1 Extra person, Welders welders day", "people: extra-2 Extra person, Welders welders day",
			"qualifications: extra-1 weld-fillet ", "qualifications: extra-2 weld-fillet ",
			"absences: extra-1 2000-01-01T00:00 2026-11-30T00:00 not here yet", "absences: extra-1 2026-12-05T00:00 2100-01-01T00:00 no longer here",
			"absences: extra-2 2000-01-01T00:00 2026-11-30T00:00 not here yet", "absences: extra-2 2026-12-05T00:00 2100-01-01T00:00 no longer here"}, nil},
	{assume.Assumption{Kind: assume.OrderAdded, Order: "1003", Customer: "Port of Lindale", Item: "grab", Quantity: plant.Pieces(2), Options: "jaws=3", At: "2026-12-15T16:00"},
		"Order 1003 comes: 2 Grab (jaws=3) for Port of Lindale, due Tue 15 Dec 16:00.",
		[]string{"orders: 1003 Port of Lindale north standard  ", "lines: 1003 1 grab 2 2026-12-15T16:00  jaws=3 0 open "}, nil},
	{assume.Assumption{Kind: assume.OrderAdded, Order: "1001", Item: "grab", At: "2026-12-15T16:00"},
		"Order 1001 comes: 1 Grab, due Tue 15 Dec 16:00.",
		[]string{"lines: 1001 3 grab 1 2026-12-15T16:00   0 open "}, nil},
	{assume.Assumption{Kind: assume.OrderDropped, Order: "1001"}, "Order 1001 for Harbour yard is dropped.", nil,
		[]string{"lines: 1001 1 grab 2 2026-12-18T16:00  jaws=4; form=closed; rotator=yes 0 cancelled ",
			"lines: 1001 2 grab 1 2027-01-15T16:00 2026-12-01T06:00  0 cancelled "}},
	{assume.Assumption{Kind: assume.DueMoved, Order: "1001", Line: 2, At: "2027-01-08T16:00"}, "Order 1001, line 2 for Harbour yard is due Fri 8 Jan 16:00.", nil,
		[]string{"lines: 1001 2 grab 1 2027-01-08T16:00 2026-12-01T06:00  0 open "}},
	{assume.Assumption{Kind: assume.ReceiptMoved, Receipt: "R-1", At: "2026-12-04T10:00", Reason: "lorry"}, "Receipt R-1 (1 Rotator) comes Fri 4 Dec 10:00 (lorry).", nil,
		[]string{"receipts: R-1 rotator north 1 2026-11-27T10:00 2026-12-04T10:00 rotator maker"}},
	{assume.Assumption{Kind: assume.DeliveryAdded, Item: "plate", Quantity: plant.Pieces(4), At: "2026-11-27T10:00", Reason: "the other works"},
		"4 Plate kit come Fri 27 Nov 10:00 from the other works.",
		[]string{"receipts: extra-1 plate north 4 2026-11-27T10:00 2026-11-27T10:00 the other works"}, nil},
	{assume.Assumption{Kind: assume.WorkHeld, Job: "1001-1-2/jaw-closed", Op: 10, At: "2026-12-01T12:00", Reason: "crack"},
		"Operation 10 of job 1001-1-2/jaw-closed is held until Tue 1 Dec 12:00 (crack).", nil,
		[]string{"work: 1001-1-2/jaw-closed 10 held    2026-12-01T12:00 crack"}},
}

// TestOne: each kind changes exactly the rows that a planner would have typed, says so, and leaves a book that can be planned.
func TestOne(t *testing.T) {
	for _, c := range one {
		t.Run(c.says, func(t *testing.T) {
			b := booktest.Small()
			got, err := assume.Apply(b, []assume.Assumption{c.a})
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(booktest.Small(), b); d != "" {
				t.Fatalf("the book given has changed:\n%s", d)
			}
			added, changed, removed := difference(b, got)
			if d := cmp.Diff(c.added, added); d != "" {
				t.Errorf("rows added (-want +got):\n%s", d)
			}
			if d := cmp.Diff(c.changed, changed); d != "" {
				t.Errorf("rows changed (-want +got):\n%s", d)
			}
			if removed != nil {
				t.Errorf("rows removed: %v", removed)
			}
			if faults := book.Check(got, nil); len(faults) > 0 {
				t.Errorf("the changed book has faults:\n%v", faults)
			}
			if s := assume.Sentence(b, c.a, now); s != c.says {
				t.Errorf("says %q", s)
			}
		})
	}
}

// TestUsualClass: a new order without a class has the one that most orders have.
func TestUsualClass(t *testing.T) {
	b := booktest.Small()
	b.Classes = append([]order.Class{{ID: "rush", Late: 90000}}, b.Classes...)
	got, err := assume.Apply(b, []assume.Assumption{{Kind: assume.OrderAdded, Order: "1003", Item: "grab", At: "2026-12-15T16:00"}})
	if err != nil || got.Orders[len(got.Orders)-1].Class != "standard" {
		t.Errorf("class %s, %v", got.Orders[len(got.Orders)-1].Class, err)
	}
}

// TestEveryKindIsTried keeps the table above whole, and each kind in the list that is offered.
func TestEveryKindIsTried(t *testing.T) {
	tried := map[assume.Kind]bool{}
	for _, c := range one {
		tried[c.a.Kind] = true
	}
	for _, s := range assume.Shapes() {
		if !tried[s.Kind] {
			t.Errorf("kind %s is not tried", s.Kind)
		}
	}
}

// TestTextAndBack: what is typed into a form, and what is stored as JSON, reads back to the same assumption.
func TestTextAndBack(t *testing.T) {
	for _, c := range one {
		back, faults := assume.Read(c.a.Kind, c.a.Text)
		if len(faults) > 0 || back != c.a {
			t.Errorf("%s: read back %+v, faults %v", c.says, back, faults)
		}
		j, err := json.Marshal(c.a)
		var again assume.Assumption
		if err != nil || json.Unmarshal(j, &again) != nil || again != c.a {
			t.Errorf("%s: from JSON %+v, %v", c.says, again, err)
		}
	}
}

// TestRefused: what does not fit is refused with the place in the list, the field, and what to do; nothing is changed.
func TestRefused(t *testing.T) {
	good := assume.Assumption{Kind: assume.OrderDropped, Order: "1001", Line: 2}
	for _, c := range []struct {
		a    assume.Assumption
		says string // all faults
	}{
		{assume.Assumption{Kind: "downn"}, `kind: found "downn"; expected one of down, overtime`},
		{assume.Assumption{Kind: assume.StationDown, Station: "robot-3", From: "2026-11-30T06:00", To: "2026-12-02T12:00"}, `station: found "robot-3"; expected one of the stations in the shop book; did you mean "robot-`},
		{assume.Assumption{Kind: assume.StationDown, Station: "robot-1", To: "soon"}, "from: this field must not be empty"},
		{assume.Assumption{Kind: assume.StationDown, Station: "robot-1", From: "2026-11-30T06:00", To: "soon"}, `to: found "soon"; expected a date and time`},
		{assume.Assumption{Kind: assume.StationDown, Station: "robot-1", From: "2026-11-30T06:00", To: "2026-11-30T05:00"}, "to: it ends before it begins"},
		{assume.Assumption{Kind: assume.StationDown, Station: "robot-1", Heads: 2, From: "2026-11-30T06:00", To: "2026-11-30T07:00"}, "heads: an assumption of the kind down has no such field"},
		{assume.Assumption{Kind: assume.Overtime, From: "2026-11-30T06:00", To: "2026-11-30T07:00"}, "station: it is not said who works overtime"},
		{assume.Assumption{Kind: assume.Overtime, Station: "robot-1", From: "2026-12-01T06:00", To: "2026-12-01T07:00"}, "says the opposite"},
		{assume.Assumption{Kind: assume.Overtime, Station: "robot-1", Heads: 1000, From: "2026-11-29T06:00", To: "2026-11-29T07:00"}, "at most 100 people in all"},
		{assume.Assumption{Kind: assume.ExtraShift, Calendar: "day", Days: "someday", Hours: "06:00-08:00"}, "days: "},
		{assume.Assumption{Kind: assume.ExtraShift, Calendar: "day", Days: "sat", Hours: "6 to 8"}, "hours: "},
		{assume.Assumption{Kind: assume.ExtraShift, Calendar: "day", Days: "sat", Hours: "06:00-08:00", From: "2026-11-30T00:00"}, "to: the end is missing"},
		{assume.Assumption{Kind: assume.ExtraShift, Calendar: "day", Days: "sat", Hours: "06:00-08:00", From: "2026-11-30T00:00", To: "2026-12-01T00:00"}, "the shift never takes place"},
		{assume.Assumption{Kind: assume.Away, Pool: "welders", Heads: 3, From: "2026-11-30T00:00", To: "2026-12-01T00:00"}, `heads: so many people of the pool are not there`},
		{assume.Assumption{Kind: assume.Away, From: "2026-11-30T00:00", To: "2026-12-01T00:00"}, "person: it is not said who is away"},
		{assume.Assumption{Kind: assume.ExtraPeople, Pool: "welders", Heads: -1}, "heads: found \"-1\"; expected a number above 0"},
		{assume.Assumption{Kind: assume.OrderAdded, Order: "1003", Item: "pin", At: "2026-12-15T16:00"}, "item: its product column"},
		{assume.Assumption{Kind: assume.OrderAdded, Order: "1003", Item: "grab", Quantity: 1500, At: "2026-12-15T16:00"}, `quantity: found "1.5"`},
		{assume.Assumption{Kind: assume.OrderAdded, Order: "1003", Item: "grab", Options: "jaws", At: "2026-12-15T16:00"}, `options: "jaws" is not option=value`},
		{assume.Assumption{Kind: assume.OrderDropped, Order: "1002"}, "every line of the order is shipped or cancelled"},
		{assume.Assumption{Kind: assume.OrderDropped, Order: "1001", Line: 2}, "the line is shipped or cancelled"}, // the first of the list has dropped it
		{assume.Assumption{Kind: assume.DueMoved, Order: "1001", Line: 7, At: "2027-01-08T16:00"}, "the order has no such line"},
		{assume.Assumption{Kind: assume.ReceiptMoved, Receipt: "R-9", At: "2026-12-04T10:00"}, `did you mean "R-1"?`},
		{assume.Assumption{Kind: assume.WorkHeld, Job: "1001-1-1/jaw-closed", Op: 10, At: "2026-12-01T12:00"}, "the operation is running"},
		{assume.Assumption{Kind: assume.WorkHeld, Job: "1001-1-1/jaw-closed", Op: 5, At: "2026-12-01T12:00"}, "operation 10 of the job, which comes after it, is running"},
	} {
		got, err := assume.Apply(booktest.Small(), []assume.Assumption{good, c.a})
		if err == nil || got != nil {
			t.Errorf("%+v is not refused", c.a)
			continue
		}
		if !strings.Contains(err.Error(), "assumptions row 2, ") || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v is refused with\n%v\nexpected %q in it", c.a, err, c.says)
		}
		half, faults := assume.Fitting(booktest.Small(), []assume.Assumption{c.a, good})
		want, err := assume.Apply(booktest.Small(), []assume.Assumption{good})
		if err != nil {
			t.Fatal(err)
		}
		if c.a != good && (len(faults) == 0 || !reflect.DeepEqual(half, want)) {
			t.Errorf("%+v leaves something behind", c.a)
		}
	}
}

// difference gives the rows in which two books differ, as text.
func difference(old, new *book.Book) (added, changed, removed []string) {
	for _, tab := range book.Tables() {
		before := map[string]string{}
		for i := range tab.Len(old) {
			before[tab.Key(old, i)] = strings.Join(tab.Cells(old, i), " ")
		}
		for i := range tab.Len(new) {
			key, cells := tab.Key(new, i), strings.Join(tab.Cells(new, i), " ")
			was, known := before[key]
			delete(before, key)
			switch {
			case !known:
				added = append(added, tab.Name+": "+cells)
			case was != cells:
				changed = append(changed, tab.Name+": "+cells)
			}
		}
		for key := range before {
			removed = append(removed, tab.Name+": "+key)
		}
	}
	return added, changed, removed
}
