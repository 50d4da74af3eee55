package assume

import (
	"fmt"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
	"tackline/product"
)

// away takes a person, or some people of a pool, out of a window.
func (e *edit) away(a *Assumption) fault.List {
	if faults := window(a, zoneOf(e.b, a)); faults != nil {
		return faults
	}
	switch {
	case a.Person != "" && (a.Pool != "" || a.Heads > 1):
		return say("person", string(a.Person), "a person, or a pool and how many people, not both", "make two assumptions of it")
	case a.Person == "" && a.Pool == "":
		return say("person", "", "a person, or a pool and how many people", "it is not said who is away")
	case a.Person != "":
		e.absent(a.Person, a)
		return nil
	}
	if a.Heads == 0 {
		a.Heads = 1
	}
	who := choose(e.b, a)
	if len(who) < a.Heads {
		return say("heads", itoa(a.Heads), fmt.Sprintf("at most %d", len(who)),
			"so many people of the pool are not there to begin with; extra heads of a pool are changed in the pools of the shop book")
	}
	for _, id := range who {
		e.absent(id, a)
	}
	return nil
}

// choose picks people of a pool who are not away already, each time from the calendar that has most of them left, so that
// every shift keeps somebody as long as can be.
func choose(b *book.Book, a *Assumption) (who []plant.PersonID) {
	loc := zoneOf(b, a)
	from, _ := a.From.Time(loc)
	to, _ := a.To.Time(loc)
	away := map[plant.PersonID]bool{}
	for i := range b.Absences {
		x := &b.Absences[i]
		start, _ := x.From.Time(loc)
		if end, ok := x.To.Time(loc); ok && start < to && end > from {
			away[x.Person] = true
		}
	}
	left := map[plant.CalendarID]int{}
	for i := range b.People {
		if p := &b.People[i]; p.Pool == a.Pool && !away[p.ID] {
			left[p.Calendar]++
		}
	}
	for len(who) < a.Heads {
		var best *plant.Person
		for i := range b.People {
			if p := &b.People[i]; p.Pool == a.Pool && !away[p.ID] && (best == nil || left[p.Calendar] > left[best.Calendar]) {
				best = p
			}
		}
		if best == nil {
			return who
		}
		who = append(who, best.ID)
		away[best.ID] = true
		left[best.Calendar]--
	}
	return who
}

// absent adds an absence over the window of a. Where one of the same person begins at the same time, the longer one counts.
func (e *edit) absent(id plant.PersonID, a *Assumption) {
	loc := zoneOf(e.b, a)
	rows := own(e, &e.b.Absences)
	old := find(*rows, func(x *plant.Absence) bool { return x.Person == id && x.From == a.From })
	if old == nil {
		*rows = append(*rows, plant.Absence{Person: id, From: a.From, To: a.To, Reason: a.Reason})
		return
	}
	end, _ := old.To.Time(loc)
	if to, _ := a.To.Time(loc); to > end {
		old.To = a.To
	}
}

// people adds people to a pool, who work by a calendar of the book.
func (e *edit) people(a *Assumption) fault.List {
	if faults := both(a); faults != nil {
		return faults
	}
	if faults := window(a, zoneOf(e.b, a)); faults != nil {
		return faults
	}
	cal := a.Calendar
	if cal == "" {
		cal = usual(e.b, a.Pool)
	}
	if cal == "" {
		return say("calendar", "", "the calendar by which they work", "nobody of the pool is named whose calendar they could share")
	}
	if a.Heads > mostHeads {
		return say("heads", itoa(a.Heads), "at most "+itoa(mostHeads), "")
	}
	for range a.Heads {
		id := e.person(a.Pool, cal)
		if a.From != "" {
			rows := own(e, &e.b.Absences)
			*rows = append(*rows, plant.Absence{Person: id, From: always, To: a.From, Reason: "not here yet"},
				plant.Absence{Person: id, From: a.To, To: forEver, Reason: "no longer here"})
		}
	}
	return nil
}

// mostHeads bounds the rows that one assumption makes.
const mostHeads = 100

// Begin and end of the absences around the stay of people who are here between two dates only.
const (
	always  = plant.Wall("2000-01-01T00:00")
	forEver = plant.Wall("2100-01-01T00:00")
)

// usual gives the calendar that most people of a pool work by, else that of its extra heads.
func usual(b *book.Book, id plant.PoolID) (cal plant.CalendarID) {
	count := map[plant.CalendarID]int{}
	for i := range b.People {
		if b.People[i].Pool == id {
			count[b.People[i].Calendar]++
		}
	}
	for i := range b.People { // in the order of the book, so that equal counts always give the same
		if c := b.People[i].Calendar; count[c] > count[cal] {
			cal = c
		}
	}
	if p := find(b.Pools, func(p *plant.Pool) bool { return p.ID == id }); cal == "" && p != nil {
		cal = p.Calendar
	}
	return cal
}

// person adds somebody who holds what the pool must hold.
func (e *edit) person(id plant.PoolID, cal plant.CalendarID) plant.PersonID {
	pool := find(e.b.Pools, func(p *plant.Pool) bool { return p.ID == id })
	people := own(e, &e.b.People)
	taken := func(s string) bool {
		return find(*people, func(p *plant.Person) bool { return p.ID == plant.PersonID(s) }) != nil
	}
	x := plant.Person{ID: plant.PersonID(free("extra", taken)), Pool: id, Calendar: cal}
	x.Name = "Extra person, " + pool.Name
	*people = append(*people, x)
	if pool.Qualification != "" {
		rows := own(e, &e.b.Qualifications)
		*rows = append(*rows, plant.Qualification{Person: x.ID, Name: pool.Qualification})
	}
	return x.ID
}

// overtimeCrews gives the people who come for an overtime, and how many they are in all.
func overtimeCrews(b *book.Book, a *Assumption) (crews []Crew, total int) {
	switch {
	case a.Heads == 0:
		return nil, 0
	case a.Pool != "":
		return []Crew{{Pool: a.Pool, Heads: a.Heads}}, a.Heads
	}
	crews = CrewsAt(b, a.Station)
	for i := range crews {
		crews[i].Heads = max(crews[i].Heads, a.Heads)
		total += crews[i].Heads
	}
	return crews, total
}

// overtimePeople lets people come for the window of an overtime at a station. They follow a calendar of its own.
func (e *edit) overtimePeople(a *Assumption, crews []Crew) {
	cals := own(e, &e.b.Calendars)
	taken := func(s string) bool {
		return find(*cals, func(c *plant.Calendar) bool { return c.ID == plant.CalendarID(s) }) != nil
	}
	cal := plant.Calendar{ID: plant.CalendarID(free("overtime-"+string(a.Station), taken)), Plant: plantOf(e.b, a), Name: "Overtime on " + string(a.Station)}
	*cals = append(*cals, cal)
	rows := own(e, &e.b.Exceptions)
	*rows = append(*rows, plant.Exception{Calendar: cal.ID, From: a.From, To: a.To, Kind: "overtime", Reason: a.Reason})
	for _, c := range crews {
		for range c.Heads {
			e.person(c.Pool, cal.ID)
		}
	}
}

// Crew is a number of people of a pool.
type Crew struct {
	Pool  plant.PoolID
	Heads int
}

// CrewsAt gives the crew pools that the operations which a station can do need, each with the most people that one of them
// needs, in the order of the pools of the book.
func CrewsAt(b *book.Book, station plant.StationID) []Crew {
	s := find(b.Stations, func(s *plant.Station) bool { return s.ID == station })
	if s == nil {
		return nil
	}
	limited, able := map[book.OpKey]bool{}, map[book.OpKey]bool{}
	for i := range b.Ables {
		k := book.OpKey{Item: b.Ables[i].Item, Seq: b.Ables[i].Seq}
		limited[k] = true
		able[k] = able[k] || b.Ables[i].Station == station
	}
	does := map[book.OpKey]bool{}
	for i := range b.Ops {
		o := &b.Ops[i]
		k := book.OpKey{Item: o.Item, Seq: o.Seq}
		does[k] = o.Centre == s.Centre && o.Nature != product.Away && (!limited[k] || able[k])
	}
	heads := map[plant.PoolID]int{}
	for i := range b.Crews {
		c := &b.Crews[i]
		if does[book.OpKey{Item: c.Item, Seq: c.Seq}] {
			heads[c.Pool] = max(heads[c.Pool], c.Heads)
		}
	}
	var out []Crew
	for i := range b.Pools {
		if n := heads[b.Pools[i].ID]; n > 0 {
			out = append(out, Crew{b.Pools[i].ID, n})
		}
	}
	return out
}
