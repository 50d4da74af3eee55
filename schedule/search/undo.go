package search

// undo holds what a change of the plan has touched, as it was, so that the change can be taken back.
type undo struct {
	on       bool
	now      uint32   // number of the change
	opAt     []uint32 // by operation: the change that touched it last
	seqAt    []uint32 // by station
	ops      []saved
	stations []int32
	seqs     [][]entry // sequences of stations, in their order; buffers are used again
	money    float64
}

type saved struct {
	op, leader, next int32
	visit            visit
}

// start begins a change.
func (s *state) start() {
	u := &s.log
	if u.opAt == nil {
		u.opAt, u.seqAt = make([]uint32, len(s.m.ops)), make([]uint32, len(s.seqs))
	}
	u.on = true
	u.now++
	u.ops, u.stations = u.ops[:0], u.stations[:0]
	u.money = s.money
}

// touch notes an operation before it, or the visit that it leads, is changed.
func (s *state) touch(o int32) {
	u := &s.log
	if !u.on || u.opAt[o] == u.now {
		return
	}
	u.opAt[o] = u.now
	u.ops = append(u.ops, saved{o, s.leader[o], s.next[o], s.visits[o]})
}

// touchSeq notes the sequence of a station before it is changed.
func (s *state) touchSeq(station int32) {
	u := &s.log
	if !u.on || u.seqAt[station] == u.now {
		return
	}
	u.seqAt[station] = u.now
	n := len(u.stations)
	if n == len(u.seqs) {
		u.seqs = append(u.seqs, nil)
	}
	u.seqs[n] = append(u.seqs[n][:0], s.seqs[station]...)
	u.stations = append(u.stations, station)
}

// takeBack undoes the change.
func (s *state) takeBack() {
	u := &s.log
	for i := range u.ops {
		if o := u.ops[i].op; s.leader[o] == o {
			s.crew(&s.visits[o], -1)
			s.stay(&s.visits[o], -1)
		}
	}
	for i := range u.ops {
		x := &u.ops[i]
		s.leader[x.op], s.next[x.op], s.visits[x.op] = x.leader, x.next, x.visit
	}
	for i := range u.ops {
		if o := u.ops[i].op; s.leader[o] == o {
			s.crew(&s.visits[o], 1)
			s.stay(&s.visits[o], 1)
		}
	}
	for i, station := range u.stations {
		s.seqs[station] = append(s.seqs[station][:0], u.seqs[i]...)
	}
	s.money = u.money
}
