package web

import (
	"strconv"

	"tackline/plant"
	"tackline/schedule"
)

// scoreTerm is one term of the objective in the score of a plan, in its own unit and as money, with what no plan is below.
type scoreTerm struct {
	name, unit   string
	own          float64
	money, least plant.Money
}

// scoreTerms gives the terms of the objective, always in the same order.
func scoreTerms(s *schedule.Score) []scoreTerm {
	return []scoreTerm{
		{"Lateness", "days", s.LateDays, s.Lateness, s.Least.Lateness},
		{"Branches waiting", "h", s.WaitHours, s.Waiting, s.Least.Waiting},
		{"Setups", "h", s.SetupHours, s.Setups, s.Least.Setups},
		{"Overtime", "h", s.OvertimeHour, s.Overtime, 0},
		{"Moves in the freeze", "operations", float64(s.Moves), s.Moved, s.Least.Moved},
		{"Pins that begin late", "h", s.PinHours, s.Pins, s.Least.Pins},
	}
}

// shown is a term in its own unit; operations are only counted.
func (t *scoreTerm) shown() string {
	switch t.unit {
	case "h":
		return hours(t.own)
	case "operations":
		return strconv.Itoa(int(t.own))
	}
	return plainNumber(round1(t.own)) + " " + t.unit
}
