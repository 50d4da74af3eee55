package web

import (
	"math"
	"net/http"
	"sort"
	"strconv"

	"tackline/dispatch"
	"tackline/fault"
	"tackline/plant"
	"tackline/schedule"
)

// unitView is one thing a customer gets: where its branches meet, why it ships when it does, and its operations.
type unitView struct {
	frame
	Head     string
	Facts    []fact
	Options  []fact
	Sentence string
	Late     bool
	Map      *drawing
	Why      []segmentRow
	Chapters []chapterRow
	Total    string
	OnTime   *onTimeView
	Ops      table
}

// fact is a name and a value.
type fact struct {
	Name string
	cell
}

// segmentRow is one stretch of the explanation. X and W place it on the bar, in hundredths of its width.
type segmentRow struct {
	Hatch    hatching
	X, W     float64
	From, To moment
	minutes  int64
	Time     string
	Text     string
	Href     string
	Behind   string
	BeHref   string
}

// chapterRow is a chapter of the explanation: its segments folded, with what its time went to.
type chapterRow struct {
	segmentRow
	Shares []shareRow
}

// shareRow is the time of a chapter that goes to one reason.
type shareRow struct {
	Hatch hatching
	Time  string
}

func (s *Server) unitPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.planAsked(r)
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Unit", err)
	}
	unit, ok := ix.units[plant.UnitID(r.PathValue("unit"))]
	if !ok {
		return fault.New(fault.NotFound, "The plan has no unit %s. It may have shipped, or its order was changed since.", r.PathValue("unit"))
	}
	ops := ix.opsOf(unit)
	l := ix.opList("unit-" + r.PathValue("unit"))
	if done, err := l.exported(w, r, ops); done {
		return err
	}
	page := &unitView{frame: s.frame(r, ix, "Unit "+r.PathValue("unit"), done, running, planned, waits, drying, held)}
	ix.unitHead(page, unit)
	page.Map = ix.drawUnit(unit)
	ix.explain(page, unit)
	if page.OnTime, err = s.onTime(r, ix, unit); err != nil {
		return err
	}
	page.Ops = l.table(r, ops)
	return s.render(w, r, http.StatusOK, "unit", page)
}

func (ix *index) unitHead(p *unitView, unit int) {
	u, rw := &ix.view.Needs.Units[unit], &ix.rows[unit]
	p.Head = string(u.ID) + ": " + rw.name
	if rw.choice != "" {
		p.Head += ", " + rw.choice
	}
	p.Sentence, p.Late = rw.sentence, rw.isLate()
	p.Facts = []fact{{"State", lining(rw.state)}, {"Customer", text(u.Customer)}, {"Class", text(rw.class)},
		{"Due", at(u.Due, ix.zone(u.Plant))}, {"Ships", ix.shipCell(rw)}, {"Slack", rw.slackCell()},
		{"Operations done", text(strconv.Itoa(rw.done) + " of " + strconv.Itoa(rw.ops))},
		{"Kits", text(ix.kitCount(unit)).to("/kits?" + query("q", string(u.ID)))}}
	if o := ix.book.Orders[u.Order]; o != nil && o.Note != "" {
		p.Facts = append(p.Facts, fact{"Note", text(o.Note)})
	}
	for name, value := range u.Options {
		title := string(name)
		for _, o := range ix.book.OptionsOf[u.Product] {
			if o.Option == name && o.Name != "" {
				title = o.Name
			}
		}
		p.Options = append(p.Options, fact{title, text(value)})
	}
	sort.Slice(p.Options, func(i, j int) bool { return p.Options[i].Name < p.Options[j].Name })
}

// kitCount says how many kits of a unit are complete and short.
func (ix *index) kitCount(unit int) string {
	total, complete, short := 0, 0, 0
	for _, op := range ix.opsOf(unit) {
		if k, ok := ix.kits[op]; ok {
			total++
			switch ix.view.Kits[k].State {
			case dispatch.KitComplete:
				complete++
			case dispatch.KitShort:
				short++
			}
		}
	}
	return strconv.Itoa(complete) + " of " + strconv.Itoa(total) + " complete, " + strconv.Itoa(short) + " short"
}

// opsOf gives the operations of a unit, job by job.
func (ix *index) opsOf(unit int) []int {
	var ops []int
	for _, j := range ix.jobsOf[unit] {
		ops = append(ops, ix.view.Needs.Jobs[j].Ops...)
	}
	return ops
}

// explain fills in why a unit ships when it does: the segments and, folded, the chapters.
func (ix *index) explain(page *unitView, unit int) {
	for i := range ix.view.Why {
		if e := &ix.view.Why[i]; e.Unit == unit && len(e.Segments) > 0 {
			page.Why, page.Total = ix.segmentRows(e)
			page.Chapters = ix.chapterRows(e, page.Why)
			return
		}
	}
}

// chapterRows folds the rows of the segments into chapters. The whole minutes of a chapter, and those of its shares, are
// sums of what its segments show.
func (ix *index) chapterRows(e *schedule.Explanation, segments []segmentRow) []chapterRow {
	var rows []chapterRow
	for _, c := range schedule.Chapters(e) {
		first, last := &segments[c.First], &segments[c.First+c.N-1]
		rw := chapterRow{segmentRow: segmentRow{From: first.From, To: last.To, Text: schedule.LocalTimes(c.What, ix.first)}}
		if rw.Text == "" {
			rw.Text = first.Text
		}
		if c.Op >= 0 {
			rw.Href = "#" + opAnchor(c.Op)
		}
		if c.Behind >= 0 {
			rw.Behind, rw.BeHref = string(ix.job(c.Behind).ID), ix.opHref(c.Behind)
		}
		minutes := map[schedule.Reason]int64{}
		for i := c.First; i < c.First+c.N; i++ {
			minutes[e.Segments[i].Reason] += segments[i].minutes
		}
		total := int64(0)
		for _, s := range c.Shares {
			total += minutes[s.Reason]
			rw.Shares = append(rw.Shares, shareRow{reasonHatch(s.Reason), hoursMinutes(minutes[s.Reason])})
		}
		rw.Time = hoursMinutes(total)
		rows = append(rows, rw)
	}
	return rows
}

// segmentRows gives the segments of an explanation as rows whose times, in whole minutes, add up exactly to the total: each
// row is the difference of two rounded distances from now.
func (ix *index) segmentRows(e *schedule.Explanation) ([]segmentRow, string) {
	loc := ix.zone(ix.view.Needs.Units[e.Unit].Plant)
	from := e.Segments[0].From
	whole := float64(e.Ship.Sub(from))
	minutes := func(t plant.Time) int64 { return int64(math.Round(t.Sub(from).Minutes())) }
	rows := make([]segmentRow, len(e.Segments))
	for i, seg := range e.Segments {
		rw := segmentRow{Hatch: reasonHatch(seg.Reason), From: momentOf(seg.From, loc), To: momentOf(seg.To, loc),
			minutes: minutes(seg.To) - minutes(seg.From), Text: schedule.LocalTimes(seg.Text, loc)}
		rw.Time = hoursMinutes(rw.minutes)
		if whole > 0 {
			rw.X, rw.W = 100*float64(seg.From.Sub(from))/whole, 100*float64(seg.To.Sub(seg.From))/whole
		}
		if seg.Op >= 0 {
			rw.Href = "#" + opAnchor(seg.Op)
			if rw.Text == "" {
				rw.Text = ix.op(seg.Op).Name + " of " + ix.job(seg.Op).Name
			}
		}
		if seg.Behind >= 0 {
			rw.Behind, rw.BeHref = string(ix.job(seg.Behind).ID), ix.opHref(seg.Behind)
		}
		rows[i] = rw
	}
	return rows, hoursMinutes(minutes(e.Ship))
}
