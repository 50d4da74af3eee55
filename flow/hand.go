package flow

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tackline/book"
	"tackline/fault"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
	"tackline/stock"
)

// What a planner can do by hand.
const (
	Pin        = "pin"        // Job, Seq; Station or At or both: keep the operation there, then
	Unpin      = "unpin"      // Job, Seq: take the pin out
	Forbid     = "forbid"     // Job, Seq; Station: not there; or At: not before
	Allow      = "allow"      // Job, Seq: take out what is forbidden for it
	Split      = "split"      // Job, Pieces: take these off into a job of their own
	Join       = "join"       // Job: take its splits out
	Prioritise = "prioritise" // Of, Name, Factor: what a day late costs, as a multiple; 1 takes the priority out
)

// Hand is one thing that a planner does by hand. Which fields count stands beside the kinds.
type Hand struct {
	Kind    string
	Job     plant.JobID
	Seq     int
	Station plant.StationID
	At      plant.Time // 0: none; whole minutes
	Pieces  int
	Of      string // order, line, unit or job, as order.Priority
	Name    string
	Factor  float64
	Note    string
}

// target is what a hand is about, found in a view. op is None for what is not about one operation.
type target struct {
	v       *View
	job, op int
}

func (t *target) zone() *time.Location {
	if t.op != needs.None {
		return t.v.Index.CentreZone(t.v.Needs.Ops[t.op].Centre)
	}
	return firstZone(t.v.Index)
}

// find looks up what a hand is about. It refuses what cannot be: unknown jobs, operations that are done or begun, begins in the
// past, splits of a set.
func (h *Hand) find(v *View, now plant.Time) (*target, error) {
	t := &target{v, needs.None, needs.None}
	switch h.Kind {
	case Prioritise:
		return t, nil
	case Pin, Forbid, Unpin, Allow, Split, Join:
	default:
		return nil, &fault.Fault{Kind: fault.Invalid, Column: "do", Value: h.Kind, Expected: "pin, unpin, forbid, allow, split, join or prioritise"}
	}
	t.job = slices.IndexFunc(v.Needs.Jobs, func(j needs.Job) bool { return j.ID == h.Job })
	if h.Kind == Unpin || h.Kind == Allow || h.Kind == Join { // rows of what is gone can be taken out too
		return t, nil
	}
	if t.job < 0 {
		return nil, fault.New(fault.NotFound, "There is no job %q in this plan. It is done, or its order has changed.", h.Job)
	}
	if h.Kind == Split {
		return t, h.maySplit(v, &v.Needs.Jobs[t.job])
	}
	for _, op := range v.Needs.Jobs[t.job].Ops {
		if v.Needs.Ops[op].Seq == h.Seq {
			t.op = op
		}
	}
	if t.op == needs.None {
		return nil, fault.New(fault.NotFound, "Job %s has no operation %d.", h.Job, h.Seq)
	}
	if word := map[schedule.State]string{schedule.Done: "is done", schedule.Running: "runs already", schedule.Frozen: "is frozen"}[v.Problem.Ops[t.op].State]; word != "" {
		return nil, fault.New(fault.Conflict, "Operation %d of job %s %s: it stays where it is.", h.Seq, h.Job, word)
	}
	if h.At != 0 && h.At < now {
		return nil, &fault.Fault{Kind: fault.Invalid, Column: "at", Value: h.At.In(t.zone()).Format("2006-01-02 15:04"),
			Expected: "a time from now on, " + now.In(t.zone()).Format("2006-01-02 15:04")}
	}
	if h.Station == "" && h.At == 0 {
		return nil, &fault.Fault{Kind: fault.Invalid, Column: "station", Expected: "a station or a time"}
	}
	return t, nil
}

// maySplit refuses splits that needs would not make.
func (h *Hand) maySplit(v *View, job *needs.Job) error {
	if !job.Set && job.Pieces > 1 && (h.Pieces < 1 || h.Pieces >= job.Pieces) {
		return &fault.Fault{Kind: fault.Invalid, Column: "pieces", Value: fmt.Sprint(h.Pieces), Expected: fmt.Sprintf("a whole number from 1 to %d", job.Pieces-1)}
	}
	return Splittable(v, job)
}

// Splittable says why no pieces can be taken off a job; nil if some can.
func Splittable(v *View, job *needs.Job) error {
	switch {
	case job.Set:
		return fault.New(fault.Conflict, "The pieces of job %s are a set and stay together.", job.ID)
	case job.Pieces < 2:
		return fault.New(fault.Conflict, "Job %s has one piece: there is nothing to split.", job.ID)
	}
	todo := false
	for _, op := range job.Ops {
		switch v.Problem.Ops[op].State {
		case schedule.Running, schedule.Frozen:
			return fault.New(fault.Conflict, "Operation %d of job %s runs, or is frozen, with all its pieces. Split it when that is done.", v.Needs.Ops[op].Seq, job.ID)
		case schedule.ToPlan:
			todo = true
		}
	}
	if !todo {
		return fault.New(fault.Conflict, "Job %s is done.", job.ID)
	}
	return nil
}

// Words says what a hand does, for people: "Pin operation 20 (robot weld) of job 1042-1-1/jaw-4c to Robot 2".
func (h *Hand) Words(v *View) string {
	t, err := h.find(v, 0)
	if err != nil {
		return h.Kind
	}
	what := "job " + string(h.Job)
	if h.Seq != 0 {
		what = fmt.Sprintf("operation %d of ", h.Seq) + what
	}
	if t.op != needs.None {
		what = fmt.Sprintf("operation %d (%s) of job %s", h.Seq, v.Needs.Ops[t.op].Name, h.Job)
	}
	station, at := string(h.Station), ""
	if s := v.Index.Stations[h.Station]; s != nil && s.Name != "" {
		station = s.Name
	}
	if h.At != 0 {
		at = h.At.Day(t.zone(), v.Problem.Now) + h.At.In(t.zone()).Format(" 15:04")
	}
	switch h.Kind {
	case Pin:
		return "Pin " + what + strings.TrimRight(before(" to ", station)+before(" at ", at), " ")
	case Unpin:
		return "Unpin " + what
	case Forbid:
		return "Forbid " + what + before(" on ", station) + before(" before ", at)
	case Allow:
		return "Forbid nothing more for " + what
	case Split:
		return fmt.Sprintf("Split %d pieces off %s", h.Pieces, what)
	case Join:
		return "Join the parts of " + what
	}
	if h.Factor == 1 {
		return fmt.Sprintf("No priority for %s %s", h.Of, h.Name)
	}
	return fmt.Sprintf("A day late of %s %s costs %g times as much", h.Of, h.Name, h.Factor)
}

func before(word, s string) string {
	if s == "" {
		return ""
	}
	return word + s
}

// change writes a hand into a book, which must be the caller's own.
func (h *Hand) change(b *book.Book, t *target, by string) error {
	at := wallIn(h.At, t.zone())
	switch h.Kind {
	case Pin:
		b.Pins = put(b.Pins, order.Pin{Job: h.Job, Seq: h.Seq, Station: h.Station, Begin: at, Note: h.Note, By: by},
			func(p order.Pin) bool { return p.Job == h.Job && p.Seq == h.Seq })
	case Unpin:
		n := len(b.Pins)
		b.Pins = slices.DeleteFunc(b.Pins, func(p order.Pin) bool { return p.Job == h.Job && p.Seq == h.Seq })
		return found(n, len(b.Pins), "Operation %d of job %s is not pinned.", h.Seq, h.Job)
	case Forbid:
		b.Forbids = put(b.Forbids, order.Forbid{Job: h.Job, Seq: h.Seq, Station: h.Station, Before: at, Note: h.Note, By: by},
			func(f order.Forbid) bool { return f.Job == h.Job && f.Seq == h.Seq && f.Station == h.Station })
	case Allow:
		n := len(b.Forbids)
		b.Forbids = slices.DeleteFunc(b.Forbids, func(f order.Forbid) bool { return f.Job == h.Job && f.Seq == h.Seq })
		return found(n, len(b.Forbids), "Nothing is forbidden for operation %d of job %s.", h.Seq, h.Job)
	case Split:
		return h.split(b, t, by)
	case Join:
		return h.join(b)
	case Prioritise:
		same := func(p order.Priority) bool { return p.Of == h.Of && p.Name == h.Name }
		if h.Factor == 1 {
			b.Priorities = slices.DeleteFunc(b.Priorities, same)
			return nil
		}
		b.Priorities = put(b.Priorities, order.Priority{Of: h.Of, Name: h.Name, Factor: h.Factor, Note: h.Note, By: by}, same)
	}
	return nil
}

// put puts a row in the place of the first that is the same one, or at the end.
func put[T any](rows []T, row T, same func(T) bool) []T {
	if i := slices.IndexFunc(rows, same); i >= 0 {
		rows[i] = row
		return rows
	}
	return append(rows, row)
}

func found(before, after int, text string, args ...any) error {
	if before == after {
		return fault.New(fault.NotFound, text, args...)
	}
	return nil
}

// wallIn writes an instant for a cell; "" for none.
func wallIn(t plant.Time, loc *time.Location) plant.Wall {
	if t == 0 {
		return ""
	}
	w := plant.Wall(t.In(loc).Format("2006-01-02T15:04"))
	if back, ok := w.Time(loc); ok && back == t-t%60 {
		return w
	}
	return plant.WallAt(t, loc) // the clocks show it twice
}

// split takes pieces off a job. What the floor has done with all pieces is done for the part too. Pieces of a part go into a further
// part of the whole job.
func (h *Hand) split(b *book.Book, t *target, by string) error {
	job := &t.v.Needs.Jobs[t.job]
	whole := job.Whole()
	if job.Part != "" {
		for i := range b.Splits {
			if s := &b.Splits[i]; s.Job == whole && s.Part == job.Part {
				s.Pieces -= h.Pieces
			}
		}
	}
	part := byte('b')
	for slices.ContainsFunc(b.Splits, func(s order.Split) bool { return s.Job == whole && s.Part == string(part) }) {
		part++
	}
	if part > 'z' {
		return fault.New(fault.Conflict, "Job %s has 25 parts already.", whole)
	}
	b.Splits = append(b.Splits, order.Split{Job: whole, Part: string(part), Pieces: h.Pieces, Note: h.Note, By: by})
	for _, w := range b.Work {
		if w.Job == job.ID && (w.State == stock.Done || w.State == stock.Held) {
			w.Job = order.PartOf(whole, string(part))
			b.Work = append(b.Work, w)
		}
	}
	return nil
}

// join takes the splits of a job out, unless the floor has gone on with a part by itself.
func (h *Hand) join(b *book.Book) error {
	n := len(b.Splits)
	ours := map[plant.JobID]bool{}
	b.Splits = slices.DeleteFunc(b.Splits, func(s order.Split) bool {
		if s.Job == h.Job {
			ours[order.PartOf(s.Job, s.Part)] = true
		}
		return s.Job == h.Job
	})
	for _, w := range b.Work {
		same := func(o stock.Work) bool { o.Job = w.Job; return o == w }
		if ours[w.Job] && !slices.ContainsFunc(b.Work, func(o stock.Work) bool { return o.Job == h.Job && same(o) }) {
			return fault.New(fault.Conflict, "The floor has gone on with job %s by itself: the parts cannot be joined any more.", w.Job)
		}
	}
	b.Work = slices.DeleteFunc(b.Work, func(w stock.Work) bool { return ours[w.Job] })
	b.Pins = slices.DeleteFunc(b.Pins, func(p order.Pin) bool { return ours[p.Job] })
	b.Forbids = slices.DeleteFunc(b.Forbids, func(f order.Forbid) bool { return ours[f.Job] })
	return found(n, len(b.Splits), "Job %s is not split.", h.Job)
}
