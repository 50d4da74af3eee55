package demo

import (
	"regexp"
	"sort"

	"tackline/plant"
	"tackline/product"
)

var ofItem = regexp.MustCompile(`\{int\(item\.(\w+)\)\}`)

// documents lists every program and drawing that a route names, approved, each with a revision.
func (d *maker) documents() {
	programs, drawings := map[string]bool{}, map[string]bool{}
	for _, o := range d.b.Ops {
		programs[d.resolved(o.Item, o.Program)] = true
		drawings[d.resolved(o.Item, o.Drawing)] = true
	}
	for _, id := range sorted(programs) {
		d.b.Programs = append(d.b.Programs, product.Program{ID: plant.ProgramID(id), Revision: string('A' + rune(d.rnd.IntN(4))), Approved: true})
	}
	for _, id := range sorted(drawings) {
		d.b.Drawings = append(d.b.Drawings, product.Drawing{ID: plant.DrawingID(id), Revision: string('A' + rune(d.rnd.IntN(5))), Approved: true})
	}
}

// resolved puts the item's attributes into a pattern; the demo's programs and drawings depend on nothing else.
func (d *maker) resolved(item plant.ItemID, p plant.Pattern) string {
	return ofItem.ReplaceAllStringFunc(string(p), func(m string) string {
		name := ofItem.FindStringSubmatch(m)[1]
		for _, a := range d.b.Attributes {
			if a.Item == item && a.Name == name {
				return a.Value
			}
		}
		return m
	})
}

func sorted(set map[string]bool) []string {
	var out []string
	for s := range set {
		if s != "" {
			out = append(out, s)
		}
	}
	sort.Strings(out)
	return out
}
