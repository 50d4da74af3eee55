package search

import (
	"fmt"

	"tackline/schedule"
)

// dispatchRules are dispatching rules of the literature, as shops use them: the waiting operation with the highest index goes onto
// the station that is free; nothing is kept back, nothing is moved afterwards. See index for their sources.
func dispatchRules() []rule {
	return []rule{
		{name: "earliest due date", index: byDue, dispatch: true, patience: 1},
		{name: "apparent tardiness cost", index: byCost, dispatch: true, near: 2, change: 1e9, patience: 1},
		{name: "apparent tardiness cost with setups", index: byCost, dispatch: true, near: 2, change: 0.5, setupBias: 1, patience: 1},
		{name: "critical ratio", index: byRatio, dispatch: true, patience: 1},
		{name: "slack per operation", index: bySlackPerOp, dispatch: true, patience: 1},
		{name: "first come", index: byArrival, dispatch: true, patience: 1},
	}
}

// DispatchRules names the rules that Dispatch knows.
func DispatchRules() []string {
	var names []string
	for _, r := range dispatchRules() {
		names = append(names, r.name)
	}
	return names
}

// Dispatch makes the plan of a dispatching rule, to measure a search by. It gives an error if the rule is not one of
// DispatchRules, or as Run does if p has no meaning.
func Dispatch(p *schedule.Problem, name string) (*schedule.Plan, error) {
	for _, r := range dispatchRules() {
		if r.name != name {
			continue
		}
		m, err := newModel(p)
		if err != nil {
			return nil, err
		}
		s := newState(m)
		s.reset(&r)
		s.dispatch(func() bool { return false })
		plan := &schedule.Plan{Status: schedule.Complete, Rule: name}
		if plan.Slots, plan.Left = s.result(); len(plan.Left) > 0 {
			plan.Status = schedule.Incomplete
		}
		return plan, nil
	}
	return nil, fmt.Errorf("there is no dispatching rule %q", name)
}
