package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/alexedwards/scs/v2/memstore"

	"tackline/fault"
	"tackline/flow"
)

// sessionUser is the name under which a session keeps its user.
const sessionUser = "user"

func newSessions(o Options) *scs.SessionManager {
	m := scs.New()
	m.Lifetime = 14 * time.Hour // longer than the longest shift
	m.IdleTimeout = 8 * time.Hour
	m.Cookie.Name = "tackline"
	m.Cookie.HttpOnly = true
	m.Cookie.SameSite = http.SameSiteLaxMode
	m.Cookie.Secure = o.Secure
	m.Store = o.Sessions
	if m.Store == nil {
		m.Store = memstore.New()
	}
	return m
}

type whoKey struct{}

func withWho(r *http.Request, u flow.User) *http.Request {
	return r.WithContext(context.WithValue(r.Context(), whoKey{}, u))
}

// who gives the user of a request; the zero user where nobody is signed in.
func who(r *http.Request) flow.User {
	u, _ := r.Context().Value(whoKey{}).(flow.User)
	return u
}

// actor is the user of a request as the acts of flow take it.
func actor(r *http.Request) flow.Who { u := who(r); return flow.Who{Name: u.Name, Role: u.Role} }

// signedIn gives the user of the session. It is looked up at each request, so that a changed role or a user who was shut
// out counts at once.
func (s *Server) signedIn(r *http.Request) (flow.User, bool) {
	name := s.sessions.GetString(r.Context(), sessionUser)
	if name == "" {
		return flow.User{}, false
	}
	u, err := s.user(r.Context(), name)
	if err != nil || u.Disabled {
		return flow.User{}, false
	}
	return u, true
}

// askToSignIn sends the reader to the sign-in page, and back afterwards.
func (s *Server) askToSignIn(w http.ResponseWriter, r *http.Request) {
	to := "/sign-in"
	if r.Method == http.MethodGet && r.URL.Path != "/" {
		to += "?" + query("to", r.URL.RequestURI())
	}
	if r.Header.Get("HX-Request") != "" { // a part of a page: let the whole page go
		w.Header().Set("HX-Redirect", "/sign-in")
		w.WriteHeader(http.StatusUnauthorized)
		return
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

// signInView is the sign-in page.
type signInView struct {
	frame
	To   string
	Name string
	Says string // why the last try was refused
	Demo []SignIn
}

func (s *Server) signInPage(w http.ResponseWriter, r *http.Request) error {
	page := &signInView{frame: s.frame(r, nil, "Sign in"), To: inside(r.URL.Query().Get("to")), Demo: s.options.Demo}
	return s.render(w, r, http.StatusOK, "signin", page)
}

func (s *Server) signInAct(w http.ResponseWriter, r *http.Request) error {
	name, to := strings.TrimSpace(r.PostFormValue("name")), inside(r.PostFormValue("to"))
	u, err := s.signIn(r.Context(), name, r.PostFormValue("password"))
	if kind := fault.KindOf(err); kind == fault.Denied || kind == fault.Busy || kind == fault.NotFound || kind == fault.Invalid {
		page := &signInView{frame: s.frame(r, nil, "Sign in"), To: to, Name: name, Says: err.Error(), Demo: s.options.Demo}
		return s.render(w, r, http.StatusForbidden, "signin", page)
	} else if err != nil {
		return err
	}
	if err := s.sessions.RenewToken(r.Context()); err != nil { // against a session planted before
		return err
	}
	s.sessions.Put(r.Context(), sessionUser, u.Name)
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

func (s *Server) signOutAct(w http.ResponseWriter, r *http.Request) error {
	if err := s.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	http.Redirect(w, r, "/sign-in", http.StatusSeeOther)
	return nil
}

// inside gives to if it is an address of this program, else the first page: a link must not lead away after signing in.
func inside(to string) string {
	if !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n\t") {
		return "/"
	}
	return to
}
