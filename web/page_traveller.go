package web

import (
	"bytes"
	"net/http"
	"strings"

	"tackline/fault"
	"tackline/paper"
	"tackline/plant"
)

// traveller gives the paper that goes with a job, as PDF.
func (s *Server) traveller(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.planAsked(r)
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Traveller", err)
	}
	id := plant.JobID(r.URL.Query().Get("job"))
	job, known := ix.jobs[id]
	if !known {
		return fault.New(fault.NotFound, "The plan has no job %q.", id)
	}
	var b bytes.Buffer
	if err := paper.Traveller(&b, ix.view, job, s.clock()); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `inline; filename="traveller-`+fileName(string(id))+`.pdf"`)
	_, err = w.Write(b.Bytes())
	return err
}

// fileName keeps of a name what every file system takes.
func fileName(name string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '.' {
			return r
		}
		return '-'
	}, name)
}

func travellerHref(id plant.JobID) string { return "/traveller?" + query("job", string(id)) }
