package whatif

import (
	"fmt"
	"strings"
	"time"

	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/moves"
)

// Words says changes and effects for people who live at the problem's Now.
type Words struct {
	P        *schedule.Problem
	Loc      *time.Location // nil: UTC
	Currency string
}

func (w *Words) moves() *moves.Words { return &moves.Words{P: w.P, Loc: w.Loc} }

// Change says a change: "Overtime on Bench from Wed 25 Nov 14:00 to Wed 25 Nov 22:00, with 1 of Fitters".
func (w *Words) Change(c *Change) string {
	at := w.moves()
	switch c.Kind {
	case Overtime:
		var crew []string
		for _, n := range c.Crew {
			crew = append(crew, fmt.Sprintf("%d of %s", n.Heads, w.P.Pools[n.Pool].Name))
		}
		text := fmt.Sprintf("Overtime on %s from %s to %s", w.P.Stations[c.Station].Name, at.Time(c.From), at.Time(c.Until))
		if crew != nil {
			text += ", with " + strings.Join(crew, " and ")
		}
		return text
	case Person:
		return fmt.Sprintf("One more of %s from %s to %s", w.P.Pools[c.Pool].Name, at.Time(c.From), at.Time(c.Until))
	case Sooner:
		what := w.P.Ops[c.Op].Why
		if what == "" {
			what = "what it waits for"
		}
		by := "by " + at.Time(c.Until)
		if c.Until <= w.P.Now {
			by = "at once"
		}
		return fmt.Sprintf("%s free to begin %s (now: %s)", at.Op(c.Op), by, what)
	case Swap:
		return fmt.Sprintf("%s before %s on %s", at.Op(c.Op), at.Op(c.Behind), w.P.Stations[c.Station].Name)
	case Split:
		j := &w.P.Jobs[w.P.Ops[c.Op].Job]
		return fmt.Sprintf("%d of the %d pieces of %s made as a job of their own, side by side with the rest", c.Pieces, j.Pieces, j.ID)
	case Priority:
		return fmt.Sprintf("Unit %s goes first: a day late of it counts %g times", w.P.Units[c.Unit].ID, c.Factor)
	}
	return "Planning again is enough"
}

// Effect says what a change does: "ships Wed 25 Nov 18:00, 6 h before it is due; costs 240.00 EUR in overtime; 1 other unit
// ships later (1-1-1 by 22 h), 1 more is late".
func (w *Words) Effect(e *Effect) string {
	return strings.Join(w.parts(e), "; ")
}

func (w *Words) parts(e *Effect) []string {
	at := w.moves()
	var parts []string
	switch {
	case e.Ship >= plant.Never:
		parts = append(parts, "the unit then has no ship date")
	case e.Slack > 0:
		parts = append(parts, fmt.Sprintf("ships %s, %s before it is due", at.Time(e.Ship), moves.Lasts(e.Slack)))
	case e.Slack == 0:
		parts = append(parts, fmt.Sprintf("ships %s, just when it is due", at.Time(e.Ship)))
	default:
		parts = append(parts, fmt.Sprintf("ships %s, still %s late", at.Time(e.Ship), moves.Lasts(e.Slack)))
	}
	if e.Money > 0 {
		what := "in overtime"
		if e.Change.Kind == Person {
			what = "for the hours, at the overtime rate"
		}
		parts = append(parts, "costs "+w.money(e.Money)+" "+what)
	}
	if n := len(e.Later); n > 0 {
		worst := &e.Later[0]
		text := fmt.Sprintf("%s later than without it (at most %s, by %s)", others(n), w.P.Units[worst.Unit].ID, moves.Lasts(worst.Is.Sub(worst.Was)))
		if worst.Is >= plant.Never {
			text = fmt.Sprintf("%s later than without it (%s finds no place)", others(n), w.P.Units[worst.Unit].ID)
		}
		parts = append(parts, text)
	}
	switch {
	case e.Late > 0:
		parts = append(parts, fmt.Sprintf("%d more late", e.Late))
	case e.Late < 0:
		parts = append(parts, fmt.Sprintf("%d fewer late", -e.Late))
	}
	return parts
}

// Total says what a change does to the total cost of the plan.
func (w *Words) Total(e *Effect) string {
	switch {
	case e.Total > 0:
		return "the plan costs " + w.money(e.Total) + " more"
	case e.Total < 0:
		return "the plan costs " + w.money(-e.Total) + " less"
	}
	return "the plan costs the same"
}

func (w *Words) money(m plant.Money) string {
	return strings.TrimSpace(w.Currency + " " + m.String())
}

func others(n int) string {
	if n == 1 {
		return "1 other unit ships"
	}
	return fmt.Sprintf("%d other units ship", n)
}
