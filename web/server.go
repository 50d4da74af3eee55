// Package web is the screens: sheets rendered on the server from typed page structs, with the front end built by esbuild
// and embedded. Every route stands in routes.go with the roles that may use it; every error is shown by errors.go.
package web

import (
	"context"
	"html/template"
	"log/slog"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"

	"tackline/book"
	"tackline/dispatch"
	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
)

// Options of a Server.
type Options struct {
	Sessions scs.Store        // where sessions are kept; nil: in memory, lost when the program stops
	Clock    func() time.Time // nil: time.Now
	Secure   bool             // the address is https: cookies are sent over it only
	Log      *slog.Logger     // nil: slog.Default
	Demo     []SignIn         // shown on the sign-in page of the demo, and nowhere else
}

// SignIn is a name and password that the demo shows.
type SignIn struct{ Name, Role, Password string }

// Server answers requests. Make it with New.
type Server struct {
	shop     *flow.Shop
	options  Options
	log      *slog.Logger
	clock    func() time.Time
	sessions *scs.SessionManager
	sheets   map[string]*template.Template
	assets   *assets
	indexes  indexes
	drawings drawings
	may      map[string]roles // by pattern of routes.go
	handler  http.Handler
	stopping chan struct{} // closed when the streams to the terminals are to end

	// The acts of the shop that every request needs; tests put a story in their place.
	current func(context.Context) (*flow.View, error)
	user    func(context.Context, string) (flow.User, error)
	signIn  func(ctx context.Context, name, password string) (flow.User, error)
	book    func(context.Context) (*book.Book, int64, error)
	whatIf  func(context.Context, plant.UnitID) (flow.WhatIf, bool, error)
	upsets  func(context.Context) ([]dispatch.Upset, error)
	floorOp func(floor.OpKey) (floor.Op, bool)
}

// New makes the screens of a shop.
func New(shop *flow.Shop, o Options) (*Server, error) {
	s := &Server{shop: shop, current: shop.Current, user: shop.User, signIn: shop.SignIn, book: shop.Book, whatIf: shop.WhatIf, upsets: shop.Upsets, floorOp: shop.FloorOp}
	return s, s.start(o)
}

// start sets up everything that does not depend on the shop.
func (s *Server) start(o Options) (err error) {
	s.options, s.log, s.clock, s.stopping = o, o.Log, o.Clock, make(chan struct{})
	if s.log == nil {
		s.log = slog.Default()
	}
	if s.clock == nil {
		s.clock = time.Now
	}
	if s.assets, err = readAssets(); err != nil {
		return err
	}
	if s.sheets, err = parseSheets(s.assets); err != nil {
		return err
	}
	s.sessions = newSessions(o)
	s.handler = s.guard(s.mux())
	return nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// EndStreams ends what would never end by itself, so that a server that shuts down need not wait for it. Call it once.
func (s *Server) EndStreams() { close(s.stopping) }
