package dispatch

import (
	"sort"

	"tackline/book"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// Shorts gives the bought and expected parts that come later than the operation that consumes them must begin to keep the
// due dates, the most urgent first.
func Shorts(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) []Short {
	f := newShared(ix, r, p, plan)
	units := f.unitsOfJobs()
	var out []Short
	for op := range r.Ops {
		if f.over(op) || p.Ops[op].State == schedule.Running {
			continue
		}
		for _, d := range r.Ops[op].Demands {
			demand := &r.Demands[d]
			line := f.line(op, demand)
			if line.State != KitShort {
				continue
			}
			out = append(out, Short{Item: demand.Item, Plant: demand.Plant, Qty: f.lateQty(op, demand), Op: op, Wanted: f.by[op], Comes: line.Comes,
				Source: line.Source, Units: units(r.Ops[op].Job)})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Wanted < out[j].Wanted })
	return out
}

// lateQty gives the part of a demand that comes too late.
func (f *shared) lateQty(op int, d *needs.Demand) (q plant.Qty) {
	for i := range d.Covers {
		if at, _ := f.source(op, d, &d.Covers[i]); at > f.by[op] {
			q += d.Covers[i].Qty
		}
	}
	return q
}

// unitsOfJobs gives a function that names the units that a job is for: its own, or those of the jobs that its pieces go
// into.
func (f *shared) unitsOfJobs() func(job int) []plant.UnitID {
	into := make([][]int, len(f.r.Jobs)) // jobs that consume a job
	for i := range f.r.Demands {
		for _, c := range f.r.Demands[i].Covers {
			if c.Kind == needs.FromJob {
				into[c.Job] = append(into[c.Job], f.r.Demands[i].Job)
			}
		}
	}
	return func(job int) []plant.UnitID {
		var out []plant.UnitID
		seen, units := map[int]bool{job: true}, map[int]bool{}
		for todo := []int{job}; len(todo) > 0; todo = todo[1:] {
			if u := f.r.Jobs[todo[0]].Unit; u != needs.None {
				if !units[u] {
					units[u] = true
					out = append(out, f.r.Units[u].ID)
				}
				continue
			}
			for _, j := range into[todo[0]] {
				if !seen[j] {
					seen[j] = true
					todo = append(todo, j)
				}
			}
		}
		return out
	}
}
