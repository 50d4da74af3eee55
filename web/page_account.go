package web

import (
	"net/http"

	"tackline/fault"
)

// accountView is one's own name, role and password.
type accountView struct {
	frame
	Name, Role string
	Must       bool // the password must be changed before anything else
	Done       bool
	Faults     fault.List
}

func (s *Server) accountPage(w http.ResponseWriter, r *http.Request) error {
	return s.render(w, r, http.StatusOK, "account", s.account(r))
}

func (s *Server) account(r *http.Request) *accountView {
	u := who(r)
	return &accountView{frame: s.frame(r, nil, "Account"), Name: u.Name, Role: u.Role, Must: u.MustChange}
}

func (s *Server) accountAct(w http.ResponseWriter, r *http.Request) error {
	page := s.account(r)
	err := s.changePassword(r)
	if fault.KindOf(err) == fault.Internal {
		return err
	}
	if err != nil {
		page.Faults = fault.All(err)
		return s.render(w, r, http.StatusUnprocessableEntity, "account", page)
	}
	page.Done, page.Must = true, false
	return s.render(w, r, http.StatusOK, "account", page)
}

// changePassword asks for the old password first, so that an open screen is not enough.
func (s *Server) changePassword(r *http.Request) error {
	old, fresh := r.PostFormValue("old"), r.PostFormValue("new")
	if fresh != r.PostFormValue("again") {
		return fault.New(fault.Invalid, "The two new passwords differ. Type the same one twice.")
	}
	if fresh == old {
		return fault.New(fault.Invalid, "The new password is the old one. Choose another.")
	}
	if _, err := s.signIn(r.Context(), who(r).Name, old); err != nil {
		return err
	}
	return s.shop.SetPassword(r.Context(), actor(r), who(r).Name, fresh)
}
