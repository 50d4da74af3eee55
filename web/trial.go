package web

import (
	"net/http"
	"strconv"
	"strings"

	"tackline/book"
	"tackline/flow"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
)

// trialView says what something done by hand would cost.
type trialView struct {
	ID     int64
	Text   string
	Plan   string // that was before
	Says   string // the difference in one sentence
	Costs  []costLine
	Units  []trialUnit
	More   int // units beyond those shown
	Moved  string
	Pins   []trialPin
	Passed string
}

// costLine is one term of the cost, and what the hand changes in it.
type costLine struct {
	Name, Before, Without, After, Change string
	Worse                                bool
}

type trialUnit struct {
	ID, Href      string
	Before, After moment
	Change        string
	Late          bool
}

type trialPin struct{ What, Late, Why string }

// mostTrialUnits is how many units with another ship date are shown.
const mostTrialUnits = 12

func trialOf(t *flow.Trial, ix *index) *trialView {
	e := &t.Effect
	currency := t.View.Book.Setting("currency")
	v := &trialView{ID: t.ID, Text: t.Text, Costs: costLines(e, currency)}
	what := "the plan before"
	if t.Before.PlanID != 0 {
		what = "plan " + strconv.FormatInt(t.Before.PlanID, 10)
	}
	v.Plan = strings.ToUpper(what[:1]) + what[1:]
	switch diff := e.After.Total - e.Without.Total; {
	case diff > 0:
		v.Says = "It costs " + currency + " " + diff.String() + ": planning on from " + what + " for as long without it costs so much less."
	case diff < 0:
		v.Says = "It costs nothing: planning on from " + what + " for as long without it costs " + currency + " " + (-diff).String() + " more."
	default:
		v.Says = "It costs nothing: planning on from " + what + " for as long without it costs the same."
	}
	for i, u := range e.Units {
		if i == mostTrialUnits {
			v.More = len(e.Units) - i
			break
		}
		v.Units = append(v.Units, ix.trialUnit(u))
	}
	v.Moved = count(e.Moved, "operation is", "operations are") + " elsewhere or at another time."
	for _, p := range e.Pins {
		v.Pins = append(v.Pins, trialPin{ix.op(p.Op).Name + " of job " + string(ix.job(p.Op).ID), roughly(p.Late), schedule.LocalTimes(p.Why, ix.opZone(p.Op))})
	}
	if e.Passed > 3600 {
		v.Passed = "The plan before began " + roughly(e.Passed) + " earlier; part of the difference is the time that has passed."
	}
	return v
}

func (ix *index) trialUnit(u flow.UnitMove) trialUnit {
	unit := &ix.view.Needs.Units[u.Unit]
	loc := ix.zone(unit.Plant)
	out := trialUnit{ID: string(unit.ID), Href: unitHref(unit.ID), Before: momentOf(u.Before, loc), After: momentOf(u.After, loc),
		Late: u.After > u.Due && u.After > u.Before}
	switch {
	case u.After >= plant.Never:
		out.Change = "finds no place"
	case u.Before >= plant.Never:
		out.Change = "finds a place"
	case u.After > u.Before:
		out.Change = roughly(u.After.Sub(u.Before)) + " later"
	default:
		out.Change = roughly(u.Before.Sub(u.After)) + " earlier"
	}
	if u.After < plant.Never && u.After > u.Due {
		out.Change += ", " + roughly(u.After.Sub(u.Due)) + " late"
	}
	return out
}

// costLines puts the terms of three scores beside each other: before, planned on without the hand, and with it.
func costLines(e *flow.Effect, currency string) []costLine {
	before, without, after := scoreTerms(&e.Before), scoreTerms(&e.Without), scoreTerms(&e.After)
	var out []costLine
	for i := range after {
		l := costLine{Name: after[i].name, Before: before[i].shown(), Without: without[i].shown(), After: after[i].shown()}
		out = append(out, l.changing(after[i].money-without[i].money))
	}
	all := costLine{Name: "Cost, " + currency, Before: e.Before.Total.String(), Without: e.Without.Total.String(), After: e.After.Total.String()}
	return append(out, all.changing(e.After.Total-e.Without.Total))
}

// changing gives the line with what the hand changes.
func (l costLine) changing(d plant.Money) costLine {
	l.Change, l.Worse = signed(d), d > 0
	return l
}

// trialAsked gives the trial that the address names; nil if it names none.
func (s *Server) trialAsked(r *http.Request) (*flow.Trial, error) {
	text := r.URL.Query().Get("try")
	if text == "" {
		return nil, nil
	}
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return nil, errNoSheet
	}
	return s.shop.Trial(id)
}

// keepTrialAct keeps a trial as a draft, or adopts it at once.
func (s *Server) keepTrialAct(w http.ResponseWriter, r *http.Request) error {
	id, err := idOf(r, "trial")
	if err != nil {
		return err
	}
	plan, err := s.shop.KeepTrial(r.Context(), actor(r), id)
	if err != nil {
		return err
	}
	told := "kept"
	if r.PostFormValue("adopt") == "yes" {
		told = "adopted"
		if err := s.shop.Adopt(r.Context(), actor(r), plan); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/plan?"+query("plan", strconv.FormatInt(plan, 10), "told", told, "job", r.PostFormValue("job"), "op", r.PostFormValue("op")), http.StatusSeeOther)
	return nil
}

// dropTrialAct takes a trial back.
func (s *Server) dropTrialAct(w http.ResponseWriter, r *http.Request) error {
	id, err := idOf(r, "trial")
	if err != nil {
		return err
	}
	t, err := s.shop.DropTrial(actor(r), id)
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/plan?"+query("plan", planParam(t.Before), "told", "back", "job", r.PostFormValue("job"), "op", r.PostFormValue("op")), http.StatusSeeOther)
	return nil
}

// handLine is one row planned by hand as the Plan sheet lists it, with what takes it out.
type handLine struct {
	Table, What, Text, Note string
	Href                    string // its row in the shop book
	Do, Job, Op, Of         string // what a button posts to take it out; Do "" if there is none
	Loose                   string // why it says nothing for this plan
	Late                    string // how much later than its pin it begins
}

// handLines lists what is planned by hand in the book of a view.
func (ix *index) handLines() []handLine {
	b := ix.view.Book
	loose := map[string]string{}
	for _, l := range ix.view.Loose {
		loose[l.Table+strconv.Itoa(l.Row)] = schedule.LocalTimes(l.Text, ix.first)
	}
	late := map[book.JobOp]string{}
	for _, p := range flow.LatePins(ix.view.Problem, ix.view.Plan) {
		late[book.JobOp{Job: ix.job(p.Op).ID, Seq: ix.op(p.Op).Seq}] = "begins " + roughly(p.Late) + " later: " + schedule.LocalTimes(p.Why, ix.opZone(p.Op))
	}
	var out []handLine
	add := func(table string, i int, l handLine) {
		t, _ := book.TableNamed(table)
		l.Table, l.Href, l.Loose = table, "/book/"+table+"/row?"+query("key", t.Key(b, i)), loose[table+strconv.Itoa(i)]
		out = append(out, l)
	}
	for i := range b.Pins {
		p := &b.Pins[i]
		add("pins", i, handLine{What: ix.handName(p.Job, p.Seq), Text: "pinned " + ix.pinText(p), Note: byNote(p.By, p.Note), Do: flow.Unpin,
			Job: string(p.Job), Op: strconv.Itoa(p.Seq), Late: late[book.JobOp{Job: p.Job, Seq: p.Seq}]})
	}
	for i := range b.Forbids {
		f := &b.Forbids[i]
		add("forbids", i, handLine{What: ix.handName(f.Job, f.Seq), Text: ix.forbidText(f), Note: byNote(f.By, f.Note), Do: flow.Allow, Job: string(f.Job), Op: strconv.Itoa(f.Seq)})
	}
	for i := range b.Splits {
		x := &b.Splits[i]
		add("splits", i, handLine{What: "job " + string(x.Job), Text: count(x.Pieces, "piece", "pieces") + " split off as " + string(order.PartOf(x.Job, x.Part)),
			Note: byNote(x.By, x.Note), Do: flow.Join, Job: string(x.Job)})
	}
	for i := range b.Priorities {
		p := &b.Priorities[i]
		add("priorities", i, handLine{What: p.Of + " " + p.Name, Text: "a day late costs " + plainNumber(p.Factor) + " times as much", Note: byNote(p.By, p.Note),
			Do: flow.Prioritise, Of: p.Of + " " + p.Name})
	}
	return out
}

// handName says an operation: "20 robot weld of job 1042-1-1/jaw-4c".
func (ix *index) handName(job plant.JobID, seq int) string {
	name := strconv.Itoa(seq)
	if op := ix.opAt(job, seq); op >= 0 {
		name += " " + ix.op(op).Name
	}
	return strings.TrimSpace(name) + " of job " + string(job)
}
