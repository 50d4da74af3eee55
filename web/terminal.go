package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
)

const (
	// terminalCookie is the name under which an enrolled terminal keeps its token.
	terminalCookie = "tackline-terminal"
	// terminalPath is the only part of the program that the token is sent to, and that it opens.
	terminalPath = "/floor"
	// terminalDays is how long a browser keeps the token of a terminal that is not used, in days: the longest that browsers allow.
	terminalDays = 400
)

type terminalKey struct{}

// terminalAt is the terminal of a request, and whether it is there without a user.
type terminalAt struct {
	flow.Device
	alone bool
}

// terminalOf gives the enrolled terminal that a request comes from, and whether it does.
func terminalOf(r *http.Request) (terminalAt, bool) {
	t, ok := r.Context().Value(terminalKey{}).(terminalAt)
	return t, ok
}

// onFloor says whether a pattern of routes.go belongs to the floor.
func onFloor(pattern string) bool {
	_, path, _ := strings.Cut(pattern, " ")
	return path == terminalPath || strings.HasPrefix(path, terminalPath+"/")
}

// signedInOnFloor is signedIn for the routes of the floor: where nobody is signed in, an enrolled terminal is, as an operator. What is
// done is counted for the terminal, or the user where there is none. The terminal is looked up at each request, so that one that was
// shut out is refused at once.
func (s *Server) signedInOnFloor(w http.ResponseWriter, r *http.Request) (*http.Request, flow.User, bool, error) {
	u, in := s.signedIn(r)
	place := "user " + u.Name
	if c, err := r.Cookie(terminalCookie); err == nil {
		d, ok, err := s.shop.DeviceOf(r.Context(), c.Value)
		if err != nil {
			return r, u, false, err
		}
		if d.Disabled && !in {
			return r, u, false, fault.New(fault.Denied, "This terminal is shut out. A manager can give it a new link on the sheet Terminals.")
		}
		if ok {
			if d.Seen.In(time.UTC).YearDay() != s.clock().UTC().YearDay() {
				s.keepToken(w, c.Value) // while it is used it does not run out
			}
			place = d.ID
			r = r.WithContext(context.WithValue(r.Context(), terminalKey{}, terminalAt{Device: d, alone: !in}))
			if !in {
				u, in = flow.User{Name: d.Name, Role: d.Who().Role}, true
			}
		}
	}
	return r.WithContext(flow.AtDevice(r.Context(), place)), u, in, nil
}

// keepToken gives a terminal its token to keep.
func (s *Server) keepToken(w http.ResponseWriter, token string) {
	http.SetCookie(w, &http.Cookie{Name: terminalCookie, Value: token, Path: terminalPath, MaxAge: terminalDays * 24 * 3600,
		HttpOnly: true, Secure: s.options.Secure, SameSite: http.SameSiteLaxMode})
}

// openView asks at the terminal whether it is the one meant: opening an address alone changes nothing.
type openView struct {
	frame
	Device flow.Device
	Token  string
	Where  string
}

func (s *Server) openTerminalPage(w http.ResponseWriter, r *http.Request) error {
	token := r.PathValue("token")
	d, ok, err := s.shop.LinkOf(r.Context(), token)
	if err != nil {
		return err
	}
	if !ok {
		return fault.New(fault.NotFound, "This link was opened before, or is older than a day. A manager can give the terminal a new one on the sheet Terminals.")
	}
	places, err := s.places(r.Context())
	if err != nil {
		return err
	}
	page := &openView{frame: s.frame(r, nil, "Terminal"), Device: d, Token: token, Where: places.of(d)}
	return s.render(w, r, http.StatusOK, "terminalopen", page)
}

// openTerminalAct makes the browser that opened the link the terminal. Whoever was signed in there is signed out, so that the
// terminal can do no more than a terminal.
func (s *Server) openTerminalAct(w http.ResponseWriter, r *http.Request) error {
	token, d, err := s.shop.OpenDevice(r.Context(), r.PostFormValue("token"))
	if err != nil {
		return err
	}
	if err := s.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	s.keepToken(w, token)
	to := terminalPath
	if d.Station != "" {
		to += "/" + pathPart(string(d.Station))
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// floorPINView lets a person change his PIN.
type floorPINView struct {
	frame
	Back   string
	People []choice
	Says   string
	Done   string
}

func (s *Server) floorPINPage(w http.ResponseWriter, r *http.Request) error {
	return s.showFloorPIN(w, r, http.StatusOK, &floorPINView{})
}

func (s *Server) showFloorPIN(w http.ResponseWriter, r *http.Request, code int, page *floorPINView) error {
	b, _, err := s.book(r.Context())
	if err != nil {
		return err
	}
	page.frame, page.Back = s.frame(r, nil, "Change a PIN"), terminalPath+"/"+pathPart(r.PathValue("station"))
	for _, p := range b.People {
		page.People = append(page.People, choice{Value: string(p.ID), Title: p.Name + ", " + string(p.ID), On: string(p.ID) == r.PostFormValue("person")})
	}
	return s.render(w, r, code, "floorpin", page)
}

func (s *Server) floorPINAct(w http.ResponseWriter, r *http.Request) error {
	fresh := r.PostFormValue("new")
	err := error(fault.New(fault.Invalid, "The two new PINs differ. Type the same one twice."))
	if fresh == r.PostFormValue("again") {
		err = s.shop.ChangePIN(r.Context(), plant.PersonID(r.PostFormValue("person")), r.PostFormValue("old"), fresh)
	}
	if err == nil {
		return s.showFloorPIN(w, r, http.StatusOK, &floorPINView{Done: "The PIN is changed."})
	}
	st, known := status[fault.KindOf(err)]
	if !known || st.code == http.StatusInternalServerError {
		return err
	}
	return s.showFloorPIN(w, r, st.code, &floorPINView{Says: fault.All(err).Error()})
}
