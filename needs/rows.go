package needs

import (
	"tackline/book"
	"tackline/plant"
	"tackline/product"
)

// rows finds the place of a row in its table.
type rows struct {
	ops   map[*product.Op]int
	parts map[*product.Part]int
	rules map[*product.Rule]int
}

func rowsOf(b *book.Book) rows {
	return rows{places(b.Ops), places(b.Parts), places(b.Rules)}
}

func places[T any](table []T) map[*T]int {
	m := make(map[*T]int, len(table))
	for i := range table {
		m[&table[i]] = i
	}
	return m
}

func (r rows) op(o *product.Op) int     { return r.ops[o] }
func (r rows) part(p *product.Part) int { return r.parts[p] }
func (r rows) rule(u *product.Rule) int { return r.rules[u] + 2 } // sheet row

// thousandths of each unit's base: kilogram, metre, and so on.
var unitScale = map[plant.MeasureUnit]struct {
	base  string
	scale float64
}{
	"ea": {"ea", 1}, "kg": {"mass", 1}, "g": {"mass", 0.001}, "m": {"length", 1}, "mm": {"length", 0.001},
	"m2": {"area", 1}, "l": {"volume", 1}, "h": {"time", 1},
}

// unitFactor gives what a quantity in from is multiplied by to be in to; an empty from is to. Factors are those of the SI
// prefixes (ISO 80000-1).
func unitFactor(from, to plant.MeasureUnit) (float64, bool) {
	if from == "" || from == to {
		return 1, true
	}
	a, okA := unitScale[from]
	b, okB := unitScale[to]
	return a.scale / b.scale, okA && okB && a.base == b.base
}
