package search

import (
	"tackline/fault"
	"tackline/schedule"
)

// validator collects what is wrong with a problem.
type validator struct {
	p    *schedule.Problem
	list fault.List
}

// validate finds what makes a problem meaningless. It gives every fault, not only the first.
func validate(p *schedule.Problem) error {
	v := &validator{p: p}
	v.run()
	return v.list.Err()
}

func (v *validator) bad(format string, args ...any) {
	v.list = append(v.list, fault.New(fault.Invalid, format, args...))
}

func (v *validator) run() {
	if v.p.Horizon <= v.p.Now {
		v.bad("the plan ends at or before it begins")
	}
	if v.p.Adopted != nil && len(v.p.Adopted) != len(v.p.Ops) {
		v.bad("the adopted plan has %d slots for %d operations", len(v.p.Adopted), len(v.p.Ops))
	}
	for i, s := range v.p.Stations {
		v.station(i, &s)
	}
	for i, pool := range v.p.Pools {
		for k := 1; k < len(pool.Heads); k++ {
			if pool.Heads[k].At <= pool.Heads[k-1].At {
				v.bad("crew pool %d (%s): its heads are not in order of time", i, pool.Name)
				break
			}
		}
	}
	for i := range v.p.Ops {
		v.op(i, &v.p.Ops[i])
	}
	for i, l := range v.p.Links {
		v.link(i, &l)
	}
	for i, u := range v.p.Units {
		if u.Last >= len(v.p.Ops) {
			v.bad("unit %d (%s): its last operation %d does not exist", i, u.ID, u.Last)
		}
	}
}

func (v *validator) station(i int, s *schedule.Station) {
	if s.Centre < 0 || s.Centre >= len(v.p.Centres) {
		v.bad("station %d (%s): work centre %d does not exist", i, s.Name, s.Centre)
		return
	}
	families := max(1, len(v.p.Families))
	if s.Family < 0 || s.Family >= families {
		v.bad("station %d (%s): setup family %d does not exist", i, s.Name, s.Family)
	}
	m := v.p.Centres[s.Centre].Changeover
	if m == nil {
		return
	}
	for _, row := range m {
		if len(row) != families || len(m) != families {
			v.bad("station %d (%s): the changeover matrix of its work centre is not %d by %d", i, s.Name, families, families)
			return
		}
	}
}

func (v *validator) op(i int, o *schedule.Op) {
	if o.Job < 0 || o.Job >= len(v.p.Jobs) {
		v.bad("operation %d (%s): job %d does not exist", i, o.Name, o.Job)
	}
	if len(o.Can) == 0 {
		v.bad("operation %d (%s): no station can do it", i, o.Name)
	}
	if o.Family < 0 || o.Family >= max(1, len(v.p.Families)) {
		v.bad("operation %d (%s): setup family %d does not exist", i, o.Name, o.Family)
	}
	if o.Setup < 0 || o.Size < 0 {
		v.bad("operation %d (%s): a setup or a size below 0", i, o.Name)
	}
	for _, n := range o.Needs {
		if n.Pool < 0 || n.Pool >= len(v.p.Pools) {
			v.bad("operation %d (%s): crew pool %d does not exist", i, o.Name, n.Pool)
		}
	}
	for _, a := range o.Can {
		if a.Station < 0 || a.Station >= len(v.p.Stations) {
			v.bad("operation %d (%s): station %d does not exist", i, o.Name, a.Station)
			return
		}
		if v.p.Stations[a.Station].Takes != v.p.Stations[o.Can[0].Station].Takes {
			v.bad("operation %d (%s): its stations differ in what they hold at once", i, o.Name)
		}
		if least := min(a.Load, a.Run, a.Unload, a.Beside); least < 0 {
			v.bad("operation %d (%s): a time below 0 on %s", i, o.Name, v.p.Stations[a.Station].Name)
		}
	}
	if o.State != schedule.ToPlan && o.Fixed.Station >= len(v.p.Stations) {
		v.bad("operation %d (%s): its fixed station %d does not exist", i, o.Name, o.Fixed.Station)
	}
}

func (v *validator) link(i int, l *schedule.Link) {
	n := len(v.p.Ops)
	if l.From < 0 || l.From >= n || l.To < 0 || l.To >= n {
		v.bad("link %d: from operation %d to %d, of which there are %d", i, l.From, l.To, n)
	}
	if l.Carrier >= len(v.p.Carriers) {
		v.bad("link %d: carrier %d does not exist", i, l.Carrier)
	}
	if l.Transfer > 0 && l.Pieces <= 0 {
		v.bad("link %d: passes on %d at a time of %d pieces", i, l.Transfer, l.Pieces)
	}
}

// cycleFault names operations that wait for each other. left counts the links still open into each operation.
func cycleFault(p *schedule.Problem, left []int32) error {
	at := -1
	for o, n := range left {
		if n > 0 {
			at = o
			break
		}
	}
	back := make([]int, len(p.Ops))
	for _, l := range p.Links {
		if left[l.From] > 0 && left[l.To] > 0 {
			back[l.To] = l.From
		}
	}
	for range p.Ops { // going back as often as there are operations ends inside the circle
		at = back[at]
	}
	f := fault.New(fault.Invalid, "operations wait for each other in a circle, among them operation %d (%s)", at, p.Ops[at].Name)
	if job := p.Ops[at].Job; job < len(p.Jobs) {
		f.Value = string(p.Jobs[job].ID)
	}
	return f
}
