package disjunct

import "slices"

// loadBound bounds the makespan by the work that machines must share out among them. For any weights of the machines that add
// up to 1, the mean of what each needs (earliest begin, work, shortest way after) is a bound, and no sharing is better than
// giving each operation to the machine where weight times time is least: this is the dual of sharing out operations in
// parts. Weights are bettered by raising those of loaded machines (Arora, Hazan and Kale, "The multiplicative weights update
// method", Theory of Computing 8, 2012). It is done for all operations, and for those that begin or end past some instants.
func loadBound(machines int, options [][]Option, head, tail []int) int {
	bound := 0
	for _, a := range instants(head) {
		for _, b := range instants(tail) {
			var ops []int
			for o := range options {
				if head[o] >= a && tail[o] >= b {
					ops = append(ops, o)
				}
			}
			bound = max(bound, newLoads(machines, options, ops, head, tail).best())
		}
	}
	return bound
}

// instants picks up to eight of the values, the least among them.
func instants(values []int) []int {
	v := slices.Clone(values)
	slices.Sort(v)
	v = slices.Compact(v)
	if len(v) > 8 {
		v = v[:8]
	}
	return v
}

type loads struct {
	options [][]Option
	ops     []int
	fixed   []int // by machine: earliest begin and shortest way after
	used    []bool
	weight  []int
	load    []int
}

// whole is the sum of weights: integers, so that the bound is exact.
const whole = 1 << 16

func newLoads(machines int, options [][]Option, ops, head, tail []int) *loads {
	l := &loads{options: options, ops: ops, fixed: make([]int, machines), used: make([]bool, machines), weight: make([]int, machines), load: make([]int, machines)}
	early, after := make([]int, machines), make([]int, machines)
	for _, o := range ops {
		for _, x := range options[o] {
			m := x.Machine
			if !l.used[m] {
				l.used[m], early[m], after[m] = true, head[o], tail[o]
			}
			early[m], after[m] = min(early[m], head[o]), min(after[m], tail[o])
		}
	}
	for m := range l.fixed {
		l.fixed[m] = early[m] + after[m]
	}
	return l
}

// best gives the best bound of some hundred weights.
func (l *loads) best() int {
	w := make([]float64, len(l.used))
	for m, used := range l.used {
		if used {
			w[m] = 1
		}
	}
	bound := 0
	for step := 1; step <= 200; step++ {
		sum, top := 0.0, 0
		for _, x := range w {
			sum += x
		}
		if sum == 0 {
			return bound
		}
		total := 0
		for m, x := range w {
			l.weight[m] = int(x / sum * whole)
			total += l.weight[m]
			if w[m] > w[top] {
				top = m
			}
		}
		l.weight[top] += whole - total
		bound = max(bound, l.value())
		most := 1
		for _, x := range l.load {
			most = max(most, x)
		}
		for m, x := range l.load {
			w[m] = w[m] / sum * (1 + 4/float64(step+3)*float64(x-bound)/float64(most))
		}
	}
	return bound
}

// value gives the bound of the weights, and in load what each machine needs if operations go where they weigh least.
func (l *loads) value() int {
	for m := range l.load {
		l.load[m] = 0
		if l.used[m] {
			l.load[m] = l.fixed[m]
		}
	}
	for _, o := range l.ops {
		list := l.options[o]
		best := list[0]
		for _, x := range list[1:] {
			if l.weight[x.Machine]*x.Time < l.weight[best.Machine]*best.Time {
				best = x
			}
		}
		l.load[best.Machine] += best.Time
	}
	sum := 0
	for m, x := range l.load {
		sum += l.weight[m] * x
	}
	return (sum + whole - 1) / whole
}
