package web

import (
	"net/http"
	"strings"
	"time"

	"tackline/fault"
	"tackline/flow"
)

// usersView lists who can sign in, and lets a manager change it.
type usersView struct {
	frame
	Filter *filter
	Count  string
	Clear  string // address of the whole list; "" if nothing is filtered
	Users  []userRow
	Roles  []string
	Faults fault.List
	Says   string
	Name   string // of a user that could not be added, to be mended
	As     string
}

type userRow struct {
	Name, Href string
	Role       string
	Disabled   bool
	Must       bool
	Since      moment
	Own        bool // the reader himself: he cannot shut himself out
}

func (s *Server) usersPage(w http.ResponseWriter, r *http.Request) error {
	return s.showUsers(w, r, http.StatusOK, &usersView{Says: usersSaid[r.URL.Query().Get("done")], As: flow.Viewer})
}

// usersSaid is what the page says after an act, by the word in its address.
var usersSaid = map[string]string{"added": "The user is added. The password must be changed at the first sign-in.",
	"changed": "The user is changed.", "password": "The password is set. It must be changed at the next sign-in."}

func (s *Server) showUsers(w http.ResponseWriter, r *http.Request, code int, page *usersView) error {
	users, err := s.shop.Users(r.Context())
	if err != nil {
		return err
	}
	page.frame, page.Roles = s.frame(r, nil, "Users"), flow.Roles()
	page.Filter = newFilter(r)
	page.Filter.Action = "/users"
	for _, u := range filterUsers(page.Filter, users) {
		page.Users = append(page.Users, userRow{Name: u.Name, Href: "/users/" + pathPart(u.Name), Role: u.Role, Disabled: u.Disabled, Must: u.MustChange,
			Since: dayOf(u.Made, time.UTC), Own: u.Name == who(r).Name})
	}
	page.Count = count(len(page.Users), "user", "users")
	if page.Filter.Set {
		page.Clear = page.Filter.Action
	}
	return s.render(w, r, code, "users", page)
}

func filterUsers(f *filter, all []flow.User) []flow.User {
	q := f.search("name")
	role := f.choose("in", "Role", "all roles", choicesOf(all, func(u flow.User) (string, string) { return u.Role, u.Role }))
	state := f.choose("state", "State", "all states", []choice{{Value: "in", Title: "can sign in"}, {Value: "out", Title: "shut out"}, {Value: "must", Title: "must change the password"}})
	var rows []flow.User
	for _, u := range all {
		if role != "" && role != u.Role || state == "in" && u.Disabled || state == "out" && !u.Disabled || state == "must" && !u.MustChange {
			continue
		}
		if within(q, u.Name) {
			rows = append(rows, u)
		}
	}
	return rows
}

// afterUsers leads back to the list, or shows it with the faults of err.
func (s *Server) afterUsers(w http.ResponseWriter, r *http.Request, done string, err error) error {
	if err == nil {
		http.Redirect(w, r, "/users?"+query("done", done), http.StatusSeeOther)
		return nil
	}
	if fault.KindOf(err) == fault.Internal {
		return err
	}
	page := &usersView{Faults: fault.All(err), Name: r.PostFormValue("name"), As: r.PostFormValue("role")}
	return s.showUsers(w, r, http.StatusUnprocessableEntity, page)
}

func (s *Server) addUserAct(w http.ResponseWriter, r *http.Request) error {
	u := flow.User{Name: strings.TrimSpace(r.PostFormValue("name")), Role: r.PostFormValue("role"), MustChange: true}
	return s.afterUsers(w, r, "added", s.shop.AddUser(r.Context(), actor(r), u, r.PostFormValue("password")))
}

func (s *Server) changeUserAct(w http.ResponseWriter, r *http.Request) error {
	u, err := s.user(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	u.Role, u.Disabled = r.PostFormValue("role"), r.PostFormValue("disabled") == "yes"
	return s.afterUsers(w, r, "changed", s.shop.ChangeUser(r.Context(), actor(r), u))
}

func (s *Server) resetPasswordAct(w http.ResponseWriter, r *http.Request) error {
	return s.afterUsers(w, r, "password", s.shop.SetPassword(r.Context(), actor(r), r.PathValue("name"), r.PostFormValue("password")))
}
