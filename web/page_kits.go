package web

import (
	"net/http"
	"strconv"

	"tackline/dispatch"
	"tackline/floor"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// kitsView lists the kits by time.
type kitsView struct {
	frame
	Sentence string
	Filter   *filter
	List     table
}

func (s *Server) kitsPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Kits", err)
	}
	f := newFilter(r)
	rows := ix.filterKits(f)
	l := ix.kitList()
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &kitsView{frame: s.frame(r, ix, "Kits", complete, planned, short), Filter: f, List: l.table(r, rows).filteredBy(f), Sentence: ix.kitsSentence()}
	return s.render(w, r, http.StatusOK, "kits", page)
}

func (ix *index) kitsSentence() string {
	n := map[string]int{}
	for i := range ix.view.Kits {
		if !ix.hasBegun(ix.view.Kits[i].Op) {
			n[ix.view.Kits[i].State]++
		}
	}
	return "For work to come " + count(n[dispatch.KitShort], "kit is", "kits are") + " short, " + strconv.Itoa(n[dispatch.KitPlanned]) + " come in time, " +
		strconv.Itoa(n[dispatch.KitComplete]) + " are complete now. Short means that a part comes too late to keep the due date."
}

// hasBegun says whether an operation runs or is done: its kit is used already.
func (ix *index) hasBegun(op int) bool {
	if o, ok := ix.liveOp(op); ok && o.Phase != floor.Waiting {
		return true
	}
	st := ix.view.Problem.Ops[op].State
	return st == schedule.Done || st == schedule.Running
}

func (ix *index) filterKits(f *filter) []*dispatch.Kit {
	v := ix.view
	q := f.search("unit, job, part")
	state := f.choose("state", "State", "all states", words(short, planned, complete))
	site := f.choose("plant", "Plant", "all plants", choicesOf(v.Book.Plants, func(p plant.Plant) (string, string) { return string(p.ID), p.Name }))
	station := f.choose("station", "Station", "all stations", choicesOf(v.Book.Stations, func(s plant.Station) (string, string) { return string(s.ID), s.Name }))
	day := f.choose("day", "Day", "any day", ix.kitDays())
	begun := f.tick("begun", "Also for work that has begun")
	var rows []*dispatch.Kit
	for i := range v.Kits {
		k := &v.Kits[i]
		sl, _ := ix.slot(k.Op)
		switch {
		case !begun && ix.hasBegun(k.Op),
			state != "" && kitHatch(k.State).Word != state,
			site != "" && string(ix.job(k.Op).Plant) != site,
			station != "" && string(ix.station(sl).ID) != station,
			day != "" && dayOf(k.Due, ix.opZone(k.Op)).ISO != day,
			!ix.kitMatches(q, k):
			continue
		}
		rows = append(rows, k)
	}
	return rows
}

func (ix *index) kitMatches(q string, k *dispatch.Kit) bool {
	if within(q, string(ix.job(k.Op).ID), ix.job(k.Op).Name, ix.op(k.Op).Name) {
		return true
	}
	for i := range k.Lines {
		if within(q, string(k.Lines[i].Item), k.Lines[i].Name, k.Lines[i].Source) {
			return true
		}
	}
	return false
}

// kitDays gives the first days on which kits are due, as choices.
func (ix *index) kitDays() []choice {
	var out []choice
	last := ""
	for i := range ix.view.Kits { // by due time
		if ix.hasBegun(ix.view.Kits[i].Op) {
			continue
		}
		d := dayOf(ix.view.Kits[i].Due, ix.opZone(ix.view.Kits[i].Op))
		if d.ISO > last && len(out) < 30 {
			out = append(out, choice{Value: d.ISO, Title: d.Text})
			last = d.ISO
		}
	}
	return out
}

func (ix *index) kitList() *list[*dispatch.Kit] {
	return &list[*dispatch.Kit]{
		name: "kits", one: "kit", many: "kits", order: "due",
		empty: "No kit matches. Widen the filter; kits come from parts lists, and only operations that consume parts have one.",
		columns: []column[*dispatch.Kit]{
			{key: "due", title: "Due", number: true, cell: func(k *dispatch.Kit) cell { return at(k.Due, ix.opZone(k.Op)).to(ix.kitHref(k.Op)) }},
			{key: "state", title: "State", cell: func(k *dispatch.Kit) cell { return lining(kitHatch(k.State)) }},
			{key: "missing", title: "What is missing, and when it comes", wide: true, cell: func(k *dispatch.Kit) cell {
				return cell{Text: ix.missingText(k, 3), Whole: ix.missingText(k, len(k.Lines))}
			}},
			{key: "job", title: "Job", cell: func(k *dispatch.Kit) cell {
				return link(string(ix.job(k.Op).ID), ix.opHref(k.Op)).code().under(strconv.Itoa(ix.op(k.Op).Seq) + " " + ix.op(k.Op).Name)
			}},
			{key: "operation", title: "Operation", fileOnly: true, cell: func(k *dispatch.Kit) cell { return whole(ix.op(k.Op).Seq) }},
			{key: "item", title: "Item", fileOnly: true, cell: func(k *dispatch.Kit) cell { return text(ix.job(k.Op).Name) }},
			{key: "station", title: "Station", cell: func(k *dispatch.Kit) cell { return ix.stationCell(k.Op) }},
			{key: "parts", title: "Parts", number: true, cell: func(k *dispatch.Kit) cell { return whole(len(k.Lines)).to(ix.kitHref(k.Op)) }},
		},
	}
}

// missingText names the first parts of a kit that are not there, with when they come, and how many more there are.
func (ix *index) missingText(k *dispatch.Kit, most int) string {
	s, named, more := "", 0, 0
	for i := range k.Lines {
		ln := &k.Lines[i]
		if ln.State == dispatch.KitComplete {
			continue
		}
		if named == most {
			more++
			continue
		}
		if named++; s != "" {
			s += "; "
		}
		s += ix.amount(ln.Qty, ln.Item, ix.job(k.Op).Plant) + " " + ln.Name
		if when := momentOf(ln.Comes, ix.opZone(k.Op)).Text; when != "" {
			s += ", comes " + when
		} else {
			s += ", no date"
		}
		if ln.State == dispatch.KitShort && ln.Source != "" {
			s += " from " + ln.Source
		}
	}
	if more > 0 {
		s += "; and " + strconv.Itoa(more) + " more"
	}
	return s
}

// kitView is the parts of one operation.
type kitView struct {
	frame
	Head  string
	Facts []fact
	List  table
	Sums  []sum // of the quantities
}

func (s *Server) kitPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Kit", err)
	}
	op := ix.opOfRequest(r)
	if op == needs.None {
		return noOperation(r)
	}
	k := &dispatch.Kit{Op: op, State: dispatch.KitNone}
	if i, ok := ix.kits[op]; ok {
		k = &ix.view.Kits[i]
	}
	l := ix.kitLineList(op)
	if done, err := l.exported(w, r, k.Lines); done {
		return err
	}
	page := &kitView{frame: s.frame(r, ix, "Kit", complete, planned, short), List: l.table(r, k.Lines)}
	page.Head = "Kit for " + ix.op(op).Name + " of " + ix.job(op).Name
	page.Facts = []fact{{"State", lining(kitHatch(k.State))}, {"Due", at(k.Due, ix.opZone(op))}, {"Job", link(string(ix.job(op).ID), ix.opHref(op))},
		{"Station", ix.stationCell(op)}, {"Pieces", text(strconv.Itoa(ix.job(op).Pieces))}}
	page.Sums = ix.partSums(op)
	return s.render(w, r, http.StatusOK, "kit", page)
}

func (ix *index) kitLineList(op int) *list[dispatch.KitLine] {
	return &list[dispatch.KitLine]{
		name: "kit", one: "part", many: "parts", unpaged: true,
		empty: "This operation consumes no parts.",
		columns: []column[dispatch.KitLine]{
			{key: "item", title: "Part", cell: func(ln dispatch.KitLine) cell { return text(ln.Name).under(string(ln.Item)) }},
			{key: "quantity", title: "Quantity", number: true, cell: func(ln dispatch.KitLine) cell {
				v, n, _ := ix.measured(ln.Qty, ln.Item, ix.job(op).Plant)
				return number(v, n)
			}},
			{key: "unit", title: "Unit", cell: func(ln dispatch.KitLine) cell {
				_, _, unit := ix.measured(ln.Qty, ln.Item, ix.job(op).Plant)
				return text(unit)
			}},
			{key: "state", title: "State", cell: func(ln dispatch.KitLine) cell { return lining(kitHatch(ln.State)) }},
			{key: "comes", title: "There", number: true, cell: func(ln dispatch.KitLine) cell { return at(ln.Comes, ix.opZone(op)) }},
			{key: "source", title: "From", wide: true, cell: func(ln dispatch.KitLine) cell { return text(ln.Source) }},
		},
	}
}

// partSums gives the arithmetic of each quantity that an operation consumes. Plain numbers need none.
func (ix *index) partSums(op int) []sum {
	var out []sum
	j := ix.job(op)
	for _, d := range ix.op(op).Demands {
		dm := &ix.view.Needs.Demands[d]
		x := sum{Name: ix.itemName(dm.Item), Says: "for one " + j.Name + "; " + count(j.Pieces, "piece is", "pieces are") + " made, " +
			ix.amount(dm.Qty, dm.Item, dm.Plant) + " in all"}
		trace, err := needs.PartArithmetic(ix.book, ix.view.Needs, d)
		if err != nil {
			x.Fault = err.Error()
		}
		if x.Trace = trace; x.Fault != "" || len(trace.Reads)+len(trace.Calls) > 0 {
			out = append(out, x)
		}
	}
	return out
}
