package dispatch

import (
	"slices"
	"sort"
	"time"

	"tackline/book"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// Loads gives the hours planned on each work centre in each week against its open hours, from the week of now to the last
// week with work. Weeks begin on the weekday of the setting week_start at midnight of the centre's plant. Work is split
// exactly over weeks by the open time in which it is done; a batch counts once. Of places, hours are counted for each
// place; subcontractors without limit are left out. Time before now is left out on both sides.
func Loads(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) []Load {
	by := map[loadKey]*Load{}
	for _, s := range stationLoads(ix, p, plan) {
		k := loadKey{p.Stations[s.at].Centre, s.Week}
		x := by[k]
		if x == nil {
			x = &Load{Centre: s.Centre, Week: s.Week}
			by[k] = x
		}
		x.Open, x.Run, x.Setup, x.Ops = x.Open+s.Open, x.Run+s.Run, x.Setup+s.Setup, append(x.Ops, s.Ops...)
	}
	out := make([]Load, 0, len(by))
	for _, x := range by {
		sort.Ints(x.Ops)
		out = append(out, *x)
	}
	place := map[plant.CentreID]int{}
	for i := range ix.Book.Centres {
		place[ix.Book.Centres[i].ID] = i
	}
	slices.SortFunc(out, func(a, b Load) int {
		if a.Centre != b.Centre {
			return place[a.Centre] - place[b.Centre]
		}
		return int(a.Week - b.Week)
	})
	return out
}

// StationLoad is the load of one station in one week.
type StationLoad struct {
	Station plant.StationID
	Load
	at int // station
}

// StationLoads gives the hours planned on each station in each week as Loads does for work centres, by station in the book's
// order and by week.
func StationLoads(ix *book.Index, p *schedule.Problem, plan *schedule.Plan) []StationLoad {
	out := stationLoads(ix, p, plan)
	for i := range out {
		sort.Ints(out[i].Ops)
	}
	return out
}

// stationLoads gives the loads by station and week; Ops are in the order of their time.
func stationLoads(ix *book.Index, p *schedule.Problem, plan *schedule.Plan) []StationLoad {
	l := &loads{ix: ix, p: p, by: map[loadKey]*Load{}, seen: make([]plant.Time, len(p.Ops)), first: weekday(ix.Book.Setting("week_start"))}
	schedule.EachStretch(p, plan, l.add)
	l.open()
	out := make([]StationLoad, 0, len(l.by))
	for k, x := range l.by {
		out = append(out, StationLoad{p.Stations[k.at].ID, *x, k.at})
	}
	slices.SortFunc(out, func(a, b StationLoad) int {
		if a.at != b.at {
			return a.at - b.at
		}
		return int(a.Week - b.Week)
	})
	return out
}

// loadKey is a week of a station, or of a work centre.
type loadKey struct {
	at   int
	week plant.Time
}

type loads struct {
	ix    *book.Index
	p     *schedule.Problem
	by    map[loadKey]*Load
	seen  []plant.Time // last week in which an operation was counted: its stretches come in order of time
	first time.Weekday
}

func weekday(name string) time.Weekday {
	days := map[string]time.Weekday{"sun": time.Sunday, "mon": time.Monday, "tue": time.Tuesday, "wed": time.Wednesday, "thu": time.Thursday, "fri": time.Friday, "sat": time.Saturday}
	if d, ok := days[name]; ok {
		return d
	}
	return time.Monday
}

// week gives the begin of the week of t in loc, and that of the next.
func (l *loads) week(t plant.Time, loc *time.Location) (from, to plant.Time) {
	w := t.In(loc)
	back := (int(w.Weekday()) - int(l.first) + 7) % 7
	begin := time.Date(w.Year(), w.Month(), w.Day()-back, 0, 0, 0, 0, loc)
	return plant.At(begin), plant.At(begin.AddDate(0, 0, 7))
}

func (l *loads) at(station int, week plant.Time) *Load {
	k := loadKey{station, week}
	x := l.by[k]
	if x == nil {
		x = &Load{Centre: l.p.Centres[l.p.Stations[station].Centre].ID, Week: week}
		l.by[k] = x
	}
	return x
}

func (l *loads) add(s schedule.Stretch) {
	st := &l.p.Stations[s.Station]
	if st.Takes == schedule.NoLimit {
		return
	}
	loc := l.ix.CentreZone(l.p.Centres[st.Centre].ID)
	for t := max(s.From, l.p.Now); t < s.To; {
		week, next := l.week(t, loc)
		to := min(s.To, next)
		x := l.at(s.Station, week)
		hours := to.Sub(t).Hours()
		if st.Takes == schedule.Places {
			hours *= l.p.Ops[s.Ops[0]].Size.Float()
		}
		if s.Setup {
			x.Setup += hours
		} else {
			x.Run += hours
		}
		for _, op := range s.Ops {
			if l.seen[op] != week {
				l.seen[op] = week
				x.Ops = append(x.Ops, op)
			}
		}
		t = to
	}
}

// open fills in open hours, and the weeks without work between the first and the last.
func (l *loads) open() {
	last := l.p.Now
	for k := range l.by {
		last = max(last, k.week)
	}
	for s := range l.p.Stations {
		st := &l.p.Stations[s]
		if st.Takes == schedule.NoLimit {
			continue
		}
		loc := l.ix.CentreZone(l.p.Centres[st.Centre].ID)
		for t := l.p.Now; t <= last || t == l.p.Now; {
			week, next := l.week(t, loc)
			hours := st.Open.Work(max(week, l.p.Now), next).Hours()
			if st.Takes == schedule.Places {
				hours *= st.Capacity.Float()
			}
			l.at(s, week).Open += hours
			t = next
		}
	}
}
