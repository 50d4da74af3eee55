package staffed_test

import (
	"context"
	"fmt"

	"tackline/schedule/staffed"
)

// Two welds on two stations by two people: the second person is slower on the first weld and cannot do the second. The shortest
// plan gives him the first weld, though it takes longer with him.
func ExampleSolve() {
	in := &staffed.Instance{
		Machines: 2, Workers: 2,
		Modes: [][]staffed.Mode{
			{{Machine: 0, Worker: 0, Time: 4}, {Machine: 0, Worker: 1, Time: 6}},
			{{Machine: 1, Worker: 0, Time: 5}},
		},
		After: [][]int{nil, nil},
	}
	r, err := staffed.Solve(context.Background(), in, staffed.Options{Seed: 1, Rounds: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for o, s := range r.Slots {
		fmt.Printf("operation %d on machine %d with worker %d, %d to %d\n", o, s.Machine, s.Worker, s.Start, s.End)
	}
	fmt.Println("makespan", r.Span, "and no plan is shorter:", r.Bound == r.Span)
	// Output:
	// operation 0 on machine 0 with worker 1, 0 to 6
	// operation 1 on machine 1 with worker 0, 0 to 5
	// makespan 6 and no plan is shorter: true
}
