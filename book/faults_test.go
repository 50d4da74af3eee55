package book_test

import (
	"strings"
	"testing"

	"tackline/book"
	"tackline/book/booktest"
	"tackline/fault"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// faultCase changes the small book in one way; every fault wanted must come out, and no other.
type faultCase struct {
	name string
	edit func(*book.Book)
	want []string // "place: part of the sentence"
}

func checkCases(t *testing.T, cases []faultCase) {
	t.Helper()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := booktest.Small()
			c.edit(b)
			got := book.Check(b, nil)
			for _, want := range c.want {
				if !found(got, want) {
					t.Errorf("no fault %q", want)
				}
			}
			if len(got) != len(c.want) || t.Failed() {
				t.Errorf("%d faults, want %d:\n%v", len(got), len(c.want), got)
			}
		})
	}
}

func found(list fault.List, want string) bool {
	place, part, _ := strings.Cut(want, ": ")
	for _, f := range list {
		if f.Place() == place && strings.Contains(f.Error(), part) {
			return true
		}
	}
	return false
}

func TestReferences(t *testing.T) {
	checkCases(t, []faultCase{
		{"unknown calendar", func(b *book.Book) { b.Stations[3].Calendar = "dya" }, []string{`stations row 5, calendar: did you mean "day"`}},
		{"doubled key", func(b *book.Book) { b.Lots[1].ID = "L-1" }, []string{"lots row 3, lot: row 2 has the same key"}},
		{"unknown setting", func(b *book.Book) { b.Settings[1].Name = "freeze_hour" }, []string{`settings row 3, setting: did you mean "freeze_hours"`}},
		{"setting no number", func(b *book.Book) { b.Settings[1].Value = "soon" }, []string{"settings row 3, value: a number from 0"}},
		{"empty name", func(b *book.Book) { b.People[0].Name = "" }, []string{"people row 2, name: must not be empty"}},
		{"enum", func(b *book.Book) { b.Items[0].Unit = "pc" }, []string{"items row 2, unit: one of ea", "items row 2, unit: counted in pieces"}},
		{"empty formula", func(b *book.Book) { b.Ops[0].Load = "" }, []string{"operations row 2, load: 0 is read"}},
		{"bad date", func(b *book.Book) { b.Lots[0].Received = "2026-13-01" }, []string{"lots row 2, received: a date"}},
		{"control character", func(b *book.Book) { b.Orders[1].Note = "call\x07" }, []string{"orders row 3, note: without control characters"}},
	})
}

func TestTimes(t *testing.T) {
	checkCases(t, []faultCase{
		{"time zone", func(b *book.Book) { b.Plants[0].TimeZone = "Europe/Dubln" }, []string{`plants row 2, time_zone: did you mean "Europe/Dublin"`}},
		{"machine's own zone", func(b *book.Book) { b.Plants[0].TimeZone = "Local" }, []string{"plants row 2, time_zone: IANA"}},
		{"shift days", func(b *book.Book) { b.Shifts[1].Days = "mon-fry" }, []string{"shifts row 3, days: mon-fri",
			"calendars row 3, calendar: no open time"}},
		{"no shift", func(b *book.Book) { b.Shifts = append(b.Shifts[:1], b.Shifts[2]) }, []string{"calendars row 3, calendar: no open time"}},
		{"exception of nothing", func(b *book.Book) { b.Exceptions[0].Calendar = "" }, []string{"exceptions row 2, calendar: names neither"}},
		{"exception of both", func(b *book.Book) { b.Exceptions[0].Station = "saw-1" }, []string{"exceptions row 2, station: names both"}},
		{"exception backwards", func(b *book.Book) { b.Exceptions[1].To = "2026-12-01T05:00" }, []string{"exceptions row 3, to: after 2026-12-01T06:00"}},
		{"absence backwards", func(b *book.Book) { b.Absences[0].To = "2026-12-07T00:00" }, []string{"absences row 2, to: a time after"}},
		{"closed for ever", func(b *book.Book) {
			b.Exceptions = append(b.Exceptions, plant.Exception{Calendar: "night", From: "2026-01-01T00:00", To: "2029-01-01T00:00", Kind: "holiday"})
		}, []string{"calendars row 3, calendar: no open time"}},
		{"station closed for ever", func(b *book.Book) {
			b.Exceptions = append(b.Exceptions, plant.Exception{Station: "saw-1", From: "2026-01-01T00:00", To: "2029-01-01T00:00", Kind: "down"})
		}, []string{"stations row 2, station: no open time"}},
		{"truck days", func(b *book.Book) { b.Transits[0].Days = "" }, []string{"transits row 2, days: must not be empty"}},
		{"way to itself", func(b *book.Book) { b.Transits[0].To = "south" }, []string{"transits row 2, to_plant: another plant",
			"parts row 3, component: a row in transits from south to north"}},
	})
}

func TestStationsAndPeople(t *testing.T) {
	checkCases(t, []faultCase{
		{"speed", func(b *book.Book) { b.Stations[0].Speed = 0 }, []string{"stations row 2, speed: above 0"}},
		{"pallets", func(b *book.Book) { b.Stations[0].Pallets = 0 }, []string{"stations row 2, pallets: from 1"}},
		{"pallets of a booth", func(b *book.Book) { b.Stations[3].Pallets = 2 }, []string{"stations row 5, pallets: takes batch"}},
		{"capacity", func(b *book.Book) { b.Stations[0].Capacity = 0 }, []string{"stations row 2, capacity: above 0"}},
		{"negative setup", func(b *book.Book) { b.Setups[0].Minutes = -5 }, []string{"setups row 2, minutes: not below 0"}},
		{"nature", func(b *book.Book) { b.Ops[1].Nature = product.Attended }, []string{"operations row 3, nature: takes batch"}},
		{"no station", func(b *book.Book) { b.Stations = append(b.Stations[:4], b.Stations[5:]...) }, []string{"operations row 4, centre: no station"}},
		{"crew too small", func(b *book.Book) { b.Crews[0].Heads = 3 }, []string{"crews row 2, heads: never has 3 at a time"}},
		{"crew lapsed", func(b *book.Book) {
			b.Qualifications[0].Expires, b.Qualifications[1].Expires = "2026-01-31", "2026-01-31"
		}, []string{"crews row 3, heads: expired weld-fillet", "crews row 4, heads: expired weld-fillet"}},
		{"crew at night", func(b *book.Book) { b.People[3].Calendar = "night" }, []string{"crews row 5, heads: while mill-1 is open"}},
		{"crews never together", func(b *book.Book) {
			b.Pools = append(b.Pools, plant.Pool{ID: "guards", Plant: "north", Name: "Guards", Heads: 1, Calendar: "early"})
			b.Calendars = append(b.Calendars, plant.Calendar{ID: "early", Plant: "north"}, plant.Calendar{ID: "late", Plant: "north"})
			b.Shifts = append(b.Shifts, plant.Shift{Calendar: "early", Name: "e", Days: "all", From: 360, To: 720},
				plant.Shift{Calendar: "late", Name: "l", Days: "all", From: 720, To: 1080})
			b.Pools[1].Calendar, b.People[2].Calendar = "late", "late"
			b.Crews = append(b.Crews, product.Crew{Item: "grab", Seq: 10, Pool: "guards", Heads: 1, For: "both"})
		}, []string{"crews row 6, pool: never present together"}},
		{"extra heads without calendar", func(b *book.Book) { b.Pools[2].Heads = 1 }, []string{"pools row 4, extra_calendar: must be known"}},
		{"nobody holds it", func(b *book.Book) { b.Pools[2].Qualification = "mill-operator" }, []string{
			"pools row 4, qualification: somebody holds", "crews row 5, heads: never has 1"}},
		{"crew on a rack", func(b *book.Book) {
			b.Crews = append(b.Crews, product.Crew{Item: "grab", Seq: 30, Pool: "fitters", Heads: 1, For: "load"})
		}, []string{"crews row 6, op: has no crew"}},
		{"through with run crew", func(b *book.Book) { b.Ops[0].Closed = product.Through }, []string{"crews row 2, for: cannot need a crew"}},
		{"able elsewhere", func(b *book.Book) { b.Ables[0].Station = "saw-1" }, []string{"able row 2, station: a station of work centre robot",
			"operations row 6, centre: leave no station"}},
		{"crew of another plant", func(b *book.Book) { b.Crews[0].Pool = "millers"; b.Crews[0].Heads = 1 }, []string{"crews row 2, pool: a pool of the plant north"}},
	})
}

func TestProducts(t *testing.T) {
	checkCases(t, []faultCase{
		{"made without operations", func(b *book.Book) {
			b.Items = append(b.Items, product.Item{ID: "ghost", Name: "Ghost", Kind: "made", Unit: "ea", Plant: "north", Policy: "unit", Lot: "as needed"})
		}, []string{"items row 9, item: no operations"}},
		{"bought with operations", func(b *book.Book) {
			b.Ops[4].Item = "plate"
			b.Crews[2].Item = "plate"
			b.Ables[0].Item = "plate"
			b.Ops[4].Run = "5"
		}, []string{
			"operations row 6, item: it has no operations", "items row 4, item: no operations", "parts row 6, op: unknown operation", "work row 2, op: unknown operation", "work row 3, op: unknown operation"}},
		{"product bought", func(b *book.Book) { b.Items[4].Product = true }, []string{"items row 6, product: kind made"}},
		{"option of no product", func(b *book.Book) { b.Items[0].Product = false }, []string{"options row 2, product", "options row 3, product",
			"options row 4, product", "options row 5, product", "rules row 2, product", "lines row 2, product: cannot order", "lines row 3, product: cannot order"}},
		{"default not a value", func(b *book.Book) { b.Options[1].Default = "opne" }, []string{`options row 3, default: did you mean "open"`,
			"lines row 3, options: cannot have this value"}},
		{"value not a number", func(b *book.Book) { b.Options[0].Values = "3|4|five" }, []string{"options row 2, values: a number"}},
		{"attribute name", func(b *book.Book) { b.Attributes[2].Name = "seal-type" }, []string{"attributes row 4, attribute: item.seal_type"}},
		{"part at unknown operation", func(b *book.Book) { b.Parts[0].Op = 15 }, []string{"parts row 2, op: an operation of grab: 10, 20, 30"}},
		{"unit does not convert", func(b *book.Book) { b.Parts[5].Unit = "kg" }, []string{"parts row 7, unit: a unit that converts to m"}},
		{"unknown unit", func(b *book.Book) { b.Parts[5].Unit = "cm" }, []string{`parts row 7, unit: one of ea`}},
		{"repair goes on", func(b *book.Book) { b.Ops[0].Loop = "20" }, []string{"operations row 2, repair_ops: goes back"}},
		{"repair unknown", func(b *book.Book) { b.Ops[0].Loop = "ten" }, []string{"operations row 2, repair_ops: separated by commas"}},
		{"centre elsewhere", func(b *book.Book) { b.Ops[5].Centre = "saw" }, []string{"operations row 7, centre: of the plant south", "crews row 5, pool: of the plant north"}},
		{"no way between plants", func(b *book.Book) { b.Transits = nil }, []string{"parts row 3, component: a row in transits from south to north"}},
	})
}

func TestFormulas(t *testing.T) {
	checkCases(t, []faultCase{
		{"does not compile", func(b *book.Book) { b.Ops[0].Run = "60 +" }, []string{"operations row 2, run: ends too early"}},
		{"unknown function", func(b *book.Book) { b.Ops[0].Run = "sqr(4)" }, []string{`operations row 2, run: did you mean "sqrt"`}},
		{"unknown attribute", func(b *book.Book) { b.Ops[3].Run = "8*item.weld_mm" }, []string{`operations row 5, run: did you mean "weld_m"`, "operations row 5, run: no attribute weld_mm"}},
		{"unknown option", func(b *book.Book) { b.Parts[1].Quantity = "2*opt.jawz" }, []string{`parts row 3, quantity: no product has an option jawz`, "parts row 3, quantity: this order has no option"}},
		{"unknown component for one value", func(b *book.Book) { b.Options[1].Values = "open|closed|orange" }, []string{
			"parts row 2, component: \"jaw-orange\" with form=orange"}},
		{"unknown component", func(b *book.Book) { b.Parts[3].Component = "plat" }, []string{`parts row 5, component: did you mean "plate"`}},
		{"negative for one value", func(b *book.Book) { b.Ops[0].Run = "100 - 25*opt.jaws" }, []string{"operations row 2, run: gives -25 minutes, with jaws=5"}},
		{"fails for one value", func(b *book.Book) { b.Ops[0].Run = "opt.jaws == 3 ? sqrt(0-1) : 5" }, []string{"operations row 2, run: below 0"}},
		{"forbidden value is no fault", func(b *book.Book) { b.Parts[0].Quantity = "opt.jaws == 5 && opt.form == 'closed' ? 0-1 : opt.jaws" }, nil},
		{"guarded part is no fault", func(b *book.Book) {
			b.Parts[2].Component, b.Parts[2].When = "rot{opt.rotator ? 'ator' : ''}", "opt.rotator"
		}, nil},
		{"item not needed is no fault", func(b *book.Book) { b.Ops[4].Run = "opt.form == 'open' ? 0-1 : 5" }, nil},
		{"rule that nothing meets", func(b *book.Book) { b.Rules[0].Must = "opt.jaws > 5" }, []string{"rules row 2, must: no value of the options",
			"lines row 2, options: Five jaws are only made open.", "lines row 3, options: Five jaws"}},
		{"rule that is no condition", func(b *book.Book) { b.Rules[0].Must = "opt.jaws + 1" }, []string{"rules row 2, must: yes or no"}},
		{"stock item with options", func(b *book.Book) { b.Ops[5].Run = "3*opt.jaws" }, []string{"operations row 7, run: made to stock"}},
		{"piece too large", func(b *book.Book) { b.Attributes[3].Value = "14" }, []string{"operations row 3, size: the largest station of booth takes 12"}},
		{"set too large", func(b *book.Book) {
			dip := product.Op{Item: "jaw-open", Seq: 20, Name: "dip", Centre: "booth", Nature: "batch", Closed: "pause", Setup: "0", Load: "0",
				Run: "5", Unload: "0", Size: "2.6"}
			b.Ops = append(b.Ops, dip)
		}, []string{"operations row 9, size: the 5 pieces of jaw-open travel together and take 13"}},
		{"run too long to be whole", func(b *book.Book) { b.Ops[1].Run = "800" }, []string{"operations row 3, run: open longer than 720"}},
		{"route empty for one value", func(b *book.Book) { b.Ops[3].When = "opt.jaws != 3" }, []string{"operations row 5, when: no operation with form=open; jaws=3"}},
		{"circle", func(b *book.Book) {
			b.Parts = append(b.Parts, product.Part{Parent: "jaw-open", Line: 20, Component: "grab", Quantity: "1", Op: 10})
		}, []string{"parts row 8, component: grab -> jaw-open -> grab"}},
		{"circle in no configuration", func(b *book.Book) {
			b.Parts = append(b.Parts, product.Part{Parent: "jaw-open", Line: 20, Component: "grab", Quantity: "1", Op: 10, When: "opt.form == 'closed'"})
		}, nil},
		{"circle through stock", func(b *book.Book) {
			b.Parts = append(b.Parts, product.Part{Parent: "pin", Line: 20, Component: "pin", Quantity: "1", Op: 10})
		}, []string{"parts row 8, component: pin -> pin"}},
		{"long circle through stock", func(b *book.Book) {
			b.Parts = append(b.Parts, product.Part{Parent: "bush", Line: 10, Component: "pin", Quantity: "1", Op: 10},
				product.Part{Parent: "pin", Line: 20, Component: "bush", Quantity: "1", Op: 10})
			bush, op, crew := b.Items[3], b.Ops[5], b.Crews[3]
			bush.ID, bush.Policy, op.Item, crew.Item = "bush", "unit", "bush", "bush"
			b.Items, b.Ops, b.Crews = append(b.Items, bush), append(b.Ops, op), append(b.Crews, crew)
		}, []string{"parts row 8, component: pin -> bush -> pin"}},
	})
}

func TestOrders(t *testing.T) {
	line := func(edit func(*order.Line)) func(*book.Book) { return func(b *book.Book) { edit(&b.Lines[0]) } }
	work := func(edit func(*stock.Work)) func(*book.Book) { return func(b *book.Book) { edit(&b.Work[0]) } }
	checkCases(t, []faultCase{
		{"not for sale", line(func(l *order.Line) { l.Product = "rotator" }), []string{"lines row 2, product: cannot order"}},
		{"quantity", line(func(l *order.Line) { l.Quantity = 0 }), []string{"lines row 2, quantity: from 1"}},
		{"no due date", line(func(l *order.Line) { l.Due = "" }), []string{"lines row 2, due: must not be empty"}},
		{"unknown option", line(func(l *order.Line) { l.Options = "jaw=4" }), []string{`lines row 2, options: did you mean "jaws"`}},
		{"value not allowed", line(func(l *order.Line) { l.Options = "jaws=6" }), []string{"lines row 2, options: one of 3, 4, 5"}},
		{"twice", line(func(l *order.Line) { l.Options = "jaws=4; jaws=3" }), []string{"lines row 2, options: given twice"}},
		{"rule broken", line(func(l *order.Line) { l.Options = "jaws=5; form=closed" }), []string{"lines row 2, options: Five jaws are only made open."}},
		{"nothing chosen", func(b *book.Book) { b.Options[0].Default = "" }, []string{"lines row 3, options: jaws is not chosen"}},
		{"shipped without a date", func(b *book.Book) { b.Lines[2].ShippedAt = "" }, []string{"lines row 4, shipped_at: it left"}},
		{"job of no item", work(func(w *stock.Work) { w.Job = "1001-1-1/jaw-closd" }), []string{`work row 2, job: did you mean "1001-1-1/jaw-closed"`}},
		{"unknown operation", work(func(w *stock.Work) { w.Seq = 40 }), []string{"work row 2, op: an operation of jaw-closed: 10"}},
		{"running nowhere", work(func(w *stock.Work) { w.Station, w.Start = "", "" }), []string{"work row 2, station: unless the state is held", "work row 2, start: unless the state"}},
		{"running at the wrong place", work(func(w *stock.Work) { w.Station = "saw-1" }), []string{"work row 2, station: of work centre robot"}},
		{"backwards", work(func(w *stock.Work) { w.End = "2026-11-25T05:50" }), []string{"work row 2, end: not before"}},
		{"two at once", func(b *book.Book) {
			b.Stations[1].Pallets = 1
			b.Work[1] = b.Work[0]
			b.Work[1].Job, b.Work[1].Setup, b.Work[1].Start, b.Work[1].End = "1001-1-2/jaw-closed", "", "2026-11-25T08:00", "2026-11-25T10:00"
		}, []string{"work row 3, start: row 2 is there until then"}},
		{"setup after start", work(func(w *stock.Work) { w.Setup = "2026-11-25T06:30" }), []string{"work row 2, start: not before"}},
		{"negative receipt", func(b *book.Book) { b.Receipts[0].Quantity = -1000 }, []string{"receipts row 2, quantity: above 0"}},
		{"released unit job", func(b *book.Book) { b.Releases[0].Item = "grab" }, []string{"releases row 2, item: of policy stock", "releases row 2, job: stock/grab/12"}},
		{"released nothing", func(b *book.Book) { b.Releases[0].Pieces = 0 }, []string{"releases row 2, pieces: from 1"}},
		{"finished backwards", func(b *book.Book) { b.Finished[0].End = "2026-11-12T08:00" }, []string{"finished row 2, end: not before"}},
	})
}

func TestPlannedByHand(t *testing.T) {
	pin := func(p order.Pin) func(*book.Book) { return func(b *book.Book) { b.Pins = []order.Pin{p} } }
	forbid := func(rows ...order.Forbid) func(*book.Book) {
		return func(b *book.Book) {
			for i := range rows {
				rows[i].Job, rows[i].Seq = "1001-2-1/jaw-open", 10
			}
			b.Forbids = rows
		}
	}
	split := func(s order.Split) func(*book.Book) { return func(b *book.Book) { b.Splits = []order.Split{s} } }
	prior := func(f float64) func(*book.Book) {
		return func(b *book.Book) { b.Priorities = []order.Priority{{Of: order.OfUnit, Name: "1001-1-2", Factor: f}} }
	}
	const job = "1001-2-1/jaw-open"
	checkCases(t, []faultCase{
		{"pinned to a station and a time", pin(order.Pin{Job: job, Seq: 10, Station: "robot-2", Begin: "2026-11-30T06:00"}), nil},
		{"the job of a pin is gone", pin(order.Pin{Job: "0999-1-1/jaw-open", Seq: 10, Station: "robot-2"}), nil},
		{"pin without anything", pin(order.Pin{Job: job, Seq: 10}), []string{"pins row 2, station: pins nothing"}},
		{"pinned job of no item", pin(order.Pin{Job: "1001-2-1/jaw-opn", Seq: 10, Station: "robot-2"}), []string{`pins row 2, job: did you mean "1001-2-1/jaw-open"`}},
		{"pinned operation unknown", pin(order.Pin{Job: job, Seq: 20, Station: "robot-2"}), []string{"pins row 2, op: an operation of jaw-open: 10"}},
		{"pinned to a station that cannot do it", pin(order.Pin{Job: job, Seq: 10, Station: "saw-1"}), []string{"pins row 2, station: one of robot-1, robot-2"}},
		{"pinned to a station that is not there", pin(order.Pin{Job: job, Seq: 10, Station: "robot-9"}), []string{"pins row 2, station: a name from the sheet stations"}},
		{"pinned to no time", pin(order.Pin{Job: job, Seq: 10, Begin: "soon"}), []string{"pins row 2, begin: date and time"}},
		{"forbidden station", forbid(order.Forbid{Station: "robot-1"}, order.Forbid{Before: "2026-11-30T06:00"}), nil},
		{"nothing forbidden", forbid(order.Forbid{}), []string{"forbids row 2, station: forbids nothing"}},
		{"station and time in one row", forbid(order.Forbid{Station: "robot-1", Before: "2026-11-30T06:00"}), []string{"forbids row 2, not_before: row of its own"}},
		{"every station forbidden", forbid(order.Forbid{Station: "robot-1"}, order.Forbid{Station: "robot-2"}),
			[]string{"forbids row 2, station: no station left", "forbids row 3, station: no station left"}},
		{"pinned and forbidden", func(b *book.Book) {
			pin(order.Pin{Job: job, Seq: 10, Station: "robot-1", Begin: "2026-11-30T06:00"})(b)
			forbid(order.Forbid{Station: "robot-1"}, order.Forbid{Before: "2026-11-30T07:00"})(b)
		}, []string{"pins row 2, station: is forbidden there", "pins row 2, begin: not before 2026-11-30T07:00"}},
		{"split", split(order.Split{Job: "stock/pin/3", Part: "b", Pieces: 4}), nil},
		{"split into what", split(order.Split{Job: "stock/pin/3", Part: "a", Pieces: 4}), []string{"splits row 2, part: from b to z"}},
		{"split of no item", split(order.Split{Job: "stock/pim/3", Part: "b", Pieces: 4}), []string{"splits row 2, job: names no known item"}},
		{"nothing split off", split(order.Split{Job: "stock/pin/3", Part: "b"}), []string{"splits row 2, pieces: from 1"}},
		{"priority", prior(3), nil},
		{"priority of nothing", prior(0), []string{"priorities row 2, factor: above 0"}},
	})
}

func TestOriginGivesSheetRows(t *testing.T) {
	b := booktest.Small()
	b.Lots[1].Item = "pim"
	faults := book.Check(b, book.Origin{"lots": {4, 9}})
	if len(faults) != 1 || faults[0].Row != 9 || faults[0].Near != "pin" {
		t.Fatal(faults)
	}
}
