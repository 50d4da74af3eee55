package exchange

import (
	"io"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"time"

	"tackline/book"
	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
	"tackline/schedule"
)

// aboutRows gives the values of the rows of about.csv in a folder by their names; ok is false if it does not read.
func aboutRows(dir string) (rows map[string][]string, ok bool) {
	f, err := os.Open(filepath.Join(dir, "about.csv"))
	if err != nil {
		return nil, false
	}
	defer f.Close()
	rows = map[string][]string{}
	bad := records(f, func(_ int, fields []string, _ rune) {
		if len(fields) >= 2 {
			rows[fields[0]] = append(rows[fields[0]], fields[1])
		}
	})
	return rows, bad == nil
}

// PlanSpan gives the instant from which the plan in a folder was made and its horizon, out of about.csv. ok is false if the
// file does not tell.
func PlanSpan(dir string) (now, horizon plant.Time, ok bool) {
	rows, ok := aboutRows(dir)
	for _, x := range []struct {
		name string
		to   *plant.Time
	}{{"now", &now}, {"horizon", &horizon}} {
		var err error
		values := rows[x.name]
		if len(values) == 0 {
			return 0, 0, false
		}
		if *x.to, err = parseInstant(values[len(values)-1]); err != nil {
			return 0, 0, false
		}
	}
	return now, horizon, ok
}

// PlanAssumed gives what the plan in a folder was made under, out of about.csv, as lines that assume.Parse reads.
func PlanAssumed(dir string) []string {
	rows, _ := aboutRows(dir)
	return rows["assumed"]
}

// ReadPlan reads plan.csv of a folder back into a plan of the framed problem. Unknown jobs, operations and stations, times
// that do not read and doubled operations are faults with their rows. Operations that the file does not hold, or holds
// without a station, are left.
func ReadPlan(dir string, framed *flow.Framed) (*schedule.Plan, error) {
	f, err := os.Open(filepath.Join(dir, "plan.csv"))
	if err != nil {
		return nil, fault.New(fault.NotFound, "%s holds no plan.csv", dir)
	}
	defer f.Close()
	return readPlan(f, framed)
}

// planReader reads plan.csv.
type planReader struct {
	f        *flow.Framed
	plan     *schedule.Plan
	faults   fault.List
	places   map[string]int // of the columns
	jobs     map[string]int
	stations map[string]int
	why      map[int]string
	rowOf    map[int]int // sheet row of each operation read
}

func readPlan(r io.Reader, framed *flow.Framed) (*schedule.Plan, error) {
	p := &planReader{f: framed, plan: &schedule.Plan{Status: schedule.Complete, Rule: "read from plan.csv"}, jobs: map[string]int{},
		stations: map[string]int{}, why: map[int]string{}, rowOf: map[int]int{}}
	p.plan.Slots = make([]schedule.Slot, len(framed.Problem.Ops))
	for i := range p.plan.Slots {
		p.plan.Slots[i].Station = schedule.None
	}
	for i, j := range framed.Needs.Jobs {
		p.jobs[string(j.ID)] = i
	}
	for i, s := range framed.Problem.Stations {
		p.stations[string(s.ID)] = i
	}
	bad := records(r, func(no int, fields []string, _ rune) {
		switch {
		case strings.TrimSpace(strings.Join(fields, "")) == "":
		case p.places == nil:
			p.header(no, fields)
		case len(p.faults) < mostFaults:
			p.row(no, fields)
		}
	})
	if bad != nil {
		bad.Table = "plan"
		p.faults = append(p.faults, bad)
	} else if p.places == nil {
		p.say(1, "", "", "a row with the names of the columns", "", "the file is empty")
	}
	if len(p.faults) > 0 {
		return nil, p.faults
	}
	p.leave()
	return p.plan, nil
}

func (p *planReader) say(row int, column, value, expected, near, text string) {
	p.faults = append(p.faults, &fault.Fault{Kind: fault.Invalid, Table: "plan", Row: row, Column: column, Value: value,
		Expected: expected, Near: near, Text: text})
}

// times are the columns of a slot's instants, in order.
var times = []string{"setup_start", "start", "run", "unload", "end"}

func (p *planReader) header(no int, fields []string) {
	p.places = map[string]int{}
	known := planTable.header()
	for i, f := range fields {
		name := plainName(f)
		if book.Nearest(name, known) != name && name != "" {
			p.say(no, f, "", "", book.Nearest(name, known), "unknown column")
		}
		p.places[name] = i
	}
	for _, name := range append([]string{"job", "op", "station"}, times...) {
		if _, there := p.places[name]; !there {
			p.say(no, name, "", "", "", "the column is missing")
		}
	}
}

func (p *planReader) row(no int, fields []string) {
	at := func(column string) string {
		if i, there := p.places[column]; there && i < len(fields) {
			return strings.TrimSpace(fields[i])
		}
		return ""
	}
	op, ok := p.op(no, at("job"), at("op"))
	if !ok {
		return
	}
	if was, twice := p.rowOf[op]; twice {
		p.say(no, "op", at("op"), "each operation once", "", "row "+strconv.Itoa(was)+" is the same operation")
		return
	}
	p.rowOf[op] = no
	id := at("station")
	if id == "" {
		p.why[op] = at("why")
		return
	}
	s := &p.plan.Slots[op]
	station, known := p.stations[id]
	if !known {
		p.say(no, "station", id, "a station of the book", book.Nearest(id, keys(p.stations)), "unknown station")
	}
	s.Station = station
	for k, t := range []*plant.Time{&s.Setup, &s.Load, &s.Run, &s.Unload, &s.End} {
		v, err := parseInstant(at(times[k]))
		if err != nil {
			p.say(no, times[k], at(times[k]), "a time such as 2026-11-25T06:00:00+00:00", "", "")
		}
		*t = v
	}
	if b := at("batch"); b != "" {
		n, err := strconv.Atoi(b)
		if err != nil || n < 1 {
			p.say(no, "batch", b, "a whole number above 0, or nothing", "", "")
		}
		s.Batch = n
	}
}

// op finds the operation that a row is about.
func (p *planReader) op(no int, job, seq string) (int, bool) {
	j, known := p.jobs[job]
	if !known {
		p.say(no, "job", job, "a job of the book", book.Nearest(job, keys(p.jobs)), "unknown job")
		return 0, false
	}
	var seqs []string
	for _, o := range p.f.Needs.Jobs[j].Ops {
		s := strconv.Itoa(p.f.Needs.Ops[o].Seq)
		if s == seq {
			return o, true
		}
		seqs = append(seqs, s)
	}
	p.say(no, "op", seq, "an operation of the job: "+strings.Join(seqs, ", "), "", "unknown operation")
	return 0, false
}

// leave notes the operations without a place.
func (p *planReader) leave() {
	for i := range p.plan.Slots {
		if p.plan.Slots[i].Station != schedule.None {
			continue
		}
		why := p.why[i]
		if _, read := p.rowOf[i]; !read {
			why = "not in plan.csv"
		}
		p.plan.Left = append(p.plan.Left, schedule.Left{Op: i, Why: why})
		p.plan.Status = schedule.Incomplete
	}
}

func keys(m map[string]int) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// parseInstant reads an ISO 8601 date and time with an offset, to the second.
func parseInstant(s string) (plant.Time, error) {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		if t, err = time.Parse("2006-01-02T15:04Z07:00", s); err != nil {
			return 0, err
		}
	}
	return plant.At(t), nil
}
