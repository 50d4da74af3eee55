package moves

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"tackline/plant"
	"tackline/schedule"
)

// Op names an operation: "1042-1-1/jaw-4c, 20 robot weld".
func (w *Words) Op(op int) string {
	o := &w.P.Ops[op]
	return fmt.Sprintf("%s, %d %s", w.P.Jobs[o.Job].ID, o.Seq, o.Name)
}

// Time says an instant: "Mon 30 Nov 14:00".
func (w *Words) Time(t plant.Time) string {
	if t >= plant.Never {
		return "a time after the end of the plan"
	}
	loc := w.loc()
	return t.Day(loc, w.P.Now) + t.In(loc).Format(" 15:04")
}

func (w *Words) loc() *time.Location {
	if w.Loc == nil {
		return time.UTC
	}
	return w.Loc
}

// Lasts says a length of time: "40 min", "3.5 h", "2.1 days".
func Lasts(d plant.Seconds) string {
	tidy := func(x float64) string { return fmt.Sprint(math.Round(x*10) / 10) }
	switch {
	case d < 0:
		return Lasts(-d)
	case d < 3600:
		return fmt.Sprintf("%d min", (d+30)/60)
	case d < 48*3600:
		return tidy(d.Hours()) + " h"
	}
	return tidy(d.Hours()/24) + " days"
}

// Moved says what happened to an operation: "from Weld robot 2, Wed 25 Nov 10:00, to Weld robot 1, Wed 25 Nov 12:30".
func (w *Words) Moved(m *Move) string {
	from, to := w.P.Stations[m.Was.Station].Name, w.P.Stations[m.Is.Station].Name
	if from == to {
		way := "later"
		d := m.Is.Setup.Sub(m.Was.Setup)
		switch {
		case d == 0:
			return fmt.Sprintf("stays on %s at %s and takes until %s", from, w.Time(m.Was.Setup), w.Time(m.Is.End))
		case d < 0:
			way = "earlier"
		}
		return fmt.Sprintf("on %s from %s to %s, %s %s", from, w.Time(m.Was.Setup), w.Time(m.Is.Setup), Lasts(d), way)
	}
	return fmt.Sprintf("from %s, %s, to %s, %s", from, w.Time(m.Was.Setup), to, w.Time(m.Is.Setup))
}

// Cause says the cause of a move in a few words.
func (w *Words) Cause(m *Move) string {
	c := &m.Cause
	station := w.P.Stations[m.Was.Station].Name
	switch c.Kind {
	case Cannot:
		return station + " cannot do it any more"
	case Late:
		return "it has not begun"
	case Material:
		if why := w.P.Ops[m.Op].Why; why != "" {
			return why
		}
		return "it cannot begin before " + w.Time(c.Until)
	case Shut:
		what := "closed"
		if w.Closed != nil {
			if why := w.Closed(m.Was.Station, max(c.From, m.Was.Load)); why != "" {
				what = why
			}
		}
		return fmt.Sprintf("%s %s until %s", station, what, w.Time(c.Until))
	case NoCrew:
		return fmt.Sprintf("too few of %s until %s", w.P.Pools[c.Pool].Name, w.Time(c.Until))
	case Behind:
		return w.by(c.By) + " is there later"
	case Place:
		return "gives its place to " + w.by(c.By)
	case Crew:
		return "gives its crew to " + w.by(c.By)
	case Follows:
		return "goes with " + w.by(c.By)
	}
	return "the plan costs less so"
}

// by names an operation that is in the way, and what is special about it.
func (w *Words) by(op int) string {
	text := w.Op(op)
	o := &w.P.Ops[op]
	switch {
	case o.State == schedule.Running:
		return text + " (running, until " + w.Time(o.Fixed.End) + ")"
	case o.State == schedule.Done:
		return text + " (done " + w.Time(o.Fixed.End) + ")"
	case o.State == schedule.Frozen:
		return text + " (frozen)"
	case w.P.Adopted[op].Station == schedule.None:
		return text + " (new)"
	}
	return text
}

// longestChain is how many links of a chain are said.
const longestChain = 6

// Why says the chain of a move from what set it off to the move itself: "Weld robot 2 down until Thu 26 Nov 14:00 → ...".
func (w *Words) Why(move int) string {
	chain := w.R.Chain(move)
	root := &w.R.Moves[chain[len(chain)-1]]
	parts := []string{w.Cause(root)}
	if next, ok := w.R.at[root.Cause.By]; ok && root.Cause.By != schedule.None && slices.Contains(chain, next) {
		chain = chain[:slices.Index(chain, next)+1] // they moved for each other's sake
		parts[0] = "places exchanged with " + w.Op(root.Op) + ", as the plan costs less so"
	}
	if len(chain) > longestChain {
		chain = append(chain[:longestChain-1:longestChain-1], chain[len(chain)-1])
	}
	for i := len(chain) - 1; i > 0; i-- {
		m := &w.R.Moves[chain[i]]
		text := w.Op(m.Op) + " moved"
		if m.Was.Station != m.Is.Station {
			text = w.Op(m.Op) + " moved to " + w.P.Stations[m.Is.Station].Name
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, " → ")
}

// Sentence says a move and why in one sentence.
func (w *Words) Sentence(move int) string {
	m := &w.R.Moves[move]
	return w.Op(m.Op) + ": " + w.Moved(m) + ". Why: " + w.Why(move) + "."
}

// Ship says how a ship date moved: "ships Thu 26 Nov 15:00 instead of Wed 25 Nov 15:00, 24 h later".
func (w *Words) Ship(s *Shift) string {
	way := "later"
	if s.Is < s.Was {
		way = "earlier"
	}
	return fmt.Sprintf("ships %s instead of %s, %s %s", w.Time(s.Is), w.Time(s.Was), Lasts(s.Is.Sub(s.Was)), way)
}

// Summary says a report in one sentence.
func (w *Words) Summary() string {
	r := w.R
	later := 0
	for _, u := range r.Units {
		if u.Is > u.Was {
			later++
		}
	}
	if len(r.Moves)+len(r.New)+len(r.Left) == 0 {
		return "Nothing moved."
	}
	return fmt.Sprintf("%s moved inside the freeze window, %s after it; %s new. %s later than before, %d earlier.",
		many(r.Inside, "operation"), many(len(r.Moves)-r.Inside, "operation"), verb(len(r.New)), ships(later), len(r.Units)-later)
}

func many(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func verb(n int) string {
	if n == 1 {
		return "1 is"
	}
	return fmt.Sprintf("%d are", n)
}

func ships(n int) string {
	if n == 1 {
		return "1 unit ships"
	}
	return fmt.Sprintf("%d units ship", n)
}
