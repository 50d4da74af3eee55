package web

import (
	"net/http"
	"strconv"

	"tackline/order"
	"tackline/plant"
)

// ordersView lists the units of all open orders.
type ordersView struct {
	frame
	Head     string
	Sentence string
	Filter   *filter
	List     table
}

func (s *Server) ordersPage(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.look(r.Context())
	if err != nil || ix == nil {
		return s.noPlan(w, r, "Orders", err)
	}
	f := newFilter(r)
	rows := ix.filterUnits(f)
	l := ix.orderList()
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &ordersView{frame: s.frame(r, ix, "Orders", running, waits, planned, held, done), Head: "Orders", Filter: f}
	page.Sentence = unitsSentence(ix.rows)
	page.List = l.table(r, rows).filteredBy(f)
	return s.render(w, r, http.StatusOK, "orders", page)
}

// unitsSentence counts what is late and at risk among units.
func unitsSentence(rows []unitRow) string {
	late, risk, none := 0, 0, 0
	for i := range rows {
		switch {
		case !rows[i].planned:
			none++
		case rows[i].isLate():
			late++
		case rows[i].isAtRisk():
			risk++
		}
	}
	s := count(len(rows), "unit", "units") + " in open orders: " + strconv.Itoa(late) + " late, " + strconv.Itoa(risk) +
		" at risk (less than a day of slack), " + strconv.Itoa(len(rows)-late-risk-none) + " in time"
	if none > 0 {
		s += ", " + strconv.Itoa(none) + " without a date"
	}
	return s + "."
}

func (ix *index) filterUnits(f *filter) []*unitRow {
	units := ix.view.Needs.Units
	q := f.search("unit, customer, product, option")
	class := f.choose("class", "Class", "all classes", choicesOf(ix.rows, func(u unitRow) (string, string) {
		return string(units[u.unit].Class), u.class
	}))
	state := f.choose("state", "State", "all states", words(running, waits, planned, held, done, noPlace))
	made := f.choose("product", "Product", "all products", choicesOf(ix.rows, func(u unitRow) (string, string) {
		return string(units[u.unit].Product), u.name
	}))
	slip := f.choose("slack", "Slack", "any", []choice{{Value: "late", Title: "late"}, {Value: "risk", Title: "late or at risk"}})
	var rows []*unitRow
	for i := range ix.rows {
		u, n := &ix.rows[i], &units[ix.rows[i].unit]
		if class != "" && class != string(n.Class) || state != "" && state != u.state.Word || made != "" && made != string(n.Product) {
			continue
		}
		if slip == "late" && !u.isLate() && u.planned || slip == "risk" && u.planned && !u.isLate() && !u.isAtRisk() {
			continue
		}
		if within(q, string(n.ID), n.Customer, u.name, u.choice, string(n.Order)) || withinOptions(q, n.Options) {
			rows = append(rows, u)
		}
	}
	return rows
}

func withinOptions(q string, options map[plant.OptionID]string) bool {
	for name, value := range options {
		if within(q, string(name)+"="+value) {
			return true
		}
	}
	return false
}

// orderList is the columns of Orders.
func (ix *index) orderList() *list[*unitRow] {
	units := ix.view.Needs.Units
	return &list[*unitRow]{
		name: "orders", one: "unit", many: "units", order: "slack",
		empty: "No unit matches. Widen the filter, or add orders in the shop book.",
		columns: []column[*unitRow]{
			{key: "unit", title: "Unit", cell: func(u *unitRow) cell { return ix.unitCell(u) }},
			{key: "customer", title: "Customer", cell: func(u *unitRow) cell {
				return text(units[u.unit].Customer).under(u.class)
			}},
			{key: "state", title: "State", cell: func(u *unitRow) cell {
				return lining(u.state).under(strconv.Itoa(u.done) + " of " + strconv.Itoa(u.ops) + " done")
			}},
			{key: "due", title: "Due", number: true, cell: func(u *unitRow) cell {
				return at(units[u.unit].Due, ix.zone(units[u.unit].Plant))
			}},
			{key: "ships", title: "Ships", number: true, cell: ix.shipCell},
			{key: "slack", title: "Slack", number: true, cell: (*unitRow).slackCell},
			{key: "why", title: "What decides it", wide: true, cell: func(u *unitRow) cell {
				if u.sentence == "" {
					return text("The plan has no ship date for it.")
				}
				return text(u.why())
			}},
			{key: "product", title: "Product", fileOnly: true, cell: func(u *unitRow) cell { return text(u.name) }},
			{key: "class", title: "Class", fileOnly: true, cell: func(u *unitRow) cell { return text(u.class) }},
			{key: "options", title: "Options", fileOnly: true, cell: func(u *unitRow) cell {
				choices := make(map[string]string, len(units[u.unit].Options))
				for name, value := range units[u.unit].Options {
					choices[string(name)] = value
				}
				return text(string(order.ChoicesOf(choices)))
			}},
			{key: "done", title: "Operations done", fileOnly: true, cell: func(u *unitRow) cell { return whole(u.done) }},
			{key: "operations", title: "Operations", fileOnly: true, cell: func(u *unitRow) cell { return whole(u.ops) }},
		},
	}
}
