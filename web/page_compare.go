package web

import (
	"net/http"
	"strconv"

	"tackline/assume"
	"tackline/fault"
	"tackline/flow"
)

// compareView is the sheet that holds one plan beside another: what it costs, when each unit ships, how full each station is.
type compareView struct {
	frame
	Head     string
	Sentence string
	Sides    []planSide
	Choice   []comparePick
	Parts    []navItem
	Part     string
	Filter   *filter
	List     table
	Adopt    int64 // the draft that can be adopted; 0: none
	Writes   bool  // adopting writes assumptions into the shop book
	Undo     string
}

// planSide is what one of the two plans is.
type planSide struct {
	Title, Href string
	Sub         string
	Assumed     []string
	Unfit       []string
	Broken      int
}

// comparePick is the choice of one of the two plans.
type comparePick struct {
	Name, Label string
	Choices     []choice
}

// pair is two plans: new is judged against old.
type pair struct {
	new, old *index
	currency string
}

func (s *Server) comparePage(w http.ResponseWriter, r *http.Request) error {
	rows, err := s.shop.Plans(r.Context())
	if err != nil {
		return err
	}
	p, err := s.pairAsked(r, rows)
	if err != nil {
		return err
	}
	if p == nil && len(rows) == 1 {
		return fault.New(fault.NotFound, "There is only one plan, so there is nothing to compare it with. Make a draft on the Plan sheet first.")
	}
	if p == nil {
		return s.noPlan(w, r, "Plan", nil)
	}
	page := &compareView{frame: s.frame(r, p.new, "Plan"), Part: r.URL.Query().Get("part"), Filter: newFilter(r, "with", "part")}
	page.PlanNote = "" // the sheet says which plans it shows
	var done bool
	switch page.Part {
	case "load":
		page.List, done, err = p.loadPart(w, r, page.Filter)
	case "cost":
		page.List, done, err = p.costPart(w, r, page.Filter)
	default:
		page.Part = "orders"
		page.List, done, err = p.ordersPart(w, r, page.Filter)
	}
	if done || err != nil {
		return err
	}
	s.describePair(page, r, p, rows)
	return s.render(w, r, http.StatusOK, "compare", page)
}

func (s *Server) describePair(page *compareView, r *http.Request, p *pair, rows []flow.PlanRow) {
	page.Head = "Plan " + planParam(p.new.view) + " beside plan " + planParam(p.old.view)
	page.Sentence = p.sentence()
	page.Sides = []planSide{sideOf(p.new), sideOf(p.old)}
	page.Choice = []comparePick{{"plan", "Plan", planChoices(rows, p.new.view.PlanID)}, {"with", "Beside", planChoices(rows, p.old.view.PlanID)}}
	for _, part := range []struct{ name, title string }{{"orders", "Orders"}, {"load", "Load"}, {"cost", "Cost"}} {
		page.Parts = append(page.Parts, navItem{part.title, "/plan/compare?" + query("plan", planParam(p.new.view), "with", planParam(p.old.view), "part", part.name), part.name == page.Part})
	}
	if !planners.has(who(r).Role) {
		return
	}
	if v := p.new.view; v.State == flow.Draft {
		page.Adopt, page.Writes = v.PlanID, len(v.Assumed) > 0
	}
	if v := p.new.view; v.State == flow.Adopted {
		page.Undo = "/plan/undo?" + query("plan", planParam(v))
	}
}

// pairAsked gives the two plans that the address names: plan, else the newest draft; beside it with, else the plan in force,
// else the newest other one. It is nil if there are no two plans.
func (s *Server) pairAsked(r *http.Request, rows []flow.PlanRow) (*pair, error) {
	q := r.URL.Query()
	id, err := planNumber(q.Get("plan"))
	if err != nil {
		return nil, err
	}
	with, err := planNumber(q.Get("with"))
	if err != nil {
		return nil, err
	}
	if id == 0 {
		id = newest(rows, with, flow.Draft)
	}
	if with == 0 {
		with = newest(rows, id, flow.Adopted)
	}
	if id == 0 || with == 0 {
		return nil, nil
	}
	p := &pair{}
	for _, x := range []struct {
		id int64
		to **index
	}{{id, &p.new}, {with, &p.old}} {
		v, err := s.shop.ViewOf(r.Context(), x.id)
		if err != nil {
			return nil, err
		}
		if *x.to, err = s.index(v); err != nil {
			return nil, err
		}
	}
	p.currency = p.new.view.Book.Setting("currency")
	return p, nil
}

// newest gives the newest plan other than not, of a state if there is one of it; 0 if there is no other plan.
func newest(rows []flow.PlanRow, not int64, state string) (id int64) {
	for _, p := range rows { // the newest first
		if p.ID == not {
			continue
		}
		if p.State == state {
			return p.ID
		}
		if id == 0 {
			id = p.ID
		}
	}
	return id
}

func planChoices(rows []flow.PlanRow, on int64) []choice {
	out := make([]choice, len(rows))
	for i, p := range rows {
		number := strconv.FormatInt(p.ID, 10)
		title := number + ", " + p.State
		if p.Name != "" {
			title += ": " + p.Name
		}
		out[i] = choice{Value: number, Title: title, On: p.ID == on}
	}
	return out
}

func sideOf(ix *index) planSide {
	v := ix.view
	side := planSide{Title: "Plan " + planName(v), Href: "/plan?" + query("plan", planParam(v)), Broken: len(v.Broken)}
	if v.Name != "" {
		side.Title += ": " + v.Name
	}
	side.Sub = "Made " + momentOf(v.Made, ix.first).Text
	if v.By != "" {
		side.Sub += " by " + v.By
	}
	side.Sub += ". " + lateSentence(v)
	side.Assumed = ix.assumed()
	for _, f := range v.Unfit {
		side.Unfit = append(side.Unfit, "Assumption "+strconv.Itoa(f.Row)+" does not fit the shop book any more and is left out: "+f.Says()+".")
	}
	return side
}

func lateSentence(v *flow.View) string {
	return count(v.Score.LateUnits, "late unit", "late units") + ", cost " + v.Book.Setting("currency") + " " + v.Score.Total.String() + "."
}

// assumed says what a plan was made under, a sentence each.
func (ix *index) assumed() []string {
	out := make([]string, len(ix.view.Assumed))
	for i, a := range ix.view.Assumed {
		out[i] = assume.Sentence(ix.view.Book, a, ix.view.Problem.Now)
	}
	return out
}

// sentence sums the difference up.
func (p *pair) sentence() string {
	earlier, later, same, fresh, gone := 0, 0, 0, 0, 0
	for _, u := range p.units() {
		switch u.change {
		case shipsEarlier:
			earlier++
		case shipsLater:
			later++
		case isNew:
			fresh++
		case isGone:
			gone++
		default:
			same++
		}
	}
	s := count(earlier, "unit ships", "units ship") + " earlier, " + strconv.Itoa(later) + " later, " + strconv.Itoa(same) + " at the same time"
	if fresh > 0 {
		s += ", " + strconv.Itoa(fresh) + " new"
	}
	if gone > 0 {
		s += ", " + strconv.Itoa(gone) + " not in it any more"
	}
	d := p.new.view.Score.Total - p.old.view.Score.Total
	switch {
	case d < 0:
		s += ". It costs " + p.currency + " " + (-d).String() + " less"
	case d > 0:
		s += ". It costs " + p.currency + " " + d.String() + " more"
	default:
		s += ". It costs the same"
	}
	if most := p.biggestTerm(); most != "" && d != 0 {
		s += "; most of that is " + most
	}
	s += "."
	for _, ix := range []*index{p.new, p.old} {
		none := 0
		for i := range ix.rows {
			if !ix.rows[i].planned {
				none++
			}
		}
		if none > 0 {
			s += " Plan " + planParam(ix.view) + " gives " + count(none, "unit", "units") + " no date; its cost counts them as late to the end of its calendars."
		}
	}
	return s
}
