package web

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"tackline/assume"
	"tackline/flow"
	"tackline/plant"
)

// keptView lists the plans kept: drafts with what they assume, the plan in force, and those before it.
type keptView struct {
	frame
	Filter *filter
	List   table
}

func (s *Server) keptPage(w http.ResponseWriter, r *http.Request) error {
	rows, err := s.shop.Plans(r.Context())
	if err != nil {
		return err
	}
	ix, err := s.look(r.Context())
	if err != nil {
		return err
	}
	l, err := s.planList(r, ix)
	if err != nil {
		return err
	}
	f := newFilter(r)
	rows = filterPlans(f, rows, l)
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &keptView{frame: s.frame(r, ix, "Plan"), Filter: f}
	page.PlanNote = ""
	page.List = l.table(r, rows).filteredBy(f)
	return s.render(w, r, http.StatusOK, "kept", page)
}

// latestPlans is the plans kept lately, for the Plan sheet.
func (s *Server) latestPlans(r *http.Request, ix *index, rows []flow.PlanRow) (table, error) {
	const most = 8
	l, err := s.planList(r, ix)
	if err != nil {
		return table{}, err
	}
	few := l.only("plan", "state", "assumed", "late", "days", "cost", "gap", "compare", "made")
	few.empty = "No plan is kept yet."
	t := few.table(r, rows[:min(len(rows), most)])
	t.Count = "The latest plans"
	return t, nil
}

// assumes is what a plan was made under, for the Plan sheet.
type assumes struct {
	Says  []string
	Unfit []string
	Draft bool
}

// describeDraft says what a plan was made under, and where it is compared and undone.
func (p *planView) describeDraft(ix *index, rows []flow.PlanRow) {
	v := ix.view
	if len(rows) > 1 {
		p.Units = "/plan/compare?" + query("plan", planParam(v))
	}
	p.Assumes = assumes{Says: ix.assumed(), Unfit: sideOf(ix).Unfit, Draft: v.State == flow.Draft}
	if len(v.Assumed) > 0 && p.May {
		p.Again = "/plan/new?" + query("from", planParam(v))
	}
	if v.State == flow.Adopted && p.May {
		p.Undo = "/plan/undo?" + query("plan", planParam(v))
	}
}

func filterPlans(f *filter, all []flow.PlanRow, l *list[flow.PlanRow]) []flow.PlanRow {
	q := f.search("name, assumption, who")
	state := f.choose("state", "State", "all states", choicesOf(all, func(p flow.PlanRow) (string, string) { return p.State, p.State }))
	by := f.choose("by", "Made by", "everybody", choicesOf(all, func(p flow.PlanRow) (string, string) { return p.By, p.By }))
	assumed := f.tick("assumed", "with assumptions")
	var says func(flow.PlanRow) cell
	for _, c := range l.columns {
		if c.key == "assumed" {
			says = c.cell
		}
	}
	var rows []flow.PlanRow
	for _, p := range all {
		if state != "" && state != p.State || by != "" && by != p.By || assumed && len(p.Assumed) == 0 {
			continue
		}
		if within(q, p.Name, p.By, p.Rule, strconv.FormatInt(p.ID, 10), says(p).Text) {
			rows = append(rows, p)
		}
	}
	return rows
}

// planList is the columns of the plans kept.
func (s *Server) planList(r *http.Request, ix *index) (*list[flow.PlanRow], error) {
	loc, now := time.UTC, plant.At(s.clock())
	if ix != nil {
		loc, now = ix.first, ix.view.Problem.Now
	}
	b, _, err := s.shop.Book(r.Context())
	if err != nil {
		return nil, err
	}
	adoptions, err := s.shop.Adoptions(r.Context())
	if err != nil {
		return nil, err
	}
	says := func(p flow.PlanRow) string {
		var out []string
		for _, a := range p.Assumed {
			out = append(out, assume.Sentence(b, a, now))
		}
		return strings.Join(out, " ")
	}
	return &list[flow.PlanRow]{
		name: "plans", one: "plan", many: "plans", empty: "No plan matches. Widen the filter, or make one on the Plan sheet.", order: "-plan",
		columns: []column[flow.PlanRow]{
			{key: "plan", title: "Plan", cell: func(r flow.PlanRow) cell {
				c := link(strconv.FormatInt(r.ID, 10), "/plan?"+query("plan", strconv.FormatInt(r.ID, 10))).under(r.Name)
				c.Number, c.Exact = float64(r.ID), true
				return c
			}},
			{key: "state", title: "State", cell: func(r flow.PlanRow) cell {
				c := text(r.State).under(strings.TrimPrefix(adoptionWords(adoptions, r.ID, loc), r.State+" "))
				if r.Older && r.State != flow.Past {
					c.Under = strings.TrimPrefix(c.Under+"; the shop book has changed since", "; ")
				}
				return c
			}},
			{key: "assumed", title: "Assumes", wide: true, cell: func(r flow.PlanRow) cell { return text(says(r)) }},
			{key: "late", title: "Late units", number: true, cell: func(r flow.PlanRow) cell { return whole(r.Score.LateUnits) }},
			{key: "days", title: "Days late", number: true, cell: func(r flow.PlanRow) cell {
				return number(r.Score.LateDays, plainNumber(round1(r.Score.LateDays)))
			}},
			{key: "cost", title: "Cost", number: true, cell: func(r flow.PlanRow) cell { return number(r.Score.Total.Float(), r.Score.Total.String()) }},
			{key: "gap", title: "Gap", number: true, cell: func(r flow.PlanRow) cell {
				if r.Score.Total == 0 && r.Score.Bound == 0 { // of another version: not known here
					return text("")
				}
				return number(100*r.Score.Gap(), tenths(r.Score.Gap()))
			}},
			{key: "compare", title: "Compare", cell: func(r flow.PlanRow) cell {
				if r.State == flow.Adopted {
					return text("in force")
				}
				return link("Beside the plan in force", "/plan/compare?"+query("plan", strconv.FormatInt(r.ID, 10)))
			}},
			{key: "made", title: "Made", cell: func(r flow.PlanRow) cell { return at(r.Made, loc).under(r.By) }},
			{key: "adoption", title: "Adoption", fileOnly: true, cell: func(r flow.PlanRow) cell { return text(adoptionWords(adoptions, r.ID, loc)) }},
			{key: "adopted", title: "Adopted", fileOnly: true, cell: func(r flow.PlanRow) cell { return at(r.Adopted, loc) }},
			{key: "name", title: "Name", fileOnly: true, cell: func(r flow.PlanRow) cell { return text(r.Name) }},
			{key: "by", title: "By", fileOnly: true, cell: func(r flow.PlanRow) cell { return text(r.By) }},
			{key: "rule", title: "How", fileOnly: true, cell: func(r flow.PlanRow) cell { return text(r.Rule) }},
		},
	}, nil
}

// adoptionWords says who adopted a plan and when, or took its adoption back; "" if it never was adopted.
func adoptionWords(all []flow.AdoptionRow, plan int64, loc *time.Location) string {
	for _, d := range all { // the newest first
		switch {
		case d.Plan != plan:
		case d.UndoneAt != 0:
			return "adoption undone " + momentOf(d.UndoneAt, loc).Text + " by " + d.UndoneBy
		default:
			return "adopted " + momentOf(d.At, loc).Text + " by " + d.Who
		}
	}
	return ""
}

// discardAct removes a draft.
func (s *Server) discardAct(w http.ResponseWriter, r *http.Request) error {
	id, err := planNumber(r.PostFormValue("plan"))
	if err != nil {
		return err
	}
	if err := s.shop.Discard(r.Context(), actor(r), id); err != nil {
		return err
	}
	http.Redirect(w, r, "/plan/kept", http.StatusSeeOther)
	return nil
}
