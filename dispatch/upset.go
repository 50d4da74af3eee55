package dispatch

import (
	"cmp"
	"slices"

	"tackline/floor"
	"tackline/plant"
	"tackline/schedule"
	"tackline/stock"
)

// Upset is something that has happened on the floor and that the plan does not know, so that planning again is worth it.
type Upset struct {
	What    string          // in words
	Op      int             // operation concerned; -1: none
	Station plant.StationID // station concerned
	Since   plant.Time
}

// overAfter is how much longer than planned an operation runs before that upsets the plan; common practice: a quarter of an hour.
const overAfter plant.Seconds = 15 * 60

// Upsets gives what has happened since the plan was made with the facts it knew: stations out of order, or up again; operations held, or
// held no more; operations that run over. The first to happen comes first.
func (d *Desk) Upsets(now plant.Time, s *floor.State, known floor.Facts) []Upset {
	out := d.stationUpsets(s, known)
	heldThen := map[floor.OpKey]bool{}
	for _, w := range known.Work {
		if w.State == stock.Held {
			heldThen[floor.OpKey{Job: w.Job, Seq: w.Seq}] = true
		}
	}
	for k, o := range s.Ops {
		op, planned := d.opOf[k]
		if !planned {
			continue
		}
		name := d.f.r.Ops[op].Name + " of job " + string(k.Job)
		switch {
		case len(o.Holds) > 0 && !heldThen[k] && o.Phase != floor.Done:
			out = append(out, Upset{name + " is held: " + o.Holds[0].Reason, op, o.Station, o.Holds[0].At})
		case len(o.Holds) == 0 && heldThen[k]:
			out = append(out, Upset{name + " is held no more", op, o.Station, o.Since})
		case o.Phase == floor.Running:
			if x, ok := d.f.slot(op); ok && now > x.End.Add(overAfter) {
				out = append(out, Upset{name + " runs over: it was to end " + d.f.when(x.End, d.f.zone(op)), op, o.Station, x.End})
			}
		}
	}
	slices.SortFunc(out, func(a, b Upset) int {
		return cmp.Or(cmp.Compare(a.Since, b.Since), cmp.Compare(a.Op, b.Op), cmp.Compare(a.Station, b.Station))
	})
	return out
}

// stationUpsets gives stations that went out of order after the plan was made, or came back, if the plan has work for them.
func (d *Desk) stationUpsets(s *floor.State, known floor.Facts) (out []Upset) {
	then := map[plant.StationID]bool{}
	for _, e := range known.Down {
		then[e.Station] = true
	}
	used := map[plant.StationID]bool{}
	for op := range d.f.p.Ops {
		if x, ok := d.f.slot(op); ok && d.f.p.Ops[op].State != schedule.Done {
			used[d.f.p.Stations[x.Station].ID] = true
		}
	}
	for id, st := range s.Stations {
		if st.Down != nil && !then[id] && used[id] {
			out = append(out, Upset{d.stationName(id) + " is out of order: " + st.Down.Reason, -1, id, st.Down.At})
		}
	}
	for id := range then {
		if s.Stations[id].Down == nil {
			out = append(out, Upset{d.stationName(id) + " works again", -1, id, d.f.p.Now})
		}
	}
	return out
}
