package web

import (
	"net/http"
	"strconv"

	"tackline/dispatch"
	"tackline/fault"
	"tackline/plant"
)

// loadView shows hours against open hours by work centre and week.
type loadView struct {
	frame
	Sentence string
	Filter   *filter
	Bars     []centreBars
	List     table
}

// centreBars is the drawing of one work centre's weeks.
type centreBars struct {
	Name, Href    string
	Width, Height int
	Lines         []line
	Weeks         []weekBar
	Texts         []lettering
}

// weekBar is the boxes of one week: open hours, work, setup.
type weekBar struct {
	Href, Title string
	Boxes       []box
}

// tight is the share of open hours from which a week counts as full.
const tight = 0.9

func (s *Server) loadPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Load", err)
	}
	f := newFilter(r)
	rows := ix.filterLoad(f)
	l := ix.loadList()
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &loadView{frame: s.frame(r, ix, "Load", hatching{"run", "load, run, unload"}, setup, hatching{"plain", "open hours"}), Filter: f}
	page.Bars, page.List, page.Sentence = ix.drawLoad(rows), l.table(r, rows).filteredBy(f), ix.loadSentence()
	return s.render(w, r, http.StatusOK, "load", page)
}

func (ix *index) loadSentence() string {
	over, full := 0, 0
	for i := range ix.view.Load {
		switch share := loadShare(&ix.view.Load[i]); {
		case share > 1:
			over++
		case share >= tight:
			full++
		}
	}
	return count(over, "week is", "weeks are") + " loaded beyond the open hours of a work centre, " + count(full, "is", "are") + " 90 % full or more."
}

func loadShare(l *dispatch.Load) float64 {
	if l.Open <= 0 {
		if l.Run+l.Setup > 0 {
			return 9.99
		}
		return 0
	}
	return (l.Run + l.Setup) / l.Open
}

func (ix *index) filterLoad(f *filter) []*dispatch.Load {
	centre := f.choose("centre", "Work centre", "all work centres", choicesOf(ix.view.Book.Centres, func(c plant.Centre) (string, string) { return string(c.ID), c.Name }))
	site := f.choose("plant", "Plant", "all plants", choicesOf(ix.view.Book.Plants, func(p plant.Plant) (string, string) { return string(p.ID), p.Name }))
	full := f.tick("full", "90 % full or more")
	var rows []*dispatch.Load
	for i := range ix.view.Load {
		l := &ix.view.Load[i]
		c := ix.book.Centres[l.Centre]
		if centre != "" && string(l.Centre) != centre || site != "" && (c == nil || string(c.Plant) != site) || full && loadShare(l) < tight {
			continue
		}
		rows = append(rows, l)
	}
	return rows
}

func loadHref(ix *index, l *dispatch.Load) string {
	return "/load/operations?" + query("centre", string(l.Centre), "week", dayOf(l.Week, ix.zoneOfCentre(l.Centre)).ISO)
}

func (ix *index) loadList() *list[*dispatch.Load] {
	return &list[*dispatch.Load]{
		name: "load", one: "week", many: "weeks",
		empty: "No week matches. Widen the filter, or make a plan.",
		columns: []column[*dispatch.Load]{
			{key: "centre", title: "Work centre", cell: func(l *dispatch.Load) cell { return text(ix.centreName(l.Centre)) }},
			{key: "week", title: "Week from", number: true, cell: func(l *dispatch.Load) cell {
				d := dayOf(l.Week, ix.zoneOfCentre(l.Centre))
				return cell{Text: d.Text, ISO: d.ISO, Number: float64(l.Week), Exact: true}
			}},
			{key: "open", title: "Open, h", number: true, cell: func(l *dispatch.Load) cell { return number(l.Open, plainHours(l.Open)) }},
			{key: "run", title: "Load, run, unload, h", number: true, cell: func(l *dispatch.Load) cell { return number(l.Run, plainHours(l.Run)) }},
			{key: "setup", title: "Setup, h", number: true, cell: func(l *dispatch.Load) cell { return number(l.Setup, plainHours(l.Setup)) }},
			{key: "share", title: "Full", number: true, cell: func(l *dispatch.Load) cell {
				if l.Open <= 0 {
					return number(loadShare(l), "closed").late(l.Run+l.Setup > 0)
				}
				return number(loadShare(l), percent(loadShare(l))).late(loadShare(l) > 1)
			}},
			{key: "operations", title: "Operations", number: true, cell: func(l *dispatch.Load) cell { return whole(len(l.Ops)).to(loadHref(ix, l)) }},
		},
	}
}

// loadOpsView lists the operations behind one number of the load.
type loadOpsView struct {
	frame
	Head  string
	Facts []fact
	List  table
}

func (s *Server) loadOpsPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Load", err)
	}
	q := r.URL.Query()
	for i := range ix.view.Load {
		l := &ix.view.Load[i]
		day := dayOf(l.Week, ix.zoneOfCentre(l.Centre))
		if string(l.Centre) != q.Get("centre") || day.ISO != q.Get("week") {
			continue
		}
		ops := ix.opList("load-" + q.Get("centre") + "-" + q.Get("week"))
		if done, err := ops.exported(w, r, l.Ops); done {
			return err
		}
		page := &loadOpsView{frame: s.frame(r, ix, "Load", running, planned, done, held), Head: ix.centreName(l.Centre) + ", week from " + day.Text, List: ops.table(r, l.Ops)}
		page.Facts = []fact{{"Open", text(hours(l.Open))}, {"Load, run, unload", text(hours(l.Run))}, {"Setup", text(hours(l.Setup))}, {"Full", text(percent(loadShare(l)))},
			{"Operations", text(strconv.Itoa(len(l.Ops)))}}
		return s.render(w, r, http.StatusOK, "loadops", page)
	}
	return fault.New(fault.NotFound, "The plan has no load of %s in the week from %s.", q.Get("centre"), q.Get("week"))
}

// plainHours writes hours with one decimal for a column of them.
func plainHours(h float64) string { return strconv.FormatFloat(h, 'f', 1, 64) }
