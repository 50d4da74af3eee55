package web

import (
	"net/http"
	"net/url"
	"strconv"

	"tackline/dispatch"
	"tackline/floor"
	"tackline/flow"
	"tackline/needs"
	"tackline/plant"
)

// mostListed bounds the run list of a terminal; the whole of it is on the Stations sheet.
const mostListed = 12

// floorStation is the page of a station.
type floorStation struct {
	frame
	at   *floorAt
	role string

	Head, Centre, Self, Whole string
	State                     hatching
	Down                      *floorStop
	Closed                    string // by the shop book
	Troubles                  []floorStop
	People                    []floorPerson // signed on
	Person, PersonName        string        // who acts
	Crew, Others              []floorPool   // who could sign on: of the pools that the work here asks for, and of the others
	Ask                       *floorPerson  // whose PIN is asked
	Now                       []*floorOp
	Picked                    *floorOp // scanned or typed
	Next                      []*floorOp
	More                      int
	Told                      string
	Said                      string // what a scan was
	pick                      string // the operation scanned
	refused, place            string // what was refused, and where it was touched
	kept                      url.Values
	free                      bool       // the station can take one more
	Load                      *floorLoad // that runs at a batch station
	Hand                      bool       // the reader may report what happens
}

// floorStop is a trouble, or what a station is down for.
type floorStop struct {
	Event, Reason, Note, By, Job string
	Since                        moment
}

// floorPerson is somebody who works here, or could.
type floorPerson struct {
	ID, Name string
	On       bool // it is he who acts
}

// floorPool is the people of a crew pool.
type floorPool struct {
	Name   string
	People []floorPerson
}

// floorOp is an operation as a terminal shows it.
type floorOp struct {
	op                       int
	Key, Job, Name, Item     string
	Anchor                   string
	Seq, Pieces              int
	State                    hatching
	Running, Paused, Over    bool
	Since, Begins, Ends      moment
	For                      string // how long it is in this state
	Why, Short               string
	Good, Repair, Scrap      int
	Left                     int
	Workers, Join            []floorPerson
	Facts                    []fact
	Cautions                 []string
	Note                     string
	Hold, Set                bool
	Blocks                   []block
	Load                     string // the load that it can go into
	Alone                    string // why it cannot
	Unfit, Elsewhere         string
	CanStart, KitAlone, Full bool
}

// floorForm is what each form of a terminal carries along.
type floorForm struct {
	Action, ID, Do, Person string
	Job                    string
	Seq                    int
	Of, Pick, Load         string
}

// floorStationPage shows a station.
func (s *Server) floorStationPage(w http.ResponseWriter, r *http.Request) error {
	at, err := s.floorAt(r.Context(), r.PathValue("station"))
	if err != nil || at == nil {
		return s.noPlan(w, r, "Floor", err)
	}
	page := s.floorStation(r, at)
	if word, known := floorWords[floor.Kind(r.URL.Query().Get("told"))]; known {
		page.Told = word + "."
	}
	return s.render(w, r, http.StatusOK, "floorstation", page)
}

// floorStation makes the page of a station as it is now.
func (s *Server) floorStation(r *http.Request, at *floorAt) *floorStation {
	p := &floorStation{frame: s.frame(r, at.ix, at.st.Name, running, paused, canStart, waits, held), at: at, role: who(r).Role, Hand: floorHands.has(who(r).Role),
		Head: at.st.Name, Centre: at.ix.centreName(at.st.Centre), Self: floorHref(at.st.ID), Whole: stationHref(at.st.ID)}
	if e := at.ix.downAt(at.st.ID, at.now); e != nil {
		to, _ := e.To.Time(at.loc)
		p.Closed = e.Kind + ", until " + momentOf(to, at.loc).Text + ": " + e.Reason
	}
	chosen := plant.PersonID(s.sessions.GetString(r.Context(), sessionHand(at.st.ID)))
	s.shop.Floor(func(state *floor.State) {
		p.State = at.ix.floorState(at.st.ID, state, at.now)
		p.standing(state, chosen)
		p.work(state)
		if k, ok := readFloorKey(r.FormValue("pick")); ok {
			p.pick = floorKey(k)
			if op, known := at.desk.Op(k); known && !p.shown(k) {
				p.Picked = p.op(op, state, true)
			}
		}
	})
	p.crew()
	return p
}

// sessionHand is the name under which a session keeps who acts at a station.
func sessionHand(id plant.StationID) string { return "hand " + string(id) }

// standing takes over how the station itself is and who is signed on.
func (p *floorStation) standing(state *floor.State, chosen plant.PersonID) {
	here := state.Stations[p.at.st.ID]
	if here.Down != nil {
		d := p.stop(here.Down)
		p.Down = &d
	}
	for i := range here.Troubles {
		p.Troubles = append(p.Troubles, p.stop(&here.Troubles[i]))
	}
	for _, a := range here.People {
		on := a.Person == chosen || len(here.People) == 1
		p.People = append(p.People, floorPerson{string(a.Person), p.at.person(a.Person), on})
		if on {
			p.Person, p.PersonName = string(a.Person), p.at.person(a.Person)
		}
	}
	p.Load = p.at.load(state)
	limit := dispatch.Limit(p.at.ix.book, p.at.st.ID)
	n, loads := 0, map[string]bool{}
	for _, k := range state.At(p.at.st.ID) {
		if o := state.Ops[k]; o.Phase == floor.Running && (o.Batch == "" || !loads[o.Batch]) {
			n++
			loads[o.Batch] = true
		}
	}
	p.free = limit == 0 || n < limit
}

func (p *floorStation) stop(s *floor.Stop) floorStop {
	out := floorStop{Event: s.Event, Reason: s.Reason, Note: s.Note, By: p.at.person(s.Person), Since: p.at.since(s.At)}
	if s.Job != "" {
		out.Job = floorKey(floor.OpKey{Job: s.Job, Seq: s.Seq})
	}
	return out
}

// work takes over what runs at the station and what comes next, in the order of the plan.
func (p *floorStation) work(state *floor.State) {
	here := map[int]bool{}
	for _, k := range state.At(p.at.st.ID) {
		if op, ok := p.at.desk.Op(k); ok {
			here[op] = true
			p.Now = append(p.Now, p.op(op, state, true))
		}
	}
	for _, run := range p.at.ix.runsOf(p.at.st.ID) {
		if here[run.Op] || p.at.desk.Over(run.Op, state) {
			continue
		}
		if len(p.Next) == mostListed {
			p.More++
			continue
		}
		o := p.op(run.Op, state, len(p.Next) == 0)
		o.Begins, o.Ends = p.at.since(run.Setup), p.at.since(run.End)
		p.Next = append(p.Next, o)
	}
}

// shown says whether an operation is on the page already, with its buttons.
func (p *floorStation) shown(k floor.OpKey) bool {
	for i, o := range append(p.Now, p.Next...) {
		if o.Key == floorKey(k) {
			return i <= len(p.Now) // what runs, or the first of the list
		}
	}
	return false
}

// op makes an operation for the page; whole adds what is needed to do it.
func (p *floorStation) op(op int, state *floor.State, whole bool) *floorOp {
	at := p.at
	n, j, st := at.ix.op(op), at.ix.job(op), state.Ops[at.desk.Key(op)]
	o := &floorOp{op: op, Anchor: opAnchor(op), Key: floorKey(at.desk.Key(op)), Job: string(j.ID), Seq: n.Seq, Name: n.Name, Item: j.Name, Pieces: j.Pieces, Note: n.Note, Hold: n.Hold, Set: j.Set && j.Pieces > 1,
		Running: st.Phase == floor.Running, Paused: st.Phase == floor.Paused, Over: at.desk.Over(op, state), Why: st.Why, Short: st.Short,
		Good: st.Good, Repair: st.Repair, Scrap: st.Scrap, Left: max(0, j.Pieces-st.Pieces())}
	if o.Running || o.Paused {
		o.Since, o.For = at.since(st.Since), "just now"
		if d := at.clock.Sub(st.Since); d >= 60 {
			o.For = roughly(d)
		}
	}
	at.workers(o, &st, p.People)
	if whole {
		o.Facts = at.needed(op)
		o.Cautions = needs.Cautions(at.ix.book, at.ix.view.Needs, op)
	}
	p.startable(o, state, &st)
	return o
}

// workers says who works at an operation, and who of those signed on could join.
func (at *floorAt) workers(o *floorOp, st *floor.Op, signedOn []floorPerson) {
	busy := map[string]bool{}
	for _, id := range st.People() {
		busy[string(id)] = true
		o.Workers = append(o.Workers, floorPerson{ID: string(id), Name: at.person(id)})
	}
	for _, x := range signedOn {
		if !busy[x.ID] {
			o.Join = append(o.Join, x)
		}
	}
}

// startable says whether an operation can be started here now, and what keeps it from that.
func (p *floorStation) startable(o *floorOp, state *floor.State, st *floor.Op) {
	at := p.at
	switch {
	case o.Over:
		o.State = over
		return
	case o.Running || o.Paused:
		if o.State = running; o.Paused {
			o.State = paused
		}
		if len(st.Holds) > 0 {
			o.State, o.Why = held, st.Holds[0].Reason
		}
		if st.Station != at.st.ID {
			o.Elsewhere = at.stationNamed(st.Station)
		}
		return
	}
	blocks, kitAlone := at.desk.Blocks(o.op, at.st.ID, at.now, state)
	for _, b := range blocks {
		o.Blocks = append(o.Blocks, block{b.What, b.By(), momentOf(b.Until, at.loc)})
	}
	if p.Person != "" {
		o.Unfit = at.desk.Unfit(o.op, plant.PersonID(p.Person), at.now)
	}
	o.KitAlone, o.Full = kitAlone, !p.free
	if o.Full && p.Load != nil {
		if o.Alone = p.Load.unfit(at, o.op); o.Alone == "" {
			o.Load, o.Full = p.Load.ID, false
		}
	}
	o.CanStart = len(blocks) == 0 && o.Unfit == "" && !o.Full
	switch {
	case len(st.Holds) > 0:
		o.State = held
	case len(blocks) > 0:
		o.State = waits
	default:
		o.State = canStart
	}
}

// needed is what an operation is done with: program, fixture, drawing.
func (at *floorAt) needed(op int) (facts []fact) {
	for _, x := range []fact{{"Program", at.ix.programCell(op)}, {"Fixture", text(at.ix.op(op).Fixture).code()}, {"Drawing", at.ix.drawingCell(op)}} {
		if x.Text != "" {
			facts = append(facts, x)
		}
	}
	return facts
}

// crew lists the people of the crew pools of the plant who are not signed on: first of the pools that the work here asks for.
func (p *floorStation) crew() {
	here := map[string]bool{}
	for _, x := range p.People {
		here[x.ID] = true
	}
	asked := map[plant.PoolID]bool{}
	for _, run := range p.at.ix.runsOf(p.at.st.ID) {
		for _, c := range p.at.ix.op(run.Op).Crew {
			asked[c.Pool] = true
		}
	}
	b := p.at.ix.view.Book
	for i := range b.Pools {
		pool := &b.Pools[i]
		if pool.Plant != p.at.plant {
			continue
		}
		list := floorPool{Name: pool.Name}
		for j := range b.People {
			if x := &b.People[j]; x.Pool == pool.ID && !here[string(x.ID)] {
				list.People = append(list.People, floorPerson{ID: string(x.ID), Name: x.Name})
			}
		}
		switch {
		case len(list.People) == 0:
		case asked[pool.ID]:
			p.Crew = append(p.Crew, list)
		default:
			p.Others = append(p.Others, list)
		}
	}
	if len(p.Crew) == 0 {
		p.Crew, p.Others = p.Others, nil
	}
}

// May says whether the role of the reader may report a kind of event.
func (p *floorStation) May(kind string) bool { return flow.MayReport(p.role, floor.Kind(kind)) }

// Form gives what a form carries along; o is nil where it is about the station.
func (p *floorStation) Form(do string, o *floorOp) floorForm {
	f := floorForm{Action: p.Self + "/act", ID: p.at.newID(), Do: do, Person: p.Person}
	if o != nil {
		f.Job, f.Seq = o.Job, o.Seq
	}
	if do == "start" {
		f.Load = o.Load
	}
	if p.Picked != nil {
		f.Pick = p.pick
	}
	return f
}

// FormOf gives what a form about another event carries along.
func (p *floorStation) FormOf(do, event string) floorForm {
	f := p.Form(do, nil)
	f.Of = event
	return f
}

// floorCard is an operation with the page that it stands on.
type floorCard struct {
	Page  *floorStation
	Op    *floorOp
	Title string
}

// scanned is the title of an operation that was scanned or typed.
const scanned = "Scanned"

// Card puts an operation on the page.
func (p *floorStation) Card(o *floorOp, title string) floorCard {
	if o.Key == p.pick {
		title = scanned
	}
	return floorCard{p, o, title}
}

// Scanned says whether it is the operation that was scanned.
func (c floorCard) Scanned() bool { return c.Title == scanned }

// panels says which panels of an operation stand on the page as it is now.
func (c floorCard) panels(do string) bool {
	o := c.Op
	begun := (o.Running || o.Paused) && o.Elsewhere == ""
	switch do {
	case "pause":
		return begun && o.Running
	case "finish":
		return begun && o.State != held
	case "count":
		return begun && o.Pieces > 1
	case "start":
		return o.KitAlone && !o.Full && o.Unfit == ""
	}
	return false
}

// Inside gives what was refused in a panel.
func (c floorCard) Inside(do string) string {
	if c.Page.Open(c.Op.Key, do) && c.panels(do) {
		return c.Page.refused
	}
	return ""
}

// Outside gives what was refused of the operation where no panel can show it.
func (c floorCard) Outside() string {
	if c.panels(c.Page.kept.Get("do")) {
		return ""
	}
	return c.Page.Refused(c.Op.Key)
}

// floorCounts is the fields of pieces in a panel.
type floorCounts struct {
	floorCard
	Do, Preset string
}

// Counts gives the fields of pieces: at the end, what is left is taken to be good.
func (p *floorStation) Counts(do string, o *floorOp) floorCounts {
	preset := 1
	if do == "finish" {
		preset = o.Left
	}
	return floorCounts{p.Card(o, ""), do, strconv.Itoa(preset)}
}

// Idle says whether nothing is in hand at the station, so that what comes next is what matters most.
func (p *floorStation) Idle() bool { return len(p.Now) == 0 && p.Picked == nil }

// First is what comes next by the plan, and Rest what comes after that.
func (p *floorStation) First() *floorOp {
	if len(p.Next) == 0 {
		return nil
	}
	return p.Next[0]
}

// Rest is the run list after First.
func (p *floorStation) Rest() []*floorOp { return p.Next[min(1, len(p.Next)):] }

// Full says whether the station can take nothing more.
func (p *floorStation) Full() bool { return !p.free }

// Refused gives what was refused at a place of the page.
func (p *floorStation) Refused(place string) string {
	if p.place != place {
		return ""
	}
	return p.refused
}

// Open says whether a panel stands open, because what it asked for was refused.
func (p *floorStation) Open(place, do string) bool { return p.place == place && p.kept.Get("do") == do }

// Keep gives what was typed into a field of a panel that was refused, else the text given.
func (p *floorStation) Keep(place, do, name, otherwise string) string {
	if p.Open(place, do) && p.kept.Has(name) {
		return p.kept.Get(name)
	}
	return otherwise
}

// Lacks says whether the counts of a finish fell short, so that it must be confirmed.
func (p *floorStation) Lacks(place string) bool {
	return p.Open(place, "finish") && p.kept.Has("lacks")
}
