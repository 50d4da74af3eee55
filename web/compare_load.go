package web

import (
	"math"
	"net/http"
	"slices"

	"tackline/dispatch"
	"tackline/plant"
)

// loadPair is one station in one week of two plans.
type loadPair struct {
	station  plant.StationID
	name     string
	centre   plant.CentreID
	week     plant.Time
	new, old stationWeek
	in       [2]bool // weeks that the plan reaches
}

// stationWeek is open and planned hours.
type stationWeek struct{ open, work, setup float64 }

func (w *stationWeek) share() float64 {
	if w.open <= 0 {
		if w.work+w.setup > 0 {
			return 9.99
		}
		return 0
	}
	return (w.work + w.setup) / w.open
}

// differs says whether the two plans differ by a minute or more.
func (l *loadPair) differs() bool {
	const minute = 1.0 / 60
	return math.Abs(l.new.work+l.new.setup-l.old.work-l.old.setup) >= minute || math.Abs(l.new.open-l.old.open) >= minute
}

// loads pairs stations and weeks of both plans, in the order of the book and the weeks.
func (p *pair) loads() []*loadPair {
	type key struct {
		station plant.StationID
		week    plant.Time
	}
	by, place := map[key]*loadPair{}, map[plant.StationID]int{}
	var out []*loadPair
	for i, ix := range []*index{p.new, p.old} {
		for s := range ix.view.Book.Stations {
			if id := ix.view.Book.Stations[s].ID; place[id] == 0 {
				place[id] = len(place) + 1
			}
		}
		for _, l := range dispatch.StationLoads(ix.book, ix.view.Problem, ix.view.Plan) {
			k := key{l.Station, l.Week}
			x := by[k]
			if x == nil {
				x = &loadPair{station: l.Station, name: ix.book.Stations[l.Station].Name, centre: l.Centre, week: l.Week}
				by[k] = x
				out = append(out, x)
			}
			hours := stationWeek{l.Open, l.Run, l.Setup}
			x.in[i] = true
			if i == 0 {
				x.new = hours
			} else {
				x.old = hours
			}
		}
	}
	for _, x := range out { // a week after the last work of one plan is as open as in the other
		switch {
		case !x.in[0]:
			x.new.open = x.old.open
		case !x.in[1]:
			x.old.open = x.new.open
		}
	}
	slices.SortStableFunc(out, func(a, b *loadPair) int {
		if a.station != b.station {
			return place[a.station] - place[b.station]
		}
		return int(a.week - b.week)
	})
	return out
}

func (p *pair) loadPart(w http.ResponseWriter, r *http.Request, f *filter) (table, bool, error) {
	return p.loadList().part(w, r, p.filterLoads(f), f)
}

func (p *pair) filterLoads(f *filter) []*loadPair {
	all := p.loads()
	q := f.search("station")
	centre := f.choose("centre", "Work centre", "all work centres", choicesOf(all, func(l *loadPair) (string, string) {
		return string(l.centre), p.new.centreName(l.centre)
	}))
	week := f.choose("week", "Week from", "all weeks", p.weekChoices(all))
	full := f.tick("full", "90 % full or more")
	alike := f.tick("alike", "also where nothing differs")
	var rows []*loadPair
	for _, l := range all {
		if centre != "" && centre != string(l.centre) || week != "" && week != dayOf(l.week, p.new.zoneOfCentre(l.centre)).ISO ||
			full && l.new.share() < tight && l.old.share() < tight || !alike && !l.differs() {
			continue
		}
		if within(q, l.name, string(l.station)) {
			rows = append(rows, l)
		}
	}
	return rows
}

// weekChoices gives the weeks that there are, the earliest first.
func (p *pair) weekChoices(all []*loadPair) []choice {
	byTime := slices.SortedFunc(slices.Values(all), func(a, b *loadPair) int { return int(a.week - b.week) })
	var out []choice
	seen := map[string]bool{}
	for _, l := range byTime {
		if d := dayOf(l.week, p.new.zoneOfCentre(l.centre)); !seen[d.ISO] {
			seen[d.ISO] = true
			out = append(out, choice{Value: d.ISO, Title: d.Text})
		}
	}
	return out
}

func (p *pair) loadList() *list[*loadPair] {
	a, b := "plan "+planParam(p.new.view), "plan "+planParam(p.old.view)
	hours := func(of func(*loadPair) *stationWeek, what func(*stationWeek) float64) func(*loadPair) cell {
		return func(l *loadPair) cell { return number(what(of(l)), plainHours(what(of(l)))) }
	}
	share := func(of func(*loadPair) *stationWeek) func(*loadPair) cell {
		return func(l *loadPair) cell {
			s := of(l).share()
			if of(l).open <= 0 {
				return number(s, "closed").late(s > 0)
			}
			return number(s, percent(s)).late(s > 1)
		}
	}
	now, before := func(l *loadPair) *stationWeek { return &l.new }, func(l *loadPair) *stationWeek { return &l.old }
	open := func(w *stationWeek) float64 { return w.open }
	busy := func(w *stationWeek) float64 { return w.work + w.setup }
	return &list[*loadPair]{
		name: "load-compared", one: "week of a station", many: "weeks of stations",
		empty: "No week differs. Tick the box to see the others, or widen the filter.",
		columns: []column[*loadPair]{
			{key: "station", title: "Station", cell: func(l *loadPair) cell {
				if centre := p.new.centreName(l.centre); centre != l.name {
					return text(l.name).under(centre)
				}
				return text(l.name)
			}},
			{key: "week", title: "Week from", number: true, cell: func(l *loadPair) cell {
				d := dayOf(l.week, p.new.zoneOfCentre(l.centre))
				return cell{Text: d.Text, ISO: d.ISO, Number: float64(l.week), Exact: true}
			}},
			{key: "busy", title: "Work, h, " + a, number: true, cell: hours(now, busy)},
			{key: "wasbusy", title: "Work, h, " + b, number: true, cell: hours(before, busy)},
			{key: "difference", title: "Difference, h", number: true, cell: func(l *loadPair) cell {
				d := busy(&l.new) - busy(&l.old)
				return number(d, signedNumber(d))
			}},
			{key: "setup", title: "Of it setup, h, " + a, fileOnly: true, cell: hours(now, func(w *stationWeek) float64 { return w.setup })},
			{key: "wassetup", title: "Of it setup, h, " + b, fileOnly: true, cell: hours(before, func(w *stationWeek) float64 { return w.setup })},
			{key: "open", title: "Open, h, " + a, number: true, cell: hours(now, open)},
			{key: "wasopen", title: "Open, h, " + b, number: true, cell: hours(before, open)},
			{key: "share", title: "Full, " + a, number: true, cell: share(now)},
			{key: "wasshare", title: "Full, " + b, number: true, cell: share(before)},
		},
	}
}
