package search

// item is an operation that can be planned: all before it is.
type item struct {
	key      float64
	priority int
	op       int32
}

func (a item) less(b item) bool {
	if a.key != b.key {
		return a.key < b.key
	}
	if a.priority != b.priority {
		return a.priority > b.priority
	}
	return a.op < b.op
}

// heap is a binary heap, the least item first.
type heap []item

func (h *heap) push(x item) {
	*h = append(*h, x)
	a := *h
	for i := len(a) - 1; i > 0; {
		up := (i - 1) / 2
		if !a[i].less(a[up]) {
			return
		}
		a[i], a[up] = a[up], a[i]
		i = up
	}
}

func (h *heap) pop() item {
	a := *h
	top := a[0]
	n := len(a) - 1
	a[0] = a[n]
	a = a[:n]
	for i := 0; ; {
		least := i
		for c := 2*i + 1; c <= 2*i+2 && c < n; c++ {
			if a[c].less(a[least]) {
				least = c
			}
		}
		if least == i {
			break
		}
		a[i], a[least] = a[least], a[i]
		i = least
	}
	*h = a
	return top
}

// checkEvery is the number of operations planned between two looks at whether to stop.
const checkEvery = 128

// serial is forward serial schedule generation (Kolisch 1996): of the operations whose predecessors are planned, the one
// with the least key goes to its earliest place, gaps included. It gives false if stopped.
func (s *state) serial(stop func() bool) bool {
	open := s.waiting()
	var h heap
	for o := range s.m.ops {
		if open[o] == 0 && !s.settled(int32(o)) {
			h.push(s.item(int32(o)))
		}
	}
	for n := 0; len(h) > 0; n++ {
		if n%checkEvery == 0 && stop() {
			return false
		}
		o := h.pop().op
		s.plan(o)
		for _, i := range s.m.out.of(o) {
			to := int32(s.m.p.Links[i].To)
			if open[to]--; open[to] == 0 && !s.settled(to) {
				h.push(s.item(to))
			}
		}
	}
	return true
}

// waiting counts, for each operation, the links from operations that are still to be planned.
func (s *state) waiting() []int32 {
	open := make([]int32, len(s.m.ops))
	for _, l := range s.m.p.Links {
		if !s.settled(int32(l.From)) {
			open[l.To]++
		}
	}
	return open
}

// settled says whether o has its place.
func (s *state) settled(o int32) bool { return s.leader[o] != none || s.left[o] != "" }

func (s *state) item(o int32) item {
	t, ok := s.ready(o)
	if !ok {
		t = s.m.p.Horizon
		s.left[o] = ""
	}
	return item{key: s.key(o, t), priority: s.m.ops[o].priority, op: o}
}
