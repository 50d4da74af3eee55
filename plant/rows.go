package plant

// The rows of this file are tables of the shop book. Tags: col is the column name, then flags (key, need);
// ref names the table that must hold the value; enum lists the values allowed; unit is the unit of a number;
// def is what an empty cell means; eg is an example; note says what the column means.

// Plant is a works with its own time zone and units shown.
type Plant struct {
	ID       ID     `col:"plant,key" eg:"brackwater" note:"short name of the plant"`
	Name     string `col:"name,need" eg:"Brackwater" note:"name on screens and papers"`
	TimeZone string `col:"time_zone,need" eg:"Europe/Dublin" note:"IANA time zone"`
	Units    string `col:"units" enum:"metric|us" def:"metric" note:"units in which screens show quantities; everything is stored and planned in metric"`
}

// Calendar is a named weekly pattern. Its open time is the union of its shifts, changed by exceptions.
type Calendar struct {
	ID    CalendarID `col:"calendar,key" eg:"two-shift" note:"short name of the calendar"`
	Plant ID         `col:"plant,need" ref:"plants" eg:"brackwater" note:"plant whose time zone it is read in"`
	Name  string     `col:"name" eg:"Two shifts, weekdays" note:"name on screens"`
}

// Shift is open time on some days of the week. A shift whose end is not after its start runs over midnight and belongs to
// the day on which it starts.
type Shift struct {
	Calendar CalendarID `col:"calendar,key" ref:"calendars" eg:"two-shift" note:"calendar it belongs to"`
	Name     string     `col:"shift,key" eg:"early" note:"name of the shift"`
	Days     string     `col:"days,key" eg:"mon-fri" note:"days on which it starts: mon-fri, sat, mon,wed,fri, or all"`
	From     Clock      `col:"from,key" eg:"06:00" note:"start, wall clock time"`
	To       Clock      `col:"to,need" eg:"14:00" note:"end; not after the start means the next day; 24:00 is midnight"`
}

// Exception opens or closes a calendar or one station between two instants. Later rows win over earlier ones.
type Exception struct {
	Calendar CalendarID `col:"calendar,key" ref:"calendars" eg:"two-shift" note:"calendar changed; empty if a station is named"`
	Station  StationID  `col:"station,key" ref:"stations" eg:"" note:"station changed; empty if a calendar is named"`
	From     Wall       `col:"from,key" eg:"2026-12-24T00:00" note:"start, wall clock time of the plant"`
	To       Wall       `col:"to,need" eg:"2026-12-27T00:00" note:"end"`
	Kind     string     `col:"kind,need" enum:"holiday|overtime|maintenance|down" eg:"holiday" note:"holiday, maintenance and down close; overtime opens; where two overlap the later row wins, and rows of a station win over those of its calendar"`
	Reason   string     `col:"reason" eg:"Christmas" note:"shown wherever the closed time matters"`
}

// Centre is a work centre: stations that can stand in for each other, and the setup matrix between families.
type Centre struct {
	ID       CentreID    `col:"centre,key" eg:"weld-robot" note:"short name of the work centre"`
	Plant    ID          `col:"plant,need" ref:"plants" eg:"brackwater" note:"plant it stands in"`
	Name     string      `col:"name,need" eg:"Weld robots" note:"name on screens"`
	Takes    string      `col:"takes" enum:"one|batch|places|away" def:"one" eg:"one" note:"one thing at a time, a batch in and out together, waiting places, or work away (no limit)"`
	Capacity MeasureUnit `col:"capacity_unit" enum:"places|kg|m2|m" def:"places" eg:"places" note:"unit of batch and place capacity"`
	Setup    float64     `col:"setup_default" unit:"min" def:"0" eg:"20" note:"changeover between two different families where the setups table has no row; between equal families it is 0"`
	Order    int         `col:"order" def:"0" eg:"30" note:"place in lists, smallest first"`
}

// Station is one machine, bench, booth, rack or subcontractor.
type Station struct {
	ID       StationID  `col:"station,key" eg:"weld-robot-1" note:"short name of the station"`
	Centre   CentreID   `col:"centre,need" ref:"centres" eg:"weld-robot" note:"work centre it belongs to"`
	Name     string     `col:"name,need" eg:"Weld robot 1" note:"name on screens"`
	Calendar CalendarID `col:"calendar,need" ref:"calendars" eg:"two-shift" note:"when it is open"`
	Speed    float64    `col:"speed" def:"1" eg:"1" note:"run times are divided by it; 1 is normal, 0.8 is slower"`
	Pallets  int        `col:"pallets" def:"1" eg:"2" note:"2 or more: a piece is loaded beside the running one"`
	Capacity Qty        `col:"capacity" def:"1" eg:"1" note:"batch or place capacity in the work centre's capacity unit"`
	Family   Family     `col:"initial_family" eg:"" note:"setup family it stands set up for at the start; empty: the first operation needs no changeover"`
}

// Setup is one entry of a work centre's changeover matrix. It need not be symmetric.
type Setup struct {
	Centre  CentreID `col:"centre,key" ref:"centres" eg:"weld-robot" note:"work centre"`
	From    Family   `col:"from_family,key" eg:"jaw-s" note:"family before; * is any"`
	To      Family   `col:"to_family,key" eg:"jaw-l" note:"family after; * is any"`
	Minutes float64  `col:"minutes,need" unit:"min" eg:"35" note:"changeover; the row with the fewest * wins, then the one that names from_family; rows with * do not apply between equal families"`
}

// Pool is a crew pool: people by skill. Heads are counted from the people who name it.
type Pool struct {
	ID            PoolID     `col:"pool,key" eg:"welders" note:"short name of the crew pool"`
	Plant         ID         `col:"plant,need" ref:"plants" eg:"brackwater" note:"plant"`
	Name          string     `col:"name,need" eg:"Welders" note:"name on screens"`
	Qualification Qualifying `col:"qualification" eg:"weld-fillet" note:"what a person must hold, unexpired, to be counted; empty is nothing"`
	Heads         int        `col:"extra_heads" def:"0" eg:"0" note:"heads present beyond the people named, such as agency staff"`
	Calendar      CalendarID `col:"extra_calendar" ref:"calendars" eg:"" note:"when the extra heads are present"`
}

// Person is somebody who works in the plant. He counts in one pool.
type Person struct {
	ID       PersonID   `col:"person,key" eg:"p-101" note:"short name or number"`
	Name     string     `col:"name,need" eg:"M. Adair" note:"name on screens"`
	Pool     PoolID     `col:"pool,need" ref:"pools" eg:"welders" note:"crew pool he counts in"`
	Calendar CalendarID `col:"calendar,need" ref:"calendars" eg:"early" note:"when he is present"`
}

// Qualification is what a person may do, and until when.
type Qualification struct {
	Person  PersonID   `col:"person,key" ref:"people" eg:"p-101" note:"person"`
	Name    Qualifying `col:"qualification,key" eg:"weld-fillet" note:"what he may do"`
	Expires Date       `col:"expires" eg:"2027-03-31" note:"last day on which it counts; empty is for ever"`
}

// Absence is a time in which a person is away.
type Absence struct {
	Person PersonID `col:"person,key" ref:"people" eg:"p-101" note:"person"`
	From   Wall     `col:"from,key" eg:"2026-12-01T00:00" note:"start"`
	To     Wall     `col:"to,need" eg:"2026-12-08T00:00" note:"end"`
	Reason string   `col:"reason" eg:"leave" note:"why"`
}

// Transit is a way from one plant to another: the days on which a truck leaves, and how long it takes.
type Transit struct {
	From    ID      `col:"from_plant,key" ref:"plants" eg:"fellgate" note:"plant it leaves"`
	To      ID      `col:"to_plant,key" ref:"plants" eg:"brackwater" note:"plant it reaches"`
	Days    string  `col:"days,need" eg:"tue,fri" note:"days on which a truck leaves"`
	Departs Clock   `col:"departs,need" eg:"15:00" note:"latest time on the truck, wall clock of the plant it leaves"`
	Hours   float64 `col:"transit_hours,need" unit:"h" eg:"3.5" note:"from leaving to being ready to use at the other plant"`
}

// Setting is one named value of the whole book; see book.Settings for the names, meanings and defaults.
type Setting struct {
	Name  string `col:"setting,key" eg:"freeze_hours" note:"name of the setting"`
	Value string `col:"value,need" eg:"24" note:"its value"`
}
