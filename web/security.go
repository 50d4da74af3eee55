package web

import (
	"net/http"
	"runtime/debug"
	"strings"

	"tackline/fault"
)

// contentPolicy allows our own files only, and nothing inline.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// largestForm bounds the body of a request, in bytes. Imports set their own bound.
const largestForm = 64 << 20

// guard puts what holds for every request around the routes: headers, sessions, cross-origin protection, recovery.
func (s *Server) guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, fault.New(fault.Denied, "This request came from another site and was refused."))
	}))
	s.sessions.ErrorFunc = func(w http.ResponseWriter, r *http.Request, err error) { s.fail(w, r, err) }
	inner := s.sessions.LoadAndSave(cross.Handler(next))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=(), payment=(), usb=()")
		if s.options.Secure {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		r.Body = http.MaxBytesReader(w, r.Body, largestForm)
		defer s.recovered(w, r)
		if strings.HasPrefix(r.URL.Path, "/assets/") { // needs no session
			next.ServeHTTP(w, r)
			return
		}
		inner.ServeHTTP(w, r)
	})
}

// recovered answers a defect with a page rather than a cut connection.
func (s *Server) recovered(w http.ResponseWriter, r *http.Request) {
	if v := recover(); v != nil {
		if v == http.ErrAbortHandler {
			panic(v)
		}
		s.log.Error("panic", "path", r.URL.Path, "value", v, "stack", string(debug.Stack()))
		s.fail(w, r, fault.New(fault.Internal, "panic: %v", v))
	}
}

func (s *Server) healthy(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	_, err := w.Write([]byte("healthy\n"))
	return err
}
