package needs

import (
	"slices"
	"strings"

	"tackline/order"
	"tackline/plant"
)

// This file splits lots by hand, as the book's splits say. A part becomes a job named after the whole job, + and a letter; the
// rest keeps the name, so that what the floor reported for it stays with it, and a part has rows of work of its own. What is made
// below a split job is made in one job, as before.

// piece is a job to be made: the whole of a spec, or a part of it.
type piece struct {
	spec
	job  plant.JobID
	part string // "": the whole job, or what is left of it
}

// apart splits a spec into the job itself and the parts taken off it. A part that would leave no good piece to the job is not
// taken off, nor are pieces of a set, nor a part that is released as a job of its own.
func (e *explosion) apart(s spec, id plant.JobID) []piece {
	out := []piece{{spec: s, job: id}}
	rest := &out[0]
	for _, x := range e.ix.SplitsOf[id] {
		name := order.PartOf(id, x.Part)
		if s.set || x.Pieces < 1 || x.Pieces >= rest.pieces || e.released(name) {
			continue
		}
		part := piece{spec: s, job: name, part: x.Part}
		part.pieces = x.Pieces
		part.need = (rest.need*x.Pieces + rest.pieces - 1) / rest.pieces // its share of the good pieces, rounded up
		if part.need >= rest.need {
			continue
		}
		rest.pieces -= part.pieces
		rest.need -= part.need
		out = append(out, part)
		rest = &out[0]
	}
	return out
}

// released says whether a job is in the book's releases.
func (e *explosion) released(id plant.JobID) bool {
	for i := range e.ix.Book.Releases {
		if e.ix.Book.Releases[i].Job == id {
			return true
		}
	}
	return false
}

// asked is a demand, and whether the floor has taken its parts.
type asked struct {
	demand int
	taken  bool
}

// rowsIn gives the parts-list rows of the parts of one job, each once.
func rowsIn(lots []lot) []component {
	out := lots[0].parts
	for _, l := range lots[1:] {
		for _, p := range l.parts {
			if !slices.ContainsFunc(out, func(o component) bool { return o.row == p.row }) {
				out = append(slices.Clone(out), p)
			}
		}
	}
	return out
}

// demandsOf gives the demands of a parts-list row over the parts of one job.
func demandsOf(lots []lot, row int) []asked {
	var out []asked
	for _, l := range lots {
		for i := range l.parts {
			if p := &l.parts[i]; p.row == row {
				out = append(out, asked{l.from + i, l.taken >= l.ops[p.op].Seq})
			}
		}
	}
	return out
}

// handOut shares covers out to demands, one after the other. What the floor has taken needs none.
func (e *explosion) handOut(covers []Cover, demands []asked) {
	for _, a := range demands {
		if a.taken {
			continue
		}
		dem := &e.r.Demands[a.demand]
		for open := dem.Qty; open > 0 && len(covers) > 0; {
			c := covers[0]
			c.Qty = min(c.Qty, open)
			dem.Covers = append(dem.Covers, c)
			open -= c.Qty
			if covers[0].Qty -= c.Qty; covers[0].Qty == 0 {
				covers = covers[1:]
			}
		}
	}
}

// Whole gives the name of the job that a part was split off by hand, or the job's own.
func (j *Job) Whole() plant.JobID {
	if j.Part == "" {
		return j.ID
	}
	return plant.JobID(strings.TrimSuffix(string(j.ID), "+"+j.Part))
}
