package web

import (
	"net/http"
	"net/url"
	"strings"

	"tackline/fault"
)

var errNoSheet = fault.New(fault.NotFound, "There is no sheet at this address. Choose one from the list above.")

// denied says who may use a route.
func denied(rs roles) error {
	return fault.New(fault.Denied, "This sheet is for: %s. Ask a manager if you need it.", strings.Join(rs, ", "))
}

// status gives the HTTP status and the headline of each kind of fault.
var status = map[fault.Kind]struct {
	code  int
	title string
}{
	fault.Invalid:  {http.StatusUnprocessableEntity, "Something in the input is wrong"},
	fault.NotFound: {http.StatusNotFound, "Not found"},
	fault.Conflict: {http.StatusConflict, "Somebody changed it meanwhile"},
	fault.Denied:   {http.StatusForbidden, "Not for this role"},
	fault.Busy:     {http.StatusServiceUnavailable, "Busy"},
	fault.Stopped:  {http.StatusConflict, "Stopped"},
	fault.Internal: {http.StatusInternalServerError, "The program failed"},
}

// faultPage shows what went wrong.
type faultPage struct {
	frame
	Faults fault.List
	Back   string // address of the sheet the reader came from; "" if it is not known
}

// cameFrom gives the sheet of this program that a request came from.
func cameFrom(r *http.Request) string {
	u, err := url.Parse(r.Referer())
	if err != nil || u.Host != r.Host || u.Path == "" || u.Path == r.URL.Path {
		return ""
	}
	return u.RequestURI()
}

// fail answers with the faults of err: the one place where an error becomes a page. The text of an internal fault goes to
// the log and not to the reader.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() != nil {
		return // the reader has gone; what failed is the writing to him
	}
	kind := fault.KindOf(err)
	st, known := status[kind]
	if !known {
		st = status[fault.Internal]
	}
	faults := fault.All(err)
	if st.code == http.StatusInternalServerError {
		s.log.Error("request failed", "method", r.Method, "path", r.URL.Path, "error", err)
		faults = fault.List{fault.New(fault.Internal, "This is a defect of the program, not of your input. It is written in the log; nothing was changed.")}
	}
	page := &faultPage{frame: s.frame(r, nil, st.title), Faults: faults, Back: cameFrom(r)}
	if err := s.render(w, r, st.code, "fault", page); err != nil {
		s.log.Error("the fault page failed", "error", err)
		http.Error(w, st.title, st.code)
	}
}
