package flow

import (
	"context"

	"tackline/book"
	"tackline/floor"
	"tackline/plant"
	"tackline/schedule/moves"
	"tackline/schedule/search"
	"tackline/store"
)

// Replan plans a changed book again from a plan in force, nil if none is: what that settled stays (needs.ExplodeLike), unless
// it is to be settled anew; the search begins from its slots, and moves of it within the freeze window count. See Compute.
func Replan(ctx context.Context, b *book.Book, now plant.Time, force *store.Plan, anew bool, o search.Options) (*View, error) {
	f, err := frameAgainst(b, now, force, anew, floor.Facts{})
	if err != nil {
		return nil, err
	}
	f, plan, err := f.plan(ctx, o)
	if err != nil {
		return nil, err
	}
	return Derive(f, plan), nil
}

// Moved says what a view's plan changes against the plan in force, and why, in the time of the first plant of the book.
func Moved(v *View) *moves.Words {
	w := &moves.Words{P: v.Problem, R: moves.Between(v.Problem, v.Plan), Loc: firstZone(v.Index)}
	w.Closed = func(station int, at plant.Time) string { return closedFor(v.Index, v.Problem.Stations[station].ID, at) }
	return w
}

// closedFor says why a station is closed at an instant: the exception that closes it, with its reason; "" if it is its
// calendar that is not open.
func closedFor(ix *book.Index, station plant.StationID, at plant.Time) string {
	s := ix.Stations[station]
	if s == nil {
		return ""
	}
	words := map[string]string{"down": "down", "maintenance": "in maintenance", "holiday": "closed for a holiday"}
	for _, list := range [][]plant.Exception{ix.Closures[station], ix.Exceptions[s.Calendar]} {
		for i := len(list) - 1; i >= 0; i-- {
			x := &list[i]
			from, ok1 := x.From.Time(ix.StationZone(station))
			to, ok2 := x.To.Time(ix.StationZone(station))
			if !ok1 || !ok2 || at < from || at >= to || words[x.Kind] == "" {
				continue
			}
			if x.Reason != "" {
				return words[x.Kind] + " (" + x.Reason + ")"
			}
			return words[x.Kind]
		}
	}
	return ""
}
