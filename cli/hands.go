package cli

import (
	"fmt"

	"tackline/flow"
)

// tellHands prints what is planned by hand and not followed, and pins that begin late.
func (a *app) tellHands(v *flow.View) {
	for _, l := range v.Loose {
		fmt.Fprintf(a.out, "not followed: %s row %d: %s\n", l.Table, l.Row+2, l.Text)
	}
	late := flow.LatePins(v.Problem, v.Plan)
	for i, p := range late {
		if i == mostTold {
			fmt.Fprintf(a.out, "and %d more pins begin late\n", len(late)-i)
			break
		}
		op := &v.Needs.Ops[p.Op]
		fmt.Fprintf(a.out, "pin late: %s, operation %d %s: begins %.1f h later, %s\n", v.Needs.Jobs[op.Job].ID, op.Seq, op.Name, p.Late.Hours(), p.Why)
	}
}
