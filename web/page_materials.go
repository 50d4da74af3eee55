package web

import (
	"net/http"

	"tackline/dispatch"
	"tackline/needs"
	"tackline/plant"
)

// materialsView lists what to make, buy, call, hurry or put off, or what is short.
type materialsView struct {
	frame
	Shortages bool
	Sentence  string
	Filter    *filter
	List      table
}

func (s *Server) materialsPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Materials", err)
	}
	f := newFilter(r)
	rows := ix.filterActions(f)
	l := ix.actionList()
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &materialsView{frame: s.frame(r, ix, "Materials"), Filter: f, List: l.table(r, rows).filteredBy(f)}
	page.Sentence = "What a planner must do about material, with the day by which it must be done or there."
	return s.render(w, r, http.StatusOK, "materials", page)
}

// actionKinds is the order in which kinds of actions are offered.
var actionKinds = []string{needs.Expedite, needs.Buy, needs.Transfer, needs.Make, needs.Defer}

func (ix *index) filterActions(f *filter) []*needs.Action {
	q := f.search("item, receipt, unit, reason")
	kinds := make([]choice, len(actionKinds))
	for i, k := range actionKinds {
		kinds[i] = choice{Value: k, Title: k}
	}
	kind := f.choose("kind", "Do", "everything", kinds)
	site := f.choose("plant", "Plant", "all plants", choicesOf(ix.view.Book.Plants, func(p plant.Plant) (string, string) { return string(p.ID), p.Name }))
	var rows []*needs.Action
	for i := range ix.view.Needs.Actions {
		a := &ix.view.Needs.Actions[i]
		if kind != "" && a.Kind != kind || site != "" && string(a.Plant) != site {
			continue
		}
		if within(q, string(a.Item), ix.itemName(a.Item), string(a.Receipt), a.Reason) || withinUnits(q, a.For) {
			rows = append(rows, a)
		}
	}
	return rows
}

func withinUnits(q string, ids []plant.UnitID) bool {
	for _, id := range ids {
		if within(q, string(id)) {
			return true
		}
	}
	return false
}

func (ix *index) actionList() *list[*needs.Action] {
	return &list[*needs.Action]{
		name: "materials", one: "action", many: "actions", order: "by",
		empty: "Nothing to do about material. Widen the filter to be sure.",
		columns: []column[*needs.Action]{
			{key: "item", title: "Item", cell: func(a *needs.Action) cell { return text(ix.itemName(a.Item)).under(string(a.Item)) }},
			{key: "kind", title: "Do", cell: func(a *needs.Action) cell { return text(a.Kind) }},
			{key: "quantity", title: "Quantity", number: true, cell: func(a *needs.Action) cell {
				return number(a.Qty.Float(), ix.amount(a.Qty, a.Item, a.Plant))
			}},
			{key: "by", title: "By", number: true, cell: func(a *needs.Action) cell { return at(a.By, ix.zone(a.Plant)) }},
			{key: "plant", title: "Plant", cell: func(a *needs.Action) cell { return text(ix.plantName(a.Plant)) }},
			{key: "receipt", title: "Receipt", cell: func(a *needs.Action) cell { return text(string(a.Receipt)).code() }},
			{key: "for", title: "For", cell: func(a *needs.Action) cell { return ix.unitsCell(a.For) }},
			{key: "reason", title: "Reason", wide: true, cell: func(a *needs.Action) cell { return text(a.Reason) }},
			{key: "number", title: "Item number", fileOnly: true, cell: func(a *needs.Action) cell { return text(string(a.Item)) }},
			{key: "unit", title: "Unit of measure", fileOnly: true, cell: func(a *needs.Action) cell { return text(ix.itemUnit(a.Item)) }},
		},
	}
}

// unitsCell names units, with a link to the one or to the list of them.
func (ix *index) unitsCell(ids []plant.UnitID) cell {
	if len(ids) == 0 {
		return text("stock")
	}
	return cell{Text: unitsText(ids, 1), Whole: unitsText(ids, len(ids)), Href: unitHref(ids[0])}.code()
}

func (ix *index) itemUnit(id plant.ItemID) string {
	if it := ix.book.Items[id]; it != nil {
		return string(it.Unit)
	}
	return ""
}

func (s *Server) shortagesPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Shortages", err)
	}
	f := newFilter(r)
	q := f.search("item, unit, source")
	site := f.choose("plant", "Plant", "all plants", choicesOf(ix.view.Book.Plants, func(p plant.Plant) (string, string) { return string(p.ID), p.Name }))
	var rows []*dispatch.Short
	for i := range ix.view.Shorts {
		sh := &ix.view.Shorts[i]
		if (site == "" || string(sh.Plant) == site) && (within(q, string(sh.Item), ix.itemName(sh.Item), sh.Source) || withinUnits(q, sh.Units)) {
			rows = append(rows, sh)
		}
	}
	l := ix.shortList()
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &materialsView{frame: s.frame(r, ix, "Shortages"), Shortages: true, Filter: f, List: l.table(r, rows).filteredBy(f)}
	page.Sentence = "Parts that come too late or not at all for the operation that needs them."
	return s.render(w, r, http.StatusOK, "materials", page)
}

func (ix *index) shortList() *list[*dispatch.Short] {
	return &list[*dispatch.Short]{
		name: "shortages", one: "shortage", many: "shortages", order: "wanted",
		empty: "Nothing is short.",
		columns: []column[*dispatch.Short]{
			{key: "item", title: "Item", cell: func(s *dispatch.Short) cell { return text(ix.itemName(s.Item)).under(string(s.Item)) }},
			{key: "quantity", title: "Quantity", number: true, cell: func(s *dispatch.Short) cell {
				return number(s.Qty.Float(), ix.amount(s.Qty, s.Item, s.Plant))
			}},
			{key: "wanted", title: "Wanted", number: true, cell: func(s *dispatch.Short) cell { return at(s.Wanted, ix.opZone(s.Op)) }},
			{key: "comes", title: "Comes", number: true, cell: func(s *dispatch.Short) cell {
				if c := at(s.Comes, ix.opZone(s.Op)); c.Text != "" {
					return c.late(true)
				}
				return cell{Text: "no date", Number: float64(plant.Never), Exact: true, Late: true}
			}},
			{key: "operation", title: "Operation", cell: func(s *dispatch.Short) cell {
				return link(ix.op(s.Op).Name, ix.kitHref(s.Op)).under(ix.job(s.Op).Name)
			}},
			{key: "units", title: "For", cell: func(s *dispatch.Short) cell { return ix.unitsCell(s.Units) }},
			{key: "source", title: "From", wide: true, cell: func(s *dispatch.Short) cell { return text(s.Source) }},
			{key: "number", title: "Item number", fileOnly: true, cell: func(s *dispatch.Short) cell { return text(string(s.Item)) }},
			{key: "job", title: "Job", fileOnly: true, cell: func(s *dispatch.Short) cell { return text(string(ix.job(s.Op).ID)) }},
		},
	}
}
