package web

import "net/http"

type morningView struct {
	frame
	Headline string
}

func (s *Server) morningPage(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	if v == nil {
		return s.noPlan(w, r, "Morning")
	}
	return s.render(w, r, http.StatusOK, "morning", &morningView{frame: s.frame(r, v, "Morning")})
}

// emptyView is a sheet that has nothing to show yet and says what to do.
type emptyView struct {
	frame
	Planner bool
}

// noPlan answers for a sheet that needs a plan while there is none.
func (s *Server) noPlan(w http.ResponseWriter, r *http.Request, title string) error {
	page := &emptyView{frame: s.frame(r, nil, title), Planner: planners.has(who(r).Role)}
	return s.render(w, r, http.StatusOK, "noplan", page)
}
