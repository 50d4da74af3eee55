package setout

import (
	"cmp"
	"math"
	"slices"

	"tackline/book"
	"tackline/calendar"
	"tackline/plant"
	"tackline/schedule"
)

var takes = map[string]schedule.Takes{
	book.TakesOne: schedule.One, book.TakesBatch: schedule.Batch, book.TakesPlaces: schedule.Places, book.TakesAway: schedule.NoLimit,
}

// plant sets out work centres, stations and pools.
func (b *builder) plant() {
	rows := b.ix.Book
	for i, c := range rows.Centres {
		b.centres[c.ID] = i
		b.p.Centres = append(b.p.Centres, schedule.Centre{ID: c.ID, Name: c.Name})
	}
	for i, s := range rows.Stations {
		centre, ok := b.centres[s.Centre]
		if !ok {
			b.fail("stations", i, "centre", "station %s stands in work centre %q, which is unknown", s.ID, s.Centre)
			continue
		}
		b.stations[s.ID] = len(b.p.Stations)
		t := b.stationTime(&s)
		b.p.Stations = append(b.p.Stations, schedule.Station{ID: s.ID, Name: s.Name, Centre: centre, Open: t.open, Overtime: t.overtime,
			Takes: takes[rows.Centres[centre].Takes], Pallets: max(1, s.Pallets), Capacity: s.Capacity, Family: b.family(s.Family)})
	}
	for i, p := range rows.Pools {
		b.pools[p.ID] = i
		b.p.Pools = append(b.p.Pools, schedule.Pool{ID: p.ID, Name: p.Name, Heads: b.heads(&p)})
	}
}

// family gives the index of a setup family, a new one if need be.
func (b *builder) family(f plant.Family) int {
	i, known := b.families[f]
	if !known {
		i = len(b.p.Families)
		b.families[f] = i
		b.p.Families = append(b.p.Families, f)
	}
	return i
}

// calendarTime gives the open time of a calendar. Everybody who works by the same calendar shares its spans.
func (b *builder) calendarTime(id plant.CalendarID) opening {
	t, known := b.opens[id]
	if !known {
		t = b.expand(id, b.ix.Exceptions[id])
		b.opens[id] = t
	}
	return t
}

// stationTime gives the open time of a station: its calendar, changed by its own exceptions.
func (b *builder) stationTime(s *plant.Station) opening {
	own := b.ix.Closures[s.ID]
	if len(own) == 0 {
		return b.calendarTime(s.Calendar)
	}
	return b.expand(s.Calendar, append(slices.Clone(b.ix.Exceptions[s.Calendar]), own...))
}

func (b *builder) expand(id plant.CalendarID, exceptions []plant.Exception) opening {
	open, overtime, err := calendar.Expand(b.ix.Shifts[id], exceptions, b.ix.CalendarZone(id), b.from, b.to)
	if err != nil {
		b.fail("calendars", -1, "", "calendar %s: %v", id, err)
	}
	return opening{open, overtime}
}

// heads counts the people of a pool as a step function.
func (b *builder) heads(p *plant.Pool) []schedule.Step {
	change := map[plant.Time]int{b.from: 0}
	add := func(open calendar.Open, n int) {
		for _, s := range open.Spans() {
			change[s.From] += n
			change[s.To] -= n
		}
	}
	for _, person := range b.ix.PeopleOf[p.ID] {
		add(b.present(person, p), 1)
	}
	if p.Heads > 0 {
		add(b.calendarTime(p.Calendar).open, p.Heads)
	}
	steps := make([]schedule.Step, 0, len(change))
	for at, n := range change {
		if n != 0 || at == b.from {
			steps = append(steps, schedule.Step{At: at, N: n})
		}
	}
	slices.SortFunc(steps, func(x, y schedule.Step) int { return cmp.Compare(x.At, y.At) })
	for i := 1; i < len(steps); i++ {
		steps[i].N += steps[i-1].N
	}
	return steps
}

// present gives the time in which a person counts in a pool.
func (b *builder) present(person *plant.Person, p *plant.Pool) calendar.Open {
	loc := b.ix.Zone(p.Plant)
	var away []calendar.Span
	if p.Qualification != "" {
		until := plant.Time(math.MinInt64)
		for _, q := range b.ix.Qualifications[person.ID] {
			if q.Name != p.Qualification {
				continue
			}
			end, expires := q.Expires.EndOfDay(loc)
			if !expires {
				end = plant.Never
			}
			until = max(until, end)
		}
		away = append(away, calendar.Span{From: until, To: plant.Never})
	}
	for _, a := range b.ix.Absences[person.ID] {
		from, ok1 := a.From.Time(loc)
		to, ok2 := a.To.Time(loc)
		if ok1 && ok2 {
			away = append(away, calendar.Span{From: from, To: to})
		}
	}
	open := b.calendarTime(person.Calendar).open
	if len(away) == 0 {
		return open
	}
	return calendar.Without(open, calendar.Make(away))
}
