package web

import (
	"net/http"
	"strings"

	"tackline/plant"
)

// term is one term of the objective in two plans, in its own unit and as money.
type term struct {
	name, unit string
	own        [2]float64 // new, old
	money      [2]plant.Money
	sum        bool // of the other terms, or their bound
	free       bool // counts for nothing by itself
}

func (t *term) change() plant.Money { return t.money[0] - t.money[1] }

// terms gives the terms of the objective, then their sum and its bound.
func (p *pair) terms() []*term {
	a, b := &p.new.view.Score, &p.old.view.Score
	out := []*term{{name: "Late units", unit: "units", own: [2]float64{float64(a.LateUnits), float64(b.LateUnits)}, free: true}}
	before := scoreTerms(b)
	for i, t := range scoreTerms(a) {
		out = append(out, &term{name: t.name, unit: t.unit, own: [2]float64{t.own, before[i].own}, money: [2]plant.Money{t.money, before[i].money}})
	}
	return append(out, &term{name: "Cost in all", money: [2]plant.Money{a.Total, b.Total}, sum: true},
		&term{name: "No plan below", money: [2]plant.Money{a.Bound, b.Bound}, sum: true})
}

// biggestTerm names the term that the difference in cost mostly comes from.
func (p *pair) biggestTerm() string {
	d := p.new.view.Score.Total - p.old.view.Score.Total
	var most *term
	for _, t := range p.terms() {
		if t.sum || (t.change() > 0) != (d > 0) || t.change() == 0 {
			continue
		}
		if most == nil || max(t.change(), -t.change()) > max(most.change(), -most.change()) {
			most = t
		}
	}
	if most == nil {
		return ""
	}
	return strings.ToLower(most.name[:1]) + most.name[1:]
}

func (p *pair) costPart(w http.ResponseWriter, r *http.Request, f *filter) (table, bool, error) {
	q := f.search("lateness, setups")
	differs := f.tick("differs", "only what differs")
	var rows []*term
	for _, t := range p.terms() {
		if differs && t.own[0] == t.own[1] && t.change() == 0 || !within(q, t.name) {
			continue
		}
		rows = append(rows, t)
	}
	return p.costList().part(w, r, rows, f)
}

func (p *pair) costList() *list[*term] {
	own := func(i int) func(*term) cell {
		return func(t *term) cell {
			if t.sum {
				return cell{}
			}
			return number(t.own[i], plainNumber(round1(t.own[i]))+" "+t.unit)
		}
	}
	money := func(i int) func(*term) cell {
		return func(t *term) cell {
			if t.free {
				return cell{}
			}
			return number(t.money[i].Float(), t.money[i].String())
		}
	}
	a, b := "plan "+planParam(p.new.view), "plan "+planParam(p.old.view)
	return &list[*term]{
		name: "cost-compared", one: "term", many: "terms", empty: "No term matches. Widen the filter.",
		columns: []column[*term]{
			{key: "term", title: "Term", cell: func(t *term) cell { return text(t.name) }},
			{key: "own", title: capital(a), number: true, cell: own(0)},
			{key: "was", title: capital(b), number: true, cell: own(1)},
			{key: "change", title: "Difference", number: true, cell: func(t *term) cell {
				if t.sum {
					return cell{}
				}
				d := t.own[0] - t.own[1]
				return number(d, strings.TrimSpace(signedNumber(d)+" "+t.unit))
			}},
			{key: "money", title: p.currency + ", " + a, number: true, cell: money(0)},
			{key: "wasmoney", title: p.currency + ", " + b, number: true, cell: money(1)},
			{key: "moneychange", title: "Difference, " + p.currency, number: true, cell: func(t *term) cell {
				if t.free {
					return cell{}
				}
				return number(t.change().Float(), signed(t.change())).late(t.change() > 0 && t.name != "No plan below")
			}},
			{key: "unit", title: "Unit", fileOnly: true, cell: func(t *term) cell { return text(t.unit) }},
		},
	}
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
