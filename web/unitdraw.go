package web

import (
	"fmt"
	"strconv"

	"tackline/needs"
)

// drawBranch draws the line of a branch, its boxes, its lettering and its own branches.
func (ix *index) drawBranch(d *drawing, b *branch) {
	class := "line"
	if b.decides {
		class = "line heavy"
	}
	if b.job == needs.None {
		class = "line dash"
	}
	for _, k := range b.kids {
		ix.drawBranch(d, k)
		ix.drawJoin(d, b, k)
	}
	d.Lines = append(d.Lines, line{fmt.Sprintf("M%d %dH%d", b.from, b.y, b.to), class})
	ix.drawMeetings(d, b)
	if b.job != needs.None {
		for _, at := range b.boxes {
			ix.drawBox(d, b, at)
		}
	}
	ix.letterBranch(d, b)
	d.Width = max(d.Width, b.to+mapMargin)
}

// drawJoin leads the line of a branch to its meeting point.
func (ix *index) drawJoin(d *drawing, b, k *branch) {
	for _, j := range b.joins {
		if j.op != k.meets {
			continue
		}
		from := j.x - curveWidth
		class := "line"
		switch {
		case k.decides:
			class = "line heavy"
		case k.job == needs.None:
			class = "line dash"
		}
		mid := j.x - curveWidth/2
		d.Lines = append(d.Lines, line{fmt.Sprintf("M%d %dH%dC%d %d %d %d %d %d", k.to, k.y, from, mid, k.y, mid, b.y, j.x, b.y), class})
	}
}

// drawMeetings marks each meeting point with the time at which its operation begins.
func (ix *index) drawMeetings(d *drawing, b *branch) {
	for _, j := range b.joins {
		sl, ok := ix.slot(j.op)
		if !ok {
			continue
		}
		d.Lines = append(d.Lines, line{fmt.Sprintf("M%d %dV%d", j.x, b.y-14, b.y+38), "line thin chain"})
		d.Texts = append(d.Texts, lettering{X: j.x + 5, Y: b.y + 44, Text: "meet " + momentOf(sl.Load, ix.opZone(j.op)).Text, Class: "small"})
	}
}

func (ix *index) drawBox(d *drawing, b *branch, at span) {
	op := at.ops[0]
	o, state := ix.op(op), ix.opState(op)
	title := o.Name + " of " + ix.job(op).Name
	if sl, ok := ix.slot(op); ok {
		loc := ix.opZone(op)
		title += ", " + ix.station(sl).Name + ", " + momentOf(sl.Setup, loc).Text + " to " + momentOf(sl.End, loc).Text
	}
	class, name := "box", short12(o.Name)
	if b.decides {
		class += " heavy"
	}
	if n := len(at.ops); n > 1 {
		name = strconv.Itoa(n) + " done"
		title = name + ", " + o.Name + " to " + ix.op(at.ops[n-1]).Name + " of " + ix.job(op).Name
	}
	d.Boxes = append(d.Boxes, box{X: at.x, Y: b.y - boxHeight/2, W: at.w, H: boxHeight, Pattern: state.Pattern, Class: class,
		Title: title + ", " + state.Word, Href: "#" + opAnchor(op)})
	d.Texts = append(d.Texts, lettering{X: at.x, Y: b.y + boxHeight/2 + 13, Text: name, Class: "small"})
}

func (ix *index) letterBranch(d *drawing, b *branch) {
	text, class := b.name, "name"
	if b.early != "" {
		text += ": " + b.early
	}
	if b.decides {
		class = "name bold"
	}
	x := b.from
	if len(b.boxes) > 0 && len(b.joins) > 0 {
		x = b.boxes[0].x
	}
	d.Texts = append(d.Texts, lettering{X: x, Y: b.y - boxHeight/2 - 7, Text: text, Class: class})
}

// drawEnd draws the way out: the ship date and what it is to the due date.
func (ix *index) drawEnd(d *drawing, root *branch, unit int) {
	u := &ix.rows[unit]
	if !u.planned {
		return
	}
	x := root.to
	class := "line"
	if root.decides {
		class = "line heavy"
	}
	d.Lines = append(d.Lines, line{fmt.Sprintf("M%d %dH%d", x-boxGap, root.y, x+22), class},
		line{fmt.Sprintf("M%d %dl10 6l-10 6", x+16, root.y-6), "line"})
	style, slack := "bold", slackText(u.slack)+" of slack"
	if u.isLate() {
		style, slack = "pencil", "\u25b2 "+slackText(u.slack)
	}
	loc := ix.zone(ix.view.Needs.Units[unit].Plant)
	d.Texts = append(d.Texts, lettering{X: x + 34, Y: root.y - 3, Text: "ships " + momentOf(u.ship, loc).Text, Class: style},
		lettering{X: x + 34, Y: root.y + 14, Text: slack, Class: style})
}
