package setout

import (
	"fmt"
	"time"

	"tackline/book"
	"tackline/calendar"
	"tackline/fault"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

const day = 24 * 3600 // seconds

// Problem sets r out as far ahead as the setting horizon_days says. An error is a fault.List.
func Problem(ix *book.Index, r *needs.Result) (*schedule.Problem, error) {
	days := ix.Book.SettingNumber("horizon_days")
	return ProblemUntil(ix, r, r.Now.Add(plant.Seconds(days*day)))
}

// ProblemUntil sets r out until horizon: calendars and crews are known until then, and later is closed. It serves where a
// plan does not fit into the usual horizon. An error is a fault.List.
func ProblemUntil(ix *book.Index, r *needs.Result, horizon plant.Time) (*schedule.Problem, error) {
	b := &builder{
		ix: ix, r: r, now: r.Now, to: horizon, from: r.Now.Add(-60 * day),
		stations: map[plant.StationID]int{}, centres: map[plant.CentreID]int{}, pools: map[plant.PoolID]int{},
		families: map[plant.Family]int{"": 0}, opens: map[plant.CalendarID]opening{},
		carriers: map[book.Way]int{}, shapes: map[shape]*ways{}, said: map[string]bool{},
	}
	b.readFloor()
	number := ix.Book.SettingNumber
	b.p = &schedule.Problem{
		Now: r.Now, Horizon: horizon, Freeze: r.Now.Add(plant.HoursToSeconds(number("freeze_hours"))),
		Families: []plant.Family{""},
		Weights: schedule.Weights{
			Wait:     number("wait_share_per_hour"),
			Setup:    plant.MoneyOf(number("setup_per_hour")),
			Overtime: plant.MoneyOf(number("overtime_per_hour")),
			Move:     plant.MoneyOf(number("move_cost")),
			Pin:      plant.MoneyOf(number("pin_per_hour")),
		},
	}
	b.plant()
	b.units()
	b.jobs()
	b.ops()
	b.settle()
	b.hands()
	b.links()
	b.changeovers()
	if err := b.faults.Err(); err != nil {
		return nil, err
	}
	return b.p, nil
}

// builder holds what is known while a Problem is made.
type builder struct {
	ix       *book.Index
	r        *needs.Result
	p        *schedule.Problem
	now      plant.Time
	from, to plant.Time // calendars are expanded between these
	centres  map[plant.CentreID]int
	stations map[plant.StationID]int
	pools    map[plant.PoolID]int
	families map[plant.Family]int
	opens    map[plant.CalendarID]opening
	carriers map[book.Way]int
	shapes   map[shape]*ways
	floor    map[book.JobOp]fact
	said     map[string]bool
	faults   fault.List
}

// opening is the open time of a calendar, and the part of it that is overtime.
type opening struct{ open, overtime calendar.Open }

// fail reports a fault once, however many operations meet it. row is an index into the table, or -1.
func (b *builder) fail(table string, row int, column, text string, args ...any) {
	f := &fault.Fault{Kind: fault.Invalid, Table: table, Row: row + 2, Column: column, Text: fmt.Sprintf(text, args...)}
	if row < 0 {
		f.Row = 0
	}
	if key := f.Error(); !b.said[key] {
		b.said[key] = true
		b.faults = append(b.faults, f)
	}
}

// inWords writes an instant for people.
func inWords(t plant.Time, loc *time.Location) string { return t.In(loc).Format("2006-01-02 15:04") }

func (b *builder) units() {
	b.p.Units = make([]schedule.Unit, len(b.r.Units))
	for i := range b.r.Units {
		u := &b.r.Units[i]
		out := &b.p.Units[i]
		*out = schedule.Unit{ID: u.ID, Due: u.Due, Last: schedule.None}
		if c := b.ix.Classes[u.Class]; c != nil {
			out.LateDay = c.Late
		}
		if ops := b.opsOf(u.Top); len(ops) > 0 {
			out.Last = ops[len(ops)-1]
		} else {
			b.fail("items", -1, "item", "%s is ordered (unit %s), but no operation makes it", u.Product, u.ID)
		}
	}
}

// opsOf gives the operations of a job, none for job None.
func (b *builder) opsOf(job int) []int {
	if job < 0 {
		return nil
	}
	return b.r.Jobs[job].Ops
}

func (b *builder) jobs() {
	b.p.Jobs = make([]schedule.Job, len(b.r.Jobs))
	for i := range b.r.Jobs {
		j := &b.r.Jobs[i]
		b.p.Jobs[i] = schedule.Job{ID: j.ID, Item: j.Item, Unit: j.Unit, Pieces: j.Pieces, Value: j.Value, Parent: j.Parent}
	}
	for i := range b.r.Demands {
		for _, c := range b.r.Demands[i].Covers {
			if c.Kind == needs.FromJob && b.p.Jobs[c.Job].Parent == schedule.None {
				b.p.Jobs[c.Job].Parent = b.r.Demands[i].Job
			}
		}
	}
}
