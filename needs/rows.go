package needs

import (
	"tackline/book"
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
