package flow

import (
	"encoding/json"
	"fmt"

	"tackline/floor"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/store"
)

// opKey names an operation across changes of the book.
type opKey struct {
	job plant.JobID
	seq int
}

func keyOf(r *needs.Result, op int) opKey {
	return opKey{r.Jobs[r.Ops[op].Job].ID, r.Ops[op].Seq}
}

// storable writes the plan of a view for the store: slots by the names of jobs and stations.
func storable(v *View, name, by string, made plant.Time) (*store.Plan, error) {
	score, err := json.Marshal(v.Score)
	if err != nil {
		return nil, fmt.Errorf("write the score: %w", err)
	}
	p := &store.Plan{Name: name, By: by, Made: made, Now: v.Problem.Now, Revision: v.Revision, Status: string(v.Plan.Status),
		Rule: v.Plan.Rule, Seed: v.Plan.Seed, Work: v.Plan.Work, Score: string(score), Pegs: v.Needs.Pegs()}
	if !v.Facts.Empty() {
		facts, err := json.Marshal(v.Facts)
		if err != nil {
			return nil, fmt.Errorf("write what the floor had recorded: %w", err)
		}
		p.Facts = string(facts)
	}
	why := map[int]string{}
	for _, l := range v.Plan.Left {
		why[l.Op] = l.Why
	}
	for op, x := range v.Plan.Slots {
		k := keyOf(v.Needs, op)
		s := store.Slot{Job: k.job, Seq: k.seq, Why: why[op]}
		if x.Station != schedule.None {
			s = store.Slot{Job: k.job, Seq: k.seq, Station: v.Problem.Stations[x.Station].ID,
				Setup: x.Setup, Load: x.Load, Run: x.Run, Unload: x.Unload, End: x.End, Batch: x.Batch}
		}
		p.Slots = append(p.Slots, s)
	}
	return p, nil
}

// factsOf gives what the floor had recorded when a stored plan was made.
func factsOf(p *store.Plan) (f floor.Facts, err error) {
	if p.Facts != "" {
		if err = json.Unmarshal([]byte(p.Facts), &f); err != nil {
			err = fmt.Errorf("plan %d: what the floor had recorded: %w", p.ID, err)
		}
	}
	return f, err
}

// slotsOf finds the slots of a stored plan for the operations of f. An operation that the plan does not hold, or whose
// station is gone, has Station None and a reason.
func slotsOf(f *Framed, p *store.Plan) ([]schedule.Slot, []schedule.Left) {
	stations := map[plant.StationID]int{}
	for i := range f.Problem.Stations {
		stations[f.Problem.Stations[i].ID] = i
	}
	stored := make(map[opKey]*store.Slot, len(p.Slots))
	for i := range p.Slots {
		stored[opKey{p.Slots[i].Job, p.Slots[i].Seq}] = &p.Slots[i]
	}
	slots := make([]schedule.Slot, len(f.Needs.Ops))
	var left []schedule.Left
	for op := range slots {
		slots[op] = schedule.Slot{Station: schedule.None}
		x := stored[keyOf(f.Needs, op)]
		if x == nil {
			left = append(left, schedule.Left{Op: op, Why: "new since the plan was made"})
			continue
		}
		if x.Station == "" {
			left = append(left, schedule.Left{Op: op, Why: x.Why})
			continue
		}
		at, ok := stations[x.Station]
		if !ok {
			left = append(left, schedule.Left{Op: op, Why: fmt.Sprintf("station %s is no longer in the shop book", x.Station)})
			continue
		}
		slots[op] = schedule.Slot{Station: at, Setup: x.Setup, Load: x.Load, Run: x.Run, Unload: x.Unload, End: x.End, Batch: x.Batch}
	}
	return slots, left
}

// planOf gives the stored plan as a plan of f.
func planOf(f *Framed, p *store.Plan) *schedule.Plan {
	plan := &schedule.Plan{Status: schedule.Status(p.Status), Rule: p.Rule, Seed: p.Seed, Work: p.Work}
	plan.Slots, plan.Left = slotsOf(f, p)
	if len(plan.Left) > 0 && plan.Status == schedule.Complete {
		plan.Status = schedule.Incomplete
	}
	return plan
}

// lastEnd gives the latest end of a stored plan.
func lastEnd(p *store.Plan) (t plant.Time) {
	for i := range p.Slots {
		if e := p.Slots[i].End; e > t && e < plant.Never {
			t = e
		}
	}
	return t
}

func planRow(p *store.Plan, revision int64) PlanRow {
	r := PlanRow{ID: p.ID, Name: p.Name, State: p.State, By: p.By, Made: p.Made, Adopted: p.Adopted, Now: p.Now, Revision: p.Revision,
		Older: p.Revision != revision, Status: schedule.Status(p.Status), Rule: p.Rule, Seed: p.Seed, Work: p.Work}
	if json.Unmarshal([]byte(p.Score), &r.Score) != nil {
		r.Score = schedule.Score{} // a score written by another version: left out of the list, worked out again in the view
	}
	r.Assumed, _ = assumptionsOf(p.Assumed) // one that cannot be read is told where the plan is looked at
	return r
}
