package floor

import (
	"cmp"
	"slices"
	"time"

	"tackline/plant"
	"tackline/stock"
)

// Facts are what the floor has done, does and cannot do, as rows of the shop book: what a plan starts from. A plan keeps those that
// it was made with.
type Facts struct {
	Work []stock.Work      `json:",omitempty"`
	Down []plant.Exception `json:",omitempty"`
}

// Facts gives the state as rows. zone reads the wall clock of a station; a station that is out of order, with nobody saying until when,
// is taken to be so for a further time unknown from now on.
func (s *State) Facts(zone func(plant.StationID) *time.Location, now plant.Time, unknown plant.Seconds) (f Facts) {
	for k, o := range s.Ops {
		if w := workOf(k, &o, zone); w.State != "" {
			f.Work = append(f.Work, w)
		}
	}
	slices.SortFunc(f.Work, func(a, b stock.Work) int { return cmp.Or(cmp.Compare(a.Job, b.Job), cmp.Compare(a.Seq, b.Seq)) })
	for id, st := range s.Stations {
		if st.Down != nil {
			loc := zone(id)
			f.Down = append(f.Down, plant.Exception{Station: id, From: plant.WallAt(st.Down.At, loc), To: plant.WallAt(max(now, st.Down.At).Add(unknown), loc), Kind: "down", Reason: st.Down.Reason})
		}
	}
	slices.SortFunc(f.Down, func(a, b plant.Exception) int { return cmp.Compare(a.Station, b.Station) })
	return f
}

// workOf gives the row of an operation; its State is empty if nothing has happened that a plan must know. What is paused stays on its
// station; what is held and not over is held, and has its work before it again.
func workOf(k OpKey, o *Op, zone func(plant.StationID) *time.Location) stock.Work {
	w := stock.Work{Job: k.Job, Seq: k.Seq}
	switch {
	case o.Phase == Done:
		w.State = stock.Done
	case len(o.Holds) > 0:
		w.State, w.Note = stock.Held, o.Holds[0].Reason
		return w
	case o.Phase == Waiting:
		return w
	default:
		w.State = stock.Running
	}
	w.Station, w.Start = o.Station, plant.WallAt(o.Began, zone(o.Station))
	if o.Phase == Done {
		w.End = plant.WallAt(o.Ended, zone(o.Station))
	}
	return w
}

// Empty says whether there is nothing to take over.
func (f *Facts) Empty() bool { return len(f.Work) == 0 && len(f.Down) == 0 }
