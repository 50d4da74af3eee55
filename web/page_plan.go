package web

import (
	"net/http"
	"strconv"
	"strings"

	"tackline/dispatch"
	"tackline/fault"
	"tackline/flow"
	"tackline/schedule"
)

// planView is the Plan sheet: a plan drawn as stations against time, its score, the runs under way and the plans kept.
type planView struct {
	frame
	Head    string
	Sub     string
	Broken  []string
	Upset   []string // what has happened on the floor that the plan does not know
	Score   []fact
	Covers  string // what the bound counts
	Draft   bool
	Units   string // address of the comparison with another plan; "" if there is none
	Assumes assumes
	Again   string // address of the form with the same assumptions; ""
	Undo    string // address of the sheet that undoes the adoption; ""
	Adopt   string // where to post to adopt; "" if there is nothing to adopt
	Data    string
	PlanID  int64
	Runs    []planRun
	Plans   table
	May     bool // may plan and adopt
	Older   bool
	Left    []leftRow
	Moved   *movedView
	Replan  bool   // it is in force, and does not fit the book as it is now
	Preset  string // unit to light up at first
	Chosen  string // job of the operation chosen at first
	Op      string // its number
	Trial   *trialView
	Told    string // what was just done by hand
	Hands   []handLine
	Station string // station to show at first
}

// planRun is a planning run as the sheet shows it.
type planRun struct {
	ID             int64
	Name, By, Text string
	Percent        int
	Over           bool
	State          string
	Faults         []string
	Plan           string // address of the draft it made
}

// leftRow is an operation that found no place.
type leftRow struct{ Job, Name, Why, Href string }

// planAsked gives the index of the plan, or the trial, that the address names, or of the current plan; nil if there is none.
func (s *Server) planAsked(r *http.Request) (*index, error) {
	if t, err := s.trialAsked(r); err != nil || t != nil {
		if err != nil {
			return nil, err
		}
		return s.index(t.View)
	}
	text := r.URL.Query().Get("plan")
	if text == "" {
		return s.look(r.Context())
	}
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return nil, fault.New(fault.NotFound, "There is no plan %q.", text)
	}
	v, err := s.shop.ViewOf(r.Context(), id)
	if err != nil {
		return nil, err
	}
	return s.index(v)
}

func (s *Server) planPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.planAsked(r)
	if err != nil {
		return err
	}
	page := &planView{frame: s.frame(r, ix, "Plan", planned, setup, running, drying, awayState, held, done), May: planners.has(who(r).Role),
		Preset: r.URL.Query().Get("unit"), Station: r.URL.Query().Get("station"), Chosen: r.URL.Query().Get("job"), Op: r.URL.Query().Get("op")}
	rows, err := s.shop.Plans(r.Context())
	if err != nil {
		return err
	}
	if page.Plans, err = s.latestPlans(r, ix, rows); err != nil {
		return err
	}
	if page.Runs, err = s.runsUnderWay(r); err != nil {
		return err
	}
	upsets, err := s.upsets(r.Context())
	if err != nil {
		return err
	}
	page.Head, page.Sub = "No plan yet", "Press Plan: the first plan is there in seconds. It is a draft until you adopt it."
	if ix != nil {
		page.describe(ix, rows)
		page.upset(ix, upsets)
		page.Hands = ix.handLines()
		page.Moved = ix.moved()
	}
	page.Told = map[string]string{"kept": "Kept. It stands in the shop book, and this draft is planned with it.",
		"adopted": "Kept and adopted. It stands in the shop book, and the shop follows this plan.",
		"back":    "Taken back. Nothing was changed."}[r.URL.Query().Get("told")]
	t, err := s.trialAsked(r)
	if err != nil {
		return err
	}
	if t != nil {
		page.try(t, ix)
	}
	return s.render(w, r, http.StatusOK, "plan", page)
}

// describe says what plan is drawn, what it costs and what is wrong with it.
func (p *planView) describe(ix *index, rows []flow.PlanRow) {
	v := ix.view
	p.Data = "/plan/drawing?" + query("plan", planParam(v))
	p.Draft, p.PlanID = v.State == flow.Draft, v.PlanID
	p.Head = "Plan " + strconv.FormatInt(v.PlanID, 10) + ", " + v.State
	if v.Name != "" {
		p.Head += ": " + v.Name
	}
	p.describeDraft(ix, rows)
	if p.Draft && p.May {
		p.Adopt = "/plan/adopt"
	}
	p.Sub = "Made by " + v.Plan.Rule + "."
	for _, row := range rows {
		if row.ID == v.PlanID {
			p.Older = row.Older
			p.Replan = v.State == flow.Adopted && (row.Older || len(v.Broken) > 0)
		}
	}
	for i, b := range v.Broken {
		if i == 12 {
			p.Broken = append(p.Broken, "and "+strconv.Itoa(len(v.Broken)-i)+" more")
			break
		}
		p.Broken = append(p.Broken, "Rule "+b.Rule+": "+schedule.LocalTimes(b.Text, ix.first))
	}
	for i, l := range v.Plan.Left {
		if i == 20 {
			break
		}
		p.Left = append(p.Left, leftRow{string(ix.job(l.Op).ID), ix.op(l.Op).Name, l.Why, ix.opHref(l.Op)})
	}
	p.Covers = schedule.Covers
	p.Score = scoreFacts(v.Score, len(v.Needs.Units), v.Book.Setting("currency"))
}

// upset says what the plan in force does not know of the floor.
func (p *planView) upset(ix *index, upsets []dispatch.Upset) {
	if ix.view.State != flow.Adopted {
		return
	}
	p.Replan = p.Replan || len(upsets) > 0
	for i, u := range upsets {
		if i == 8 {
			p.Upset = append(p.Upset, "and "+strconv.Itoa(len(upsets)-i)+" more")
			break
		}
		p.Upset = append(p.Upset, u.What)
	}
}

// try shows a trial in the place of a plan.
func (p *planView) try(t *flow.Trial, ix *index) {
	p.Trial = trialOf(t, ix)
	p.Head, p.Sub = "Tried: "+t.Text, "Nothing is kept yet. The board shows the plan with it."
	p.Data = "/plan/drawing?" + query("try", strconv.FormatInt(t.ID, 10))
	p.Adopt, p.Units = "", ""
}

func planParam(v *flow.View) string {
	if v.PlanID == 0 {
		return ""
	}
	return strconv.FormatInt(v.PlanID, 10)
}

// planNumber reads the number of a plan, 0 if none is named.
func planNumber(text string) (int64, error) {
	if text == "" {
		return 0, nil
	}
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return 0, fault.New(fault.NotFound, "There is no plan %q.", text)
	}
	return id, nil
}

// scoreFacts shows each term of the objective in its own unit and as money, with what no plan is below.
func scoreFacts(sc schedule.Score, units int, currency string) []fact {
	out := []fact{{"Late units", text(strconv.Itoa(sc.LateUnits) + " of " + strconv.Itoa(units)).under(plainNumber(round1(sc.LateDays)) + " days in all")}}
	for _, t := range scoreTerms(&sc) {
		under := currency + " " + t.money.String()
		if t.least > 0 {
			under += ", no plan below " + t.least.String()
		}
		out = append(out, fact{t.name, text(t.shown()).under(under)})
	}
	return append(out, fact{"Cost, " + currency, text(sc.Total.String()).under("no plan below " + sc.Bound.String())},
		fact{"Gap", text(tenths(sc.Gap())).under(gapWords(sc))})
}

// gapWords says what the gap between a plan and the bound means.
func gapWords(sc schedule.Score) string {
	if sc.Gap() == 0 {
		return "no plan is cheaper"
	}
	return "a better plan would save at most so much of the cost"
}

// runsUnderWay gives the planning runs that are not over, and the last that failed.
func (s *Server) runsUnderWay(r *http.Request) ([]planRun, error) {
	all, err := s.shop.PlanRuns(r.Context())
	if err != nil {
		return nil, err
	}
	var out []planRun
	for i, p := range all {
		if !p.Over() || i == 0 && p.State == flow.RunFailed {
			out = append(out, runOf(p))
		}
	}
	return out, nil
}

func runOf(p flow.PlanProgress) planRun {
	run := planRun{ID: p.Run, Name: p.Name, By: p.By, Text: p.Text, Percent: int(p.Done*100 + 0.5), Over: p.Over(), State: p.State}
	if p.Error != "" {
		run.Faults = strings.Split(p.Error, "\n")
	}
	if p.PlanID != 0 {
		run.Plan = "/plan?" + query("plan", strconv.FormatInt(p.PlanID, 10))
	}
	return run
}

// planRunPart answers the page's question how far a run is; a run that made a draft leads there.
func (s *Server) planRunPart(w http.ResponseWriter, r *http.Request) error {
	id, err := idOf(r, "run")
	if err != nil {
		return err
	}
	p, err := s.shop.PlanRun(r.Context(), id)
	if err != nil {
		return err
	}
	run := runOf(p)
	if run.Plan != "" {
		w.Header().Set("HX-Redirect", run.Plan)
	}
	return s.renderPart(w, "plan", "run", run)
}

func idOf(r *http.Request, name string) (int64, error) {
	id, err := strconv.ParseInt(r.PathValue(name), 10, 64)
	if err != nil {
		return 0, errNoSheet
	}
	return id, nil
}

// planAct starts a planning run.
func (s *Server) planAct(w http.ResponseWriter, r *http.Request) error {
	seconds, err := strconv.ParseFloat(r.PostFormValue("seconds"), 64)
	if err != nil || !(seconds >= 0 && seconds <= 3600) {
		return &fault.Fault{Kind: fault.Invalid, Column: "seconds", Value: r.PostFormValue("seconds"), Expected: "a number of seconds from 0 to 3600"}
	}
	list, err := listOf(r.PostForm)
	if err != nil {
		return err
	}
	_, err = s.shop.StartPlan(r.Context(), actor(r), flow.PlanRequest{Name: r.PostFormValue("name"), Seconds: seconds, Seed: 1, Assume: list,
		Anew: r.PostFormValue("anew") == "yes"})
	if len(list) > 0 && fault.KindOf(err) == fault.Invalid {
		return s.showDraft(w, r, http.StatusUnprocessableEntity, list, fault.All(err))
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/plan", http.StatusSeeOther)
	return nil
}

// stopPlanAct cancels a planning run.
func (s *Server) stopPlanAct(w http.ResponseWriter, r *http.Request) error {
	id, err := idOf(r, "run")
	if err != nil {
		return err
	}
	if err := s.shop.CancelPlan(r.Context(), actor(r), id); err != nil {
		return err
	}
	http.Redirect(w, r, "/plan", http.StatusSeeOther)
	return nil
}

// adoptAct makes a draft the adopted plan.
func (s *Server) adoptAct(w http.ResponseWriter, r *http.Request) error {
	id, err := planNumber(r.PostFormValue("plan"))
	if err != nil {
		return err
	}
	if err := s.shop.Adopt(r.Context(), actor(r), id); err != nil {
		return err
	}
	http.Redirect(w, r, "/plan", http.StatusSeeOther)
	return nil
}
