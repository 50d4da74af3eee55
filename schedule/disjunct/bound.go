package disjunct

import (
	"cmp"
	"container/heap"
	"slices"

	"tackline/schedule/precedence"
)

// Bound gives a makespan that no plan is below: the longest way by precedence alone; for each machine, the operations that can
// only be done there, with their heads and tails, as one machine that may be interrupted (Jackson's preemptive schedule; Carlier,
// "The one-machine sequencing problem", EJOR 11, 1982); and the work that a machine alone, or all together, cannot avoid.
func Bound(in *Instance) int {
	n := len(in.Options)
	least := make([]int, n)
	only := make([]int, n) // the one machine, or -1
	total, flexible := 0, false
	for o, list := range in.Options {
		least[o], only[o] = list[0].Time, list[0].Machine
		for _, x := range list[1:] {
			least[o] = min(least[o], x.Time)
			if x.Machine != only[o] {
				only[o], flexible = -1, true
			}
		}
		total += least[o]
	}
	head, tail, longest := precedence.Ways(in.After, least)
	bound := max(longest, (total+in.Machines-1)/max(in.Machines, 1))
	for m := range in.Machines {
		var ops []int
		for o := range only {
			if only[o] == m {
				ops = append(ops, o)
			}
		}
		bound = max(bound, preemptive(ops, head, least, tail))
	}
	if flexible {
		bound = max(bound, loadBound(in.Machines, in.Options, head, tail))
	}
	return bound
}

// preemptive gives the length of Jackson's preemptive schedule: at each instant the operation with the longest tail.
func preemptive(ops, head, time, tail []int) int {
	ops = slices.Clone(ops)
	slices.SortFunc(ops, func(a, b int) int { return cmp.Compare(head[a], head[b]) })
	q := &byTail{tail: tail}
	left := make(map[int]int, len(ops))
	at, longest := 0, 0
	for i := 0; i < len(ops) || q.Len() > 0; {
		if q.Len() == 0 {
			at = max(at, head[ops[i]])
		}
		for i < len(ops) && head[ops[i]] <= at {
			left[ops[i]] = time[ops[i]]
			heap.Push(q, ops[i])
			i++
		}
		o := q.ops[0]
		until := at + left[o]
		if i < len(ops) {
			until = min(until, head[ops[i]])
		}
		left[o] -= until - at
		at = until
		if left[o] == 0 {
			longest = max(longest, at+tail[o])
			heap.Pop(q)
		}
	}
	return longest
}

// byTail is a heap with the longest tail on top.
type byTail struct {
	ops  []int
	tail []int
}

func (q *byTail) Len() int           { return len(q.ops) }
func (q *byTail) Less(i, j int) bool { return q.tail[q.ops[i]] > q.tail[q.ops[j]] }
func (q *byTail) Swap(i, j int)      { q.ops[i], q.ops[j] = q.ops[j], q.ops[i] }

// Push and Pop are for package heap.
func (q *byTail) Push(x any) { q.ops = append(q.ops, x.(int)) }

// Pop takes the last one off.
func (q *byTail) Pop() any {
	o := q.ops[len(q.ops)-1]
	q.ops = q.ops[:len(q.ops)-1]
	return o
}
