package web

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"tackline/flow"
	"tackline/plant"
)

// frame is what the layout shows around every sheet. Each page struct embeds it.
type frame struct {
	Title    string // of the sheet and the tab
	Theme    string // paper, blueprint, or "" to follow the system
	Themes   []themeChoice
	Here     string // this address, to come back to
	Nav      []navItem
	Name     string // who is signed in; "" nobody
	Terminal bool   // it is a terminal, not a user
	Role     string
	Plants   string
	Plan     string // "12, adopted"; "" if there is none
	PlanNote string // what the reader must know about the plan shown
	Drawn    moment
	By       string
	Key      []hatching // states that the sheet shows
}

// Around gives the frame to the layout, whatever names a page gives to its own fields.
func (f frame) Around() frame { return f }

// navItem is one sheet in the list at the top.
type navItem struct {
	Title, Href string
	Current     bool
}

// sheetList is the order of the sheets at the top; each is shown to the roles that its route allows.
var sheetList = []struct{ title, path string }{
	{"Morning", "/"}, {"Orders", "/orders"}, {"Plan", "/plan"}, {"Stations", "/stations"}, {"Floor", "/floor"}, {"Kits", "/kits"},
	{"Load", "/load"}, {"Materials", "/materials"}, {"Shop book", "/book"},
}

// frame makes the frame of a request. ix is nil where there is no plan yet, or where the page needs none.
func (s *Server) frame(r *http.Request, ix *index, title string, key ...hatching) frame {
	u := who(r)
	f := frame{Title: title, Theme: theme(r), Here: r.URL.RequestURI(), Name: u.Name, Role: u.Role, By: u.Name, Key: key}
	f.Themes = themeChoices(f.Theme)
	if r.Method != http.MethodGet {
		f.Here = "/"
	}
	now, loc := plant.At(s.clock()), time.UTC
	if ix != nil {
		v := ix.view
		loc = ix.first
		f.Plan = planName(v)
		if v.State == flow.Draft && r.URL.Path != "/plan" {
			f.PlanNote = "No plan is adopted yet. This is the newest draft."
			if r.URL.Query().Get("plan") != "" {
				f.PlanNote = "This is a draft. The shop does not follow it until it is adopted."
			}
			if len(v.Assumed) > 0 {
				f.PlanNote += " It assumes what the shop book does not say."
			}
		}
		if v.Made > 0 {
			now = v.Made
		}
		for i, p := range v.Book.Plants {
			if i > 0 {
				f.Plants += ", "
			}
			f.Plants += p.Name
		}
		if v.By != "" {
			f.By = v.By
		}
	}
	f.Drawn = momentOf(now, loc)
	if u.Name != "" {
		f.Nav = s.nav(u.Role, r.URL.Path)
		if t, ok := terminalOf(r); ok && t.alone {
			f.Terminal, f.Nav = true, []navItem{{"Floor", terminalPath, true}}
		}
	}
	return f
}

func planName(v *flow.View) string {
	if v.PlanID == 0 {
		return "not stored"
	}
	return strconv.FormatInt(v.PlanID, 10) + ", " + v.State
}

// nav lists the sheets that a role may open. The sheet in sight is the one whose path begins the address.
func (s *Server) nav(role, at string) []navItem {
	var items []navItem
	for _, sh := range sheetList {
		pattern := "GET " + sh.path
		if sh.path == "/" {
			pattern += "{$}"
		}
		if !s.may[pattern].has(role) {
			continue
		}
		current := at == sh.path || sh.path != "/" && (len(at) > len(sh.path) && at[:len(sh.path)+1] == sh.path+"/") || sh.path == "/orders" && strings.HasPrefix(at, "/units/")
		items = append(items, navItem{sh.title, sh.path, current || sheetOf[at] == sh.path})
	}
	return items
}

// sheetOf places the addresses that stand under another name in their sheet.
var sheetOf = map[string]string{"/kit": "/kits", "/shortages": "/materials", "/plan/hand": "/plan"}

// themeCookie remembers the theme chosen.
const themeCookie = "tackline-sheet"

type themeChoice struct {
	Value, Title string
	On           bool
}

func theme(r *http.Request) string {
	if c, err := r.Cookie(themeCookie); err == nil && (c.Value == "paper" || c.Value == "blueprint") {
		return c.Value
	}
	return ""
}

func themeChoices(on string) []themeChoice {
	return []themeChoice{{"paper", "Paper", on == "paper"}, {"blueprint", "Blueprint", on == "blueprint"}, {"", "System", on == ""}}
}

// themeAct remembers the theme and comes back. The server writes it into the page, so nothing flashes.
func (s *Server) themeAct(w http.ResponseWriter, r *http.Request) error {
	c := &http.Cookie{Name: themeCookie, Value: r.PostFormValue("sheet"), Path: "/", MaxAge: 365 * 24 * 3600,
		HttpOnly: true, Secure: s.options.Secure, SameSite: http.SameSiteLaxMode}
	if c.Value != "paper" && c.Value != "blueprint" {
		c.Value, c.MaxAge = "", -1
	}
	http.SetCookie(w, c)
	http.Redirect(w, r, inside(r.PostFormValue("back")), http.StatusSeeOther)
	return nil
}

// query writes name=value pairs, escaped, leaving out empty values.
func query(pairs ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			q.Set(pairs[i], pairs[i+1])
		}
	}
	return q.Encode()
}
