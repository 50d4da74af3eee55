package web

import (
	"slices"
	"strconv"
	"strings"

	"tackline/dispatch"
	"tackline/needs"
	"tackline/plant"
)

// filterRuns gives the entries of a run list that the form chooses.
func (ix *index) filterRuns(f *filter, st plant.StationID, now plant.Time) []dispatch.Run {
	q := f.search("job, operation, program, fixture")
	state := f.choose("state", "State", "all states", words(running, canStart, waits, planned, held))
	kit := f.choose("kit", "Kit", "any", words(complete, planned, short, noKit))
	var out []dispatch.Run
	for _, run := range ix.runsOf(st) {
		o := ix.op(run.Op)
		if state != "" && ix.runState(run, now).Word != state || kit != "" && kitHatch(run.Kit).Word != kit {
			continue
		}
		if within(q, string(ix.job(run.Op).ID), ix.job(run.Op).Name, o.Name, string(o.Program), o.Fixture, string(o.Drawing)) {
			out = append(out, run)
		}
	}
	return out
}

// runList is the columns of a station's run list.
func (ix *index) runList(st plant.StationID, now plant.Time) *list[dispatch.Run] {
	loc := ix.book.StationZone(st)
	return &list[dispatch.Run]{
		name: "run-list-" + string(st), one: "job", many: "jobs", order: "place",
		empty: "Nothing is planned here. Make a plan, or widen the filter.",
		columns: []column[dispatch.Run]{
			{key: "place", title: "No.", number: true, cell: func(r dispatch.Run) cell { return whole(r.Slot + 1) }},
			{key: "job", title: "Job", cell: func(r dispatch.Run) cell {
				return link(string(ix.job(r.Op).ID), ix.opHref(r.Op)).code().under(jobText(ix.job(r.Op)))
			}},
			{key: "operation", title: "Operation", cell: func(r dispatch.Run) cell {
				return text(strconv.Itoa(ix.op(r.Op).Seq) + " " + ix.op(r.Op).Name).under(ix.op(r.Op).Note)
			}},
			{key: "state", title: "State", wide: true, cell: func(r dispatch.Run) cell {
				return lining(ix.runState(r, now)).under(joined(ix.handText(r.Op), blocksText(r.Blocks)))
			}},
			{key: "kit", title: "Kit", cell: func(r dispatch.Run) cell {
				if r.Kit == dispatch.KitNone || r.Kit == "" {
					return text("no kit")
				}
				return lining(kitHatch(r.Kit)).to(ix.kitHref(r.Op))
			}},
			{key: "start", title: "Start", number: true, cell: func(r dispatch.Run) cell {
				c := at(r.Start, loc)
				if r.Setup < r.Start {
					c.Under = "setup from " + clockTime(r.Setup, loc)
				}
				return c
			}},
			{key: "end", title: "End", number: true, cell: func(r dispatch.Run) cell { return at(r.End, loc).to(ix.timesHref(r.Op)) }},
			{key: "program", title: "Program", cell: func(r dispatch.Run) cell { return ix.programCell(r.Op) }},
			{key: "fixture", title: "Fixture", cell: func(r dispatch.Run) cell { return text(ix.op(r.Op).Fixture).code() }},
			{key: "drawing", title: "Drawing", cell: func(r dispatch.Run) cell { return ix.drawingCell(r.Op) }},
			{key: "setup", title: "Setup", fileOnly: true, cell: func(r dispatch.Run) cell { return at(r.Setup, loc) }},
			{key: "item", title: "Item", fileOnly: true, cell: func(r dispatch.Run) cell { return text(ix.job(r.Op).Name) }},
			{key: "pieces", title: "Pieces", fileOnly: true, cell: func(r dispatch.Run) cell { return whole(ix.job(r.Op).Pieces) }},
			{key: "blocks", title: "What blocks", fileOnly: true, cell: func(r dispatch.Run) cell { return text(blocksText(r.Blocks)) }},
		},
	}
}

// blocksText says what keeps an operation from starting and who clears it, in one line.
func blocksText(blocks []dispatch.Block) string {
	var parts []string
	for _, b := range blocks {
		p := b.What
		if by := b.By(); by != "" {
			p += ", cleared by " + by
		}
		parts = append(parts, p)
	}
	return strings.Join(parts, "; ")
}

// joined puts texts that are not empty into one line.
func joined(texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(s string) bool { return s == "" }), "; ")
}

func jobText(j *needs.Job) string { return j.Name + ", " + count(j.Pieces, "piece", "pieces") }

// programCell shows a program with its revision, and marks one that may not be run.
func (ix *index) programCell(op int) cell {
	id := ix.op(op).Program
	if id == "" {
		return text("")
	}
	p := ix.book.Programs[id]
	if p == nil {
		return text(string(id)).under("not in the shop book").late(true)
	}
	return approval(string(id), p.Revision, p.Approved)
}

func (ix *index) drawingCell(op int) cell {
	id := ix.op(op).Drawing
	if id == "" {
		return text("")
	}
	d := ix.book.Drawings[id]
	if d == nil {
		return text(string(id)).under("not in the shop book").late(true)
	}
	return approval(string(id), d.Revision, d.Approved)
}

func approval(id, revision string, approved bool) cell {
	c := text(id).code().under("rev " + revision)
	if !approved {
		c.Late, c.Under = true, "rev "+revision+", not approved"
	}
	return c
}

// firstCards shows what the station does now and next in full, and the cautions of that work.
func (ix *index) firstCards(runs []dispatch.Run, now plant.Time) (cards []runCard, cautions []string) {
	seen := map[string]bool{}
	for i, run := range runs {
		if i == 2 {
			break
		}
		cards = append(cards, ix.runCard(run, now, i))
		for _, c := range needs.Cautions(ix.book, ix.view.Needs, run.Op) {
			if !seen[c] {
				seen[c] = true
				cautions = append(cautions, c)
			}
		}
	}
	return cards, cautions
}

func (ix *index) runCard(run dispatch.Run, now plant.Time, i int) runCard {
	o, j, loc := ix.op(run.Op), ix.job(run.Op), ix.opZone(run.Op)
	c := runCard{Title: "Next", Job: string(j.ID), Href: ix.opHref(run.Op), State: ix.runState(run, now), Note: o.Note}
	if st := ix.opState(run.Op); st == running || st == drying {
		c.Title = "Now"
	} else if i > 0 {
		c.Title = "After that"
	}
	c.Facts = []fact{{"Operation", text(strconv.Itoa(o.Seq) + " " + o.Name)}, {"Item", text(jobText(j))}, {"Setup", at(run.Setup, loc)}, {"Start", at(run.Start, loc)},
		{"End", at(run.End, loc).to(ix.timesHref(run.Op))}}
	for _, x := range []fact{{"Program", ix.programCell(run.Op)}, {"Fixture", text(o.Fixture)}, {"Drawing", ix.drawingCell(run.Op)}} {
		if x.Text != "" {
			c.Facts = append(c.Facts, x)
		}
	}
	if k, ok := ix.kits[run.Op]; ok {
		c.Facts = append(c.Facts, fact{"Kit", lining(kitHatch(ix.view.Kits[k].State)).to(ix.kitHref(run.Op))})
	}
	c.Facts = append(c.Facts, fact{"Traveller", link("print", travellerHref(j.ID))})
	if o.Hold {
		c.Facts = append(c.Facts, fact{"Hold point", text("nothing goes on until it is signed")})
	}
	for _, b := range run.Blocks {
		c.Blocks = append(c.Blocks, block{b.What, b.By(), momentOf(b.Until, loc)})
	}
	return c
}
