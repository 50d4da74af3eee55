package web

import (
	"net/http"
	"strconv"
	"strings"

	"tackline/book"
	"tackline/fault"
	"tackline/flow"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
	"tackline/setout"
)

// handView is what a planner can do by hand with one operation: a sheet of its own, and a panel beside the board.
type handView struct {
	frame
	Faults   fault.List
	Plan     string // number of the plan it is about; "" the current one
	Job      string
	Seq      int
	Head     string
	Now      []fact // where it is planned
	Fixed    string // why it cannot be moved; "" if it can
	Stations []choice
	Begin    string // as the form has it
	Least    string // earliest begin that the form takes
	Planned  handPlace
	Pin      *handRow
	Forbids  []string
	Pieces   int // that can be split off at most; 0: none
	Half     int
	NoSplit  string // why not
	Split    bool
	Whole    string // the job that parts would be joined to
	Ofs      []choice
	Factor   string
	Note     string
	Back     string
	Unit     string
}

// handPlace is where an operation is planned, to be pinned there.
type handPlace struct{ Station, Begin, Text string }

// handRow is a row planned by hand, in words.
type handRow struct{ Text, Note string }

const formTime = "2006-01-02T15:04"

// handPage shows the form of one operation; with part=panel only the panel.
func (s *Server) handPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.planAsked(r)
	if err != nil || ix == nil {
		return s.noPlan(w, r, "By hand", err)
	}
	op := ix.opOfRequest(r)
	if op == needs.None {
		return noOperation(r)
	}
	page := ix.handOf(op, r.URL.Query().Get("plan"))
	if r.URL.Query().Get("part") == "panel" {
		return s.renderPart(w, "hand", "panel", page)
	}
	page.frame = s.frame(r, ix, "By hand")
	return s.render(w, r, http.StatusOK, "hand", page)
}

func (ix *index) handOf(op int, plan string) *handView {
	o, j, p := ix.op(op), ix.job(op), &ix.view.Problem.Ops[op]
	loc := ix.opZone(op)
	page := &handView{Plan: plan, Job: string(j.ID), Seq: o.Seq, Head: o.Name + " of " + j.Name,
		Back: "/plan?" + query("plan", plan, "job", string(j.ID), "op", strconv.Itoa(o.Seq)), Factor: "2",
		Least: (ix.view.Problem.Now + 59).In(loc).Format(formTime)}
	page.Now = []fact{{"Job", text(string(j.ID)).code()}, {"Operation", text(strconv.Itoa(o.Seq))}, {"Pieces", text(strconv.Itoa(j.Pieces))},
		{"Station", ix.stationCell(op)}, {"Begins", ix.instant(op, 1)}, {"Ends", ix.instant(op, 2)}}
	page.Fixed = map[schedule.State]string{schedule.Done: "It is done.", schedule.Running: "It runs and stays on its station.",
		schedule.Frozen: "It is frozen: the table work says where and when."}[p.State]
	chosen := plant.StationID("")
	if sl, ok := ix.slot(op); ok {
		chosen = ix.station(sl).ID
		page.Planned = handPlace{string(chosen), sl.Load.In(loc).Format(formTime), ix.station(sl).Name + ", " + momentOf(sl.Load, loc).Text}
	}
	for _, id := range setout.StationsOf(ix.book, o) {
		page.Stations = append(page.Stations, choice{Value: string(id), Title: ix.stationName(id), On: id == chosen})
	}
	ix.handRows(page, j, o)
	ix.handSplit(page, j)
	if j.Unit != needs.None {
		u := &ix.view.Needs.Units[j.Unit]
		line := string(u.Order) + "-" + strconv.Itoa(u.Line)
		page.Unit = string(u.ID)
		page.Ofs = []choice{{Value: order.OfUnit + " " + string(u.ID), Title: "unit " + string(u.ID)}, {Value: order.OfLine + " " + line, Title: "line " + line},
			{Value: order.OfOrder + " " + string(u.Order), Title: "order " + string(u.Order)}}
	} else {
		page.Ofs = []choice{{Value: order.OfJob + " " + string(j.ID), Title: "the units that job " + string(j.ID) + " goes into"}}
	}
	for _, of := range page.Ofs {
		kind, name, _ := strings.Cut(of.Value, " ")
		if row := ix.book.Priorities[book.Prior{Of: kind, Name: name}]; row != nil {
			page.Factor = plainNumber(row.Factor)
		}
	}
	return page
}

func (ix *index) stationName(id plant.StationID) string {
	if s := ix.book.Stations[id]; s != nil && s.Name != "" {
		return s.Name
	}
	return string(id)
}

// handRows says what is pinned and forbidden for an operation.
func (ix *index) handRows(page *handView, j *needs.Job, o *needs.Op) {
	key := book.JobOp{Job: j.ID, Seq: o.Seq}
	if pin := ix.book.Pins[key]; pin != nil {
		page.Pin = &handRow{ix.pinText(pin), byNote(pin.By, pin.Note)}
	}
	for _, f := range ix.book.ForbidsOf[key] {
		page.Forbids = append(page.Forbids, ix.forbidText(f))
	}
}

// pinText says a pin: "on Robot 2, from Fri 27 Nov 08:15 on".
func (ix *index) pinText(p *order.Pin) string {
	var parts []string
	if p.Station != "" {
		parts = append(parts, "on "+ix.stationName(p.Station))
	}
	if m := ix.handTime(p.Begin, p.Job); m != "" {
		parts = append(parts, "to begin "+m)
	}
	return strings.Join(parts, ", ")
}

func (ix *index) forbidText(f *order.Forbid) string {
	if f.Station != "" {
		return "not on " + ix.stationName(f.Station)
	}
	return "not before " + ix.handTime(f.Before, f.Job)
}

// handTime shows a time of a row in the zone of its job's plant.
func (ix *index) handTime(w plant.Wall, job plant.JobID) string {
	loc := ix.first
	if j, ok := ix.jobs[job]; ok {
		loc = ix.zone(ix.view.Needs.Jobs[j].Plant)
	}
	at, ok := w.Time(loc)
	if !ok {
		return ""
	}
	return momentOf(at, loc).Text
}

func byNote(by, note string) string {
	return strings.Trim(strings.Join([]string{note, by}, ", "), ", ")
}

// handSplit says how many pieces can be split off, or why none.
func (ix *index) handSplit(page *handView, j *needs.Job) {
	page.Whole = string(j.Whole())
	page.Split = len(ix.book.SplitsOf[j.Whole()]) > 0
	if err := flow.Splittable(ix.view, j); err != nil {
		page.NoSplit = err.Error()
		return
	}
	page.Pieces, page.Half = j.Pieces-1, j.Pieces/2
}

// handAct tries what was asked and shows what it would cost; nothing is kept yet. What is refused comes back with the form.
func (s *Server) handAct(w http.ResponseWriter, r *http.Request) error {
	plan, err := planNumber(r.PostFormValue("plan"))
	if err != nil {
		return err
	}
	ix, err := s.handIndex(r, plan)
	if err != nil {
		return err
	}
	h, err := handAsked(r, ix)
	var t *flow.Trial
	if err == nil {
		t, err = s.shop.Try(r.Context(), actor(r), plan, h)
	}
	switch kind := fault.KindOf(err); kind {
	case 0:
		http.Redirect(w, r, "/plan?"+query("try", strconv.FormatInt(t.ID, 10), "job", string(h.Job), "op", r.PostFormValue("op")), http.StatusSeeOther)
		return nil
	case fault.Invalid, fault.Conflict:
		op := ix.opAt(plant.JobID(r.PostFormValue("job")), atoi(r.PostFormValue("op")))
		if op == needs.None {
			return err
		}
		page := ix.handOf(op, r.PostFormValue("plan"))
		page.Faults, page.Begin, page.Note = fault.All(err), r.PostFormValue("at"), r.PostFormValue("note")
		page.frame = s.frame(r, ix, "By hand")
		return s.render(w, r, status[kind].code, "hand", page)
	}
	return err
}

func atoi(s string) int {
	n, _ := strconv.Atoi(s)
	return n
}

func (s *Server) handIndex(r *http.Request, plan int64) (*index, error) {
	v, err := s.shop.Current(r.Context())
	if plan != 0 {
		v, err = s.shop.ViewOf(r.Context(), plan)
	}
	if err != nil {
		return nil, err
	}
	if v == nil {
		return nil, fault.New(fault.Conflict, "There is no plan yet. Plan first.")
	}
	return s.index(v)
}

// handAsked reads the form. The board sends a begin as instant, seconds since 1970 in UTC.
func handAsked(r *http.Request, ix *index) (flow.Hand, error) {
	h := flow.Hand{Kind: r.PostFormValue("do"), Job: plant.JobID(r.PostFormValue("job")), Seq: atoi(r.PostFormValue("op")),
		Note: strings.TrimSpace(r.PostFormValue("note"))}
	if len(h.Note) > 200 {
		return h, &fault.Fault{Kind: fault.Invalid, Column: "note", Expected: "at most 200 letters"}
	}
	switch h.Kind {
	case flow.Pin:
		h.Station = plant.StationID(r.PostFormValue("station"))
		return h, handTimeAsked(r, ix, &h, "at")
	case "as planned":
		h.Kind, h.Station = flow.Pin, plant.StationID(r.PostFormValue("planned"))
		return h, handTimeAsked(r, ix, &h, "planned_at")
	case flow.Forbid:
		h.Station = plant.StationID(r.PostFormValue("forbidden"))
	case "not before":
		h.Kind = flow.Forbid
		return h, handTimeAsked(r, ix, &h, "before")
	case flow.Split:
		n, err := strconv.Atoi(strings.TrimSpace(r.PostFormValue("pieces")))
		if err != nil {
			return h, &fault.Fault{Kind: fault.Invalid, Column: "pieces", Value: r.PostFormValue("pieces"), Expected: "a whole number of pieces"}
		}
		h.Pieces, h.Seq = n, 0
	case flow.Join:
		h.Job, h.Seq = plant.JobID(r.PostFormValue("whole")), 0
	case flow.Prioritise:
		h.Of, h.Name, _ = strings.Cut(r.PostFormValue("of"), " ")
		f, err := strconv.ParseFloat(strings.TrimSpace(r.PostFormValue("factor")), 64)
		if err != nil || !(f > 0 && f <= 100) {
			return h, &fault.Fault{Kind: fault.Invalid, Column: "factor", Value: r.PostFormValue("factor"), Expected: "a number above 0, up to 100"}
		}
		h.Factor = f
	}
	return h, nil
}

func handTimeAsked(r *http.Request, ix *index, h *flow.Hand, field string) error {
	if n, err := strconv.ParseInt(r.PostFormValue("instant"), 10, 64); err == nil && n > 0 {
		h.At = plant.Time(n)
		return nil
	}
	s := strings.TrimSpace(r.PostFormValue(field))
	if s == "" {
		return nil
	}
	loc := ix.first
	if op := ix.opAt(h.Job, h.Seq); op != needs.None {
		loc = ix.opZone(op)
	}
	wall, err := plant.ParseWall(s)
	at, ok := wall.Time(loc)
	if err != nil || !ok {
		return &fault.Fault{Kind: fault.Invalid, Column: field, Value: s, Expected: "a date and time such as 2026-11-25T06:00"}
	}
	h.At = at
	return nil
}
