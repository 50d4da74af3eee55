package web

import (
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"tackline/dispatch"
	"tackline/needs"
	"tackline/plant"
)

// morningView says what ships this week, what is at risk and why, what stopped, and what somebody must decide.
type morningView struct {
	frame
	Headline  string
	Sentence  string
	Numbers   []fact
	Decisions part
	Ships     part
	Risks     part
	Stops     part
	Papers    part
	Kits      part
	Actions   part
	Past      past
}

// part is one list of the morning with a link to the whole.
type part struct {
	Title, ID string
	Note      string
	table
	More, MoreHref string
	all            int // rows before cutting
}

// How far ahead the morning looks.
const (
	papersAhead plant.Seconds = 5 * 24 * 3600
	kitsAhead   plant.Seconds = 48 * 3600
	buyAhead    plant.Seconds = 24 * 3600
	briefRows                 = 8
)

func (s *Server) morningPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Morning", err)
	}
	now := ix.now(s.clock())
	rows := briefRows
	if r.URL.Query().Get("all") == "yes" {
		rows = 1 << 20
	}
	page := &morningView{frame: s.frame(r, ix, "Morning", done, running, waits, planned, held)}
	_, revision, err := s.book(r.Context())
	if err != nil {
		return err
	}
	upsets, err := s.upsets(r.Context())
	if err != nil {
		return err
	}
	decisions := ix.decisions(now, ix.view.Revision != revision, upsets)
	page.Headline = now.In(ix.first).Format("Monday 2 January, 15:04. ") + headline(len(decisions))
	page.Decisions = brief(ix.decisionList(), decisions, rows, "Decide", "decide", "/?all=yes#decide")
	ix.shipments(page, now, rows)
	page.Stops = brief(ix.stopList(), ix.stops(now), rows, "Stopped", "stopped", "/?all=yes#stopped")
	page.Papers = brief(ix.paperList(), ix.papers(now), rows, "Programs and drawings not approved", "papers", "/?all=yes#papers")
	page.Papers.Note = "For work that begins within 5 days."
	page.Kits = brief(ix.briefKits(), ix.shortKits(now), rows, "Kits short in the next two days", "kits", "/kits?state=short")
	page.Actions = brief(ix.actionList().only("item", "kind", "quantity", "by", "reason"), ix.urgentActions(), rows, "Buy, call, hurry", "buy", "/materials")
	page.Past = ix.past(now)
	page.Numbers = ix.numbers(page)
	return s.render(w, r, http.StatusOK, "morning", page)
}

func headline(n int) string {
	switch n {
	case 0:
		return "Nothing waits for a decision"
	case 1:
		return "One decision waits"
	}
	return numberWord(n) + " decisions wait"
}

// brief shows the first rows of a list in its own order.
func brief[T any](l *list[T], rows []T, most int, title, id, more string) part {
	p := part{Title: title, ID: id}
	rows = l.sorted(nil, rows)
	p.Count = count(len(rows), l.one, l.many)
	p.Empty, p.all = l.empty, len(rows)
	if len(rows) > most {
		p.More, p.MoreHref = "all "+strconv.Itoa(len(rows)), more
		rows = rows[:most]
	}
	for _, c := range l.columns {
		if !c.fileOnly {
			p.Heads = append(p.Heads, head{Title: c.title, Number: c.number})
		}
	}
	for _, x := range rows {
		p.Rows = append(p.Rows, l.row(x))
	}
	return p
}

// shipments fills what ships this week and what is at risk after it.
func (ix *index) shipments(p *morningView, now plant.Time, most int) {
	from, to := ix.week(now)
	var week, risk []*unitRow
	late := 0
	for i := range ix.rows {
		u := &ix.rows[i]
		due := ix.view.Needs.Units[u.unit].Due
		switch {
		case u.planned && u.ship >= from && u.ship < to || due >= from && due < to:
			week = append(week, u)
			if !u.planned || u.isLate() {
				late++
			}
		case !u.planned || u.isLate() || u.isAtRisk():
			risk = append(risk, u)
		}
	}
	p.Sentence = weekSentence(len(week), late)
	l := ix.orderList().only("unit", "state", "ships", "slack", "why")
	l.empty = "Nothing ships this week."
	p.Ships = brief(l, week, max(most, 12), "Ships or is due this week", "ships", "/orders")
	l = ix.orderList().only("unit", "state", "ships", "slack", "why")
	l.empty = "Every later unit has a day of slack or more."
	p.Risks = brief(l, risk, most, "Late or at risk after this week", "risk", "/orders?slack=risk")
}

func weekSentence(n, late int) string {
	switch {
	case n == 0:
		return "No unit ships this week."
	case late == 0:
		return numberWord(n) + " " + strings.TrimLeft(count(n, "unit ships", "units ship"), "0123456789 ") + " this week, in time as the shop stands."
	}
	verb := " are late or without a date"
	if late == 1 {
		verb = " is late or without a date"
	}
	return numberWord(n) + " " + strings.TrimLeft(count(n, "unit ships or is due", "units ship or are due"), "0123456789 ") + " this week: " +
		strings.ToLower(numberWord(n-late)) + " in time, " + strings.ToLower(numberWord(late)) + verb + " as the shop stands."
}

// numbers is the morning at a glance; each number leads to its source.
func (ix *index) numbers(p *morningView) []fact {
	late, risk := 0, 0
	for i := range ix.rows {
		if u := &ix.rows[i]; !u.planned || u.isLate() {
			late++
		} else if u.isAtRisk() {
			risk++
		}
	}
	n := func(n int, href string) cell { return text(strconv.Itoa(n)).to(href) }
	sc := &ix.view.Score
	return []fact{{"Late or undated", n(late, "/orders?slack=late").late(late > 0)}, {"At risk", n(risk, "/orders?slack=risk")},
		{"Decide", n(p.Decisions.all, "#decide")}, {"Stopped", n(p.Stops.all, "#stopped")}, {"Not approved", n(p.Papers.all, "#papers")},
		{"Kits short, 2 days", n(p.Kits.all, "#kits")}, {"Late days in the plan", text(plainNumber(math.Round(sc.LateDays*10) / 10)).to("/plan")},
		{"Setup in the plan", text(hours(sc.SetupHours)).to("/load")}}
}

// week gives the week of t, in the first plant's zone, from the day that the settings say.
func (ix *index) week(t plant.Time) (from, to plant.Time) {
	days := map[string]time.Weekday{"sun": 0, "mon": 1, "tue": 2, "wed": 3, "thu": 4, "fri": 5, "sat": 6}
	w := t.In(ix.first)
	back := (int(w.Weekday()) - int(days[ix.view.Book.Setting("week_start")]) + 7) % 7
	start := time.Date(w.Year(), w.Month(), w.Day()-back, 0, 0, 0, 0, ix.first)
	return plant.At(start), plant.At(start.AddDate(0, 0, 7))
}

// briefKits is the columns of kits on the morning.
func (ix *index) briefKits() *list[*dispatch.Kit] {
	l := ix.kitList().only("due", "job", "missing")
	l.empty = "Every kit due in the next two days is complete or comes in time."
	return l
}

// urgentActions is every action but those that put something off.
func (ix *index) urgentActions() []*needs.Action {
	var out []*needs.Action
	for i := range ix.view.Needs.Actions {
		if a := &ix.view.Needs.Actions[i]; a.Kind != needs.Defer {
			out = append(out, a)
		}
	}
	return out
}
