package web

import "net/http"

type morningView struct {
	frame
	Headline string
}

func (s *Server) morningPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Morning", err)
	}
	return s.render(w, r, http.StatusOK, "morning", &morningView{frame: s.frame(r, ix, "Morning")})
}
