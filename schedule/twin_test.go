package schedule_test

import (
	"slices"
	"strings"

	"tackline/plant"
	"tackline/schedule"
)

// twin checks a plan a second time, slowly: every pair of operations, every instant at which anything changes, open time
// by walking through it. It shares no code with Check.
type twin struct {
	p      *schedule.Problem
	slots  []schedule.Slot
	cuts   []plant.Time // all instants at which a station or a pool changes
	broken map[int]bool
}

// slowly gives the numbers of the broken rules, in order. The plan has a slot for each operation, listed as left or not.
func slowly(p *schedule.Problem, plan *schedule.Plan) []int {
	w := &twin{p: p, broken: map[int]bool{}}
	for i, s := range plan.Slots {
		if p.Ops[i].State != schedule.ToPlan {
			w.must(9, s == p.Ops[i].Fixed)
			s = p.Ops[i].Fixed
		}
		w.slots = append(w.slots, s)
	}
	for _, s := range p.Stations {
		for _, x := range s.Open.Spans() {
			w.cuts = append(w.cuts, x.From, x.To)
		}
	}
	for _, x := range p.Pools {
		for _, h := range x.Heads {
			w.cuts = append(w.cuts, h.At)
		}
	}
	w.cuts = append(w.cuts, p.Horizon)
	slices.Sort(w.cuts)
	w.cuts = slices.Compact(w.cuts)
	left := map[int]bool{}
	for _, l := range plan.Left {
		left[l.Op] = true
		w.must(1, plan.Status != schedule.Complete)
	}
	for i := range p.Ops {
		w.one(i, left[i])
		if w.sound(i) && w.members(i)[0] == i {
			w.phases(i)
			w.batch(i)
			for j := range p.Ops {
				if j != i && w.sound(j) && w.members(j)[0] == j && w.slots[i].Station == w.slots[j].Station {
					w.pair(i, j)
				}
			}
		}
	}
	w.counts()
	for _, l := range p.Links {
		w.link(l)
	}
	var out []int
	for rule := range w.broken {
		out = append(out, rule)
	}
	slices.Sort(out)
	return out
}

func (w *twin) must(rule int, ok bool) {
	if !ok {
		w.broken[rule] = true
	}
}

func (w *twin) free(i int) bool { return w.p.Ops[i].State == schedule.ToPlan }

func (w *twin) times(i int) *schedule.Alternative {
	for k := range w.p.Ops[i].Can {
		if w.p.Ops[i].Can[k].Station == w.slots[i].Station {
			return &w.p.Ops[i].Can[k]
		}
	}
	return nil
}

func (w *twin) sound(i int) bool {
	s := w.slots[i]
	return s.Station >= 0 && s.Station < len(w.p.Stations) && s.Setup <= s.Load && s.Load <= s.Run && s.Run <= s.Unload &&
		s.Unload <= s.End && (!w.free(i) || w.times(i) != nil)
}

// one looks at an operation by itself.
func (w *twin) one(i int, left bool) {
	o, s := &w.p.Ops[i], w.slots[i]
	if !w.free(i) {
		return
	}
	w.must(1, left == (s.Station == schedule.None))
	if s.Station == schedule.None {
		return
	}
	w.must(1, w.sound(i))
	w.must(9, s.Setup >= w.p.Now)
	if s.Load < o.Earliest {
		w.must(map[bool]int{true: 10, false: 8}[strings.HasPrefix(o.Why, "hold")], false)
	}
}

// members gives the batch of an operation, in order.
func (w *twin) members(i int) []int {
	s := w.slots[i]
	if w.p.Stations[s.Station].Takes != schedule.Batch || s.Batch == 0 {
		return []int{i}
	}
	var out []int
	for j := range w.slots {
		if w.sound(j) && w.slots[j].Station == s.Station && w.slots[j].Batch == s.Batch {
			out = append(out, j)
		}
	}
	return out
}

func (w *twin) allFixed(i int) bool { return !slices.ContainsFunc(w.members(i), w.free) }

// crew gives the heads that a phase needs, by pool.
func (w *twin) crew(i int, run bool) map[int]int {
	out := map[int]int{}
	if run && w.p.Ops[i].Closed == schedule.Through {
		return out
	}
	for _, j := range w.members(i) {
		mine := map[int]int{}
		for _, n := range w.p.Ops[j].Needs {
			if run && n.When&schedule.OnRun != 0 || !run && n.When&schedule.OnLoad != 0 {
				mine[n.Pool] += n.Heads
			}
		}
		for pool, n := range mine {
			out[pool] = max(out[pool], n)
		}
	}
	return out
}

func (w *twin) heads(pool int, t plant.Time) int {
	n := 0
	for _, s := range w.p.Pools[pool].Heads {
		if s.At <= t {
			n = s.N
		}
	}
	if t >= w.p.Horizon {
		return 0
	}
	return n
}

func (w *twin) stationOpen(i int, t plant.Time) bool {
	for _, x := range w.p.Stations[w.slots[i].Station].Open.Spans() {
		if x.From <= t && t < x.To {
			return true
		}
	}
	return false
}

func (w *twin) open(i int, run bool, t plant.Time) bool {
	for pool, n := range w.crew(i, run) {
		if w.heads(pool, t) < n {
			return false
		}
	}
	return w.stationOpen(i, t)
}

// walk goes through the time between from and to in pieces within which nothing changes.
func (w *twin) walk(from, to plant.Time, f func(a, b plant.Time)) {
	i, _ := slices.BinarySearch(w.cuts, from+1)
	for a := from; a < to; i++ {
		b := to
		if i < len(w.cuts) {
			b = min(b, w.cuts[i])
		}
		f(a, b)
		a = b
	}
}

// work gives the work that a phase begun at from does until to.
func (w *twin) work(i int, run bool, from, to plant.Time) (sum plant.Seconds) {
	if run && w.p.Ops[w.members(i)[0]].Closed == schedule.Through {
		return max(0, to.Sub(from))
	}
	w.walk(from, to, func(a, b plant.Time) {
		if w.open(i, run, a) {
			sum += b.Sub(a)
		}
	})
	return sum
}

// done gives the first instant at which a phase begun at from has done work, or never.
func (w *twin) done(i int, run bool, from plant.Time, work plant.Seconds) plant.Time {
	if run && w.p.Ops[w.members(i)[0]].Closed == schedule.Through {
		return from.Add(work)
	}
	at := plant.Never
	if work == 0 {
		at = from
	}
	w.walk(from, max(from, w.p.Horizon)+1, func(a, b plant.Time) {
		if work > 0 && w.open(i, run, a) {
			if b.Sub(a) >= work {
				at = a.Add(work)
			}
			work -= b.Sub(a)
		}
	})
	return at
}

// previous gives the first member of the batch that left the station in its family before i, or -1.
func (w *twin) previous(i int) int {
	best := -1
	after := func(a, b int) bool { // a runs after b
		return w.slots[a].Run > w.slots[b].Run || w.slots[a].Run == w.slots[b].Run && a > b
	}
	for j := range w.p.Ops {
		if w.sound(j) && w.slots[j].Station == w.slots[i].Station && w.members(j)[0] == j && j != i && w.p.Ops[j].Family > 0 &&
			after(i, j) && (best < 0 || after(j, best)) {
			best = j
		}
	}
	return best
}

// changeover gives the changeover before the batch that i leads.
func (w *twin) changeover(i int) plant.Seconds {
	st := w.p.Stations[w.slots[i].Station]
	matrix := w.p.Centres[st.Centre].Changeover
	family := w.p.Ops[i].Family
	if st.Takes == schedule.Places || st.Takes == schedule.NoLimit || family == 0 || matrix == nil {
		return 0
	}
	from := st.Family
	if j := w.previous(i); j >= 0 {
		from = w.p.Ops[j].Family
	}
	return matrix[from][family]
}

// lengths gives the work of setup, load, run, unload and of the load beside the run.
func (w *twin) lengths(i int) [5]plant.Seconds {
	s, st := w.slots[i], w.p.Stations[w.slots[i].Station]
	if w.allFixed(i) {
		out := [5]plant.Seconds{w.work(i, false, s.Setup, s.Load), w.work(i, false, s.Load, s.Run), w.work(i, true, s.Run, s.Unload),
			w.work(i, false, s.Unload, s.End)}
		if a := w.times(i); a != nil && st.Takes == schedule.One && st.Pallets >= 2 {
			out[4] = a.Beside
		}
		return out
	}
	var out [5]plant.Seconds
	for _, j := range w.members(i) {
		a := w.times(j)
		if a == nil {
			continue
		}
		if st.Takes == schedule.One || st.Takes == schedule.Batch {
			out[0] = max(out[0], w.p.Ops[j].Setup)
		}
		out[1], out[2], out[3] = out[1]+a.Load, max(out[2], a.Run), out[3]+a.Unload
		if st.Takes == schedule.One && st.Pallets >= 2 {
			out[4] = a.Beside
		}
	}
	out[0] += w.changeover(i)
	return out
}

// begins gives the begin of each phase and the begin of what follows it.
func begins(s schedule.Slot) (from, next [5]plant.Time) {
	return [5]plant.Time{s.Setup, s.Load, s.Run, s.Unload, s.Run}, [5]plant.Time{s.Load, s.Run, s.Unload, s.End, s.End}
}

// until gives the instant at which the work of a phase is done, not later than the next phase if it is fixed.
func (w *twin) until(i, x int) plant.Time {
	from, next := begins(w.slots[i])
	if w.allFixed(i) && x < 4 {
		return next[x]
	}
	end := w.done(i, x == 2, from[x], w.lengths(i)[x])
	if w.allFixed(i) {
		return min(end, next[x])
	}
	return end
}

func (w *twin) phases(i int) {
	from, next := begins(w.slots[i])
	long := w.lengths(i)
	if w.allFixed(i) {
		prev := w.previous(i)
		if c := w.changeover(i); c > 0 && prev >= 0 && !w.allFixed(prev) && w.p.Ops[i].State == schedule.Frozen {
			need := c
			for _, j := range w.members(i) {
				need = max(need, c+w.p.Ops[j].Setup)
			}
			w.must(2, long[0] >= need)
		}
		return
	}
	for x := range 5 {
		run := x == 2
		switch {
		case long[x] == 0:
			w.must(1, from[x] == next[x] || x == 4)
		case next[x].Sub(from[x]) < long[x]:
			w.must(map[bool]int{true: 2, false: 1}[x == 0 && w.changeover(i) > 0], false)
		case x < 4 && !w.stationOpen(i, from[x]):
			w.must(10, false)
		case x < 4 && !w.open(i, run, from[x]):
			w.must(3, false)
		case run && w.p.Ops[i].Closed == schedule.Whole:
			w.must(3, w.work(i, true, from[x], from[x].Add(long[x])) == long[x])
		default:
			w.must(3, w.until(i, x) <= next[x])
		}
	}
}

func (w *twin) batch(i int) {
	st := w.p.Stations[w.slots[i].Station]
	if st.Takes != schedule.Batch || w.allFixed(i) {
		return
	}
	var size plant.Qty
	for _, j := range w.members(i) {
		a, b := w.p.Ops[i], w.p.Ops[j]
		size += b.Size
		w.must(5, w.slots[i] == w.slots[j] && a.Key == b.Key && a.Family == b.Family && a.Closed == b.Closed)
	}
	w.must(5, size <= st.Capacity)
}

// pair holds two operations, or batches, of one station against each other.
func (w *twin) pair(i, j int) {
	st := w.p.Stations[w.slots[i].Station]
	if w.allFixed(i) && w.allFixed(j) {
		return
	}
	apart := func(a, b, c, d plant.Time) bool { return a >= b || c >= d || b <= c || d <= a }
	si, sj := w.slots[i], w.slots[j]
	switch {
	case st.Takes == schedule.Batch:
		w.must(5, apart(si.Setup, si.End, sj.Setup, sj.End))
	case st.Takes == schedule.One && st.Pallets < 2:
		w.must(2, apart(si.Setup, si.End, sj.Setup, sj.End))
	case st.Takes == schedule.One:
		seti, setj := min(w.until(i, 0), si.Load), min(w.until(j, 0), sj.Load)
		runi, runj := min(w.until(i, 2), si.Unload), min(w.until(j, 2), sj.Unload)
		w.must(2, apart(si.Setup, seti, sj.Setup, setj) && apart(si.Run, runi, sj.Run, runj) && apart(si.Setup, seti, sj.Run, runj) &&
			apart(si.Run, runi, sj.Setup, setj))
		if before := si.Run < sj.Run || si.Run == sj.Run && i < j; before && sj.Setup < setj {
			w.must(2, sj.Setup >= runi)
		}
	}
}

// counts looks at pallets, places and crews at every instant at which one of them can go up or down.
func (w *twin) counts() {
	at := slices.Clone(w.cuts)
	ends := map[int][5]plant.Time{}
	for i := range w.p.Ops {
		if w.sound(i) && w.members(i)[0] == i {
			var e [5]plant.Time
			for x := range 5 {
				e[x] = w.until(i, x)
			}
			ends[i] = e
			from, next := begins(w.slots[i])
			at = append(append(append(at, from[:]...), next[:]...), e[:]...)
		}
	}
	slices.Sort(at)
	for _, t := range slices.Compact(at) {
		w.countAt(t, ends)
	}
}

func (w *twin) countAt(t plant.Time, ends map[int][5]plant.Time) {
	onStation, inPool := map[int]int64{}, map[int]int{}
	freeStation, freePool := map[int]bool{}, map[int]bool{} // something that is not fixed has a part
	for i, e := range ends {
		s, st := w.slots[i], w.p.Stations[w.slots[i].Station]
		fixed := w.allFixed(i)
		switch {
		case st.Takes == schedule.One && st.Pallets >= 2 && s.Load <= t && t < s.End:
			onStation[s.Station]++
			freeStation[s.Station] = freeStation[s.Station] || !fixed
		case st.Takes == schedule.Places && s.Run <= t && t < s.End:
			onStation[s.Station] += int64(w.p.Ops[i].Size)
			freeStation[s.Station] = freeStation[s.Station] || !fixed
		}
		from, _ := begins(s)
		for x := range 5 {
			if t < from[x] || t >= e[x] || !w.open(i, x == 2, t) {
				continue
			}
			for pool, n := range w.crew(i, x == 2) {
				inPool[pool] += n
				freePool[pool] = freePool[pool] || !fixed
			}
		}
	}
	for s, n := range onStation {
		if w.p.Stations[s].Takes == schedule.Places {
			w.must(6, n <= int64(w.p.Stations[s].Capacity) || !freeStation[s])
		} else {
			w.must(2, n <= int64(w.p.Stations[s].Pallets) || !freeStation[s])
		}
	}
	for pool, n := range inPool {
		w.must(4, n <= w.heads(pool, t) || !freePool[pool])
	}
}

func (w *twin) link(l schedule.Link) {
	a, b := &w.p.Ops[l.From], &w.p.Ops[l.To]
	if b.State == schedule.Done || b.State == schedule.Running || !w.free(l.To) && !w.free(l.From) || w.slots[l.To].Station == schedule.None {
		return
	}
	rule := 7
	if a.Job != b.Job || l.Meeting {
		rule = 8
	}
	if w.slots[l.From].Station == schedule.None {
		w.must(rule, false)
		return
	}
	if !w.sound(l.From) || !w.sound(l.To) {
		return
	}
	leadA, leadB := w.members(l.From)[0], w.members(l.To)[0]
	runA, runB := int64(w.lengths(leadA)[2]), int64(w.lengths(leadB)[2])
	n := 1
	for l.Transfer > 0 && runB > 0 && n*l.Transfer < l.Pieces {
		n++
	}
	for k := 1; k <= n; k++ {
		t := w.slots[l.From].End
		if k < n {
			t = w.done(leadA, true, w.slots[leadA].Run, plant.Seconds(int64(k*l.Transfer)*runA/int64(l.Pieces)))
		}
		t = t.Add(l.Lag)
		if l.Carrier != schedule.None {
			gone := plant.Never
			for _, d := range w.p.Carriers[l.Carrier].Departures {
				if d >= t && gone == plant.Never {
					gone = d.Add(w.p.Carriers[l.Carrier].Transit)
				}
			}
			t = gone
		}
		if k == 1 {
			w.must(rule, w.slots[l.To].Load >= t)
			continue
		}
		did := plant.Seconds(0)
		if t > w.slots[leadB].Run {
			did = min(plant.Seconds(runB), w.work(leadB, true, w.slots[leadB].Run, min(t, w.slots[leadB].End)))
		}
		w.must(rule, int64(did) <= int64((k-1)*l.Transfer)*runB/int64(l.Pieces))
	}
}
