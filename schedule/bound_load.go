package schedule

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"tackline/calendar"
	"tackline/plant"
)

// beyond bounds the cents of lateness that come on top of the critical paths, because work of several units needs the
// same stations or the same crew. Each group of stations and each pool is looked at by itself, and each unit counts in one
// of them at most, so nothing is counted twice.
func (o *overtake) beyond() float64 {
	if !slices.ContainsFunc(o.unit, func(u int) bool { return u != None }) {
		return 0
	}
	o.steps()
	cells := o.cells()
	if o.prepare(2); !slices.ContainsFunc(o.loads(cells), func(x load) bool { return newTrade(&x, o.levels[:2]).inOrderOfDates() > 0 }) {
		return 0 // everything fits, so that no unit has to be later than alone
	}
	o.prepare(len(o.levels))
	loads := o.loads(cells)
	gains := make([]float64, len(loads))
	order := make([]int, len(loads))
	for i := range loads {
		order[i] = i
		gains[i] = loads[i].gain(o.levels)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(gains[b], gains[a]) })
	used := make([]bool, len(o.e.p.Units))
	var cents float64
	for _, i := range order {
		if gains[i] <= 0 {
			break
		}
		gain := gains[i]
		if loads[i].drop(used) {
			gain = loads[i].gain(o.levels)
		}
		if gain > 0 {
			cents += gain
			for _, u := range loads[i].late {
				used[u] = true
			}
		}
	}
	return cents
}

// prepare works out the latest ends for the first n levels.
func (o *overtake) prepare(n int) {
	for i := len(o.latest); i < n; i++ {
		o.latest = append(o.latest, o.back(o.levels[i], i == 0))
	}
}

// cells cuts the time from now to the horizon: into hours at first, or quarters of an hour if there are few operations, then into
// longer ones, up to a day. It gives the begins of the cells and, last, the horizon.
func (o *overtake) cells() []plant.Time {
	var cells []plant.Time
	first := 4 * quarter
	if len(o.e.p.Ops) <= fewOps {
		first = quarter
	}
	long := float64(first)
	for t := o.e.p.Now; t < o.e.p.Horizon; t = t.Add(plant.Seconds(long) / first * first) {
		if cells = append(cells, t); len(cells) > 192 {
			long = min(24*3600, long*1.03)
		}
	}
	return append(cells, o.e.p.Horizon)
}

// load is what one group of stations or one pool has to do.
type load struct {
	pieces []piece
	room   []float64 // seconds by cell; the last cell, beyond the horizon, has room for all
	late   []int     // units that cost something at the last gain
}

// piece is work done on one station without other work between, or a part of it if it is long.
type piece struct {
	unit   int
	op     int
	work   float64 // seconds of the resource
	rate   float64 // seconds of the resource used in a second, at most
	head   plant.Time
	rest   float64 // seconds that its operation takes at least after it
	weight float64 // cents for an hour by which the unit is later
	first  int32   // first cell in which it can be worked on
	starts []int32 // by level above 0: first cell in which working on it makes the unit later by more than the level
}

// loads collects what all groups of stations and all pools have to do.
func (o *overtake) loads(cells []plant.Time) []load {
	p := o.e.p
	g := stationGroups(p)
	loads := make([]load, len(g.size)+len(p.Pools))
	for i := range loads {
		loads[i].room = make([]float64, len(cells))
	}
	always := make([]bool, len(p.Stations))
	for s := range p.Stations {
		always[s] = p.Stations[s].Open.Work(p.Now, p.Horizon) == p.Horizon.Sub(p.Now)
		free := o.free(s)
		for k, room := 0, loads[g.of[s]].room; k+1 < len(cells); k++ {
			room[k] += float64(free.Work(cells[k], cells[k+1]))
		}
	}
	for i := range p.Ops {
		if p.Ops[i].State != ToPlan || o.unit[i] == None || o.latest[0][i] >= plant.Never || len(p.Ops[i].Can) == 0 {
			continue
		}
		o.onStations(&loads[g.of[p.Ops[i].Can[0].Station]], i, always)
		for _, n := range collect(nil, p.Ops[i].Needs, OnLoad|OnRun) {
			o.onPool(&loads[len(g.size)+n.Pool], i, n.Pool)
		}
	}
	for k := range p.Pools {
		heads(&p.Pools[k], p.Horizon, cells, loads[len(g.size)+k].room)
	}
	for i := range loads {
		loads[i].finish(o, cells)
	}
	return loads
}

// free is the open time of a station that holds one at a time, without what fixed work occupies.
func (o *overtake) free(s int) calendar.Open {
	st := &o.e.p.Stations[s]
	if st.Takes != One || st.Pallets >= 2 {
		return st.Open
	}
	var taken []calendar.Span
	for _, k := range o.e.r.at[s] {
		if t := &o.e.r.turns[k]; t.fixed && t.slot.End > o.e.p.Now {
			taken = append(taken, calendar.Span{From: t.slot.Setup, To: t.slot.End})
		}
	}
	if len(taken) == 0 {
		return st.Open
	}
	return calendar.Without(st.Open, calendar.Make(taken))
}

// heads adds the time of the people of a pool to the cells.
func heads(pool *Pool, horizon plant.Time, cells []plant.Time, room []float64) {
	for i, step := range pool.Heads {
		to := horizon
		if i+1 < len(pool.Heads) {
			to = min(to, pool.Heads[i+1].At)
		}
		if step.N <= 0 || to <= cells[0] {
			continue
		}
		k := max(0, sort.Search(len(cells), func(k int) bool { return cells[k] > step.At })-1)
		for ; k+1 < len(cells) && cells[k] < to; k++ {
			room[k] += float64(step.N) * float64(max(0, min(to, cells[k+1]).Sub(max(step.At, cells[k]))))
		}
	}
}

// shareOf gives the part of a station that one member of a batch counts for, 1 where nothing is shared.
func (o *overtake) shareOf(op *Op, a *Alternative) float64 {
	st := &o.e.p.Stations[a.Station]
	if st.Takes != Batch || st.Capacity <= 0 {
		return 1
	}
	return min(1, float64(op.Size)/float64(st.Capacity))
}

// onStations adds what an operation needs of its stations at least. A run through closed time may use hardly any open time.
func (o *overtake) onStations(x *load, i int, always []bool) {
	op := &o.e.p.Ops[i]
	work, setup := math.Inf(1), math.Inf(1)
	for k := range op.Can {
		a := &op.Can[k]
		st := &o.e.p.Stations[a.Station]
		if st.Takes != One && st.Takes != Batch {
			return
		}
		share := o.shareOf(op, a)
		w := 0.0
		if op.Closed != Through || always[a.Station] {
			w = float64(a.Run) * share
		}
		if st.Takes == Batch || st.Pallets < 2 {
			w += float64(a.Load + a.Unload)
		}
		work, setup = min(work, w), min(setup, float64(op.Setup)*share)
	}
	x.add(o, i, work, setup, 1)
}

// onPool adds what an operation needs of a pool at least.
func (o *overtake) onPool(x *load, i, pool int) {
	op := &o.e.p.Ops[i]
	var loads, runs float64
	for _, n := range op.Needs {
		if n.Pool == pool && n.When&OnLoad != 0 {
			loads += float64(n.Heads)
		}
		if n.Pool == pool && n.When&OnRun != 0 && op.Closed != Through {
			runs += float64(n.Heads)
		}
	}
	work, setup, rate := math.Inf(1), math.Inf(1), loads+runs
	for k := range op.Can {
		a := &op.Can[k]
		st := &o.e.p.Stations[a.Station]
		share := o.shareOf(op, a)
		w := loads*float64(a.Load+a.Unload) + runs*float64(a.Run)*share
		if st.Takes == One && st.Pallets >= 2 && a.Beside > 0 {
			w += loads * float64(a.Beside)
			rate = 2*loads + runs
		}
		s := 0.0
		if st.Takes == One || st.Takes == Batch {
			s = loads * float64(op.Setup) * share
		}
		work, setup = min(work, w), min(setup, s)
	}
	x.add(o, i, work, setup, rate)
}

// add adds an operation. Its setup may be done before what it waits for is there.
func (x *load) add(o *overtake, i int, work, setup, rate float64) {
	if setup > 0 {
		x.pieces = append(x.pieces, piece{unit: o.unit[i], op: i, work: setup, rate: rate, head: o.e.p.Now, rest: work / rate})
	}
	if work > 0 {
		x.pieces = append(x.pieces, piece{unit: o.unit[i], op: i, work: work, rate: rate, head: o.e.load[i]})
	}
}

// mostParts is the number of parts at most in which a long piece is looked at.
const mostParts = 32

// finish splits long pieces, shares the weight of each unit among its pieces by work, and finds the cells.
func (x *load) finish(o *overtake, cells []plant.Time) {
	work := map[int]float64{}
	for i := range x.pieces {
		work[x.pieces[i].unit] += x.pieces[i].work
	}
	var pieces []piece
	for _, q := range x.pieces {
		q.weight = float64(o.e.p.Units[q.unit].LateDay) / 24 * q.work / work[q.unit]
		k := cell(cells, q.head)
		wide := 3600.0
		if k+1 < len(cells) {
			wide = float64(cells[k+1].Sub(cells[k]))
		}
		long := q.work / q.rate
		n := min(mostParts, max(1, int(math.Ceil(long/wide-1e-9))))
		for part := range n {
			y := q
			y.work, y.weight = q.work/float64(n), q.weight/float64(n)
			y.head = q.head.Add(plant.Seconds(float64(part) * long / float64(n)))
			y.rest = q.rest + float64(n-1-part)*long/float64(n)
			pieces = append(pieces, y)
		}
	}
	x.pieces = pieces
	slab := make([]int32, len(pieces)*len(o.latest))
	for i := range pieces {
		q := &pieces[i]
		q.first = int32(cell(cells, q.head))
		q.starts, slab = slab[:0:len(o.latest)], slab[len(o.latest):]
		for j := 1; j < len(o.latest) && o.due[q.unit].Add(o.levels[j]) <= o.e.p.Horizon; j++ {
			end := o.latest[j][q.op]
			if end > -plant.Never {
				end = end.Add(-plant.Seconds(q.rest))
			}
			q.starts = append(q.starts, int32(sort.Search(len(cells)-1, func(k int) bool { return cells[k] >= end })))
		}
	}
}

// cell gives the cell that holds t, 0 if it is before all, the last, beyond the horizon, if after.
func cell(cells []plant.Time, t plant.Time) int {
	return max(0, sort.Search(len(cells), func(k int) bool { return cells[k] > t })-1)
}

// drop takes the pieces of units away that count elsewhere, and says whether there were any.
func (x *load) drop(used []bool) bool {
	n := len(x.pieces)
	x.pieces = slices.DeleteFunc(x.pieces, func(q piece) bool { return used[q.unit] })
	return len(x.pieces) < n
}
