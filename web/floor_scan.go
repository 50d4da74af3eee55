package web

import (
	"net/http"
	"strings"

	"tackline/dispatch"
	"tackline/fault"
	"tackline/floor"
	"tackline/needs"
	"tackline/plant"
)

// floorScan takes what the scan box got: a code, or a job that was typed. It leads to what the code names, or says what that is.
func (s *Server) floorScan(w http.ResponseWriter, r *http.Request) error {
	at, err := s.floorAt(r.Context(), r.PathValue("station"))
	if err != nil || at == nil {
		return s.noPlan(w, r, "Floor", err)
	}
	scan := strings.TrimSpace(r.PostFormValue("code"))
	to, says := "", ""
	if kind, text, bad := floor.ReadCode(scan); bad != nil {
		to, err = s.typed(at, scan, bad)
	} else {
		switch kind {
		case floor.CodeOp:
			k, _ := readFloorKey(text)
			to, err = at.scannedOp(k)
		case floor.CodePerson:
			return s.scannedBadge(w, r, at, plant.PersonID(text))
		case floor.CodeStation:
			to, err = at.scannedStation(plant.StationID(text))
		case floor.CodeKit:
			says, err = s.scannedKit(at, text)
		case floor.CodeLot:
			says, err = at.scannedLot(plant.LotID(text))
		}
	}
	switch {
	case err != nil:
		return s.refuse(w, r, at, "scan", err)
	case says != "":
		page := s.floorStation(r, at)
		page.Said = says
		return s.render(w, r, http.StatusOK, "floorstation", page)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// typed leads to the operation meant by a job that was typed, with or without the number of an operation after a blank.
func (s *Server) typed(at *floorAt, scan string, bad error) (to string, err error) {
	if scan == "" {
		return "", fault.New(fault.Invalid, "Nothing was scanned. Expected a traveller, a badge or a station; or type a job number.")
	}
	if key, whole := readFloorKey(scan); whole {
		if _, known := at.desk.Op(key); known {
			return at.scannedOp(key)
		}
	}
	if op := s.opOfJob(at, scan); op >= 0 {
		return at.scannedOp(at.desk.Key(op))
	}
	if strings.ContainsRune(scan, '~') {
		return "", bad
	}
	return "", fault.New(fault.NotFound, "Scanned: %q. This is no code of ours, and no job of the plan. Expected a traveller, a badge or a station; or a job number.", cut(scan))
}

// opOfJob finds the operation that somebody means who types a job, or a part of its number: the first of this station that is not over;
// of a job that has none here, its first.
func (s *Server) opOfJob(at *floorAt, typed string) int {
	found := needs.None
	s.shop.Floor(func(state *floor.State) {
		for _, run := range at.ix.runsOf(at.st.ID) {
			if !at.desk.Over(run.Op, state) && within(strings.ToLower(typed), string(at.ix.job(run.Op).ID)) {
				found = run.Op
				return
			}
		}
	})
	if found != needs.None {
		return found
	}
	for i := range at.ix.view.Needs.Jobs {
		if j := &at.ix.view.Needs.Jobs[i]; strings.EqualFold(string(j.ID), typed) && len(j.Ops) > 0 {
			return j.Ops[0]
		}
	}
	return needs.None
}

// cut keeps a long scan readable.
func cut(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

// scannedOp leads to an operation, if it is done here.
func (at *floorAt) scannedOp(k floor.OpKey) (to string, err error) {
	op, known := at.desk.Op(k)
	if !known {
		return "", fault.New(fault.NotFound, "Scanned: operation %d of job %s. The plan in force does not have it. Ask the planner.", k.Seq, k.Job)
	}
	if id, name := at.plannedAt(op); id != at.st.ID && !at.able(op) {
		return "", fault.New(fault.Conflict, "Scanned: %s. Expected: work for %s. This is planned on %s.", at.opText(op), at.st.Name, name)
	}
	return floorHref(at.st.ID) + "?" + query("pick", floorKey(k)) + "#picked", nil
}

// scannedStation leads to a station.
func (at *floorAt) scannedStation(id plant.StationID) (to string, err error) {
	if at.ix.book.Stations[id] == nil {
		return "", fault.New(fault.NotFound, "Scanned: station %s. The shop book does not have it.", id)
	}
	return floorHref(id), nil
}

// scannedBadge makes a person who is signed on the one who acts, and signs on one who is not.
func (s *Server) scannedBadge(w http.ResponseWriter, r *http.Request, at *floorAt, id plant.PersonID) error {
	if at.ix.book.People[id] == nil {
		return s.refuse(w, r, at, "scan", fault.New(fault.NotFound, "Scanned: the badge of %s. The shop book has no such person.", id))
	}
	if s.admitAtStation(r, at, &floor.Event{Kind: floor.Join, Person: id}) == nil {
		return s.chooseHand(w, r, at, id)
	}
	r.PostForm.Set("do", string(floor.SignOn))
	r.PostForm.Set("person", string(id))
	return s.floorAct(w, r)
}

// scannedKit says what a kit is for and how it is.
func (s *Server) scannedKit(at *floorAt, text string) (says string, err error) {
	k, _ := readFloorKey(text)
	op, known := at.desk.Op(k)
	if !known {
		return "", fault.New(fault.NotFound, "Scanned: a kit for %s. The plan in force has no such operation.", text)
	}
	how := "not picked yet"
	s.shop.Floor(func(state *floor.State) {
		switch state.Ops[k].Kit {
		case floor.Picking:
			how = "being picked"
		case floor.Delivered:
			how = "delivered"
		}
	})
	if i, has := at.ix.kits[op]; has && at.ix.view.Kits[i].State == dispatch.KitShort {
		how += ", short of a part"
	}
	_, name := at.plannedAt(op)
	return "Scanned: the kit for " + at.opText(op) + " on " + name + ". It is " + how + ". To start work, scan its traveller.", nil
}

// scannedLot says what a lot is.
func (at *floorAt) scannedLot(id plant.LotID) (says string, err error) {
	for i := range at.ix.view.Book.Lots {
		l := &at.ix.view.Book.Lots[i]
		if l.ID != id {
			continue
		}
		text := "Scanned: lot " + string(id) + ", " + at.ix.itemName(l.Item) + ", " + l.Quantity.String()
		if l.Heat != "" {
			text += ", heat " + l.Heat
		}
		if l.Place != "" {
			text += ", " + l.Place
		}
		return text + ". To start work, scan a traveller.", nil
	}
	return "", fault.New(fault.NotFound, "Scanned: lot %s. The shop book does not have it.", id)
}
