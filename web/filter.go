package web

import (
	"net/http"
	"sort"
	"strings"
)

// filter is the form above a list. Each call that adds a field gives its value in the request.
type filter struct {
	Action string
	Sort   string // kept while filtering
	Kept   []kept // stay in the address while filtering: which plan the list follows
	Fields []field
	Set    bool // something is filtered: show the way back
	r      *http.Request
}

// kept is a part of the address that a filter leaves as it is.
type kept struct{ Name, Value string }

type field struct {
	Kind, Name, Label, Value, Hint string // Kind is search, choice or tick
	On                             bool
	Choices                        []choice
}

type choice struct {
	Value, Title string
	On           bool
}

// newFilter makes the form for the list of a request. The plan that the list follows, and what else is named, is kept.
func newFilter(r *http.Request, keep ...string) *filter {
	q := r.URL.Query()
	f := &filter{Action: r.URL.Path, Sort: q.Get("sort"), r: r}
	for _, name := range append([]string{"plan"}, keep...) {
		if value := q.Get(name); value != "" {
			f.Kept = append(f.Kept, kept{name, value})
		}
	}
	return f
}

// all gives the address of the list without a filter.
func (f *filter) all() string {
	var pairs []string
	for _, k := range f.Kept {
		pairs = append(pairs, k.Name, k.Value)
	}
	if len(pairs) == 0 {
		return f.Action
	}
	return f.Action + "?" + query(pairs...)
}

// search adds a text field and gives what was typed, in lower case.
func (f *filter) search(hint string) string {
	value := strings.TrimSpace(f.r.URL.Query().Get("q"))
	f.Fields = append(f.Fields, field{Kind: "search", Name: "q", Label: "Find", Value: value, Hint: hint})
	f.Set = f.Set || value != ""
	return strings.ToLower(value)
}

// choose adds a list of choices, the first of which is all, and gives the value chosen.
func (f *filter) choose(name, label, all string, choices []choice) string {
	value := f.r.URL.Query().Get(name)
	fd := field{Kind: "choice", Name: name, Label: label, Choices: append([]choice{{"", all, value == ""}}, choices...)}
	for i := range fd.Choices {
		fd.Choices[i].On = fd.Choices[i].Value == value
		f.Set = f.Set || fd.Choices[i].On && i > 0
	}
	f.Fields = append(f.Fields, fd)
	return value
}

// tick adds a yes-or-no field.
func (f *filter) tick(name, label string) bool {
	on := f.r.URL.Query().Get(name) == "yes"
	f.Fields = append(f.Fields, field{Kind: "tick", Name: name, Label: label, On: on})
	f.Set = f.Set || on
	return on
}

// choicesOf gives the different values of a list as choices, sorted by title. title gives what is shown for a value.
func choicesOf[T any](rows []T, of func(T) (value, title string)) []choice {
	seen := map[string]bool{"": true}
	var out []choice
	for _, x := range rows {
		v, title := of(x)
		if !seen[v] {
			seen[v] = true
			out = append(out, choice{Value: v, Title: title})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Title < out[j].Title })
	return out
}

func words(hs ...hatching) []choice {
	out := make([]choice, len(hs))
	for i, h := range hs {
		out[i] = choice{Value: h.Word, Title: h.Word}
	}
	return out
}
