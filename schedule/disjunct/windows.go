package disjunct

import (
	"cmp"
	"slices"

	"tackline/schedule/precedence"
)

// windows holds, for a makespan that is put to the test, the earliest begin and latest end of each operation and the machines
// it can still be on. Operations are numbered from 0.
type windows struct {
	in    *Instance
	topo  []int
	after [][]int    // those that wait for the operation
	opts  [][]Option // still possible
	time  []int      // the least of them
	early []int      // earliest begin
	late  []int      // latest end
	on    [][]int    // by machine: operations that must be there
	stale []bool     // by machine: a window on it has changed
	work  int        // done: operations looked at
	s     oneMachine
}

func newWindows(in *Instance) *windows {
	n := len(in.Options)
	w := &windows{in: in, topo: precedence.Order(in.After), after: precedence.Next(in.After), opts: make([][]Option, n), time: make([]int, n), early: make([]int, n), late: make([]int, n),
		on:    make([][]int, in.Machines),
		stale: make([]bool, in.Machines)}
	w.reset(0)
	return w
}

// reset opens every window for the makespan span.
func (w *windows) reset(span int) {
	for m := range w.on {
		w.on[m] = w.on[m][:0]
	}
	for o, list := range w.in.Options {
		w.opts[o] = append(w.opts[o][:0], list...)
		w.early[o], w.late[o] = 0, span
		w.settle(o)
	}
}

// settle takes note of the machines left for o.
func (w *windows) settle(o int) {
	least := w.opts[o][0].Time
	for _, x := range w.opts[o] {
		least = min(least, x.Time)
	}
	w.time[o] = least
	if len(w.opts[o]) == 1 {
		m := w.opts[o][0].Machine
		w.on[m] = append(w.on[m], o)
		w.stale[m] = true
	}
}

func (w *windows) copyFrom(v *windows) {
	copy(w.time, v.time)
	copy(w.early, v.early)
	copy(w.late, v.late)
	for o := range v.opts {
		w.opts[o] = append(w.opts[o][:0], v.opts[o]...)
	}
	for m := range v.on {
		w.on[m] = append(w.on[m][:0], v.on[m]...)
		w.stale[m] = v.stale[m]
	}
}

// narrow draws conclusions until there are none; false if nothing fits, which proves that no plan is as short.
func (w *windows) narrow() bool {
	for changed := true; changed; {
		w.work += len(w.opts)
		if !w.along() {
			return false
		}
		changed = false
		for m := range w.on {
			if !w.stale[m] || len(w.on[m]) < 2 {
				continue
			}
			w.stale[m] = false
			w.work += len(w.on[m]) * len(w.on[m])
			w.s.load(w, w.on[m])
			if !w.s.narrow() {
				return false
			}
			changed = w.s.store(w) || changed
		}
		changed = w.drop() || changed
	}
	return true
}

// along takes windows along the precedence; false if one is too narrow.
func (w *windows) along() bool {
	for _, o := range w.topo {
		early := w.early[o]
		for _, b := range w.in.After[o] {
			early = max(early, w.early[b]+w.time[b])
		}
		if early > w.early[o] {
			w.from(o, early)
		}
	}
	for i := len(w.topo) - 1; i >= 0; i-- {
		o := w.topo[i]
		late := w.late[o]
		for _, x := range w.after[o] {
			late = min(late, w.late[x]-w.time[x])
		}
		if late < w.late[o] {
			w.until(o, late)
		}
		if w.early[o]+w.time[o] > late {
			return false
		}
	}
	return true
}

// from raises the earliest begin of o, until lowers its latest end.
func (w *windows) from(o, early int) {
	w.early[o] = early
	if len(w.opts[o]) == 1 {
		w.stale[w.opts[o][0].Machine] = true
	}
}

func (w *windows) until(o, late int) {
	w.late[o] = late
	if len(w.opts[o]) == 1 {
		w.stale[w.opts[o][0].Machine] = true
	}
}

// drop takes away machines on which an operation would not fit into its window, alone or beside what must be there.
func (w *windows) drop() bool {
	dropped := false
	for o, list := range w.opts {
		if len(list) == 1 {
			continue
		}
		kept := list[:0]
		for _, x := range list {
			if w.fits(o, x) {
				kept = append(kept, x)
			}
		}
		if len(kept) == 0 {
			kept = list[:1] // it fits nowhere: along will say so, as the window is made empty
			w.late[o] = w.early[o] - 1
		}
		if len(kept) < len(list) {
			w.opts[o] = kept
			w.settle(o)
			dropped = true
		}
	}
	return dropped
}

// fits says whether o can be within its window on the machine of x, before or after each operation that must be there.
func (w *windows) fits(o int, x Option) bool {
	if w.early[o]+x.Time > w.late[o] {
		return false
	}
	for _, a := range w.on[x.Machine] {
		if w.early[o]+x.Time+w.time[a] > w.late[a] && w.early[a]+w.time[a]+x.Time > w.late[o] {
			return false
		}
	}
	return true
}

// oneMachine draws conclusions about operations that share a machine. It sees them mirrored in time to deal with latest ends.
type oneMachine struct {
	ops               []int
	early, time, late []int // by place in ops
	by                []int // places by earliest begin
	c, raised         []int
}

func (s *oneMachine) load(w *windows, ops []int) {
	s.ops = append(s.ops[:0], ops...)
	s.early, s.time, s.late = s.early[:0], s.time[:0], s.late[:0]
	for _, o := range ops {
		s.early, s.time, s.late = append(s.early, w.early[o]), append(s.time, w.time[o]), append(s.late, w.late[o])
	}
}

// store brings narrowed windows back; true if one is narrower than before.
func (s *oneMachine) store(w *windows) bool {
	changed := false
	for i, o := range s.ops {
		if s.early[i] > w.early[o] {
			w.from(o, s.early[i])
			changed = true
		}
		if s.late[i] < w.late[o] {
			w.until(o, s.late[i])
			changed = true
		}
	}
	return changed
}

func (s *oneMachine) narrow() bool {
	ok := s.push()
	s.mirror()
	ok = ok && s.push()
	s.mirror()
	return ok
}

func (s *oneMachine) mirror() {
	for i := range s.ops {
		s.early[i], s.late[i] = -s.late[i], -s.early[i]
	}
}

// push raises earliest begins by edge finding (Carlier and Pinson, "An algorithm for solving the job-shop problem", Management
// Science 35, 1989; in the form of Baptiste, Le Pape and Nuijten, Constraint-Based Scheduling, 2001, section 2.4) and by
// what must come before for want of room behind; false if a set of operations has more work than time.
func (s *oneMachine) push() bool {
	n := len(s.ops)
	s.by = s.by[:0]
	for i := range n {
		s.by = append(s.by, i)
	}
	slices.SortFunc(s.by, func(a, b int) int { return cmp.Compare(s.early[a], s.early[b]) })
	s.c = append(s.c[:0], s.early...) // for its length
	s.raised = append(s.raised[:0], s.early...)
	raised := s.raised
	for k := range n {
		if !s.pushBehind(s.late[k], raised) {
			return false
		}
	}
	for i := range n { // each that i cannot come before
		end := -1 << 40
		for _, j := range s.by {
			if j != i && s.early[i]+s.time[i]+s.time[j] > s.late[j] {
				end = max(end, s.early[j]) + s.time[j]
			}
		}
		raised[i] = max(raised[i], end)
	}
	copy(s.early, raised)
	return true
}

// pushBehind raises the begins of operations that must come after sets of those due by d.
func (s *oneMachine) pushBehind(d int, raised []int) bool {
	work, all := 0, -1<<40
	for k := len(s.by) - 1; k >= 0; k-- {
		i := s.by[k]
		if s.late[i] <= d {
			work += s.time[i]
			all = max(all, s.early[i]+work)
			if all > d {
				return false
			}
		}
		s.c[k] = all
	}
	most := -1 << 40
	for k, i := range s.by {
		if s.late[i] <= d {
			most = max(most, s.early[i]+work)
			work -= s.time[i]
			continue
		}
		if work > 0 && s.early[i]+work+s.time[i] > d {
			raised[i] = max(raised[i], s.c[k])
		}
		if most+s.time[i] > d {
			raised[i] = max(raised[i], all)
		}
	}
	return true
}
