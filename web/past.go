package web

import (
	"strconv"

	"tackline/plant"
)

// past is the last day worked, planned against actual, by work centre.
type past struct {
	Title string
	Rows  []pastRow
	Total pastRow
}

// pastRow is one work centre's day.
type pastRow struct {
	Name                     string
	ops, onTime              int
	planned, actual          float64 // minutes
	Ops, OnTime              string
	Planned, Actual, Differs string
	Over                     bool // a tenth longer than planned, or more
}

// past sums the finished work of the last day on which any was finished before today.
func (ix *index) past(now plant.Time) past {
	today := plant.DateAt(now, ix.first)
	last := plant.Date("")
	for i := range ix.view.Book.Finished {
		f := &ix.view.Book.Finished[i]
		if end, ok := f.End.Time(ix.book.StationZone(f.Station)); ok {
			if d := plant.DateAt(end, ix.first); d < today && d > last {
				last = d
			}
		}
	}
	if last == "" {
		return past{Title: "Yesterday against the plan"}
	}
	t, _ := last.Time(ix.first)
	p := past{Title: dayOf(t, ix.first).Text + " against the plan", Total: pastRow{Name: "All"}}
	for i, c := range ix.pastBy(last) {
		if c != nil && c.ops > 0 {
			c.Name = ix.view.Book.Centres[i].Name
			p.Total.add(c.ops, c.onTime, c.planned, c.actual)
			c.write()
			p.Rows = append(p.Rows, *c)
		}
	}
	p.Total.write()
	return p
}

// pastBy sums the finished work of a day by work centre, in the order of the book.
func (ix *index) pastBy(day plant.Date) []*pastRow {
	rows := make([]*pastRow, len(ix.view.Book.Centres))
	place := map[plant.CentreID]int{}
	for i := range ix.view.Book.Centres {
		place[ix.view.Book.Centres[i].ID] = i
	}
	for i := range ix.view.Book.Finished {
		f := &ix.view.Book.Finished[i]
		st := ix.book.Stations[f.Station]
		loc := ix.book.StationZone(f.Station)
		end, ok := f.End.Time(loc)
		if st == nil || !ok || plant.DateAt(end, ix.first) != day {
			continue
		}
		at, known := place[st.Centre]
		if !known {
			continue
		}
		if rows[at] == nil {
			rows[at] = &pastRow{}
		}
		onTime := 0
		if due, ok := f.Due.Time(loc); !ok || end <= due {
			onTime = 1
		}
		rows[at].add(1, onTime, f.Planned, f.Actual)
	}
	return rows
}

func (r *pastRow) add(ops, onTime int, planned, actual float64) {
	r.ops, r.onTime, r.planned, r.actual = r.ops+ops, r.onTime+onTime, r.planned+planned, r.actual+actual
}

// write puts the sums into words.
func (r *pastRow) write() {
	r.Ops, r.OnTime = strconv.Itoa(r.ops), strconv.Itoa(r.onTime)
	r.Planned, r.Actual = hours(r.planned/60), hours(r.actual/60)
	if r.planned > 0 {
		share := r.actual/r.planned - 1
		r.Differs = percent(share)
		if share > 0 {
			r.Differs = "+" + r.Differs
		}
		r.Over = share >= 0.1
	}
}
