package web

import (
	"net/http"
	"strconv"

	"tackline/fault"
	"tackline/flow"
)

// undoView asks before an adoption is undone, and tells what stands in its way.
type undoView struct {
	frame
	Head     string
	Sentence string
	PlanID   int64
	Faults   fault.List
	Changes  []undoRow
	Leave    bool // offer to leave the rows that changed since
}

// undoRow is a row of the shop book that the adoption changed.
type undoRow struct{ Table, Key, Href, What string }

func (s *Server) undoPage(w http.ResponseWriter, r *http.Request) error {
	id, err := planNumber(r.URL.Query().Get("plan"))
	if err != nil {
		return err
	}
	return s.showUndo(w, r, http.StatusOK, id, nil)
}

func (s *Server) showUndo(w http.ResponseWriter, r *http.Request, code int, id int64, faults fault.List) error {
	ix, err := s.look(r.Context())
	if err != nil {
		return err
	}
	all, err := s.shop.Adoptions(r.Context())
	if err != nil {
		return err
	}
	at := -1
	for i := len(all) - 1; i >= 0; i-- { // the newest that stands
		if all[i].Plan == id && all[i].UndoneAt == 0 {
			at = i
		}
	}
	if at < 0 || ix == nil || ix.view.PlanID != id || ix.view.State != flow.Adopted {
		return fault.New(fault.Conflict, "Plan %d is not the plan in force, so there is no adoption of it to undo.", id)
	}
	d := all[at]
	changes, err := s.shop.History(r.Context(), flow.HistoryFilter{Act: d.Act})
	if err != nil {
		return err
	}
	page := &undoView{frame: s.frame(r, ix, "Plan"), PlanID: id, Faults: faults, Leave: len(faults) > 0 && faults[0].Table != ""}
	page.Head = "Undo the adoption of plan " + strconv.FormatInt(id, 10)
	page.Sentence = "It was adopted " + momentOf(d.At, ix.first).Text + " by " + d.Who + ". It becomes a draft again, and "
	if d.Before != 0 {
		page.Sentence += "plan " + strconv.FormatInt(d.Before, 10) + " is in force again."
	} else {
		page.Sentence += "no plan is in force, for none was before."
	}
	for _, c := range changes {
		row := undoRow{Table: c.Table, Key: c.Key, Href: "/book/history?" + query("table", c.Table, "key", c.Key), What: "put back as it was"}
		switch {
		case c.Before == nil:
			row.What = "taken out again"
		case c.After == nil:
			row.What = "put back"
		}
		page.Changes = append(page.Changes, row)
	}
	return s.render(w, r, code, "undo", page)
}

// undoAct undoes the adoption of the plan in force.
func (s *Server) undoAct(w http.ResponseWriter, r *http.Request) error {
	id, err := planNumber(r.PostFormValue("plan"))
	if err != nil {
		return err
	}
	err = s.shop.UndoAdoption(r.Context(), actor(r), id, r.PostFormValue("leave") == "yes")
	if faults := fault.All(err); fault.KindOf(err) == fault.Conflict && len(faults) > 0 && (faults[0].Table != "" || len(faults) > 1) {
		return s.showUndo(w, r, http.StatusConflict, id, faults)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/plan", http.StatusSeeOther)
	return nil
}
