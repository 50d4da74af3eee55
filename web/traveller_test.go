package web

import (
	"net/http"
	"strings"
	"testing"

	"tackline/book"
)

// TestTravellerPage: the run list links the traveller of a job; it comes as a PDF with a name; an unknown job is said.
func TestTravellerPage(t *testing.T) {
	view := storyView(t)
	var err error
	if view.Index, err = book.NewIndex(view.Book); err != nil {
		t.Fatal(err)
	}
	v := signIn(t, testServer(t, view), "operator")
	href := ""
	for _, a := range find(v.page(t, "/stations/assembly-1"), "a") {
		if h := attr(a, "href"); strings.HasPrefix(h, "/traveller") {
			href = h
		}
	}
	if href == "" {
		t.Fatal("no traveller is linked")
	}
	w := v.get(href)
	if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/pdf" || !strings.HasPrefix(w.Body.String(), "%PDF-") ||
		!strings.Contains(w.Header().Get("Content-Disposition"), "traveller-") {
		t.Errorf("status %d, %s", w.Code, w.Header())
	}
	if w := v.get("/traveller?job=nothing"); w.Code != http.StatusNotFound || !strings.Contains(w.Body.String(), "no job") {
		t.Errorf("an unknown job: status %d", w.Code)
	}
}
