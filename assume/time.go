package assume

import (
	"strconv"
	"strings"
	"time"

	"tackline/book"
	"tackline/calendar"
	"tackline/fault"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

func itoa(n int) string { return strconv.Itoa(n) }

// find gives the first row that matches, or nil.
func find[T any](rows []T, is func(*T) bool) *T {
	for i := range rows {
		if is(&rows[i]) {
			return &rows[i]
		}
	}
	return nil
}

// zone gives the time zone of a plant, UTC if it is unknown.
func zone(b *book.Book, id plant.ID) *time.Location {
	if p := find(b.Plants, func(p *plant.Plant) bool { return p.ID == id }); p != nil {
		if loc, err := time.LoadLocation(p.TimeZone); err == nil {
			return loc
		}
	}
	return time.UTC
}

// plantOf gives the plant that the times of an assumption are read in.
func plantOf(b *book.Book, a *Assumption) plant.ID {
	station, cal, pool := a.Station, a.Calendar, a.Pool
	if p := find(b.People, func(p *plant.Person) bool { return p.ID == a.Person }); p != nil {
		pool = p.Pool
	}
	if s := find(b.Stations, func(s *plant.Station) bool { return s.ID == station }); s != nil {
		if c := find(b.Centres, func(c *plant.Centre) bool { return c.ID == s.Centre }); c != nil {
			return c.Plant
		}
	}
	if p := find(b.Pools, func(p *plant.Pool) bool { return p.ID == pool }); p != nil {
		return p.Plant
	}
	if c := find(b.Calendars, func(c *plant.Calendar) bool { return c.ID == cal }); c != nil {
		return c.Plant
	}
	if o := find(b.Orders, func(o *order.Order) bool { return o.ID == a.Order }); o != nil {
		return o.Plant
	}
	if r := find(b.Receipts, func(r *stock.Receipt) bool { return r.ID == a.Receipt }); r != nil {
		return r.Plant
	}
	if i := find(b.Items, func(i *product.Item) bool { return i.ID == a.Item }); i != nil {
		return i.Plant
	}
	if len(b.Plants) > 0 {
		return b.Plants[0].ID
	}
	return ""
}

func zoneOf(b *book.Book, a *Assumption) *time.Location { return zone(b, plantOf(b, a)) }

// except adds an exception over the window of a. Where a row of the same kind begins at the same time, the longer one counts.
func (e *edit) except(a *Assumption, x plant.Exception) fault.List {
	loc := zoneOf(e.b, a)
	if faults := window(a, loc); faults != nil {
		return faults
	}
	x.From, x.To, x.Reason = a.From, a.To, a.Reason
	rows := own(e, &e.b.Exceptions)
	old := find(*rows, func(r *plant.Exception) bool {
		return r.Calendar == x.Calendar && r.Station == x.Station && r.From == x.From
	})
	if old == nil {
		*rows = append(*rows, x)
		return nil
	}
	if (old.Kind == "overtime") != (x.Kind == "overtime") {
		return say("from", string(a.From), "a time some minutes earlier or later",
			"the exceptions have a row ("+old.Kind+") that begins at the same time and says the opposite")
	}
	if end, ok := old.To.Time(loc); ok {
		if t, _ := a.To.Time(loc); t > end {
			old.To = a.To
		}
	}
	return nil
}

func (e *edit) overtime(a *Assumption) fault.List {
	switch {
	case a.Station == "" && a.Calendar == "":
		return say("station", "", "a station or a calendar", "it is not said who works overtime")
	case a.Station != "" && a.Calendar != "":
		return say("calendar", string(a.Calendar), "a station or a calendar, not both", "make two assumptions of it")
	case a.Calendar != "" && a.Heads+len(a.Pool) > 0:
		return say("heads", itoa(a.Heads), "nothing", "the people of a calendar come with it; assume extra people for more")
	case a.Pool != "" && a.Heads == 0:
		return say("heads", "", "how many people of the pool come", "this field must not be empty where a pool is named")
	}
	crews, heads := overtimeCrews(e.b, a)
	if heads > mostHeads {
		return say("heads", itoa(a.Heads), "at most "+itoa(mostHeads)+" people in all", "")
	}
	if faults := e.except(a, plant.Exception{Station: a.Station, Calendar: a.Calendar, Kind: "overtime"}); faults != nil {
		return faults
	}
	if heads > 0 {
		e.overtimePeople(a, crews)
	}
	return nil
}

// shift opens a calendar on some days of the week: by a row of its shifts if it is there for good, else by overtime on each
// of the days. Those rows stand before the others of the book, so that holidays close them.
func (e *edit) shift(a *Assumption) fault.List {
	days, err := calendar.ParseDays(a.Days)
	if err != nil {
		return say("days", a.Days, "days of the week: mon-fri, sat, mon,wed,fri or all", "")
	}
	begin, end, faults := hours(a.Hours)
	if faults != nil {
		return faults
	}
	if faults := both(a); faults != nil {
		return faults
	}
	if a.From == "" {
		return e.weekly(a, begin, end)
	}
	loc := zoneOf(e.b, a)
	if faults := window(a, loc); faults != nil {
		return faults
	}
	rows := e.eachDay(a, days, begin, end, loc)
	if len(rows) == 0 {
		return say("days", a.Days, "a day of the week on which the shift begins between the two dates", "the shift never takes place")
	}
	own(e, &e.b.Exceptions)
	e.b.Exceptions = append(rows, e.b.Exceptions...)
	return nil
}

// hours reads "22:00-06:00".
func hours(text string) (begin, end plant.Clock, faults fault.List) {
	from, to, ok := strings.Cut(text, "-")
	begin, err1 := plant.ParseClock(strings.TrimSpace(from))
	end, err2 := plant.ParseClock(strings.TrimSpace(to))
	if !ok || err1 != nil || err2 != nil || begin >= 24*60 {
		return 0, 0, say("hours", text, "two times of day, such as 22:00-06:00", "")
	}
	return begin, end, nil
}

func (e *edit) weekly(a *Assumption, begin, end plant.Clock) fault.List {
	rows := own(e, &e.b.Shifts)
	same := func(name string) bool {
		return find(*rows, func(s *plant.Shift) bool {
			return s.Calendar == a.Calendar && s.Name == name && s.Days == a.Days && s.From == begin
		}) != nil
	}
	*rows = append(*rows, plant.Shift{Calendar: a.Calendar, Name: free("extra", same), Days: a.Days, From: begin, To: end})
	return nil
}

// longestShifts bounds the rows that one extra shift makes: two years of days.
const longestShifts = 2 * 366

// eachDay gives a row of overtime for each day on which the shift begins within the window and no row begins already.
func (e *edit) eachDay(a *Assumption, days [7]bool, begin, end plant.Clock, loc *time.Location) (rows []plant.Exception) {
	from, _ := a.From.Time(loc)
	to, _ := a.To.Time(loc)
	taken := map[plant.Wall]bool{}
	for i := range e.b.Exceptions {
		if x := &e.b.Exceptions[i]; x.Calendar == a.Calendar {
			taken[x.From] = true
		}
	}
	minutes := int(end - begin)
	if minutes <= 0 {
		minutes += 24 * 60
	}
	first := from.In(loc)
	for n := 0; n < longestShifts; n++ {
		day := time.Date(first.Year(), first.Month(), first.Day()+n, 0, 0, 0, 0, time.UTC)
		start := plant.Local(day.Year(), day.Month(), day.Day(), int(begin), loc)
		if start >= to {
			break
		}
		x := plant.Exception{Calendar: a.Calendar, Kind: "overtime", Reason: reasonOr(a, "extra shift"),
			From: wallOf(day, int(begin)), To: wallOf(day, int(begin)+minutes)}
		if days[day.Weekday()] && start >= from && !taken[x.From] {
			rows = append(rows, x)
		}
	}
	return rows
}

func wallOf(day time.Time, minute int) plant.Wall {
	return plant.Wall(day.Add(time.Duration(minute) * time.Minute).Format("2006-01-02T15:04"))
}

func reasonOr(a *Assumption, otherwise string) string {
	if a.Reason != "" {
		return a.Reason
	}
	return otherwise
}
