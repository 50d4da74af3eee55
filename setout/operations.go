package setout

import (
	"fmt"
	"math"
	"strings"

	"tackline/needs"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
)

var closed = map[string]schedule.Closed{product.Pause: schedule.Pause, product.Whole: schedule.Whole, product.Through: schedule.Through}

// ops sets out every operation.
func (b *builder) ops() {
	b.p.Ops = make([]schedule.Op, len(b.r.Ops))
	for i := range b.r.Ops {
		o := &b.r.Ops[i]
		job := &b.r.Jobs[o.Job]
		centre := b.ix.Centres[o.Centre]
		if centre == nil {
			b.fail("operations", o.Row, "centre", "operation %d (%s) of %s: there is no work centre %q", o.Seq, o.Name, job.Item, o.Centre)
			continue
		}
		w := b.waysOf(o, job)
		out := schedule.Op{Job: o.Job, Seq: o.Seq, Name: o.Name, Closed: closed[o.Closed], Setup: o.Setup, Key: o.Key, Size: o.Size,
			Needs: w.needs, Can: w.can, Priority: b.priority(job)}
		if o.Nature == product.Dwell {
			out.Closed = schedule.Through
		}
		switch takes[centre.Takes] {
		case schedule.Places, schedule.NoLimit:
			out.Setup = 0
		default:
			out.Family = b.family(o.Family)
		}
		out.Earliest, out.Why = b.earliest(o, job)
		b.p.Ops[i] = out
	}
}

// priority gives the priority of a job: that of its unit, or of the unit its stock goes into first.
func (b *builder) priority(j *needs.Job) int {
	switch {
	case j.Unit >= 0:
		return b.r.Units[j.Unit].Priority
	case len(j.For) > 0:
		return b.r.Units[j.For[0]].Priority
	}
	return 0
}

// shape is what the stations and crew of an operation follow from. Operations of one shape share them.
type shape struct {
	centre            plant.CentreID
	nature            string
	pieces            int
	load, run, unload plant.Seconds
	size              plant.Qty
	crew, able        string
}

// ways are the stations that can do an operation, with its times there, and the crew it needs.
type ways struct {
	can   []schedule.Alternative
	needs []schedule.Need
}

func (b *builder) waysOf(o *needs.Op, job *needs.Job) *ways {
	s := shape{centre: o.Centre, nature: o.Nature, pieces: job.Pieces, load: o.Load, run: o.Run, unload: o.Unload, size: o.Size,
		crew: listed(o.Crew), able: listed(o.Able)}
	w := b.shapes[s]
	if w == nil {
		w = &ways{needs: b.crew(o, job)}
		var why []string
		w.can, why = b.alternatives(o, job)
		if len(w.can) == 0 {
			b.fail("operations", o.Row, "centre", "operation %d (%s) of %s has no station in work centre %s that can do it: %s",
				o.Seq, o.Name, job.Item, o.Centre, strings.Join(why, "; "))
		}
		b.shapes[s] = w
	}
	return w
}

// listed writes rows as a key; no rows need none.
func listed[T any](rows []T) string {
	if len(rows) == 0 {
		return ""
	}
	return fmt.Sprint(rows)
}

// alternatives gives the stations that can do an operation; why says of each other station what is missing.
func (b *builder) alternatives(o *needs.Op, job *needs.Job) (can []schedule.Alternative, why []string) {
	consider := func(s *plant.Station, speed float64) {
		i, known := b.stations[s.ID]
		switch {
		case !known:
			return // reported where stations are read
		case !(s.Speed*speed > 0):
			why = append(why, fmt.Sprintf("the speed of %s is not above 0", s.ID))
			return
		}
		st := &b.p.Stations[i]
		if (st.Takes == schedule.Batch || st.Takes == schedule.Places) && o.Size > st.Capacity {
			why = append(why, fmt.Sprintf("%s holds %s %s and %d pieces take %s", s.ID, st.Capacity, b.ix.Centres[o.Centre].Capacity, job.Pieces, o.Size))
			return
		}
		can = append(can, alternative(o, job.Pieces, i, st, s.Speed*speed))
	}
	if len(o.Able) == 0 {
		for _, s := range b.ix.StationsOf[o.Centre] {
			consider(s, 1)
		}
		if len(b.ix.StationsOf[o.Centre]) == 0 {
			why = append(why, "it has no stations")
		}
		return can, why
	}
	for _, a := range o.Able {
		if s := b.ix.Stations[a.Station]; s != nil && s.Centre == o.Centre {
			consider(s, a.Speed)
		} else {
			why = append(why, fmt.Sprintf("%s does not belong to it", a.Station))
		}
	}
	return can, why
}

// alternative gives the times of an operation on a station, by the table in the package comment.
func alternative(o *needs.Op, pieces, station int, st *schedule.Station, speed float64) schedule.Alternative {
	q := plant.Seconds(pieces)
	out := schedule.Alternative{Station: station}
	switch o.Nature {
	case product.Attended:
		out.Run = q*(o.Load+o.Unload) + slower(q*o.Run, speed)
	case product.Tended:
		out.Run = slower(q*o.Run, speed)
		out.Load, out.Unload = q*o.Load, q*o.Unload
		if st.Takes == schedule.One && st.Pallets >= 2 {
			out.Load, out.Unload, out.Beside = o.Load, o.Unload, (q-1)*(o.Load+o.Unload)
		}
	case product.Batch:
		out.Load, out.Run, out.Unload = o.Load, slower(o.Run, speed), o.Unload
	default: // dwell, away
		out.Run = slower(o.Run, speed)
	}
	return out
}

// slower divides a run time by a speed and rounds up to a second; a millionth of a second above a whole one is noise of
// the division.
func slower(run plant.Seconds, speed float64) plant.Seconds {
	return plant.Seconds(math.Ceil(float64(run)/speed - 1e-6))
}

// crew gives the people an operation needs and when, by the table in the package comment.
func (b *builder) crew(o *needs.Op, job *needs.Job) []schedule.Need {
	if o.Nature == product.Dwell || o.Nature == product.Away {
		return nil
	}
	var out []schedule.Need
	for _, c := range o.Crew {
		pool, ok := b.pools[c.Pool]
		if !ok {
			b.fail("crews", -1, "pool", "operation %d (%s) of %s needs crew pool %q, which is unknown", o.Seq, o.Name, job.Item, c.Pool)
			continue
		}
		n := schedule.Need{Pool: pool, Heads: c.Heads}
		if c.For != "run" {
			n.When |= schedule.OnLoad
		}
		if c.For != "load" || o.Nature == product.Attended {
			n.When |= schedule.OnRun
		}
		if c.Heads > 0 {
			out = append(out, n)
		}
	}
	return out
}
