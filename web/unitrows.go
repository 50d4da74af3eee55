package web

import (
	"strings"

	"tackline/floor"
	"tackline/needs"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
)

// atRisk is the slack below which a unit that is in time counts as at risk: one day.
const atRisk plant.Seconds = 24 * 3600

// unitRow is what the lists show of one unit.
type unitRow struct {
	unit     int
	name     string // of the product
	choice   string // its options in words: "4 jaws, closed, rotator"
	class    string
	state    hatching
	done     int // operations
	ops      int
	planned  bool // it has a ship date
	ship     plant.Time
	slack    plant.Seconds
	sentence string
}

// why is the part of the sentence that says what fills the time, shortened to what weighs most: lists show date and slack
// beside it.
func (u *unitRow) why() string {
	_, fills, ok := strings.Cut(u.sentence, ": ")
	if !ok {
		return u.sentence
	}
	parts := strings.Split(strings.TrimSuffix(fills, "."), ", ")
	return strings.Join(parts[:min(len(parts), 3)], ", ")
}

func (u *unitRow) isLate() bool { return u.planned && u.slack < 0 }
func (u *unitRow) isAtRisk() bool {
	return u.planned && u.state != done && u.slack >= 0 && u.slack < atRisk
}

// unitRows makes the row of each unit of the view.
func unitRows(ix *index) []unitRow {
	v := ix.view
	rows := make([]unitRow, len(v.Needs.Units))
	for i := range rows {
		u := &v.Needs.Units[i]
		rows[i] = unitRow{unit: i, name: ix.itemName(u.Product), choice: ix.choiceText(u), class: ix.className(u.Class)}
		rows[i].state = ix.unitState(i, &rows[i])
	}
	for i := range v.Why {
		e := &v.Why[i]
		if e.Unit < 0 || e.Unit >= len(rows) || e.Ship <= 0 || e.Ship >= plant.Never {
			continue
		}
		rw := &rows[e.Unit]
		rw.planned, rw.ship, rw.slack, rw.sentence = true, e.Ship, e.Slack, e.Sentence
	}
	return rows
}

// choiceText says what was chosen of the product's options, in their order: numbers after the option's name, values, and
// the names of what was answered yes. None and no are left out.
func (ix *index) choiceText(u *needs.Unit) string {
	var parts []string
	for _, o := range ix.book.OptionsOf[u.Product] {
		value, ok := u.Options[o.Option]
		if !ok || value == "" || value == "none" {
			continue
		}
		switch {
		case o.Kind == "number" || strings.Trim(value, "0123456789.") == "":
			parts = append(parts, spaced(o.Option)+" "+value)
		case o.Kind != "yes-no":
			parts = append(parts, value)
		case value == "yes":
			parts = append(parts, spaced(o.Option))
		}
	}
	return strings.Join(parts, ", ")
}

// spaced writes the name of an option as words: return_line is "return line".
func spaced(o plant.OptionID) string { return strings.ReplaceAll(string(o), "_", " ") }

// unitState says in one word how far a unit is: the most urgent of its operations speaks for it.
func (ix *index) unitState(unit int, rw *unitRow) hatching {
	var isHeld, isRunning, isLeft bool
	for _, j := range ix.jobsOf[unit] {
		for _, op := range ix.view.Needs.Jobs[j].Ops {
			rw.ops++
			switch ix.opState(op) {
			case done:
				rw.done++
			case held:
				isHeld = true
			case running, drying, awayState:
				isRunning = true
			case noPlace:
				isLeft = true
			}
		}
	}
	switch {
	case isHeld:
		return held
	case isLeft:
		return noPlace
	case isRunning:
		return running
	case rw.done == rw.ops && rw.ops > 0:
		return done
	case rw.done > 0:
		return waits
	}
	return planned
}

// opState says in one word how far an operation is: by what the floor has recorded, or else by the plan and what it began from.
func (ix *index) opState(op int) hatching {
	if o, ok := ix.liveOp(op); ok {
		switch {
		case o.Phase == floor.Done:
			return done
		case len(o.Holds) > 0:
			return held
		case o.Phase == floor.Paused:
			return paused
		case o.Phase == floor.Running:
			return ix.runningState(op)
		}
	}
	if _, isHeld := ix.held[op]; isHeld {
		return held
	}
	if op < len(ix.view.Problem.Ops) {
		switch ix.view.Problem.Ops[op].State {
		case schedule.Done:
			return done
		case schedule.Running:
			return ix.runningState(op)
		case schedule.Frozen:
			return frozen
		}
	}
	if _, ok := ix.slot(op); !ok {
		return noPlace
	}
	return planned
}

// runningState is the word for an operation that runs.
func (ix *index) runningState(op int) hatching {
	switch ix.op(op).Nature {
	case product.Dwell:
		return drying
	case product.Away:
		return awayState
	}
	return running
}

// slackCell shows how early or late a unit is.
func (u *unitRow) slackCell() cell {
	if !u.planned {
		return cell{Text: "no date", Number: -1e18, Exact: true, Late: true}
	}
	c := number(u.slack.Hours(), slackText(u.slack)).late(u.isLate())
	if u.isAtRisk() {
		c.Under = "at risk"
	}
	return c
}

// shipCell shows when a unit ships.
func (ix *index) shipCell(u *unitRow) cell {
	if !u.planned {
		return at(0, ix.first)
	}
	return at(u.ship, ix.zone(ix.view.Needs.Units[u.unit].Plant)).late(u.isLate())
}

// unitCell shows the number and the product of a unit.
func (ix *index) unitCell(u *unitRow) cell {
	id := ix.view.Needs.Units[u.unit].ID
	what := u.name
	if u.choice != "" {
		what += ": " + u.choice
	}
	return link(string(id), unitHref(id)).code().under(what)
}

// unitsText names units in words: the first few, then how many more.
func unitsText(ids []plant.UnitID, most int) string {
	s := ""
	for i, id := range ids {
		if i == most {
			return s + " and " + count(len(ids)-i, "more", "more")
		}
		if i > 0 {
			s += ", "
		}
		s += string(id)
	}
	return s
}
