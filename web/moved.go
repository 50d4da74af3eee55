package web

import (
	"tackline/flow"
	"tackline/schedule"
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
		row := ix.movedRow(&w.R.Moves[i].Was, &w.R.Moves[i].Is, w.R.Moves[i].Op, schedule.LocalTimes(w.Why(i), ix.first))
		switch {
		case w.R.Moves[i].Inside:
			out.Inside = append(out.Inside, row)
		case len(out.After) < mostMovedAfter:
			out.After = append(out.After, row)
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

func (ix *index) movedRow(was, is *schedule.Slot, op int, why string) movedRow {
	place := func(s *schedule.Slot) placeCell {
		return placeCell{ix.view.Problem.Stations[s.Station].Name, momentOf(s.Setup, ix.opZone(op))}
	}
	return movedRow{Job: string(ix.job(op).ID), Name: ix.op(op).Name, Href: ix.opHref(op), From: place(was), To: place(is), Why: why}
}
