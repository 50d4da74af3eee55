package demo

import (
	"fmt"

	"tackline/plant"
)

// The three plants of the scenario.
const (
	brackwater = plant.ID("brackwater")
	orrinQuay  = plant.ID("orrin-quay")
	fellgate   = plant.ID("fellgate")
)

func (d *maker) works() {
	b := d.b
	b.Plants = []plant.Plant{
		{ID: brackwater, Name: "Brackwater", TimeZone: "Europe/Dublin", Units: "metric"},
		{ID: orrinQuay, Name: "Orrin Quay", TimeZone: "Europe/London", Units: "metric"},
		{ID: fellgate, Name: "Fellgate", TimeZone: "Europe/Dublin", Units: "metric"},
	}
	b.Transits = []plant.Transit{
		{From: fellgate, To: brackwater, Days: "tue,thu,fri", Departs: d.clock("14:00"), Hours: 3},
		{From: brackwater, To: fellgate, Days: "mon,wed", Departs: d.clock("12:00"), Hours: 3},
		{From: brackwater, To: orrinQuay, Days: "wed,fri", Departs: d.clock("15:00"), Hours: 9},
		{From: orrinQuay, To: brackwater, Days: "tue", Departs: d.clock("09:00"), Hours: 9},
	}
	d.calendars()
	d.stations()
	d.crews()
}

func (d *maker) calendars() {
	d.calendar("day", brackwater, "Day shift, weekdays", [][4]string{
		{"morning", "mon-fri", "07:00", "12:00"}, {"afternoon", "mon-fri", "12:30", "16:00"}})
	d.calendar("early", brackwater, "Early shift, weekdays", [][4]string{
		{"early 1", "mon-fri", "06:00", "10:00"}, {"early 2", "mon-fri", "10:30", "14:00"}})
	d.calendar("late", brackwater, "Late shift, weekdays", [][4]string{
		{"late 1", "mon-fri", "14:00", "18:00"}, {"late 2", "mon-fri", "18:30", "22:00"}})
	d.calendar("two-shift", brackwater, "Two shifts, weekdays", [][4]string{
		{"early 1", "mon-fri", "06:00", "10:00"}, {"early 2", "mon-fri", "10:30", "14:00"},
		{"late 1", "mon-fri", "14:00", "18:00"}, {"late 2", "mon-fri", "18:30", "22:00"}})
	d.calendar("around", brackwater, "Weekdays around the clock, nights unattended", [][4]string{
		{"by day", "mon-fri", "06:00", "22:00"}, {"by night", "mon-fri", "22:00", "06:00"}})
	d.calendar("always", brackwater, "Always open", [][4]string{{"all day", "all", "00:00", "24:00"}})
	d.calendar("heat-treater", brackwater, "Heat treater, weekdays", [][4]string{{"open", "mon-fri", "08:00", "17:00"}})
	d.calendar("fellgate-two", fellgate, "Fellgate, two shifts", [][4]string{
		{"early", "mon-fri", "06:00", "14:00"}, {"late", "mon-fri", "14:00", "22:00"}})

	year := d.now.In(d.zone).Year()
	for _, y := range []int{year, year + 1} {
		for _, c := range []plant.CalendarID{"day", "early", "late", "two-shift", "around", "fellgate-two", "heat-treater"} {
			d.b.Exceptions = append(d.b.Exceptions, plant.Exception{Calendar: c, Kind: "holiday", Reason: "Christmas",
				From: plant.Wall(fmt.Sprintf("%d-12-24T12:00", y)), To: plant.Wall(fmt.Sprintf("%d-12-28T00:00", y))})
		}
	}
	saturday := d.day((13 - int(d.now.In(d.zone).Weekday())) % 7)
	for _, s := range []plant.StationID{"pallet-mill-1", "pallet-mill-2", "bore-mill-1"} {
		d.b.Exceptions = append(d.b.Exceptions, plant.Exception{Station: s, Kind: "overtime", Reason: "Saturday on the mills",
			From: plant.Wall(saturday + "T06:00"), To: plant.Wall(saturday + "T12:00")})
	}
}

func (d *maker) calendar(id plant.CalendarID, at plant.ID, name string, shifts [][4]string) {
	d.b.Calendars = append(d.b.Calendars, plant.Calendar{ID: id, Plant: at, Name: name})
	for _, s := range shifts {
		d.b.Shifts = append(d.b.Shifts, plant.Shift{Calendar: id, Name: s[0], Days: s[1], From: d.clock(s[2]), To: d.clock(s[3])})
	}
}

// centre is a work centre of the demo with the stations in it.
type centre struct {
	id, name, takes, unit string
	setup                 float64
	calendar              plant.CalendarID
	stations              int
	pallets               int
	capacity              float64
}

var centres = []centre{
	{"plate-cut", "Plate cutting (Fellgate)", "one", "", 10, "fellgate-two", 1, 1, 1},
	{"press-brake", "Press brake (Fellgate)", "one", "", 20, "fellgate-two", 1, 1, 1},
	{"kit-check", "Kit receiving", "one", "", 0, "day", 1, 1, 1},
	{"tack", "Tack stations", "one", "", 8, "two-shift", 2, 1, 1},
	{"weld-robot", "Weld robots", "one", "", 35, "two-shift", 3, 2, 1},
	{"weld-bench", "Weld benches", "one", "", 0, "two-shift", 2, 1, 1},
	{"weld-check", "Weld inspection", "one", "", 0, "two-shift", 1, 1, 1},
	{"blast", "Shot blast", "batch", "places", 0, "two-shift", 1, 1, 6},
	{"pallet-mill", "Pallet mills", "one", "", 40, "two-shift", 2, 2, 1},
	{"bore-mill", "Boring mill", "one", "", 45, "two-shift", 1, 1, 1},
	{"wash", "Wash cabinet", "batch", "places", 0, "two-shift", 1, 1, 8},
	{"mask", "Masking bench", "one", "", 0, "two-shift", 1, 1, 1},
	{"paint-booth", "Paint booth", "batch", "m2", 25, "two-shift", 1, 1, 24},
	{"dry-rack", "Drying racks", "places", "places", 0, "always", 1, 1, 36},
	{"bar-saw", "Bar saw", "one", "", 5, "two-shift", 1, 1, 1},
	{"lathe", "Turning lathe", "one", "", 25, "two-shift", 1, 1, 1},
	{"rod-weld", "Rod weld cell", "one", "", 20, "two-shift", 1, 1, 1},
	{"tube-prep", "Tube preparation", "one", "", 10, "two-shift", 1, 1, 1},
	{"burnish", "Skive and burnish", "one", "", 30, "two-shift", 1, 1, 1},
	{"gun-drill", "Gun drill", "one", "", 15, "around", 1, 1, 1},
	{"heat-treat", "Heat treater", "away", "", 0, "heat-treater", 1, 1, 1},
	{"clean-room", "Clean assembly", "one", "", 0, "two-shift", 1, 1, 1},
	{"leak-test", "Leak test bench", "one", "", 10, "two-shift", 1, 1, 1},
	{"pin-dip", "Pin dip tank", "batch", "places", 0, "two-shift", 1, 1, 40},
	{"pin-rack", "Pin drip rack", "places", "places", 0, "always", 1, 1, 120},
	{"kitting", "Kitting", "one", "", 0, "two-shift", 1, 1, 1},
	{"sub-assembly", "Sub-assembly", "one", "", 0, "day", 2, 1, 1},
	{"assembly", "Main assembly", "one", "", 0, "day", 2, 1, 1},
	{"function-test", "Function test", "one", "", 0, "day", 1, 1, 1},
	{"final-check", "Final inspection", "one", "", 0, "day", 1, 1, 1},
	{"shipping", "Skid and load", "one", "", 0, "day", 1, 1, 1},
}

var singular = map[string]string{"tack": "Tack station", "weld-robot": "Weld robot", "weld-bench": "Weld bench",
	"weld-check": "Weld inspection", "pallet-mill": "Pallet mill", "mask": "Masking bench", "lathe": "Turning lathe",
	"clean-room": "Clean bench", "sub-assembly": "Sub-assembly bench", "assembly": "Assembly bay", "function-test": "Test stand"}

func (d *maker) stations() {
	for i, c := range centres {
		at := brackwater
		if c.calendar == "fellgate-two" {
			at = fellgate
		}
		unit := c.unit
		if unit == "" {
			unit = "places"
		}
		d.b.Centres = append(d.b.Centres, plant.Centre{ID: plant.CentreID(c.id), Plant: at, Name: c.name, Takes: c.takes,
			Capacity: plant.MeasureUnit(unit), Setup: c.setup, Order: (i + 1) * 10})
		for n := 1; n <= c.stations; n++ {
			d.b.Stations = append(d.b.Stations, plant.Station{ID: plant.StationID(fmt.Sprintf("%s-%d", c.id, n)),
				Centre: plant.CentreID(c.id), Name: stationName(c, n), Calendar: c.calendar, Speed: 1, Pallets: c.pallets,
				Capacity: plant.QtyOf(c.capacity)})
		}
	}
	d.station("weld-robot-3").Speed = 0.85 // the oldest of the three
	d.b.Setups = append(d.b.Setups,
		plant.Setup{Centre: "weld-robot", From: "jaw-small", To: "jaw-large", Minutes: 25},
		plant.Setup{Centre: "weld-robot", From: "jaw-large", To: "jaw-small", Minutes: 15},
		plant.Setup{Centre: "weld-robot", From: "*", To: "shell", Minutes: 50},
		plant.Setup{Centre: "pallet-mill", From: "head", To: "jaw-small", Minutes: 30},
		plant.Setup{Centre: "pallet-mill", From: "head", To: "jaw-large", Minutes: 30},
		plant.Setup{Centre: "paint-booth", From: "grey", To: "orange", Minutes: 15},
		plant.Setup{Centre: "paint-booth", From: "orange", To: "grey", Minutes: 40})
}

func stationName(c centre, n int) string {
	if c.stations == 1 {
		return c.name
	}
	return fmt.Sprintf("%s %d", singular[c.id], n)
}

// crew is a pool of the demo: how many people on which calendar.
type crew struct {
	id, name, qualification string
	at                      plant.ID
	early, late, day        int
}

var crewList = []crew{
	{"materials", "Materials handlers", "forklift", brackwater, 1, 1, 1},
	{"tackers", "Tackers", "weld-tack", brackwater, 2, 2, 0},
	{"robot-crew", "Robot crew", "robot", brackwater, 2, 2, 0},
	{"welders", "Welders", "weld-fillet", brackwater, 2, 2, 0},
	{"weld-inspectors", "Weld inspectors", "visual-weld", brackwater, 1, 1, 0},
	{"machinists", "Machinists", "", brackwater, 2, 2, 0},
	{"finishers", "Blast, wash and paint crew", "spray", brackwater, 3, 2, 0},
	{"cylinder-crew", "Cylinder and pin line", "", brackwater, 4, 4, 0},
	{"assemblers", "Assemblers", "", brackwater, 0, 0, 6},
	{"testers", "Testers", "pressure-test", brackwater, 0, 0, 2},
	{"inspectors", "Final inspectors", "", brackwater, 0, 0, 1},
	{"shippers", "Shippers", "slinging", brackwater, 0, 0, 2},
	{"plate-crew", "Plate crew (Fellgate)", "", fellgate, 0, 0, 0},
}

func (d *maker) crews() {
	no := 100
	for _, c := range crewList {
		d.b.Pools = append(d.b.Pools, plant.Pool{ID: plant.PoolID(c.id), Plant: c.at, Name: c.name,
			Qualification: plant.Qualifying(c.qualification)})
		for _, shift := range []struct {
			calendar plant.CalendarID
			heads    int
		}{{"early", c.early}, {"late", c.late}, {"day", c.day}} {
			for range shift.heads {
				no++
				d.person(no, c, shift.calendar)
			}
		}
	}
	d.b.Pools[len(d.b.Pools)-1].Heads, d.b.Pools[len(d.b.Pools)-1].Calendar = 2, "fellgate-two"
}

var initials = "ABCDEFGHIJKLMNOPRSTVW"
var surnames = []string{"Aldane", "Birrow", "Carrick-Lowe", "Dunmar", "Eskell", "Farrant", "Gillow", "Hasker", "Irvane", "Jessop-Rudd",
	"Kelder", "Lorne", "Marrack", "Norrish", "Oakden", "Pellow", "Quill", "Rannoch", "Sarle", "Tolver", "Umber", "Varley-Moss",
	"Wendle", "Yarrow"}

func (d *maker) person(no int, c crew, calendar plant.CalendarID) {
	id := plant.PersonID(fmt.Sprintf("p-%d", no))
	name := fmt.Sprintf("%c. %s", initials[d.rnd.IntN(len(initials))], surnames[no%len(surnames)])
	d.b.People = append(d.b.People, plant.Person{ID: id, Name: name, Pool: plant.PoolID(c.id), Calendar: calendar})
	if c.qualification != "" {
		expires := plant.Date(d.day(200 + d.rnd.IntN(500)))
		d.b.Qualifications = append(d.b.Qualifications, plant.Qualification{Person: id, Name: plant.Qualifying(c.qualification), Expires: expires})
	}
}
