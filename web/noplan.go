package web

import "net/http"

// emptyView is a sheet that has nothing to show yet and says what to do.
type emptyView struct {
	frame
	Planner bool
}

// noPlan answers for a sheet that needs a plan while there is none, or could not be had because of err.
func (s *Server) noPlan(w http.ResponseWriter, r *http.Request, title string, err error) error {
	if err != nil {
		return err
	}
	page := &emptyView{frame: s.frame(r, nil, title), Planner: planners.has(who(r).Role)}
	return s.render(w, r, http.StatusOK, "noplan", page)
}
