package book

import (
	"fmt"
	"sort"
	"strings"

	"tackline/calendar"
	"tackline/plant"
	"tackline/product"
)

// people checks crew pools and the people in them.
func (c *checker) people() {
	for i := range c.b.Pools {
		c.pool(i, &c.b.Pools[i])
	}
	held := map[string]bool{}
	for _, q := range c.b.Qualifications {
		held[string(q.Name)] = true
	}
	for i, p := range c.b.Pools {
		if q := string(p.Qualification); q != "" && !held[q] && len(c.ix.PeopleOf[p.ID]) > 0 {
			near := c.nearest("qualification", q, func() []string { return sorted(held) })
			c.say(at{"pools", i, "qualification"}, q, "a qualification that somebody holds", near, "")
		}
	}
}

func (c *checker) pool(i int, p *plant.Pool) {
	switch {
	case p.Heads < 0 || p.Heads > 10000:
		c.say(at{"pools", i, "extra_heads"}, fmt.Sprint(p.Heads), "a whole number from 0 to 10000", "", "")
	case p.Heads > 0 && p.Calendar == "":
		c.say(at{"pools", i, "extra_calendar"}, "", "the calendar of the extra heads", "", "there are extra heads, so it must be known when they are present")
	}
}

// step is a change of heads by n at an instant.
type step struct {
	at plant.Time
	n  int
}

// heads gives the changes of the heads of a pool in the window, sorted: people present on their calendars, not absent, and
// with the pool's qualification unexpired, and the extra heads.
func (c *checker) heads(p *plant.Pool) []step {
	var steps []step
	if p.Heads > 0 && p.Heads <= 10000 {
		steps = changes(c.openTime(p.Calendar), p.Heads)
	}
	for _, person := range c.ix.PeopleOf[p.ID] {
		steps = append(steps, changes(c.present(person, p.Qualification), 1)...)
	}
	sortSteps(steps)
	return steps
}

// changes gives the changes of n heads that are present in an open time.
func changes(open calendar.Open, n int) []step {
	var steps []step
	for _, s := range open.Spans() {
		steps = append(steps, step{s.From, n}, step{s.To, -n})
	}
	return steps
}

func sortSteps(steps []step) {
	sort.Slice(steps, func(i, j int) bool { return steps[i].at < steps[j].at })
}

// present gives the time in which a person counts.
func (c *checker) present(p *plant.Person, need plant.Qualifying) calendar.Open {
	open := c.openTime(p.Calendar)
	loc := c.ix.CalendarZone(p.Calendar)
	var away []calendar.Span
	for _, a := range c.ix.Absences[p.ID] {
		from, ok1 := a.From.Time(loc)
		to, ok2 := a.To.Time(loc)
		if ok1 && ok2 && from < to {
			away = append(away, calendar.Span{From: from, To: to})
		}
	}
	if need != "" {
		until, holds := c.window.from, false
		for _, q := range c.ix.Qualifications[p.ID] {
			if q.Name != need {
				continue
			}
			holds = true
			if end, dated := q.Expires.EndOfDay(loc); !dated {
				until = plant.Never
			} else if end > until {
				until = end
			}
		}
		if !holds {
			return calendar.Open{}
		}
		away = append(away, calendar.Span{From: until, To: plant.Never + 1})
	}
	if len(away) == 0 {
		return open
	}
	return calendar.Without(open, calendar.Make(away))
}

// atLeast gives the time in which the steps reach n heads. Where heads change at one instant, spans that touch are joined.
func atLeast(steps []step, n int) calendar.Open {
	var spans []calendar.Span
	count, begin := 0, plant.Time(0)
	for _, s := range steps {
		before := count
		count += s.n
		switch {
		case before < n && count >= n:
			begin = s.at
		case before >= n && count < n:
			spans = append(spans, calendar.Span{From: begin, To: s.at})
		}
	}
	return calendar.Make(spans)
}

// crews checks the crew rows, and that every operation has a station that is open while its crew is there.
func (c *checker) crews() {
	met := map[string]bool{} // answers for the needs already looked at
	for i := range c.b.Crews {
		r := &c.b.Crews[i]
		op := c.opNamed(at{"crews", i, "op"}, OpKey{r.Item, r.Seq})
		if r.Heads < 1 || r.Heads > 1000 {
			c.say(at{"crews", i, "heads"}, fmt.Sprint(r.Heads), "a whole number from 1 to 1000", "", "")
			continue
		}
		pool := c.ix.Pools[r.Pool]
		if op == nil || pool == nil {
			continue
		}
		c.crewFits(i, r, op, pool)
		stations := c.stationsFor(op)
		if len(stations) == 0 {
			continue // reported
		}
		key := fmt.Sprint(r.Pool, r.Heads, stations)
		if _, known := met[key]; !known {
			met[key] = c.meets(c.enough(pool, r.Heads), stations)
		}
		if !met[key] {
			c.say(at{"crews", i, "heads"}, fmt.Sprint(r.Heads), "heads that are present together while a station is open", "",
				"from %s to %s pool %s never has %d at a time (%s) while %s is open, so nobody can do this operation",
				c.day(c.window.from), c.day(c.window.to), r.Pool, r.Heads, c.whoCounts(pool), names(stations))
			continue
		}
		c.together(i, r, op, stations)
	}
}

// enough gives the time in which a pool has at least n heads.
func (c *checker) enough(p *plant.Pool, n int) calendar.Open {
	steps, known := c.window.heads[p.ID]
	if !known {
		steps = c.heads(p)
		c.window.heads[p.ID] = steps
	}
	return atLeast(steps, n)
}

// together checks that the pools which an operation needs at once are present at once. It is reported at the row of the
// second pool and later ones.
func (c *checker) together(i int, r *product.Crew, op *product.Op, stations []*plant.Station) {
	rows := c.ix.CrewsOf[OpKey{r.Item, r.Seq}]
	if len(rows) < 2 || rows[0].Pool == r.Pool {
		return
	}
	open := c.enough(c.ix.Pools[r.Pool], r.Heads)
	for _, o := range rows {
		p := c.ix.Pools[o.Pool]
		if o.Pool == r.Pool || p == nil || o.For != r.For && o.For != "both" && r.For != "both" {
			continue
		}
		open = calendar.Intersect(open, c.enough(p, o.Heads))
	}
	if !c.meets(open, stations) {
		c.say(at{"crews", i, "pool"}, string(r.Pool), "pools that are present at the same time", "",
			"the crews that operation %d needs together are never present together while %s is open", op.Seq, names(stations))
	}
}

func (c *checker) meets(present calendar.Open, stations []*plant.Station) bool {
	if present.Total() == 0 {
		return false
	}
	for _, s := range stations {
		if calendar.Intersect(present, c.stationTime(s)).Total() > 0 {
			return true
		}
	}
	return false
}

func (c *checker) whoCounts(p *plant.Pool) string {
	if p.Qualification == "" {
		return "absences counted"
	}
	return "absences and expired " + string(p.Qualification) + " counted"
}

// crewFits checks that the crew suits the nature of its operation and the plant.
func (c *checker) crewFits(i int, r *product.Crew, op *product.Op, pool *plant.Pool) {
	if op.Nature == product.Dwell || op.Nature == product.Away {
		c.say(at{"crews", i, "op"}, fmt.Sprint(r.Seq), "an operation that needs people", "", "nature %s has no crew", op.Nature)
	}
	if op.Closed == product.Through && r.For != "load" {
		c.say(at{"crews", i, "for"}, r.For, "load", "", "operation %d runs through closed time, so its run cannot need a crew", r.Seq)
	}
	if w := c.ix.Centres[op.Centre]; w != nil && w.Plant != pool.Plant {
		c.say(at{"crews", i, "pool"}, string(r.Pool), "a pool of the plant "+string(w.Plant), "", "the pool belongs to the plant %s", pool.Plant)
	}
}

func names(stations []*plant.Station) string {
	var out []string
	for i, s := range stations {
		if i == 3 && len(stations) > 4 {
			return strings.Join(out, ", ") + fmt.Sprintf(" or %d others", len(stations)-3)
		}
		out = append(out, string(s.ID))
	}
	return strings.Join(out, ", ")
}
