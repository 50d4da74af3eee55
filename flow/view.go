package flow

import (
	"tackline/assume"
	"tackline/book"
	"tackline/dispatch"
	"tackline/fault"
	"tackline/floor"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/setout"
)

// View is a plan with everything derived from it: what the screens and the files show. A View is not changed after it is
// made, so requests share it. Ops, Jobs and Units of Needs and Problem have the same indexes.
type View struct {
	PlanID   int64 // 0: not stored (headless)
	Revision int64 // revision of the book that it was made from
	State    string
	Name     string
	By       string
	Made     plant.Time
	Book     *book.Book
	Index    *book.Index
	Needs    *needs.Result
	Problem  *schedule.Problem
	Plan     *schedule.Plan
	Score    schedule.Score
	Why      []schedule.Explanation // by unit
	Kits     []dispatch.Kit         // operations that consume parts, by due time
	Runs     []dispatch.RunList     // by station in the book's order
	Shorts   []dispatch.Short
	Load     []dispatch.Load
	Assumed  []assume.Assumption  // what a draft was planned under; Book holds them if it is a draft
	Facts    floor.Facts          // what the floor had recorded when it was made
	Unfit    fault.List           // assumptions of a draft that do not fit the book any more and were left out; Row is their place
	Loose    []setout.Loose       // rows planned by hand that say nothing for this plan, or cannot be followed
	Broken   []schedule.Violation // what the checker found; empty on every plan that is adopted

	desk func() *dispatch.Desk // makes it once; see Shop.Desk
}

// States of a plan.
const (
	Draft   = "draft"
	Adopted = "adopted"
	Past    = "past" // was adopted once
)
