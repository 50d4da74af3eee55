package web

import (
	"net/http"
	"strconv"

	"tackline/fault"
	"tackline/formula"
	"tackline/needs"
	"tackline/plant"
)

// timesView shows how the times of one operation come about.
type timesView struct {
	frame
	Head    string
	Facts   []fact
	Phases  []phase
	Sums    []sum
	Caution []string
	Back    string // the unit
	Unit    string
	Hand    string // where a planner moves it by hand
}

// phase is a part of the operation as planned: from when to when, and the work in it.
type phase struct {
	Name     string
	From, To moment
	Work     string
}

// sum is the arithmetic of one number.
type sum struct {
	Name, Unit, Says string
	formula.Trace
	Fault string
}

// sumsShown is what is shown of an operation, with its unit.
var sumsShown = []struct{ column, name, unit, says string }{
	{"setup", "Setup", "min", "for the job, beside the changeover between families"},
	{"load", "Load", "min", "per piece; per job in a batch"},
	{"run", "Run", "min", "per piece; per batch or stay; whole if away"},
	{"unload", "Unload", "min", "per piece; per job in a batch"},
	{"size", "Size", "", "capacity that one piece takes in a batch or place"},
}

func (s *Server) timesPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.planAsked(r)
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Times", err)
	}
	op := ix.opOfRequest(r)
	if op == needs.None {
		return noOperation(r)
	}
	o, j := ix.op(op), ix.job(op)
	page := &timesView{frame: s.frame(r, ix, "Times"), Head: o.Name + " of " + j.Name, Phases: ix.phases(op)}
	page.Facts = []fact{{"Job", text(string(j.ID))}, {"Operation", text(strconv.Itoa(o.Seq))}, {"Pieces", text(strconv.Itoa(j.Pieces))},
		{"Work centre", text(ix.centreName(o.Centre))}, {"Station", ix.stationCell(op)}, {"Nature", text(o.Nature)}, {"In closed time", text(o.Closed)}}
	if o.Family != "" {
		page.Facts = append(page.Facts, fact{"Setup family", text(string(o.Family))})
	}
	if j.Unit != needs.None {
		page.Unit, page.Back = string(ix.view.Needs.Units[j.Unit].ID), ix.opHref(op)
	}
	if planners.has(who(r).Role) {
		page.Hand = "/plan/hand?" + query("job", string(j.ID), "op", strconv.Itoa(o.Seq))
	}
	page.Sums, page.Caution = ix.sums(op), needs.Cautions(ix.book, ix.view.Needs, op)
	return s.render(w, r, http.StatusOK, "times", page)
}

func noOperation(r *http.Request) error {
	return fault.New(fault.NotFound, "The plan has no operation %s of job %s. A newer plan may have changed it.", r.URL.Query().Get("op"), r.URL.Query().Get("job"))
}

func (ix *index) phases(op int) []phase {
	sl, ok := ix.slot(op)
	if !ok {
		return nil
	}
	loc, o := ix.opZone(op), ix.op(op)
	var out []phase
	add := func(name string, from, to plant.Time, work plant.Seconds) {
		if to > from {
			out = append(out, phase{name, momentOf(from, loc), momentOf(to, loc), roughly(work)})
		}
	}
	add("setup", sl.Setup, sl.Load, o.Setup)
	for _, a := range ix.view.Problem.Ops[op].Can {
		if a.Station == sl.Station {
			add("load", sl.Load, sl.Run, a.Load)
			add("run", sl.Run, sl.Unload, a.Run)
			add("unload", sl.Unload, sl.End, a.Unload)
			return out
		}
	}
	add("work", sl.Load, sl.End, o.Run)
	return out
}

// sums gives the arithmetic of each number of an operation.
func (ix *index) sums(op int) (out []sum) {
	for _, sh := range sumsShown {
		x := sum{Name: sh.name, Unit: sh.unit, Says: sh.says}
		trace, err := needs.Arithmetic(ix.book, ix.view.Needs, op, sh.column)
		if err != nil {
			x.Fault = err.Error()
		}
		x.Trace = trace
		if trace.Formula == "0" || sh.column == "size" && trace.Formula == "1" {
			continue // nothing to show
		}
		out = append(out, x)
	}
	return out
}
