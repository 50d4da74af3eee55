package web

import (
	"net/http"
	"strconv"
	"strings"

	"tackline/flow"
	"tackline/plant"
)

// onTimeView is what would make a late unit on time: a question, how far it is, or its answer.
type onTimeView struct {
	Unit      string
	Post      string // address of its acts
	May       bool   // may ask and make drafts
	Asked     bool
	Over      bool
	Text      string
	Percent   int
	Fault     string
	Stopped   bool
	Proposals []proposalRow
	Nearest   string
	Tried     int
	Dear      int
}

// proposalRow is one change that makes the unit on time.
type proposalRow struct {
	N                 int
	Text, Does, Total string
	Do                string // what the button says; "" if there is none
	Later             []unitLink
	More              int
}

type unitLink struct{ ID, Href string }

// mostLater is how many units that ship later are named.
const mostLater = 6

// onTime gives the question about a late unit; nil if the unit is on time, or the plan is not in force.
func (s *Server) onTime(r *http.Request, ix *index, unit int) (*onTimeView, error) {
	rw := &ix.rows[unit]
	if ix.view.State != flow.Adopted || rw.planned && !rw.isLate() {
		return nil, nil
	}
	return s.question(r, ix.view.Needs.Units[unit].ID)
}

func (s *Server) question(r *http.Request, unit plant.UnitID) (*onTimeView, error) {
	w, asked, err := s.whatIf(r.Context(), unit)
	if err != nil {
		return nil, err
	}
	v := &onTimeView{Unit: string(unit), Post: unitHref(unit) + "/on-time", May: planners.has(who(r).Role), Asked: asked, Over: w.Over(),
		Text: w.Text, Percent: int(w.Done*100 + 0.5), Fault: w.Error, Stopped: w.State == flow.RunCancelled, Tried: w.Tried, Dear: w.Dear}
	for n := range w.Proposals {
		v.Proposals = append(v.Proposals, proposalOf(n, &w.Proposals[n]))
	}
	if w.Nearest != nil {
		v.Nearest = w.Nearest.Text + ": " + w.Nearest.Does + "."
	}
	return v, nil
}

func proposalOf(n int, p *flow.Proposal) proposalRow {
	row := proposalRow{N: n, Text: p.Text, Does: upperFirst(p.Does), Total: p.Total}
	if p.Draftable() {
		row.Do = "Make it a draft"
		if p.Hand != nil {
			row.Do = "Look at it on the Plan sheet"
		}
	}
	for i, u := range p.Later {
		if i == mostLater {
			row.More = len(p.Later) - i
			break
		}
		row.Later = append(row.Later, unitLink{string(u), unitHref(u)})
	}
	return row
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// onTimePart answers the page's question how far a question is.
func (s *Server) onTimePart(w http.ResponseWriter, r *http.Request) error {
	v, err := s.question(r, plant.UnitID(r.PathValue("unit")))
	if err != nil {
		return err
	}
	return s.renderPart(w, "unit", "ontime", v)
}

// onTimeAct asks, stops asking, or makes an answer a draft.
func (s *Server) onTimeAct(w http.ResponseWriter, r *http.Request) error {
	unit := plant.UnitID(r.PathValue("unit"))
	back := unitHref(unit) + "#ontime"
	switch r.PostFormValue("do") {
	case "stop":
		if err := s.shop.StopWhatIf(r.Context(), actor(r), unit); err != nil {
			return err
		}
	case "draft":
		n, err := strconv.Atoi(r.PostFormValue("n"))
		if err != nil {
			return errNoSheet
		}
		plan, trial, err := s.shop.DraftOfWhatIf(r.Context(), actor(r), unit, n)
		if err != nil {
			return err
		}
		if back = "/plan?" + query("plan", strconv.FormatInt(plan, 10)); plan == 0 {
			back = "/plan?" + query("try", strconv.FormatInt(trial, 10))
		}
	default:
		if _, err := s.shop.AskWhatIf(r.Context(), actor(r), unit); err != nil {
			return err
		}
	}
	http.Redirect(w, r, back, http.StatusSeeOther)
	return nil
}
