package web

import (
	"fmt"
	"math"

	"tackline/dispatch"
)

// Measures of a work centre's bars, in the drawing's own pixels.
const (
	barWidth  = 22
	barStep   = 36
	barsHigh  = 92
	barsTop   = 22
	barsLeft  = 12
	mostWeeks = 11 // drawn; the list has all
)

// drawLoad draws the weeks of each work centre: open hours as an outline, load, run and unload hatched, setup above it.
func (ix *index) drawLoad(rows []*dispatch.Load) []centreBars {
	var out []centreBars
	at := map[string]int{}
	weeks := map[string][]*dispatch.Load{}
	for _, l := range rows {
		id := string(l.Centre)
		if _, ok := at[id]; !ok {
			at[id] = len(out)
			out = append(out, centreBars{Name: ix.centreName(l.Centre), Href: "/load?" + query("centre", id)})
		}
		if len(weeks[id]) < mostWeeks {
			weeks[id] = append(weeks[id], l)
		}
	}
	for id, i := range at {
		ix.drawCentre(&out[i], weeks[id])
	}
	return out
}

func (ix *index) drawCentre(c *centreBars, weeks []*dispatch.Load) {
	most := 1.0
	for _, l := range weeks {
		most = math.Max(most, math.Max(l.Open, l.Run+l.Setup))
	}
	scale := func(h float64) int { return int(math.Round(h / most * barsHigh)) }
	base := barsTop + barsHigh
	c.Width, c.Height = barsLeft*2+len(weeks)*barStep, base+36
	c.Lines = append(c.Lines, line{fmt.Sprintf("M%d %dH%d", barsLeft-6, base, c.Width-6), "line"})
	for i, l := range weeks {
		x := barsLeft + i*barStep
		day := dayOf(l.Week, ix.zoneOfCentre(l.Centre))
		run, set, open := scale(l.Run), scale(l.Setup), scale(l.Open)
		title := fmt.Sprintf("week from %s: %s of %s open hours, setup %s", day.Text, plainHours(l.Run+l.Setup), plainHours(l.Open), plainHours(l.Setup))
		over := ""
		if loadShare(l) > 1 {
			over = " pencil"
		}
		c.Weeks = append(c.Weeks, weekBar{loadHref(ix, l), title, []box{
			{X: x, Y: base - open, W: barWidth + 6, H: open, Pattern: "plain", Class: "box thin"},
			{X: x + 3, Y: base - run, W: barWidth, H: run, Pattern: "run", Class: "box" + over},
			{X: x + 3, Y: base - run - set, W: barWidth, H: set, Pattern: "setup", Class: "box" + over}}})
		class := "small"
		if over != "" {
			class = "small pencil"
		}
		c.Texts = append(c.Texts, lettering{X: x + barWidth/2 + 3, Y: base - max(open, run+set) - 5, Text: percent(loadShare(l)), Class: class, Anchor: "middle"})
		if i%2 == 0 || len(weeks) < 3 { // each would run into the next
			c.Texts = append(c.Texts, lettering{X: x + barWidth/2 + 3, Y: base + 15, Text: day.Text[4:], Class: "small", Anchor: "middle"})
		}
	}
}
