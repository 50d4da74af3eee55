package web

import (
	"errors"
	"net/http"
	"time"

	"tackline/floor"
	"tackline/flow"
)

const (
	// heartbeat is how often a quiet stream says that it lives, so that neither proxy nor browser takes it for dead.
	heartbeat = 15 * time.Second
	// longestStream ends a stream, so that the terminal asks anew and its user and station are looked up again.
	longestStream = 10 * time.Minute
	// streamPatience is how long a write to a terminal may take.
	streamPatience = 20 * time.Second
)

// floorLive tells a terminal, by server-sent events, that something at its station or with its work has changed. It says only that; the
// terminal then reads its page again.
func (s *Server) floorLive(w http.ResponseWriter, r *http.Request) error {
	at, err := s.floorAt(r.Context(), r.PathValue("station"))
	if err != nil {
		return err
	}
	if at == nil {
		return errNoSheet
	}
	return s.tellChanges(w, r, s.shop.WatchFloor(r.Context(), s.concerns(at)), at.ix.view)
}

// wallLive tells a screen on the wall that something has happened in any plant.
func (s *Server) wallLive(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil {
		return err
	}
	if ix == nil {
		return errNoSheet
	}
	return s.tellChanges(w, r, s.shop.WatchFloor(r.Context(), func(*floor.Record) bool { return true }), ix.view)
}

// tellChanges sends an event for each value of changed, until the reader goes, the program is stopped, another plan than view is in force, or
// the stream has lasted long enough.
func (s *Server) tellChanges(w http.ResponseWriter, r *http.Request, changed <-chan struct{}, view *flow.View) error {
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no") // a proxy must not keep events back
	wire := http.NewResponseController(w)
	send := func(text string) error {
		if err := wire.SetWriteDeadline(time.Now().Add(streamPatience)); err != nil && !errors.Is(err, http.ErrNotSupported) {
			return err
		}
		if _, err := w.Write([]byte(text)); err != nil {
			return err
		}
		return wire.Flush()
	}
	if send("retry: 2000\n: connected\n\n") != nil {
		return nil // the terminal has gone
	}
	beat, end := time.NewTicker(heartbeat), time.NewTimer(longestStream)
	defer beat.Stop()
	defer end.Stop()
	for {
		text := ": still here\n\n"
		select {
		case <-r.Context().Done():
			return nil
		case <-s.stopping:
			return nil
		case <-end.C:
			return nil
		case <-changed:
			text = "event: floor\ndata: changed\n\n"
		case <-beat.C:
			if v, err := s.current(r.Context()); err == nil && v != view { // another plan is in force
				_ = send("event: floor\ndata: plan\n\n")
				return nil
			}
		}
		if send(text) != nil {
			return nil
		}
	}
}

// concerns chooses the events that change the page of a station: its own, those of operations that are there or planned there, and of
// the operations that these wait for.
func (s *Server) concerns(at *floorAt) func(*floor.Record) bool {
	ops := map[int]bool{}
	for _, run := range at.ix.runsOf(at.st.ID) {
		ops[run.Op] = true
	}
	keys := map[floor.OpKey]bool{}
	for op := range ops {
		keys[at.desk.Key(op)] = true
	}
	for _, l := range at.ix.view.Problem.Links {
		if ops[l.To] {
			keys[at.desk.Key(l.From)] = true
		}
	}
	return func(e *floor.Record) bool {
		if e.Station == at.st.ID {
			return true
		}
		k, isOp := e.Op()
		if !isOp || keys[k] {
			return isOp
		}
		here := false
		s.shop.Floor(func(state *floor.State) { here = state.Ops[k].Station == at.st.ID })
		return here
	}
}
