package floor_test

import (
	"fmt"

	"tackline/floor"
	"tackline/plant"
)

// Two people start one operation: the first is recorded, the second is told.
func Example() {
	state := floor.NewState()
	rules := floor.Rules{Limit: func(plant.StationID) int { return 1 }, When: func(t plant.Time) string { return fmt.Sprint(t) }}
	for n, who := range []plant.PersonID{"p-101", "p-102"} {
		e := floor.Event{ID: floor.NewID(1764000000000+int64(n), [10]byte{}), Kind: floor.Start, Plant: "brackwater", Device: "robot-1", Person: who,
			At: 1764000000, Job: "1042-1-1/jaw-4c", Seq: 20, Station: "weld-robot-1"}
		if err := state.Refuse(&e, nil, rules); err != nil {
			fmt.Println(err)
			continue
		}
		state.Apply(&e, nil)
	}
	op := state.Ops[floor.OpKey{Job: "1042-1-1/jaw-4c", Seq: 20}]
	fmt.Println(op.Phase, op.People())
	// Output:
	// It runs already, on weld-robot-1 since 1764000000.
	// running [p-101]
}
