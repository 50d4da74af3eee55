package web

import (
	"net/http"
	"slices"

	"tackline/flow"
)

// roles is who may use a route; nil is anyone, signed in or not.
type roles []string

var (
	anyone   roles
	everyone = roles(flow.Roles())
	managers = roles{flow.Manager}
	planners = roles{flow.Manager, flow.Planner}
	// loadReaders plan capacity or keep it up.
	loadReaders = roles{flow.Manager, flow.Planner, flow.Maintenance, flow.Viewer}
	// materialReaders buy, call and move material.
	materialReaders = roles{flow.Manager, flow.Planner, flow.Materials, flow.Viewer}
)

// route is one line of the table: who may do what, and by which function.
type route struct {
	pattern string // as http.ServeMux reads it
	roles   roles
	do      func(*Server, http.ResponseWriter, *http.Request) error
}

// routes is every address of the program. A route that is not here does not exist. It is a function because the sheets,
// which it names, look up who may open their neighbours.
func routes() []route { return slices.Concat(deskRoutes(), floorRoutes()) }

// deskRoutes is the sheets.
func deskRoutes() []route {
	return []route{
		{"GET /sign-in", anyone, (*Server).signInPage},
		{"POST /sign-in", anyone, (*Server).signInAct},
		{"POST /sign-out", anyone, (*Server).signOutAct},
		{"POST /theme", anyone, (*Server).themeAct},
		{"GET /assets/{file...}", anyone, (*Server).assetFile},
		{"GET /healthy", anyone, (*Server).healthy},
		{"GET /account", everyone, (*Server).accountPage},
		{"POST /account", everyone, (*Server).accountAct},
		{"GET /users", managers, (*Server).usersPage},
		{"POST /users", managers, (*Server).addUserAct},
		{"POST /users/{name}", managers, (*Server).changeUserAct},
		{"POST /users/{name}/password", managers, (*Server).resetPasswordAct},

		{"GET /{$}", everyone, (*Server).morningPage},
		{"GET /orders", everyone, (*Server).ordersPage},
		{"GET /units/{unit}", everyone, (*Server).unitPage},
		{"GET /units/{unit}/on-time", everyone, (*Server).onTimePart},
		{"POST /units/{unit}/on-time", planners, (*Server).onTimeAct},
		{"GET /times", everyone, (*Server).timesPage},
		{"GET /stations", everyone, (*Server).stationsPage},
		{"GET /stations/{station}", everyone, (*Server).stationPage},
		{"GET /traveller", everyone, (*Server).traveller},
		{"GET /kits", everyone, (*Server).kitsPage},
		{"GET /kit", everyone, (*Server).kitPage},
		{"GET /load", loadReaders, (*Server).loadPage},
		{"GET /load/operations", loadReaders, (*Server).loadOpsPage},
		{"GET /materials", materialReaders, (*Server).materialsPage},
		{"GET /shortages", materialReaders, (*Server).shortagesPage},

		{"GET /plan", everyone, (*Server).planPage},
		{"GET /plan/drawing", everyone, (*Server).planDrawing},
		{"POST /plan/runs", planners, (*Server).planAct},
		{"GET /plan/runs/{run}", everyone, (*Server).planRunPart},
		{"POST /plan/runs/{run}/stop", planners, (*Server).stopPlanAct},
		{"POST /plan/adopt", planners, (*Server).adoptAct},
		{"GET /plan/new", planners, (*Server).newDraftPage},
		{"GET /plan/kept", everyone, (*Server).keptPage},
		{"GET /plan/compare", everyone, (*Server).comparePage},
		{"POST /plan/discard", planners, (*Server).discardAct},
		{"GET /plan/undo", planners, (*Server).undoPage},
		{"POST /plan/undo", planners, (*Server).undoAct},
		{"GET /plan/hand", planners, (*Server).handPage},
		{"POST /plan/hand", planners, (*Server).handAct},
		{"POST /plan/trials/{trial}/keep", planners, (*Server).keepTrialAct},
		{"POST /plan/trials/{trial}/back", planners, (*Server).dropTrialAct},

		{"GET /book", everyone, (*Server).bookPage},
		{"POST /book/import", planners, (*Server).importAct},
		{"GET /book/export.xlsx", everyone, (*Server).exportBook},
		{"GET /book/export.zip", everyone, (*Server).exportCSV},
		{"GET /book/template.xlsx", everyone, (*Server).templateBook},
		{"GET /book/history", everyone, (*Server).bookHistoryPage},
		{"GET /book/{table}", everyone, (*Server).bookTablePage},
		{"GET /book/{table}/row", everyone, (*Server).bookRowPage},
		{"POST /book/{table}/row", everyone, (*Server).saveRowAct}, // flow refuses roles that may not edit the table
	}
}

// floorRoutes is the stations' terminals, the screens on the wall, and who and what is let in there.
func floorRoutes() []route {
	return []route{
		{"GET /floor", everyone, (*Server).floorPage},
		{"GET /floor/{station}", everyone, (*Server).floorStationPage},
		{"GET /floor/{station}/live", everyone, (*Server).floorLive},
		{"GET /floor/{station}/past", floorHands, (*Server).floorPastPage},
		{"GET /floor/{station}/pin", floorHands, (*Server).floorPINPage},
		{"POST /floor/{station}/pin", floorHands, (*Server).floorPINAct},
		{"POST /floor/{station}/act", floorHands, (*Server).floorAct},
		{"POST /floor/{station}/scan", floorHands, (*Server).floorScan},
		{"GET /floor/{plant}/wall", everyone, (*Server).wallPage},
		{"GET /floor/{plant}/wall/live", everyone, (*Server).wallLive},

		{"GET /terminals", managers, (*Server).terminalsPage},
		{"POST /terminals", managers, (*Server).enrolAct},
		{"GET /terminals/{device}", managers, (*Server).terminalPage},
		{"POST /terminals/{device}", managers, (*Server).terminalAct},
		{"GET /terminals/people", managers, (*Server).pinsPage},
		{"GET /terminals/people/{person}", managers, (*Server).pinPage},
		{"POST /terminals/people/{person}", managers, (*Server).pinAct},
		{"GET /terminals/badges", managers, (*Server).badgesPage},
		{"GET /terminals/codes", managers, (*Server).stationCodesPage},
		{"GET /terminal/{token}", anyone, (*Server).openTerminalPage},
		{"POST /terminal", anyone, (*Server).openTerminalAct},
	}
}

// mux joins the routes, each behind its roles.
func (s *Server) mux() *http.ServeMux {
	mux := http.NewServeMux()
	s.may = map[string]roles{}
	for _, rt := range routes() {
		s.may[rt.pattern] = rt.roles
		mux.HandleFunc(rt.pattern, s.behind(rt))
	}
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) { s.fail(w, r, errNoSheet) })
	return mux
}

// behind lets a request through to its function if its user has one of the route's roles.
func (s *Server) behind(rt route) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if rt.roles != nil {
			who, ok := s.signedIn(r)
			if onFloor(rt.pattern) {
				var err error
				if r, who, ok, err = s.signedInOnFloor(w, r); err != nil {
					s.fail(w, r, err)
					return
				}
			}
			if !ok {
				s.askToSignIn(w, r)
				return
			}
			r = withWho(r, who)
			if !rt.roles.has(who.Role) {
				s.fail(w, r, denied(rt.roles))
				return
			}
			if who.MustChange && r.URL.Path != "/account" {
				http.Redirect(w, r, "/account", http.StatusSeeOther)
				return
			}
		}
		if err := rt.do(s, w, r); err != nil {
			s.fail(w, r, err)
		}
	}
}

func (rs roles) has(role string) bool {
	for _, x := range rs {
		if x == role {
			return true
		}
	}
	return false
}
