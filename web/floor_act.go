package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"tackline/fault"
	"tackline/floor"
	"tackline/plant"
)

// floorWords says what happened, by the kind of event.
var floorWords = map[floor.Kind]string{
	floor.Start: "Started", floor.Pause: "Paused", floor.Resume: "Gone on with", floor.Count: "Counted", floor.Finish: "Finished", floor.Join: "Works on it too",
	floor.Leave: "Works on it no more", floor.Hold: "Held", floor.Decide: "Hold decided", floor.Pick: "Picked", floor.Deliver: "Kit delivered", floor.Return: "Returned",
	floor.Read: "Checked", floor.Down: "Station down", floor.Up: "Station works again", floor.Trouble: "Trouble", floor.Cleared: "Trouble cleared",
	floor.SignOn: "Signed on", floor.SignOff: "Signed off", floor.Undo: "Undone",
}

// floorKinds is what a terminal reports.
var floorKinds = []floor.Kind{floor.Start, floor.Pause, floor.Resume, floor.Count, floor.Finish, floor.Join, floor.Leave, floor.Trouble, floor.Cleared,
	floor.Down, floor.Up, floor.SignOn, floor.SignOff, floor.Undo}

// floorAct records what somebody did at a station, and shows the station again. What is refused is said at the place that was touched.
func (s *Server) floorAct(w http.ResponseWriter, r *http.Request) error {
	at, err := s.floorAt(r.Context(), r.PathValue("station"))
	if err != nil || at == nil {
		return s.noPlan(w, r, "Floor", err)
	}
	if r.PostFormValue("do") == "who" {
		return s.chooseHand(w, r, at, plant.PersonID(r.PostFormValue("person")))
	}
	e, err := s.floorEvent(r, at)
	if err == nil {
		err = s.admitAtStation(r, at, e)
	}
	if err == nil {
		err = s.intoLoad(r, at, e)
	}
	if err == nil {
		err = s.record(r, at, e)
	}
	if err != nil {
		return s.refuse(w, r, at, placeOf(r), err)
	}
	if e.Kind == floor.SignOn {
		s.sessions.Put(r.Context(), sessionHand(at.st.ID), string(e.Person))
	}
	http.Redirect(w, r, floorHref(at.st.ID)+"?"+query("told", string(e.Kind)), http.StatusSeeOther)
	return nil
}

// record posts an event and gives why it was refused. Who signs off leaves what he works on first; with an operation the rest of its load
// is finished where the form says so.
func (s *Server) record(r *http.Request, at *floorAt, e *floor.Event) error {
	var events []floor.Event
	if e.Kind == floor.SignOff {
		s.shop.Floor(func(state *floor.State) {
			for _, k := range state.At(at.st.ID) {
				if o := state.Ops[k]; o.Phase == floor.Running && slices.Contains(o.People(), e.Person) {
					leave := *e
					leave.ID, leave.Kind, leave.Station, leave.Job, leave.Seq = at.newID(), floor.Leave, "", k.Job, k.Seq
					events = append(events, leave)
				}
			}
		})
	}
	events = append(events, *e)
	if e.Kind == floor.Finish && r.PostFormValue("whole") != "" {
		s.shop.Floor(func(state *floor.State) { events = append(events, at.wholeLoad(state, e)...) })
	}
	answers, err := s.shop.PostEvents(r.Context(), actor(r), events)
	for i := range answers {
		if err == nil && events[i].Kind == e.Kind {
			err = answers[i].Refused
		}
	}
	return err
}

// placeOf names the place on the page that a form stands at.
func placeOf(r *http.Request) string {
	switch do := floor.Kind(r.PostFormValue("do")); {
	case do == floor.SignOn || do == floor.SignOff || do == "who":
		return "people"
	case r.PostFormValue("job") != "" && do != floor.Trouble && do != floor.Undo:
		return r.PostFormValue("job") + " " + r.PostFormValue("op")
	case do == floor.Undo:
		return "undo"
	}
	return "station"
}

// refuse shows the station with what was refused, at the place that was touched.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, at *floorAt, place string, err error) error {
	kind := fault.KindOf(err)
	st, known := status[kind]
	if !known || kind == fault.Internal {
		return err
	}
	if place == "undo" {
		return s.floorPast(w, r, at, err)
	}
	page := s.floorStation(r, at)
	page.refused, page.place, page.kept = faultText(err), place, r.PostForm
	if kind == fault.Denied && r.PostFormValue("do") == string(floor.SignOn) {
		page.Ask = &floorPerson{ID: r.PostFormValue("person"), Name: at.person(plant.PersonID(r.PostFormValue("person")))}
	}
	if err == errNoPIN {
		page.refused = ""
	}
	if place != "people" && place != "station" && place != "scan" && !page.placed(place) {
		page.place = "station" // the operation has left the page meanwhile
	}
	return s.render(w, r, st.code, "floorstation", page)
}

// placed says whether an operation stands on the page.
func (p *floorStation) placed(key string) bool {
	list := slices.Concat(p.Now, p.Next)
	return p.Picked != nil && p.Picked.Key == key || slices.ContainsFunc(list, func(o *floorOp) bool { return o.Key == key })
}

// faultText says in one line what is wrong.
func faultText(err error) string {
	var lines []string
	for _, f := range fault.All(err) {
		lines = append(lines, f.Error())
	}
	return strings.Join(lines, " ")
}

// floorEvent makes an event of a form.
func (s *Server) floorEvent(r *http.Request, at *floorAt) (*floor.Event, error) {
	f := func(name string) string { return strings.TrimSpace(r.PostFormValue(name)) }
	e := &floor.Event{ID: f("id"), Kind: floor.Kind(f("do")), Plant: at.plant, At: at.clock, Device: s.device(r), Person: plant.PersonID(f("person")),
		Job: plant.JobID(f("job")), Reason: f("reason"), Note: f("note"), Of: f("of")}
	if !slices.Contains(floorKinds, e.Kind) {
		return nil, fault.New(fault.Invalid, "A terminal does not report %q.", string(e.Kind))
	}
	if n, err := strconv.ParseInt(f("at"), 10, 64); err == nil { // by the clock of the device, if that can be believed
		if d := plant.Time(n).Sub(at.clock); d >= -clockTrust && d <= clockTrust {
			e.At = plant.Time(n)
		}
	}
	if e.Job != "" {
		e.Seq, _ = strconv.Atoi(f("op"))
	}
	if k, ok := readFloorKey(f("about")); ok && e.Kind == floor.Trouble {
		e.Job, e.Seq = k.Job, k.Seq
	}
	switch e.Kind {
	case floor.Start, floor.Resume, floor.Trouble, floor.Cleared, floor.Down, floor.Up, floor.SignOn, floor.SignOff:
		e.Station = at.st.ID
	case floor.Undo:
		if e.Job == "" {
			e.Station = at.st.ID
		}
	case floor.Count, floor.Finish:
		if err := s.counts(r, at, e); err != nil {
			return nil, err
		}
	}
	if e.Reason == "other" && e.Note == "" && e.Kind != floor.Undo {
		return nil, fault.New(fault.Invalid, "Other: say in a few words what it is, then tap it again.")
	}
	return e, nil
}

// clockTrust is how far the clock of a device may be from that of the program, in seconds.
const clockTrust plant.Seconds = 60

// counts reads the pieces of a form. Fewer than the job has at its end are asked about before that is recorded; more are refused.
func (s *Server) counts(r *http.Request, at *floorAt, e *floor.Event) error {
	for _, c := range []struct {
		name string
		to   *int
	}{{"good", &e.Good}, {"repair", &e.Repair}, {"scrap", &e.Scrap}} {
		text := strings.TrimSpace(r.PostFormValue(c.name))
		if text == "" {
			continue
		}
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 {
			return fault.New(fault.Invalid, "%q is no number of pieces. Expected a whole number, such as 4.", text)
		}
		*c.to = n
	}
	if e.Scrap > 0 && e.Reason == "" {
		return fault.New(fault.Invalid, "Say why %s scrap, then tap again.", count(e.Scrap, "piece is", "pieces are"))
	}
	if e.Scrap == 0 {
		e.Reason = ""
	}
	k, _ := e.Op()
	op, planned := at.desk.Op(k)
	if !planned {
		return nil // which is refused anyway
	}
	before := 0
	s.shop.Floor(func(state *floor.State) { o := state.Ops[k]; before = o.Pieces() })
	left := max(0, at.ix.job(op).Pieces-before)
	if n := e.Good + e.Repair + e.Scrap; n < left && e.Kind == floor.Finish && r.PostFormValue("less") == "" {
		r.PostForm.Set("lacks", "yes")
		return fault.New(fault.Invalid, "Only %d of %d pieces are counted. Count the others too; or, if they will not be made, tick that and tap Finish again.", n, left)
	}
	return nil
}

// admitAtStation refuses what nobody at the station can have done: who acts must be signed on there, and signs on with the PIN if he has
// one.
func (s *Server) admitAtStation(r *http.Request, at *floorAt, e *floor.Event) error {
	if e.Person == "" {
		return fault.New(fault.Invalid, "Who is it? Tap your name above, or sign on first.")
	}
	if e.Kind == floor.SignOn {
		return s.askPIN(r, e.Person)
	}
	here := false
	s.shop.Floor(func(state *floor.State) {
		here = slices.ContainsFunc(state.Stations[at.st.ID].People, func(a floor.Attendance) bool { return a.Person == e.Person })
	})
	if !here && e.Kind != floor.Leave {
		return fault.New(fault.Conflict, "%s is not signed on at %s. Sign on first.", at.person(e.Person), at.st.Name)
	}
	return nil
}

// askPIN refuses a person who has a PIN and did not give it.
func (s *Server) askPIN(r *http.Request, person plant.PersonID) error {
	has, err := s.shop.HasPIN(r.Context(), person)
	if err != nil || !has {
		return err
	}
	pin := r.PostFormValue("pin")
	if pin == "" {
		return errNoPIN
	}
	return s.shop.CheckPIN(r.Context(), person, pin)
}

// errNoPIN asks for a PIN; it is no refusal.
var errNoPIN = fault.New(fault.Denied, "Type the PIN.")

// device names the terminal that a request comes from.
func (s *Server) device(r *http.Request) string {
	if t, ok := terminalOf(r); ok {
		return t.ID
	}
	return "office"
}

// chooseHand makes somebody who is signed on the one who acts.
func (s *Server) chooseHand(w http.ResponseWriter, r *http.Request, at *floorAt, id plant.PersonID) error {
	err := s.admitAtStation(r, at, &floor.Event{Kind: floor.Join, Person: id})
	if err != nil {
		return s.refuse(w, r, at, "people", err)
	}
	s.sessions.Put(r.Context(), sessionHand(at.st.ID), string(id))
	http.Redirect(w, r, floorHref(at.st.ID), http.StatusSeeOther)
	return nil
}

// pastView lists what was recorded at a station lately, to undo it.
type pastView struct {
	*floorStation
	Events []pastEvent
	Says   string
}

// pastEvent is something recorded.
type pastEvent struct {
	Form        floorForm
	What, About string
	By          string
	At          moment
	Undone      bool
	Undo        bool // it is the last that is not undone
}

// mostPast bounds the events listed.
const mostPast = 8

// floorPastPage shows what was recorded at a station lately.
func (s *Server) floorPastPage(w http.ResponseWriter, r *http.Request) error {
	at, err := s.floorAt(r.Context(), r.PathValue("station"))
	if err != nil || at == nil {
		return s.noPlan(w, r, "Floor", err)
	}
	return s.floorPast(w, r, at, nil)
}

func (s *Server) floorPast(w http.ResponseWriter, r *http.Request, at *floorAt, refused error) error {
	events, err := s.pastEvents(r, at)
	if err != nil {
		return err
	}
	page := &pastView{floorStation: s.floorStation(r, at)}
	code := http.StatusOK
	if refused != nil {
		page.Says, code = faultText(refused), status[fault.KindOf(refused)].code
	}
	undone := map[string]bool{}
	for i := range events {
		if events[i].Kind == floor.Undo {
			undone[events[i].Of] = true
		}
	}
	last := true
	for i := len(events) - 1; i >= 0 && len(page.Events) < mostPast; i-- {
		e := &events[i]
		if e.Kind == floor.Undo {
			continue
		}
		x := at.pastEvent(e)
		x.Undone = undone[e.ID]
		if !x.Undone {
			x.Undo, last = last, false
			x.Form = page.FormOf("undo", e.ID)
			if k, _, aboutOp := e.Subject(); aboutOp {
				x.Form.Job, x.Form.Seq = string(k.Job), k.Seq
			}
		}
		page.Events = append(page.Events, x)
	}
	return s.render(w, r, code, "floorpast", page)
}

func (at *floorAt) pastEvent(e *floor.Event) pastEvent {
	x := pastEvent{What: floorWords[e.Kind], By: at.person(e.Person), At: at.since(e.At)}
	if e.Job != "" {
		x.About = "operation " + strconv.Itoa(e.Seq) + " of job " + string(e.Job)
	}
	if n := e.Good + e.Repair + e.Scrap; n > 0 {
		x.What += ", " + strconv.Itoa(e.Good) + " good, " + strconv.Itoa(e.Repair) + " to repair, " + strconv.Itoa(e.Scrap) + " scrap"
	}
	if e.Reason != "" {
		x.What += ": " + e.Reason
	}
	return x
}

// pastEvents gives what was recorded about the station and the operations that are or were last there, in order.
func (s *Server) pastEvents(r *http.Request, at *floorAt) ([]floor.Event, error) {
	events, err := s.shop.StationEvents(r.Context(), at.st.ID)
	if err != nil {
		return nil, err
	}
	var keys []floor.OpKey
	s.shop.Floor(func(state *floor.State) {
		keys = slices.Clone(state.At(at.st.ID))
		var last floor.OpKey
		for op := range at.ix.view.Needs.Ops {
			k := at.desk.Key(op)
			if o := state.Ops[k]; o.Phase == floor.Done && o.Station == at.st.ID && o.Ended >= state.Ops[last].Ended {
				last = k
			}
		}
		if last.Job != "" {
			keys = append(keys, last)
		}
	})
	for _, k := range keys {
		list, err := s.shop.OpEvents(r.Context(), k)
		if err != nil {
			return nil, err
		}
		events = append(events, list...)
	}
	slices.SortStableFunc(events, func(a, b floor.Event) int {
		if a.At != b.At {
			return int(a.At - b.At)
		}
		return strings.Compare(a.ID, b.ID)
	})
	return events, nil
}
