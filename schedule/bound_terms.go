package schedule

import (
	"cmp"
	"slices"

	"tackline/plant"
)

// waiting bounds the cents that branches wait. A branch that is there already waits until the earliest begin of the meeting point.
// A last operation longer than any stretch of open time pauses. Of branches whose last operations share a few stations only some can end just in time: if each occupied its station
// up to the meeting, one after the other backwards, those before the last wait for the work after them. Seen backwards that is the
// weighted completion of jobs on machines, least in the order of work over weight (Smith, "Various optimizers for
// single-stage production", 1956), for several machines bounded as by Eastman, Even and Isaacs ("Bounds for the optimal
// scheduling of n jobs on m processors", Management Science 11, 1964).
func (e *earliest) waiting() float64 {
	p := e.p
	var cents float64
	weight := func(l *Link) float64 { return float64(p.Jobs[p.Ops[l.From].Job].Value) * p.Weights.Wait }
	groups := stationGroups(p)
	var jobs []backward
	for to := range p.Ops {
		if p.Ops[to].State != ToPlan && e.r.turnOf[to] == None {
			continue
		}
		jobs = jobs[:0]
		for _, i := range e.into[to] {
			l := &p.Links[i]
			switch from := &p.Ops[l.From]; {
			case !l.Meeting:
			case from.State != ToPlan:
				if at := p.Arrives(l, from.Fixed.End); e.r.turnOf[l.From] != None && at < plant.Never {
					cents += max(0, min(e.load[to], p.Horizon).Sub(at).Hours()) * weight(l)
				}
			case p.Ops[to].State == ToPlan:
				idle := e.leastIdle(l.From)
				cents += idle.Hours() * weight(l)
				if w, ok := leastStay(p, from); ok && w > 0 && l.Carrier == None && l.Lag == 0 && !twice(p, e.into[to], i) {
					jobs = append(jobs, backward{groups.of[from.Can[0].Station], w.Hours(), weight(l)})
				}
			}
		}
		cents += justInTime(jobs, groups.size)
	}
	return cents
}

// backward is the last operation of a branch: where, how long it keeps its station, in hours, and what an hour of waiting costs.
type backward struct {
	group  int
	hours  float64
	weight float64
}

// twice says whether a link before link i joins the same two operations.
func twice(p *Problem, into []int, i int) bool {
	for _, j := range into {
		if j == i {
			return false
		}
		if p.Links[j].From == p.Links[i].From {
			return true
		}
	}
	return false
}

// leastStay gives the time for which an operation at least keeps its station for itself, if its stations hold one at a time.
func leastStay(p *Problem, o *Op) (plant.Seconds, bool) {
	least := plant.Seconds(plant.Never)
	for _, a := range o.Can {
		if s := &p.Stations[a.Station]; s.Takes != One || s.Pallets >= 2 {
			return 0, false
		}
		least = min(least, o.Setup+a.Load+a.Run+a.Unload)
	}
	return least, len(o.Can) > 0
}

// leastIdle gives the closed time that the run of an operation at least pauses for, as it fits into no stretch of open time. It
// is least for a run that begins with a stretch.
func (e *earliest) leastIdle(i int) plant.Seconds {
	o := &e.p.Ops[i]
	least := plant.Seconds(plant.Never)
	for k := range o.Can {
		run, open := o.Can[k].Run, e.place[e.from[i]+k].runs.open
		if o.Closed != Pause || open.Fit(e.p.Now, run) < plant.Never {
			return 0
		}
		for _, s := range open.Spans() {
			if s.To <= e.p.Now {
				continue
			}
			if end := open.Add(max(s.From, e.p.Now), run); end < plant.Never {
				least = min(least, end.Sub(max(s.From, e.p.Now))-run)
			}
		}
	}
	if least >= plant.Seconds(plant.Never) {
		return 0
	}
	return least
}

// justInTime bounds what the jobs of one meeting wait, group by group.
func justInTime(jobs []backward, size []int) float64 {
	if len(jobs) < 2 {
		return 0
	}
	slices.SortFunc(jobs, func(a, b backward) int {
		return cmp.Or(cmp.Compare(a.group, b.group), cmp.Compare(a.hours*b.weight, b.hours*a.weight))
	})
	var cents float64
	for i := 0; i < len(jobs); {
		var done, one, own float64 // one: weighted completions on one machine; own: weights times hours
		j := i
		for ; j < len(jobs) && jobs[j].group == jobs[i].group; j++ {
			done += jobs[j].hours
			one += jobs[j].weight * done
			own += jobs[j].weight * jobs[j].hours
		}
		m := float64(size[jobs[i].group])
		cents += max(0, one/m+(m-1)/(2*m)*own-own)
		i = j
	}
	return cents
}

// moved counts the work inside the freeze window that cannot stay as the adopted plan has it.
func (e *earliest) moved() int {
	n := 0
	for i, a := range e.p.Adopted {
		if i < len(e.p.Ops) && a.Station != None && a.Setup < e.p.Freeze && e.p.Ops[i].State == ToPlan && !e.mayStay(i, a) {
			n++
		}
	}
	return n
}

// mayStay says whether an operation might be set up where and when the adopted plan has it: on a station that can do it, not before
// now, in open time, and if it needs no setup, not before its earliest load.
func (e *earliest) mayStay(i int, a Slot) bool {
	o := &e.p.Ops[i]
	k := slices.IndexFunc(o.Can, func(x Alternative) bool { return x.Station == a.Station })
	if k < 0 || a.Setup < e.p.Now {
		return false
	}
	takes := e.p.Stations[a.Station].Takes
	at := &e.place[e.from[i]+k]
	switch {
	case (takes == One || takes == Batch) && o.Setup > 0:
		return at.loads.open.IsOpen(a.Setup)
	case takes == Batch || takes == One && o.Family > 0: // a changeover, or not
		return true
	case a.Setup < e.load[i]:
		return false
	case o.Can[k].Load > 0:
		return at.loads.open.IsOpen(a.Setup)
	case o.Closed == Whole:
		return at.runs.open.Fit(a.Setup, o.Can[k].Run) == a.Setup
	case o.Can[k].Run > 0:
		return at.runs.open.IsOpen(a.Setup)
	}
	return true
}

// pinHours bounds the hours by which pinned work begins late.
func (e *earliest) pinHours() float64 {
	var hours float64
	for i := range e.p.Ops {
		if o := &e.p.Ops[i]; o.Pinned != 0 && o.State == ToPlan {
			hours += max(0, min(e.load[i], e.p.Horizon).Sub(o.Pinned).Hours())
		}
	}
	return hours
}

// grouping puts stations between which work can choose into one group.
type grouping struct {
	of   []int // by station
	size []int // stations by group
}

// stationGroups joins the stations of each operation to be planned (Tarjan, "Efficiency of a good but not linear set union
// algorithm", 1975).
func stationGroups(p *Problem) grouping {
	root := make([]int, len(p.Stations))
	for i := range root {
		root[i] = i
	}
	find := func(s int) int {
		for root[s] != s {
			root[s] = root[root[s]]
			s = root[s]
		}
		return s
	}
	for i := range p.Ops {
		if p.Ops[i].State == ToPlan {
			for _, a := range p.Ops[i].Can {
				root[find(a.Station)] = find(p.Ops[i].Can[0].Station)
			}
		}
	}
	g := grouping{of: make([]int, len(root))}
	number := make([]int, len(root))
	for s := range root {
		if find(s) == s {
			number[s] = len(g.size)
			g.size = append(g.size, 0)
		}
	}
	for s := range root {
		g.of[s] = number[find(s)]
		g.size[g.of[s]]++
	}
	return g
}
