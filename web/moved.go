package web

import (
	"tackline/flow"
	"tackline/schedule"
	"tackline/schedule/moves"
)

// movedView says what a plan changes against the plan in force, and why.
type movedView struct {
	Says   string
	Inside []movedRow // inside the freeze window
	After  []movedRow
	More   int // moves after the freeze beyond those shown
	Units  []shipRow
	Rest   int // units beyond those shown
}

// movedRow is an operation that is elsewhere or at another time.
type movedRow struct {
	Job, Name, Href string
	From, To        placeCell
	Why             string
}

type placeCell struct {
	Station string
	At      moment
}

// shipRow is a unit that ships at another time, and why.
type shipRow struct {
	ID, Href, Change, Why string
	Was, Is               moment
	Late                  bool
}

// How many of each are shown.
const (
	mostMovedAfter = 60
	mostShips      = 40
)

// moved compares a plan with the plan in force; nil if it is that, or if there is none.
func (ix *index) moved() *movedView {
	v := ix.view
	if v.State == flow.Adopted || v.Problem.Adopted == nil {
		return nil
	}
	w := flow.Moved(v)
	out := &movedView{Says: w.Summary()}
	for i := range w.R.Moves {
		switch {
		case w.R.Moves[i].Inside:
			out.Inside = append(out.Inside, ix.movedRow(w, i))
		case len(out.After) < mostMovedAfter:
			out.After = append(out.After, ix.movedRow(w, i))
		default:
			out.More++
		}
	}
	for i := range w.R.Units {
		s := &w.R.Units[i]
		if len(out.Units) == mostShips {
			out.Rest = len(w.R.Units) - i
			break
		}
		u := &v.Needs.Units[s.Unit]
		loc := ix.zone(u.Plant)
		row := shipRow{ID: string(u.ID), Href: unitHref(u.ID), Was: momentOf(s.Was, loc), Is: momentOf(s.Is, loc), Late: s.Is > u.Due && s.Is > s.Was}
		row.Change = roughly(s.Is.Sub(s.Was)) + " later"
		if s.Is < s.Was {
			row.Change = roughly(s.Was.Sub(s.Is)) + " earlier"
		}
		if s.Is > u.Due {
			row.Change += ", " + roughly(s.Is.Sub(u.Due)) + " late"
		}
		if s.Move != schedule.None {
			row.Why = schedule.LocalTimes(w.Why(s.Move), ix.first)
		}
		out.Units = append(out.Units, row)
	}
	return out
}

func (ix *index) movedRow(w *moves.Words, move int) movedRow {
	m := &w.R.Moves[move]
	place := func(s *schedule.Slot) placeCell {
		return placeCell{ix.view.Problem.Stations[s.Station].Name, momentOf(s.Setup, ix.opZone(m.Op))}
	}
	return movedRow{Job: string(ix.job(m.Op).ID), Name: ix.op(m.Op).Name, Href: ix.opHref(m.Op), From: place(&m.Was), To: place(&m.Is),
		Why: schedule.LocalTimes(w.Why(move), ix.first)}
}
