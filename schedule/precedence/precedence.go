// Package precedence holds what bare shops with and without workers have in common: operations that wait for each other.
// They are numbered from 0, and after[o] lists those that must be over before o begins.
package precedence

import "fmt"

// Check gives an error in words if an operation waits for itself or for one that does not exist, or if operations wait for each
// other in a circle.
func Check(after [][]int) error {
	for o, list := range after {
		for _, b := range list {
			if b < 0 || b >= len(after) || b == o {
				return fmt.Errorf("operation %d comes after %d, which is no other operation", o, b)
			}
		}
	}
	if len(Order(after)) < len(after) {
		return fmt.Errorf("the operations wait for each other in a circle")
	}
	return nil
}

// Order gives the operations such that each comes after what it waits for; those on a circle, and what waits for them, are
// missing.
func Order(after [][]int) []int {
	waits := make([]int, len(after))
	next := Next(after)
	var out []int
	for o, list := range after {
		waits[o] = len(list)
		if len(list) == 0 {
			out = append(out, o)
		}
	}
	for i := 0; i < len(out); i++ {
		for _, o := range next[out[i]] {
			if waits[o]--; waits[o] == 0 {
				out = append(out, o)
			}
		}
	}
	return out
}

// Next lists the operations that wait for each.
func Next(after [][]int) [][]int {
	next := make([][]int, len(after))
	for o, list := range after {
		for _, b := range list {
			next[b] = append(next[b], o)
		}
	}
	return next
}

// Ways gives the longest way before and after each operation, by precedence alone, if each takes time; and the longest of all.
// There must be no circle.
func Ways(after [][]int, time []int) (head, tail []int, longest int) {
	head, tail = make([]int, len(after)), make([]int, len(after))
	order := Order(after)
	for _, o := range order {
		for _, b := range after[o] {
			head[o] = max(head[o], head[b]+time[b])
		}
		longest = max(longest, head[o]+time[o])
	}
	for i := len(order) - 1; i >= 0; i-- {
		o := order[i]
		for _, b := range after[o] {
			tail[b] = max(tail[b], tail[o]+time[o])
		}
	}
	return head, tail, longest
}
