package needs

import (
	"fmt"
	"math"
	"sort"

	"tackline/fault"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// deepest is the depth at which a parts list is taken to run in a circle.
const deepest = 60

// workShare turns hours of work into elapsed hours for the backward estimate: a station that works one shift is open
// about a third of the day (common practice).
const workShare = 3

// spec asks for a quantity of a made item.
type spec struct {
	root     string // what job IDs begin with: the unit's ID, or the ID of the job made to stock
	id       string // the job's ID, if it is not root/item
	unit     int    // None: made to stock
	item     *product.Item
	need     int // good pieces
	pieces   int // started; 0: need and the scrap allowance
	set      bool
	parent   int
	want     plant.Time
	conf     *config
	units    []int // made to stock: units served
	released bool
	depth    int
}

// start gives the pieces to start for need good ones: need / (1 - scrap), rounded up, not need x (1 + scrap) (Hopp and
// Spearman, Factory Physics, ch. 3.1.8). scrap is in per cent.
func start(need int, scrap float64) int {
	if scrap <= 0 {
		return need
	}
	return int(math.Ceil(float64(need)/(1-min(scrap, 99)/100) - 1e-9))
}

// good gives the good pieces to expect of those started.
func good(pieces int, scrap float64) int {
	return int(math.Floor(float64(pieces)*(1-min(max(scrap, 0), 99)/100) + 1e-9))
}

// make makes the jobs that a spec asks for, with everything made for them below, and gives their indexes: one job, or
// several where a batch or a rack does not hold all pieces at once.
func (e *explosion) make(s spec) []int {
	if s.depth > deepest {
		e.fail(&fault.Fault{Table: "parts", Text: fmt.Sprintf("the parts list of %s runs in a circle", s.item.ID)})
		return nil
	}
	id := s.id
	if id == "" {
		id = s.root + "/" + string(s.item.ID)
		e.count[id]++
		if n := e.count[id]; n > 1 {
			id = fmt.Sprintf("%s#%d", id, n)
		}
	}
	if s.pieces > 0 {
		return e.jobs(s, plant.JobID(id))
	}
	var jobs []int
	for i, need := range e.split(s) {
		one := s
		one.need, one.pieces = need, start(need, s.item.Scrap)
		jobs = append(jobs, e.jobs(one, plant.JobID(part(id, i)))...)
	}
	return jobs
}

// part gives the ID of the i-th job of a need that is split: "…", "…+2", "…+3".
func part(id string, i int) string {
	if i == 0 {
		return id
	}
	return fmt.Sprintf("%s+%d", id, i+1)
}

// jobs makes one job, or the parts that it is split into by hand, with operations and demands, and the jobs below.
func (e *explosion) jobs(s spec, id plant.JobID) []int {
	parts := e.apart(s, id)
	lots := make([]lot, len(parts))
	out := make([]int, len(parts))
	for i := range parts {
		lots[i] = e.job(parts[i])
		out[i] = lots[i].job
	}
	for _, p := range rowsIn(lots) {
		e.supply(&s, demandsOf(lots, p.row), p.item)
	}
	return out
}

// lot is a job just made: its demands begin at from and stand for parts.
type lot struct {
	job, from int
	parts     []component
	taken     int // last operation that has taken its parts
	ops       []Op
}

// job makes one job, its operations and demands.
func (e *explosion) job(s piece) lot {
	sh := e.shape(s.item, s.pieces, s.conf)
	r, j := e.r, len(e.r.Jobs)
	r.Jobs = append(r.Jobs, Job{ID: s.job, Unit: s.unit, Item: s.item.ID, Name: s.item.Name, Plant: s.item.Plant, Part: s.part,
		Pieces: s.pieces, Need: s.need, Set: s.set, Released: s.released, Parent: s.parent, Value: s.item.Cost * plant.Money(s.pieces),
		Options: s.conf.text, For: s.units, Want: s.want})
	first := len(r.Ops)
	for i := range sh.ops {
		op := sh.ops[i]
		op.Job = j
		r.Jobs[j].Ops = append(r.Jobs[j].Ops, len(r.Ops))
		r.Ops = append(r.Ops, op)
	}
	wants := e.begins(sh.ops, s.pieces, s.want)
	from := len(r.Demands)
	for _, p := range sh.parts {
		d := len(r.Demands)
		r.Demands = append(r.Demands, Demand{Job: j, Op: first + p.op, Item: p.item.ID, Plant: s.item.Plant,
			Qty: plant.QtyOf(p.qty), Set: p.set, Part: p.row, Want: wants[p.op]})
		r.Ops[first+p.op].Demands = append(r.Ops[first+p.op].Demands, d)
		r.Jobs[j].Demands = append(r.Jobs[j].Demands, d)
	}
	return lot{j, from, sh.parts, e.takenTo(s.job), sh.ops}
}

// takenTo gives the last operation of a job that is done or running; -1: none.
func (e *explosion) takenTo(id plant.JobID) int {
	if at, known := e.floor[id]; known {
		return at
	}
	return -1
}

// begins estimates backward when each operation begins for the last to end at want.
func (e *explosion) begins(ops []Op, pieces int, want plant.Time) []plant.Time {
	out := make([]plant.Time, len(ops))
	for i := len(ops) - 1; i >= 0; i-- {
		want = want.Add(-guess(&ops[i], pieces))
		out[i] = want
	}
	return out
}

// guess is the elapsed time of an operation for the backward estimate; see Explode.
func guess(o *Op, pieces int) plant.Seconds {
	work := o.Setup + plant.Seconds(pieces)*(o.Load+o.Run+o.Unload)
	switch o.Nature {
	case product.Dwell, product.Away:
		return o.Setup + o.Load + o.Run + o.Unload
	case product.Batch:
		work = o.Setup + o.Load + o.Run + o.Unload
	}
	if o.Closed == product.Through {
		return work
	}
	return work * workShare
}

// supply covers demands for an item, those of the parts of one job, as soon as they are made: parts issued, and jobs made for
// the unit. The rest waits for netting.
func (e *explosion) supply(s *spec, demands []asked, it *product.Item) {
	if it.Kind == product.Made && it.Policy != byStock {
		e.below(s, demands, it)
	}
	for _, a := range demands {
		if dem := &e.r.Demands[a.demand]; a.taken {
			dem.Covers = []Cover{{Kind: Issued, Job: None, Qty: dem.Qty, At: e.now, Plant: dem.Plant}}
		}
	}
}

// byStock is the policy of items made in lots for all that need them.
const byStock = "stock"

// below covers demands for an item made for the unit: from finished stock if no option plays a part in it, then by jobs.
// If all parts are taken, the jobs are made only so that their IDs are counted, and are kept only if the floor knows one. The
// parts of one job share the jobs below: those are not split with it.
func (e *explosion) below(s *spec, demands []asked, it *product.Item) {
	r := e.r
	jobs, ops, needed, draws := len(r.Jobs), len(r.Ops), len(r.Demands), len(e.allotted)
	dem := r.Demands[demands[0].demand]
	dem.Qty = 0
	gone := plant.Qty(0) // taken
	for _, a := range demands {
		if q := r.Demands[a.demand].Qty; a.taken {
			gone += q
		} else {
			dem.Qty += q
		}
	}
	taken := dem.Qty == 0
	left := gone
	var covers []Cover
	if !taken {
		covers, left = e.fromFinished(it, demands[0].demand, &dem)
		left += gone
	}
	if left > 0 {
		want := dem.Want.Add(-e.transit(it.Plant, dem.Plant))
		made := e.make(spec{root: s.root, unit: s.unit, item: it, need: left.Ceil(), set: dem.Set, parent: dem.Job,
			want: want, conf: s.conf, units: s.units, depth: s.depth + 1})
		covers = append(covers, e.fromJobs(made, left)...)
		if taken && !e.known(made) {
			r.Jobs, r.Ops, r.Demands = r.Jobs[:jobs], r.Ops[:ops], r.Demands[:needed]
			e.takeBack(draws)
		}
	}
	e.handOut(covers, demands)
}

func (e *explosion) known(jobs []int) bool {
	for _, j := range jobs {
		if _, ok := e.floor[e.r.Jobs[j].ID]; ok {
			return true
		}
	}
	return false
}

// fromJobs shares a quantity out over jobs made for it.
func (e *explosion) fromJobs(jobs []int, q plant.Qty) []Cover {
	var covers []Cover
	for _, j := range jobs {
		take := min(q, plant.Pieces(e.r.Jobs[j].Need))
		if take > 0 {
			covers = append(covers, Cover{Kind: FromJob, Job: j, Qty: take, Plant: e.r.Jobs[j].Plant})
			q -= take
		}
	}
	return covers
}

// transit is the time on the way between two plants, without waiting for a truck.
func (e *explosion) transit(from, to plant.ID) plant.Seconds {
	if t := e.ix.Transits[wayOf(from, to)]; t != nil && from != to {
		return plant.HoursToSeconds(t.Hours)
	}
	return 0
}

// lotLeft is what is left of a lot of an item made for units.
type lotLeft struct {
	lot  *stock.Lot
	left plant.Qty
}

// allotment is one draw on finished stock.
type allotment struct {
	item plant.ItemID
	lot  int
	qty  plant.Qty
}

// fromFinished draws a demand for an item made for units from stock, if no option plays a part in the item or below it:
// first what covered it before, then what is free and not counted on by others. What a job covered before stays with it.
func (e *explosion) fromFinished(it *product.Item, demand int, d *Demand) ([]Cover, plant.Qty) {
	if len(e.ix.LotsOf[it.ID]) == 0 || !e.optionFree(it, 0) {
		return nil, d.Qty
	}
	lots, known := e.finished[it.ID]
	if !known {
		for _, l := range oldestFirst(e.ix.LotsOf[it.ID]) {
			lots = append(lots, lotLeft{l, l.Quantity})
		}
		e.finished[it.ID] = lots
	}
	left, made := d.Qty, plant.Qty(0)
	var covers []Cover
	draw := func(i int, most plant.Qty) {
		l := lots[i].lot
		take := min(most, lots[i].left)
		if take <= 0 || l.Plant != d.Plant && l.Plant != it.Plant {
			return
		}
		lots[i].left -= take
		left -= take
		e.allotted = append(e.allotted, allotment{it.ID, i, take})
		covers = append(covers, Cover{Kind: FromStock, Lot: l.ID, Heat: l.Heat, Job: None, Qty: take, At: e.now, Plant: l.Plant})
	}
	for _, p := range e.pegsOf(demand) {
		switch p.Kind {
		case FromJob:
			made += p.Qty
		case FromStock:
			e.mem.kept[p.From] -= min(p.Qty, e.mem.kept[p.From])
			for i := range lots {
				if string(lots[i].lot.ID) == p.From {
					draw(i, min(left, p.Qty))
				}
			}
		}
	}
	for i := range lots {
		free := lots[i].left
		if e.mem != nil {
			free -= e.mem.kept[string(lots[i].lot.ID)]
		}
		draw(i, min(left-made, free))
	}
	return covers, left
}

// takeBack undoes the draws after the first n.
func (e *explosion) takeBack(n int) {
	for _, a := range e.allotted[n:] {
		e.finished[a.item][a.lot].left += a.qty
	}
	e.allotted = e.allotted[:n]
}

// oldestFirst sorts lots in the order in which they are drawn: by day received, an unknown day first, then by number.
func oldestFirst(lots []*stock.Lot) []*stock.Lot {
	out := append([]*stock.Lot(nil), lots...)
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Received != out[j].Received {
			return out[i].Received < out[j].Received
		}
		return out[i].ID < out[j].ID
	})
	return out
}

// optionFree says that no option plays a part in an item: neither in its route nor in its parts list, nor below.
func (e *explosion) optionFree(it *product.Item, depth int) bool {
	if it.Kind != product.Made || it.Policy == byStock {
		return true
	}
	if known := e.free[it.ID]; known != 0 {
		return known == 1
	}
	free := depth < deepest && len(e.optionsRead(it.ID)) == 0
	for _, p := range e.ix.PartsOf[it.ID] {
		if !free {
			break
		}
		component := e.component(it.ID, p)
		free = component != nil && e.optionFree(component, depth+1)
	}
	e.free[it.ID] = 2
	if free {
		e.free[it.ID] = 1
	}
	return free
}

// component gives the item of a parts-list line that reads no options; nil if there is none.
func (e *explosion) component(parent plant.ItemID, p *product.Part) *product.Item {
	x, err := e.ix.Formulas.Text(p.Component)
	if err != nil {
		return nil
	}
	id, err := x.Text(envOf(e.ix, parent, map[string]any{}, 1))
	if err != nil {
		return nil
	}
	return e.ix.Items[plant.ItemID(id)]
}
