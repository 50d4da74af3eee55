package schedule

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"tackline/plant"
)

// spoken is the order in which a sentence names reasons that take equally long, and how it says each.
var spoken = map[Reason]string{
	Working: "working", SettingUp: "setup", StationWait: "behind other work", CrewWait: "waiting for crew", Material: "waiting for material", NotYet: "not released",
	Carrying: "on the way between plants", SetWait: "waiting for the rest", ShopClosed: "shop closed", Drying: "drying", Held: "held",
	AwayWork: "away", KeptBack: "kept back for work further on", Waiting: "left for later", ByHand: "kept back by hand",
}

// Sentence says an explanation in one plain sentence, with times in loc (nil: UTC).
func Sentence(p *Problem, e *Explanation, loc *time.Location) string {
	if e.Ship >= plant.Never || e.Ship == 0 {
		return e.Sentence
	}
	if loc == nil {
		loc = time.UTC
	}
	var b strings.Builder
	b.WriteString("Ships " + e.Ship.Day(loc, p.Now) + e.Ship.In(loc).Format(" 15:04"))
	switch {
	case e.Slack < 0:
		b.WriteString(", " + roughly(-e.Slack) + " late")
	case e.Slack == 0:
		b.WriteString(", just when it is due")
	default:
		b.WriteString(", " + roughly(e.Slack) + " before it is due")
	}
	if parts := e.parts(p); len(parts) > 0 {
		b.WriteString(": " + strings.Join(parts, ", "))
	}
	b.WriteString(".")
	return b.String()
}

// parts names what takes most of the time, the longest first, with the work that is longest in the way.
func (e *Explanation) parts(p *Problem) []string {
	sums := map[Reason]plant.Seconds{}
	var behind *Segment
	for i := range e.Segments {
		s := &e.Segments[i]
		sums[s.Reason] += s.To.Sub(s.From)
		if s.Reason == StationWait && s.Behind != None && (behind == nil || s.To.Sub(s.From) > behind.To.Sub(behind.From)) {
			behind = s
		}
	}
	var reasons []Reason
	for r := range sums {
		reasons = append(reasons, r)
	}
	slices.SortFunc(reasons, func(a, b Reason) int { return cmp.Or(cmp.Compare(sums[b], sums[a]), cmp.Compare(a, b)) })
	var out []string
	for i, r := range reasons {
		if i == 5 {
			break
		}
		text := roughly(sums[r]) + " " + spoken[r]
		if r == StationWait && behind != nil {
			text += " (the longest " + behind.Text + ")"
		}
		out = append(out, text)
	}
	return out
}

// roughly says a duration in the largest unit that suits: "20 s", "35 min", "9 h", "3.5 days".
func roughly(d plant.Seconds) string {
	tidy := func(x float64) string { return strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64) }
	switch {
	case d < 60:
		return strconv.FormatInt(int64(d), 10) + " s"
	case d < 3600:
		return tidy(math.Round(d.Minutes())) + " min"
	case d < 10*3600:
		return tidy(d.Hours()) + " h"
	case d < 48*3600:
		return tidy(math.Round(d.Hours())) + " h"
	}
	return tidy(d.Hours()/24) + " days"
}
