package setout

import (
	"tackline/book"
	"tackline/calendar"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/stock"
)

// oldest is how far back calendars reach at most for work on the floor.
const oldest = 400 * day

// fact is a row of the work table with its times read. Times not given are 0.
type fact struct {
	row               *stock.Work
	setup, start, end plant.Time
}

// readFloor reads the work rows of the jobs known, and sets how far back calendars must reach. Rows of unknown jobs are
// left out: their work is over, or somebody else reports them.
func (b *builder) readFloor() {
	b.floor = map[book.JobOp]fact{}
	for j := range b.r.Jobs {
		job := &b.r.Jobs[j]
		for _, i := range job.Ops {
			key := book.JobOp{Job: job.ID, Seq: b.r.Ops[i].Seq}
			if row := b.ix.Work[key]; row != nil {
				b.floor[key] = b.read(row, job)
			}
		}
	}
	for _, f := range b.floor {
		if f.row.State != stock.Held && f.setup > 0 && f.setup < b.from {
			b.from = max(f.setup.Add(-day), b.now.Add(-oldest))
		}
	}
}

func (b *builder) read(row *stock.Work, job *needs.Job) fact {
	loc := b.ix.Zone(job.Plant)
	if row.Station != "" {
		loc = b.ix.StationZone(row.Station)
	}
	f := fact{row: row}
	var begun, known bool
	f.start, begun = row.Start.Time(loc)
	f.end, known = row.End.Time(loc)
	if setup, ok := row.Setup.Time(loc); ok && setup < f.start {
		f.setup = setup
	} else {
		f.setup = f.start
	}
	if row.State == stock.Held {
		if !known || f.end <= b.now {
			f.end = b.now.Add(plant.HoursToSeconds(b.ix.Book.SettingNumber("hold_hours")))
		}
		return f
	}
	if !begun {
		b.fail("work", -1, "start", "operation %d of job %s is %s, but its start is not given", row.Seq, row.Job, row.State)
	}
	return f
}

func (b *builder) factOf(o *needs.Op) (fact, bool) {
	f, ok := b.floor[book.JobOp{Job: b.r.Jobs[o.Job].ID, Seq: o.Seq}]
	return f, ok
}

// together is what members of one batch on the floor have in common: their rows say the same.
type together struct {
	state, station    int
	setup, start, end plant.Time
}

// settle gives every operation the state and the slot that the floor says. Operations on a station that takes batches are
// one batch if their rows name the same times and state.
func (b *builder) settle() {
	batches := map[together][]int{}
	var order []together
	for i := range b.p.Ops {
		f, ok := b.factOf(&b.r.Ops[i])
		if !ok || f.row.State == stock.Held {
			continue
		}
		station, known := b.stations[f.row.Station]
		if !known {
			b.fail("work", -1, "station", "operation %d of job %s is %s on station %q, which is unknown", f.row.Seq, f.row.Job, f.row.State, f.row.Station)
			continue
		}
		if b.p.Stations[station].Takes != schedule.Batch {
			b.fix([]int{i}, f, station, 0)
			continue
		}
		key := together{int(states[f.row.State]), station, f.setup, f.start, f.end}
		if batches[key] == nil {
			order = append(order, key)
		}
		batches[key] = append(batches[key], i)
	}
	for n, key := range order {
		f, _ := b.factOf(&b.r.Ops[batches[key][0]])
		b.fix(batches[key], f, key.station, n+1)
	}
	b.unreported()
}

// unreported takes operations that nobody reported, but that come before one of their job that is done or running, as done:
// for a moment, right before that one.
func (b *builder) unreported() {
	for j := range b.r.Jobs {
		ops := b.r.Jobs[j].Ops
		var at plant.Time
		for i := len(ops) - 1; i >= 0; i-- {
			op := &b.p.Ops[ops[i]]
			_, reported := b.factOf(&b.r.Ops[ops[i]])
			switch {
			case op.State == schedule.Done || op.State == schedule.Running:
				at = min(op.Fixed.Setup, b.now)
			case at > 0 && !reported && len(op.Can) > 0:
				op.State, op.Earliest, op.Why = schedule.Done, b.now, ""
				op.Family = 0 // where it was done is not known: no station is set up for it
				op.Fixed = schedule.Slot{Station: op.Can[0].Station, Setup: at, Load: at, Run: at, Unload: at, End: at}
			}
		}
	}
}

var states = map[string]schedule.State{stock.Done: schedule.Done, stock.Running: schedule.Running, stock.Frozen: schedule.Frozen}

// fix gives operations that happen together the slot that the row of the first says. batch is 0 for one that is no batch.
func (b *builder) fix(ops []int, f fact, station, batch int) {
	open := &b.p.Stations[station].Open
	first := &b.p.Ops[ops[0]]
	times := b.timesAt(ops[0], station)
	for _, i := range ops[1:] { // a batch loads and unloads one member after the other and runs as long as the longest
		a := b.timesAt(i, station)
		times.Load, times.Run, times.Unload = times.Load+a.Load, max(times.Run, a.Run), times.Unload+a.Unload
	}
	if f.end == 0 {
		f.end = lasts(first, times, open, f.start)
	}
	state := states[f.row.State]
	switch {
	case state == schedule.Done:
		f.start, f.end = min(f.start, b.now), min(f.end, b.now)
	case state == schedule.Running:
		f.start, f.end = min(f.start, b.now), max(f.end, b.now)
	case f.setup < b.now:
		f = shifted(f, open, b.now)
	}
	slot := phases(f, times, open, station)
	slot.Batch = batch
	for _, i := range ops {
		op := &b.p.Ops[i]
		op.Earliest, op.Why, op.State, op.Fixed = b.now, "", state, slot
	}
}

// timesAt gives the times of an operation on a station, also on one that the book does not name for it.
func (b *builder) timesAt(i, station int) schedule.Alternative {
	for _, a := range b.p.Ops[i].Can {
		if a.Station == station {
			return a
		}
	}
	o := &b.r.Ops[i]
	return alternative(o, b.r.Jobs[o.Job].Pieces, station, &b.p.Stations[station], 1)
}

// lasts gives the end of an operation begun at start, as its own times say.
func lasts(op *schedule.Op, a schedule.Alternative, open *calendar.Open, start plant.Time) plant.Time {
	run := open.Add(start, a.Load)
	unload := open.Add(run, a.Run)
	if op.Closed == schedule.Through {
		unload = run.Add(a.Run)
	}
	if end := open.Add(unload, a.Unload); end < plant.Never {
		return end
	}
	return start.Add(a.Load + a.Run + a.Unload) // its station does not open again: elapsed time
}

// shifted moves work that has not begun, but should have, to the next open time from now on. It keeps its work.
func shifted(f fact, open *calendar.Open, now plant.Time) fact {
	setup, work := open.Work(f.setup, f.start), open.Work(f.start, f.end)
	to := open.Next(now)
	start := open.Next(open.Add(to, setup))
	end := open.Add(start, work)
	if work == 0 || end == plant.Never { // not work of open time, such as a stay in a rack: elapsed time
		d := now.Sub(f.setup)
		return fact{row: f.row, setup: now, start: f.start.Add(d), end: f.end.Add(d)}
	}
	return fact{row: f.row, setup: to, start: start, end: end}
}

// phases lays load, run and unload between start and end: load from the start, unload up to the end, the run between. If
// they do not fit in the open time there, all of it is run.
func phases(f fact, a schedule.Alternative, open *calendar.Open, station int) schedule.Slot {
	f.end = max(f.end, f.start)
	s := schedule.Slot{Station: station, Setup: min(f.setup, f.start), Load: f.start, Run: f.start, Unload: f.end, End: f.end}
	run, unload := open.Next(open.Add(f.start, a.Load)), open.Sub(f.end, a.Unload)
	if a.Load == 0 {
		run = f.start
	}
	if run <= unload && a.Load+a.Unload > 0 {
		s.Run, s.Unload = run, unload
	}
	return s
}
