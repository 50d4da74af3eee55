package web

import (
	"math"
	"slices"
	"sort"

	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// branch is everything that flows into one operation of a parent: a job with its own branches, or a receipt on its way.
type branch struct {
	job     int // None: a receipt or purchase
	name    string
	early   string // "11 h early", "decides the date"
	decides bool
	meets   int // operation of the parent at which it joins
	kids    []*branch
	y       int
	boxes   []span // of its operations; those done one after another share a box
	joins   []joint
	from    int // where its line begins
	to      int // where its last operation ends
}

// span is a box on a branch: one operation, or several done one after another.
type span struct {
	x, w int
	ops  []int
}

// joint is a meeting point on a branch.
type joint struct{ x, op int }

// Measures of the drawing, in its own pixels.
const (
	laneHeight  = 78
	boxHeight   = 22
	boxGap      = 8
	curveWidth  = 62
	meetWidth   = 136 // of "meet Wed 25 Nov 00:02"
	mapMargin   = 20
	letterWidth = 6.4 // of the small lettering, about
)

// drawnAhead is how long before its meeting point a receipt or a job to stock must come to be left out of the drawing.
const drawnAhead plant.Seconds = 48 * 3600

// drawing is what a template draws: lines, boxes and lettering in that order.
type drawing struct {
	Width, Height int
	Lines         []line
	Boxes         []box
	Texts         []lettering
}

type line struct{ D, Class string }

type box struct {
	X, Y, W, H            int
	Pattern, Class, Title string
	Href                  string
}

type lettering struct {
	X, Y                int
	Text, Class, Anchor string
}

// branchesOf builds the tree of branches that meet in a unit.
func (ix *index) branchesOf(unit int) *branch {
	top := ix.view.Needs.Units[unit].Top
	if top == needs.None {
		return nil
	}
	path := map[int]bool{}
	for i := range ix.view.Why {
		if ix.view.Why[i].Unit == unit {
			for _, seg := range ix.view.Why[i].Segments {
				if seg.Op != needs.None {
					path[ix.view.Needs.Ops[seg.Op].Job] = true
				}
			}
		}
	}
	joins := map[int]*schedule.Branch{}
	list := schedule.Branches(ix.view.Problem, ix.view.Plan, unit)
	for i := range list {
		joins[list[i].Job] = &list[i]
	}
	t := &tree{ix, path, map[int]bool{}, joins}
	return t.branch(top, needs.None)
}

// tree is a tree of branches in the making.
type tree struct {
	*index
	path  map[int]bool             // jobs on the unit's controlling path
	seen  map[int]bool             // jobs drawn
	joins map[int]*schedule.Branch // how each job joins
}

func (ix *tree) branch(job, meets int) *branch {
	ix.seen[job] = true
	j := &ix.view.Needs.Jobs[job]
	b := &branch{job: job, name: j.Name, meets: meets, decides: ix.path[job]}
	if j.Pieces > 1 {
		b.name += ", " + count(j.Pieces, "piece", "pieces")
	}
	b.early = ix.earlyText(b)
	for _, op := range j.Ops {
		for _, d := range ix.op(op).Demands {
			for _, c := range ix.view.Needs.Demands[d].Covers {
				if kid := ix.kid(j, op, &ix.view.Needs.Demands[d], c); kid != nil {
					b.kids = append(b.kids, kid)
				}
			}
		}
	}
	return b
}

// kid is the branch of one cover of a demand: a job of the unit with its own branches, or what is still on its way.
func (ix *tree) kid(parent *needs.Job, op int, d *needs.Demand, c needs.Cover) *branch {
	loc := ix.zone(parent.Plant)
	stub := func(by string, comes plant.Time) *branch {
		if sl, ok := ix.slot(op); ok && comes < sl.Load.Add(-drawnAhead) {
			return nil // comes in good time
		}
		m := momentOf(comes, loc)
		if m.Text == "" {
			m.Text = "no date"
		}
		return &branch{job: needs.None, name: ix.itemName(d.Item) + by, early: "comes " + m.Text, meets: op}
	}
	switch {
	case c.Kind == needs.FromJob && c.Job != needs.None && ix.view.Needs.Jobs[c.Job].Unit == parent.Unit:
		if !ix.seen[c.Job] {
			return ix.branch(c.Job, op)
		}
	case c.Kind == needs.FromJob && c.Job != needs.None:
		j := &ix.view.Needs.Jobs[c.Job]
		if len(j.Ops) == 0 {
			return nil
		}
		last := j.Ops[len(j.Ops)-1]
		if sl, ok := ix.slot(last); ok && ix.opState(last) != done {
			return stub(", made to stock", sl.End)
		}
	case c.Kind == needs.FromReceipt && c.At > ix.view.Needs.Now:
		return stub(", "+string(c.Receipt), c.At)
	case c.Kind == needs.FromPurchase:
		return stub(", to be bought", c.At)
	}
	return nil
}

// earlyText says how long a branch waits at its meeting point, from when it is there: trucks and lags count.
func (ix *tree) earlyText(b *branch) string {
	ops := ix.view.Needs.Jobs[b.job].Ops
	if b.meets == needs.None || len(ops) == 0 {
		return ""
	}
	if b.decides {
		return "decides the date"
	}
	join := ix.joins[b.job]
	switch {
	case join == nil || join.Arrives >= plant.Never:
		return "no date"
	case ix.opState(ops[len(ops)-1]) == done:
		return "done"
	case join.Slack > 0:
		return roughly(join.Slack) + " early"
	}
	return "just in time"
}

// drawUnit draws the converging map of a unit; nil if it has no job.
func (ix *index) drawUnit(unit int) *drawing {
	root := ix.branchesOf(unit)
	if root == nil {
		return nil
	}
	lane := 0
	root.lanes(&lane)
	ix.layOut(root, mapMargin)
	d := &drawing{Height: lane*laneHeight + 24}
	ix.drawBranch(d, root)
	ix.drawEnd(d, root, unit)
	for _, t := range d.Texts {
		if t.Anchor == "" {
			d.Width = max(d.Width, t.X+int(float64(len([]rune(t.Text)))*7.4)+mapMargin)
		}
	}
	return d
}

// lanes gives every branch a lane of its own. Branches lie around their parent by turns; those that join first lie
// nearest, so that no line crosses a box.
func (b *branch) lanes(lane *int) {
	kids := slices.Clone(b.kids)
	sort.SliceStable(kids, func(i, j int) bool { return kids[i].meets < kids[j].meets })
	for i := len(kids) - 1; i >= 0; i-- {
		if i%2 == 0 {
			kids[i].lanes(lane)
		}
	}
	b.y = 40 + *lane*laneHeight
	*lane++
	for i := range kids {
		if i%2 == 1 {
			kids[i].lanes(lane)
		}
	}
}

// layOut places the operations of a branch one after another from x on, each after the branches that meet in it.
func (ix *index) layOut(b *branch, x int) {
	b.from, b.to = x, x+10
	if b.job == needs.None {
		b.to = x + 26
		return
	}
	start := x
	for i, op := range ix.view.Needs.Jobs[b.job].Ops {
		meet := 0
		for _, k := range b.kids {
			if k.meets == op {
				ix.layOut(k, start)
				meet = max(meet, k.to+curveWidth)
			}
		}
		if n := len(b.boxes); meet == 0 && n > 0 && ix.opState(op) == done && ix.opState(b.boxes[n-1].ops[0]) == done {
			b.boxes[n-1].ops = append(b.boxes[n-1].ops, op)
			continue
		}
		if meet > 0 {
			if i > 0 {
				meet = max(meet, x+curveWidth/2) // the curve comes in behind the box before
			}
			if n := len(b.joins); n > 0 {
				meet = max(meet, b.joins[n-1].x+meetWidth) // the lettering of the one before ends
			}
			b.joins = append(b.joins, joint{meet, op})
			x = meet + 16
			if i == 0 {
				b.from = meet
			}
		}
		w := boxWidth(ix, op)
		b.boxes = append(b.boxes, span{x, w, []int{op}})
		x += w + boxGap
	}
	b.to = max(x, b.to)
}

// boxWidth grows with the time of an operation, slowly, and holds its name.
func boxWidth(ix *index, op int) int {
	hours := 0.0
	if sl, ok := ix.slot(op); ok {
		hours = sl.End.Sub(sl.Setup).Hours()
	}
	w := 22 + 13*math.Log2(1+math.Max(hours, 0))
	return int(max(w, letterWidth*float64(len([]rune(short12(ix.op(op).Name))))+2))
}

// short12 cuts a name to fit below its box.
func short12(s string) string {
	if r := []rune(s); len(r) > 12 {
		return string(r[:11]) + "\u2026"
	}
	return s
}

// reasonHatch gives the section-lining of a reason.
func reasonHatch(r schedule.Reason) hatching {
	pattern := "wait"
	switch r {
	case schedule.Working:
		pattern = "run"
	case schedule.SettingUp:
		pattern = "setup"
	case schedule.Drying:
		pattern = "dry"
	case schedule.Held:
		pattern = "held"
	case schedule.Carrying, schedule.AwayWork:
		pattern = "away"
	case schedule.ShopClosed:
		pattern = "plain"
	}
	return hatching{pattern, string(r)}
}
