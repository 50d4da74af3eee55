package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"tackline/book"
	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
)

// States of terminals.
var (
	inUse     = hatching{"run", "in use"}
	awayNow   = hatching{"plain", "not there"}
	unopened  = hatching{"wait", "link not opened"}
	linkOver  = hatching{"held", "link ran out"}
	shutOut   = hatching{"none", "shut out"}
	thereFor  = plant.Seconds(10 * 60) // since it was last there, to be called in use
	terminals = []hatching{inUse, awayNow, unopened, linkOver, shutOut}
)

// places names plants and stations for people.
type places struct {
	book     *book.Book
	plants   map[plant.ID]*plant.Plant
	stations map[plant.StationID]*plant.Station
	plantOf  map[plant.StationID]plant.ID
}

func (s *Server) places(ctx context.Context) (*places, error) {
	b, _, err := s.book(ctx)
	if err != nil {
		return nil, err
	}
	p := &places{book: b, plants: map[plant.ID]*plant.Plant{}, stations: map[plant.StationID]*plant.Station{}, plantOf: map[plant.StationID]plant.ID{}}
	centres := map[plant.CentreID]plant.ID{}
	for i := range b.Plants {
		p.plants[b.Plants[i].ID] = &b.Plants[i]
	}
	for i := range b.Centres {
		centres[b.Centres[i].ID] = b.Centres[i].Plant
	}
	for i := range b.Stations {
		st := &b.Stations[i]
		p.stations[st.ID], p.plantOf[st.ID] = st, centres[st.Centre]
	}
	return p, nil
}

func (p *places) plant(id plant.ID) string {
	if x := p.plants[id]; x != nil {
		return x.Name
	}
	return string(id)
}

func (p *places) station(id plant.StationID) string {
	if x := p.stations[id]; x != nil {
		return x.Name
	}
	if id == "" {
		return "carried about"
	}
	return string(id)
}

func (p *places) of(d flow.Device) string { return p.station(d.Station) + ", " + p.plant(d.Plant) }

// zone gives the time zone of a plant, UTC where there is none.
func (p *places) zone(id plant.ID) *time.Location {
	if x := p.plants[id]; x != nil {
		if loc, err := time.LoadLocation(x.TimeZone); err == nil {
			return loc
		}
	}
	return time.UTC
}

// choices offers every plant, for a terminal that is carried about, and its stations.
func (p *places) choices(on string) []choiceGroup {
	var out []choiceGroup
	for i := range p.book.Plants {
		x := &p.book.Plants[i]
		g := choiceGroup{Title: x.Name, Choices: []choice{{Value: "plant " + string(x.ID), Title: "carried about in " + x.Name}}}
		for j := range p.book.Stations {
			if st := &p.book.Stations[j]; p.plantOf[st.ID] == x.ID {
				g.Choices = append(g.Choices, choice{Value: "station " + string(st.ID), Title: st.Name})
			}
		}
		for j := range g.Choices {
			g.Choices[j].On = g.Choices[j].Value == on
		}
		out = append(out, g)
	}
	return out
}

// read gives the plant and the station of a choice.
func (p *places) read(value string) (plant.ID, plant.StationID) {
	kind, id, _ := strings.Cut(value, " ")
	if kind == "station" {
		return p.plantOf[plant.StationID(id)], plant.StationID(id)
	}
	return plant.ID(id), ""
}

type choiceGroup struct {
	Title   string
	Choices []choice
}

// terminalsView lists the enrolled terminals, and lets a manager enrol another.
type terminalsView struct {
	frame
	Filter *filter
	List   table
	Where  []choiceGroup
	Name   string
	Faults fault.List
}

func (s *Server) terminalsPage(w http.ResponseWriter, r *http.Request) error {
	return s.showTerminals(w, r, http.StatusOK, &terminalsView{}, "")
}

func (s *Server) showTerminals(w http.ResponseWriter, r *http.Request, code int, page *terminalsView, where string) error {
	p, err := s.places(r.Context())
	if err != nil {
		return err
	}
	all, err := s.shop.Devices(r.Context())
	if err != nil {
		return err
	}
	now := plant.At(s.clock())
	f := newFilter(r)
	rows := p.filterTerminals(f, all, now)
	l := p.terminalList(now)
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page.frame, page.Filter, page.List, page.Where = s.frame(r, nil, "Terminals", terminals...), f, l.table(r, rows).filteredBy(f), p.choices(where)
	return s.render(w, r, code, "terminals", page)
}

func (p *places) filterTerminals(f *filter, all []flow.Device, now plant.Time) []flow.Device {
	q := f.search("name, station")
	site := f.choose("plant", "Plant", "all plants", choicesOf(p.book.Plants, func(x plant.Plant) (string, string) { return string(x.ID), x.Name }))
	state := f.choose("state", "State", "all states", words(terminals...))
	var rows []flow.Device
	for _, d := range all {
		if (site == "" || site == string(d.Plant)) && (state == "" || state == terminalState(d, now).Word) && within(q, d.Name, p.station(d.Station), string(d.Station)) {
			rows = append(rows, d)
		}
	}
	return rows
}

// terminalState says in a word how a terminal is.
func terminalState(d flow.Device, now plant.Time) hatching {
	switch {
	case d.Disabled:
		return shutOut
	case d.Opened == 0 && d.Until <= now:
		return linkOver
	case d.Opened == 0:
		return unopened
	case now.Sub(d.Seen) < thereFor:
		return inUse
	}
	return awayNow
}

func terminalHref(id string) string { return "/terminals/" + pathPart(id) }

func (p *places) terminalList(now plant.Time) *list[flow.Device] {
	return &list[flow.Device]{
		name: "terminals", one: "terminal", many: "terminals", order: "name", empty: "No terminal is enrolled. Enrol one below.",
		columns: []column[flow.Device]{
			{key: "name", title: "Terminal", cell: func(d flow.Device) cell { return link(d.Name, terminalHref(d.ID)) }},
			{key: "station", title: "Station", cell: func(d flow.Device) cell { return text(p.station(d.Station)) }},
			{key: "plant", title: "Plant", cell: func(d flow.Device) cell { return text(p.plant(d.Plant)) }},
			{key: "state", title: "State", cell: func(d flow.Device) cell { return lining(terminalState(d, now)) }},
			{key: "seen", title: "Last there", number: true, cell: func(d flow.Device) cell { return at(d.Seen, p.zone(d.Plant)) }},
			{key: "enrolled", title: "Enrolled", number: true, cell: func(d flow.Device) cell { return at(d.Enrolled, p.zone(d.Plant)) }},
			{key: "id", title: "Number", fileOnly: true, cell: func(d flow.Device) cell { return text(d.ID) }},
		},
	}
}

func (s *Server) enrolAct(w http.ResponseWriter, r *http.Request) error {
	p, err := s.places(r.Context())
	if err != nil {
		return err
	}
	name, where := strings.TrimSpace(r.PostFormValue("name")), r.PostFormValue("where")
	site, station := p.read(where)
	token, d, err := s.shop.Enrol(r.Context(), actor(r), name, site, station)
	if err == nil {
		return s.showLink(w, r, p, d, token)
	}
	if fault.KindOf(err) == fault.Internal {
		return err
	}
	return s.showTerminals(w, r, http.StatusUnprocessableEntity, &terminalsView{Name: name, Faults: fault.All(err)}, where)
}

// terminalView is one terminal; Link is shown once, when it was made.
type terminalView struct {
	frame
	Device flow.Device
	Href   string
	Facts  []fact
	Link   string
	Code   scanCode
	Faults fault.List
}

func (s *Server) terminalPage(w http.ResponseWriter, r *http.Request) error {
	p, err := s.places(r.Context())
	if err != nil {
		return err
	}
	d, err := s.shop.Device(r.Context(), r.PathValue("device"))
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "terminal", s.terminalSheet(r, p, d))
}

func (s *Server) terminalSheet(r *http.Request, p *places, d flow.Device) *terminalView {
	loc := p.zone(d.Plant)
	facts := []fact{{"State", lining(terminalState(d, plant.At(s.clock())))}, {"Station", text(p.station(d.Station))}, {"Plant", text(p.plant(d.Plant))},
		{"Enrolled", at(d.Enrolled, loc)}, {"Link opened", at(d.Opened, loc)}, {"Last there", at(d.Seen, loc)}}
	if facts[4].Text == "" {
		facts[4].cell = text("not yet")
	}
	if facts[5].Text == "" {
		facts[5].cell = text("never")
	}
	return &terminalView{frame: s.frame(r, nil, d.Name), Device: d, Href: terminalHref(d.ID), Facts: facts}
}

// showLink shows the link of a terminal, in letters and as a code for its camera.
func (s *Server) showLink(w http.ResponseWriter, r *http.Request, p *places, d flow.Device, token string) (err error) {
	page := s.terminalSheet(r, p, d)
	scheme := "http"
	if s.options.Secure || r.TLS != nil {
		scheme = "https"
	}
	page.Link = scheme + "://" + r.Host + "/terminal/" + token
	if page.Code, err = square(page.Link, 1); err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "terminal", page)
}

func (s *Server) terminalAct(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("device")
	p, err := s.places(r.Context())
	if err != nil {
		return err
	}
	if r.PostFormValue("do") == "link" {
		token, d, err := s.shop.NewLink(r.Context(), actor(r), id)
		if err != nil {
			return err
		}
		return s.showLink(w, r, p, d, token)
	}
	if r.PostFormValue("do") != "shut out" {
		return fault.New(fault.Invalid, "Choose what to do with the terminal.")
	}
	if err := s.shop.DisableDevice(r.Context(), actor(r), id); err != nil {
		return err
	}
	http.Redirect(w, r, terminalHref(id), http.StatusSeeOther)
	return nil
}
