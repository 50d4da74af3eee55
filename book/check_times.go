package book

import (
	"time"

	"tackline/calendar"
	"tackline/plant"
)

// window is the time for which the checks lay out calendars.
type window struct {
	from, to plant.Time
	open     map[plant.CalendarID]calendar.Open
	stations map[plant.StationID]calendar.Open
	heads    map[plant.PoolID][]step
}

// longestWindow bounds the work of the checks; a calendar that opens later than that is as good as closed.
const longestWindow = 400

// lookAhead finds the time for which calendars are laid out: from the setting plan_from, or else from the last day of
// which the book tells something that has happened, for the setting horizon_days.
func (c *checker) lookAhead() window {
	from, ok := c.ix.PlanFrom()
	if !ok {
		from = c.lastKnown()
	}
	days := min(max(c.b.SettingNumber("horizon_days"), 14), longestWindow)
	return window{from: from, to: from.Add(plant.HoursToSeconds(days * 24)), open: map[plant.CalendarID]calendar.Open{},
		stations: map[plant.StationID]calendar.Open{}, heads: map[plant.PoolID][]step{}}
}

// lastKnown gives the last instant of the past in the book, or else the first due date, or else a fixed day.
func (c *checker) lastKnown() plant.Time {
	var last, due plant.Time
	see := func(t plant.Time, ok bool) {
		if ok && t > last {
			last = t
		}
	}
	for i := range c.b.Orders {
		see(c.b.Orders[i].Received.Time(time.UTC))
	}
	for i := range c.b.Lots {
		see(c.b.Lots[i].Received.Time(time.UTC))
	}
	for i := range c.b.Finished {
		see(c.b.Finished[i].End.Time(time.UTC))
	}
	for i := range c.b.Lines {
		if t, ok := c.b.Lines[i].Due.Time(time.UTC); ok && (due == 0 || t < due) {
			due = t
		}
	}
	switch {
	case last != 0:
		return last
	case due != 0:
		return due
	}
	return plant.At(time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC))
}

// times checks plants, calendars, shifts, exceptions, absences and transits.
func (c *checker) times() {
	c.window = c.lookAhead()
	for i, p := range c.b.Plants {
		if _, ok := zone(p.TimeZone); !ok && p.TimeZone != "" {
			near := c.nearest("zone", p.TimeZone, func() []string { return commonZones })
			c.say(at{"plants", i, "time_zone"}, p.TimeZone, "an IANA time zone, such as Europe/Dublin", near, "")
		}
	}
	c.shifts()
	c.exceptions()
	for i, a := range c.b.Absences {
		c.order(at{"absences", i, "to"}, a.From, a.To, c.personZone(a.Person))
	}
	for i, t := range c.b.Transits {
		c.days(at{"transits", i, "days"}, t.Days)
		if t.From == t.To {
			c.say(at{"transits", i, "to_plant"}, string(t.To), "another plant than from_plant", "", "")
		}
		if t.Hours < 0 {
			c.say(at{"transits", i, "transit_hours"}, OptionText(t.Hours), "a number of hours not below 0", "", "")
		}
	}
	c.calendars()
}

// commonZones are suggested where a time zone is misspelt.
var commonZones = []string{"UTC", "Europe/Dublin", "Europe/London", "Europe/Paris", "Europe/Berlin", "Europe/Madrid",
	"Europe/Rome", "Europe/Vienna", "Europe/Zurich", "Europe/Amsterdam", "Europe/Brussels", "Europe/Copenhagen",
	"Europe/Stockholm", "Europe/Oslo", "Europe/Helsinki", "Europe/Warsaw", "Europe/Prague", "Europe/Lisbon",
	"Europe/Athens", "Europe/Istanbul", "America/New_York", "America/Chicago", "America/Denver", "America/Los_Angeles",
	"America/Toronto", "America/Vancouver", "America/Mexico_City", "America/Sao_Paulo", "Asia/Tokyo", "Asia/Shanghai",
	"Asia/Seoul", "Asia/Singapore", "Asia/Kolkata", "Asia/Dubai", "Australia/Sydney", "Australia/Perth",
	"Pacific/Auckland", "Africa/Johannesburg"}

func (c *checker) shifts() {
	for i, s := range c.b.Shifts {
		c.days(at{"shifts", i, "days"}, s.Days)
		if s.From >= 24*60 {
			c.say(at{"shifts", i, "from"}, s.From.String(), "a time of day before 24:00", "", "")
		}
	}
}

func (c *checker) days(p at, s string) bool {
	if s == "" {
		return false // reported as an empty cell
	}
	if _, err := calendar.ParseDays(s); err != nil {
		c.say(p, s, "days of the week: mon-fri, sat, mon,wed,fri or all", "", "")
		return false
	}
	return true
}

func (c *checker) exceptions() {
	for i, e := range c.b.Exceptions {
		loc := c.ix.CalendarZone(e.Calendar)
		switch {
		case e.Calendar == "" && e.Station == "":
			c.say(at{"exceptions", i, "calendar"}, "", "a calendar or a station", "", "the row names neither")
		case e.Calendar != "" && e.Station != "":
			c.say(at{"exceptions", i, "station"}, string(e.Station), "a calendar or a station", "", "the row names both")
		case e.Station != "":
			loc = c.ix.StationZone(e.Station)
		}
		c.order(at{"exceptions", i, "to"}, e.From, e.To, loc)
	}
}

// order checks that a time lies after another one.
func (c *checker) order(p at, from, to plant.Wall, loc *time.Location) {
	f, ok1 := from.Time(loc)
	t, ok2 := to.Time(loc)
	if ok1 && ok2 && t <= f {
		c.say(p, string(to), "a time after "+string(from), "", "it ends before it starts")
	}
}

// calendars checks that each calendar opens some time, and that each station and each person's calendar does.
func (c *checker) calendars() {
	for i, cal := range c.b.Calendars {
		if c.ix.Calendars[cal.ID] != &c.b.Calendars[i] {
			continue // doubled
		}
		if c.openTime(cal.ID).Total() == 0 {
			before := len(c.faults)
			c.say(at{"calendars", i, "calendar"}, string(cal.ID), "at least one shift, or overtime, that is not closed again", "",
				"the calendar has no open time from %s to %s", c.day(c.window.from), c.day(c.window.to))
			if !c.follows(cal.ID) {
				c.unfinished(before)
			}
		}
	}
}

// openTime gives the open time of a calendar in the window; nothing if the calendar is unknown or its shifts cannot be
// read.
func (c *checker) openTime(id plant.CalendarID) calendar.Open {
	if open, known := c.window.open[id]; known {
		return open
	}
	open, _, err := calendar.Expand(c.ix.Shifts[id], readable(c.ix.Exceptions[id]), c.ix.CalendarZone(id), c.window.from, c.window.to)
	if err != nil {
		open = calendar.Open{}
	}
	c.window.open[id] = open
	return open
}

// stationTime gives the open time of a station in the window: its calendar, changed by its own exceptions.
func (c *checker) stationTime(s *plant.Station) calendar.Open {
	closures := readable(c.ix.Closures[s.ID])
	if len(closures) == 0 {
		return c.openTime(s.Calendar)
	}
	if open, known := c.window.stations[s.ID]; known {
		return open
	}
	all := append(append([]plant.Exception(nil), readable(c.ix.Exceptions[s.Calendar])...), closures...)
	open, _, err := calendar.Expand(c.ix.Shifts[s.Calendar], all, c.ix.CalendarZone(s.Calendar), c.window.from, c.window.to)
	if err != nil {
		open = calendar.Open{}
	}
	c.window.stations[s.ID] = open
	return open
}

// readable leaves out exceptions whose times cannot be read; they are reported as cells.
func readable(rows []plant.Exception) []plant.Exception {
	for i := range rows {
		if !isWall(string(rows[i].From)) || !isWall(string(rows[i].To)) {
			var out []plant.Exception
			for _, e := range rows {
				if isWall(string(e.From)) && isWall(string(e.To)) {
					out = append(out, e)
				}
			}
			return out
		}
	}
	return rows
}

func (c *checker) personZone(id plant.PersonID) *time.Location {
	if p := c.ix.People[id]; p != nil {
		return c.ix.CalendarZone(p.Calendar)
	}
	return time.UTC
}

func (c *checker) day(t plant.Time) string { return t.In(time.UTC).Format("2006-01-02") }
