package flow

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"

	"tackline/floor"
	"tackline/plant"
	"tackline/store"
)

// FloorReport says what was found when the record of the floor was gone through.
type FloorReport struct {
	Events      int64
	Plants      []PlantRecord // by name
	Operations  int           // and Stations, that the events are about
	Stations    int
	Broken      []string // the first broken record of each plant, in words; empty if the record is whole
	Differences []string // between the stored state and what the events give, in words
	Written     bool     // the state that the events give was put in the place of the stored one
}

// PlantRecord is how far the record of one plant goes. Who notes down number and hash can prove later that nothing up to there was
// changed, even by somebody who could write a whole new record.
type PlantRecord struct {
	Plant  plant.ID
	Number int64
	Hash   string
}

// Good says whether the record is whole and the stored state is what follows from it.
func (r *FloorReport) Good() bool { return len(r.Broken) == 0 && len(r.Differences) == 0 }

// RebuildFloor goes through all events, proves the chain of every plant, and compares the state that follows from them with the stored
// one. Unless it only is to check, it writes what follows in the place of what is stored, if that differs and the record is whole; a shop
// that records must not be open on the store then. To check is safe at any time. An error means that it could not be done.
func RebuildFloor(ctx context.Context, st *store.Store, check bool) (report FloorReport, err error) {
	if !check {
		release, refused := st.Hold(ctx)
		if refused != nil {
			return report, refused
		}
		defer func() { err = errors.Join(err, release()) }()
	}
	audit := &floorAudit{folder: floor.NewFolder(), chains: map[plant.ID]*auditedChain{}}
	stored, err := st.AuditFloor(ctx, audit.folder.Undone, audit.add)
	if err != nil {
		return report, err
	}
	state := audit.folder.State()
	report = FloorReport{Events: audit.events, Operations: len(state.Ops), Stations: len(state.Stations)}
	audit.close(stored.Ends, &report)
	if report.Differences, err = differences(stored, state); err != nil {
		return report, err
	}
	if check || len(report.Broken) > 0 || len(report.Differences) == 0 {
		return report, nil
	}
	if err := st.ReplaceFloor(ctx, state); err != nil {
		return report, err
	}
	report.Written = true
	return report, nil
}

// floorAudit is what is known while the record is gone through.
type floorAudit struct {
	events int64
	folder *floor.Folder
	chains map[plant.ID]*auditedChain
}

// auditedChain is the chain of a plant up to the first broken record.
type auditedChain struct {
	chain  floor.Chain
	last   store.ChainEnd
	broken string
}

func (a *floorAudit) add(r *store.StoredRecord) error {
	a.events++
	c := a.chains[r.Plant]
	if c == nil {
		c = &auditedChain{}
		a.chains[r.Plant] = c
	}
	if c.broken == "" {
		if r.Wrong != "" {
			c.broken = fmt.Sprintf("plant %s: event %d (%s, %s) is not what was recorded: %s", r.Plant, r.Number, r.Kind, r.ID, r.Wrong)
		} else if err := c.chain.Next(&r.Record); err != nil {
			c.broken = err.Error()
		}
	}
	c.last = store.ChainEnd{Number: r.Number, Hash: r.Hash}
	a.folder.Add(&r.Event)
	return nil
}

// close compares where the chains end with where they were said to end when the last event was recorded.
func (a *floorAudit) close(ends map[plant.ID]store.ChainEnd, report *FloorReport) {
	for id := range ends {
		if a.chains[id] == nil {
			a.chains[id] = &auditedChain{}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(a.chains)) {
		c, end := a.chains[id], ends[id]
		if c.broken == "" && c.last != end {
			c.broken = fmt.Sprintf("plant %s: the record ends with event %d, but event %d was the last that was recorded", id, c.last.Number, end.Number)
			if c.last.Number == end.Number {
				c.broken = fmt.Sprintf("plant %s: the last event, %d, is not the one that was recorded last: their hashes differ", id, end.Number)
			}
		}
		if c.broken != "" {
			report.Broken = append(report.Broken, c.broken)
		}
		report.Plants = append(report.Plants, PlantRecord{Plant: id, Number: c.last.Number, Hash: c.last.Hash})
	}
}

// differences says in words where the stored state is not what the events give.
func differences(stored *store.StoredFloor, state *floor.State) (list []string, err error) {
	keys := maps.Clone(state.Ops)
	for k := range stored.Ops {
		keys[k] = floor.Op{}
	}
	for _, k := range slices.SortedFunc(maps.Keys(keys), func(a, b floor.OpKey) int { return cmp.Or(cmp.Compare(a.Job, b.Job), a.Seq-b.Seq) }) {
		row, has := stored.Ops[k]
		op, given := state.Ops[k]
		found, err := differs(row.State, has, op, given)
		if err != nil {
			return nil, err
		}
		if has && given && len(found) == 0 && (row.Phase != op.Phase || row.Station != op.Station) {
			found = []string{fmt.Sprintf("its columns say phase %q at %q, by the events %q at %q", row.Phase, row.Station, op.Phase, op.Station)}
		}
		for _, what := range found {
			list = append(list, fmt.Sprintf("operation %d of job %s: %s", k.Seq, k.Job, what))
		}
	}
	ids := maps.Clone(state.Stations)
	for id := range stored.Stations {
		ids[id] = floor.Station{}
	}
	for _, id := range slices.Sorted(maps.Keys(ids)) {
		row, has := stored.Stations[id]
		st, given := state.Stations[id]
		found, err := differs(row, has, st, given)
		if err != nil {
			return nil, err
		}
		for _, what := range found {
			list = append(list, fmt.Sprintf("station %s: %s", id, what))
		}
	}
	return list, nil
}

// differs compares a stored state with the one that the events give, value by value. What is only written otherwise is the same.
func differs[T any](row string, has bool, want T, given bool) (found []string, err error) {
	switch {
	case !has:
		return []string{"there is no stored state, but there are events"}, nil
	case !given:
		return []string{"there is a stored state, but there are no events"}, nil
	}
	var got T
	if err := json.Unmarshal([]byte(row), &got); err != nil {
		return []string{"the stored state cannot be read"}, nil
	}
	a, err := values(got)
	if err != nil {
		return nil, err
	}
	b, err := values(want)
	if err != nil {
		return nil, err
	}
	names := maps.Clone(a)
	maps.Copy(names, b)
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if x, y := string(a[name]), string(b[name]); x != y {
			found = append(found, fmt.Sprintf("%s is %s, by the events %s", name, cmp.Or(x, "nothing"), cmp.Or(y, "nothing")))
		}
	}
	return found, nil
}

// values gives the values of a state by name, as JSON.
func values(state any) (map[string]json.RawMessage, error) {
	text, err := json.Marshal(state)
	if err != nil {
		return nil, err
	}
	m := map[string]json.RawMessage{}
	return m, json.Unmarshal(text, &m)
}
