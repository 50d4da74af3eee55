package web

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
)

// States of the PIN of a person.
var (
	pinSet    = hatching{"done", "set"}
	pinNone   = hatching{"plain", "none"}
	pinLocked = hatching{"held", "locked"}
	pinLost   = hatching{"wait", "set it anew"}
	pinStates = []hatching{pinSet, pinNone, pinLocked, pinLost}
)

// pinsView lists the people of the shop book with their PINs.
type pinsView struct {
	frame
	Filter *filter
	List   table
}

// pinRow is a person of the shop book at the terminals.
type pinRow struct {
	*plant.Person
	pool  string
	pin   flow.PINState
	state hatching
	quals []plant.Qualification
	loc   *time.Location
	today string // in the form of a plant.Date
}

// pinRows gives the people of the shop book.
func (s *Server) pinRows(r *http.Request) ([]pinRow, error) {
	p, err := s.places(r.Context())
	if err != nil {
		return nil, err
	}
	pins, err := s.shop.PINs(r.Context())
	if err != nil {
		return nil, err
	}
	pools, zones := map[plant.PoolID]string{}, map[plant.PoolID]*time.Location{}
	for _, x := range p.book.Pools {
		pools[x.ID], zones[x.ID] = x.Name, p.zone(x.Plant)
	}
	quals := map[plant.PersonID][]plant.Qualification{}
	for _, q := range p.book.Qualifications {
		quals[q.Person] = append(quals[q.Person], q)
	}
	now := plant.At(s.clock())
	rows := make([]pinRow, len(p.book.People))
	for i := range rows {
		x := &p.book.People[i]
		row := pinRow{Person: x, pool: pools[x.Pool], pin: pins[x.ID], quals: quals[x.ID], loc: zones[x.Pool]}
		if row.loc == nil {
			row.loc = time.UTC
		}
		row.state, row.today = pinState(row.pin, now), now.In(row.loc).Format(time.DateOnly)
		rows[i] = row
	}
	return rows, nil
}

func pinState(p flow.PINState, now plant.Time) hatching {
	switch {
	case p.Set == 0:
		return pinNone
	case p.Lost:
		return pinLost
	case p.LockedUntil > now:
		return pinLocked
	}
	return pinSet
}

// expires gives the qualification that runs out first, and how many there are.
func (x pinRow) expires() cell {
	first := -1
	var all []string
	for i, q := range x.quals {
		until := "for ever"
		if q.Expires != "" {
			until = "until " + string(q.Expires)
			if first < 0 || q.Expires < x.quals[first].Expires {
				first = i
			}
		}
		all = append(all, string(q.Name)+" "+until)
	}
	switch {
	case len(x.quals) == 0:
		return text("none")
	case first < 0:
		return cell{Text: "for ever", Under: count(len(x.quals), "qualification", "qualifications"), Whole: strings.Join(all, "; ")}
	}
	q := x.quals[first]
	over := string(q.Expires) < x.today
	c := cell{Text: string(q.Name) + " until " + string(q.Expires), Whole: strings.Join(all, "; "), Late: over}
	if over {
		c.Text = string(q.Name) + " ran out " + string(q.Expires)
	}
	if n := len(x.quals) - 1; n > 0 {
		c.Under = "and " + strconv.Itoa(n) + " more"
	}
	return c
}

// expired says whether a qualification has run out.
func (x pinRow) expired() bool {
	for _, q := range x.quals {
		if q.Expires != "" && string(q.Expires) < x.today {
			return true
		}
	}
	return false
}

// lockedUntil shows until when a PIN is locked.
func (x pinRow) lockedUntil() cell {
	if x.pin.LockedUntil >= plant.Never {
		return text("a new one is set")
	}
	if x.state != pinLocked {
		return cell{}
	}
	return at(x.pin.LockedUntil, x.loc)
}

func (s *Server) pinsPage(w http.ResponseWriter, r *http.Request) error {
	rows, err := s.pinRows(r)
	if err != nil {
		return err
	}
	f := newFilter(r)
	rows = filterPINs(f, rows)
	l := pinList()
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &pinsView{frame: s.frame(r, nil, "PINs of people", pinStates...), Filter: f, List: l.table(r, rows).filteredBy(f)}
	return s.render(w, r, http.StatusOK, "pins", page)
}

func filterPINs(f *filter, all []pinRow) []pinRow {
	q := f.search("name, number")
	pool := f.choose("pool", "Pool", "all pools", choicesOf(all, func(x pinRow) (string, string) { return string(x.Pool), x.pool }))
	state := f.choose("state", "PIN", "all states", words(pinStates...))
	out := f.tick("expired", "a qualification ran out")
	var rows []pinRow
	for _, x := range all {
		if (pool == "" || pool == string(x.Pool)) && (state == "" || state == x.state.Word) && (!out || x.expired()) && within(q, x.Name, string(x.ID)) {
			rows = append(rows, x)
		}
	}
	return rows
}

func pinHref(id plant.PersonID) string { return "/terminals/people/" + pathPart(string(id)) }

func pinList() *list[pinRow] {
	return &list[pinRow]{
		name: "people", one: "person", many: "people", order: "name", empty: "Nobody matches. People stand in the table people of the shop book.",
		columns: []column[pinRow]{
			{key: "name", title: "Name", cell: func(x pinRow) cell { return link(x.Name, pinHref(x.ID)) }},
			{key: "person", title: "Person", cell: func(x pinRow) cell { return text(string(x.ID)).code() }},
			{key: "pool", title: "Pool", cell: func(x pinRow) cell { return text(x.pool) }},
			{key: "pin", title: "PIN", cell: func(x pinRow) cell { return lining(x.state) }},
			{key: "set", title: "Set", number: true, cell: func(x pinRow) cell { return at(x.pin.Set, x.loc) }},
			{key: "wrong", title: "Wrong tries", number: true, cell: func(x pinRow) cell { return whole(x.pin.Failures) }},
			{key: "locked", title: "Locked until", number: true, cell: pinRow.lockedUntil},
			{key: "expires", title: "Qualification that runs out first", wide: true, cell: pinRow.expires},
		},
	}
}

// pinView is one person: his PIN, which is never shown, and his badge.
type pinView struct {
	frame
	Person *plant.Person
	Href   string
	Facts  []fact
	Quals  []qualRow
	Has    bool
	Wrong  bool
	Code   scanCode
	Says   string
	Faults fault.List
}

type qualRow struct {
	Name, Until string
	Over        bool
}

// pinSaid is what the page says after an act, by the word in its address.
var pinSaid = map[string]string{"set": "The PIN is set. Ask the person to change it at a terminal.", "cleared": "The PIN is cleared.", "unlocked": "The PIN counts again."}

func (s *Server) pinPage(w http.ResponseWriter, r *http.Request) error {
	return s.showPIN(w, r, http.StatusOK, nil)
}

func (s *Server) showPIN(w http.ResponseWriter, r *http.Request, code int, faults fault.List) error {
	rows, err := s.pinRows(r)
	if err != nil {
		return err
	}
	for _, x := range rows {
		if string(x.ID) != r.PathValue("person") {
			continue
		}
		locked := x.lockedUntil()
		if locked.Text == "" {
			locked = text("not locked")
		}
		page := &pinView{frame: s.frame(r, nil, x.Name, pinStates...), Person: x.Person, Href: pinHref(x.ID), Has: x.pin.Set > 0, Wrong: x.pin.Failures > 0,
			Says: pinSaid[r.URL.Query().Get("done")], Faults: faults}
		page.Facts = []fact{{"Person", text(string(x.ID)).code()}, {"Pool", text(x.pool)}, {"PIN", lining(x.state)}, {"Wrong tries", whole(x.pin.Failures)}, {"Locked until", locked}}
		for _, q := range x.quals {
			row := qualRow{Name: string(q.Name), Until: string(q.Expires), Over: q.Expires != "" && string(q.Expires) < x.today}
			if row.Until == "" {
				row.Until = "for ever"
			}
			page.Quals = append(page.Quals, row)
		}
		if page.Code, err = personCode(x.ID); err != nil {
			return err
		}
		return s.render(w, r, code, "pin", page)
	}
	return fault.New(fault.NotFound, "The shop book has no person %q. See the table people.", r.PathValue("person"))
}

func (s *Server) pinAct(w http.ResponseWriter, r *http.Request) error {
	id, done := plant.PersonID(r.PathValue("person")), ""
	var err error
	switch r.PostFormValue("do") {
	case "set":
		done = "set"
		if pin := r.PostFormValue("pin"); pin != r.PostFormValue("again") {
			err = fault.New(fault.Invalid, "The two PINs differ. Type the same one twice.")
		} else {
			err = s.shop.SetPIN(r.Context(), actor(r), id, pin)
		}
	case "clear":
		done, err = "cleared", s.shop.ClearPIN(r.Context(), actor(r), id)
	case "unlock":
		done, err = "unlocked", s.shop.UnlockPIN(r.Context(), actor(r), id)
	default:
		err = fault.New(fault.Invalid, "Choose what to do with the PIN.")
	}
	if err == nil {
		http.Redirect(w, r, pinHref(id)+"?"+query("done", done), http.StatusSeeOther)
		return nil
	}
	if fault.KindOf(err) != fault.Invalid {
		return err
	}
	return s.showPIN(w, r, http.StatusUnprocessableEntity, fault.All(err))
}
