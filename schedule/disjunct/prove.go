package disjunct

// prover raises a bound by refuting makespans: it puts one to the test, draws conclusions, and tries what an operation could
// still do (begin early, end late, be on a machine) until nothing fits (Carlier and Pinson, "Adjustment of heads and tails for
// the job-shop problem", EJOR 78, 1994; Martin and Shmoys, "A new approach to computing optimal schedules for the job-shop
// scheduling problem", IPCO 1996).
type prover struct {
	w, try *windows
	work   int // allowed
	stop   func() bool
}

func newProver(in *Instance, stop func() bool) *prover {
	return &prover{w: newWindows(in), try: newWindows(in), stop: stop}
}

// raise gives a bound of at least low: low, or one more than the longest makespan below high that it refutes. With shave it
// tries single operations too, as long as the allowed work lasts.
func (p *prover) raise(low, high int, shave bool, work int) int {
	p.work, p.w.work, p.try.work = work, 0, 0
	for step := 1; low < high && !(shave && p.over()); { // in growing steps: the shorter the makespan, the sooner it is refuted
		span := min(low+step, high) - 1
		if p.refutes(span, shave) {
			low = span + 1
			step *= 2
		} else {
			high = span
			step = 1 + step/8
		}
	}
	return low
}

func (p *prover) over() bool { return p.w.work+p.try.work > p.work || p.stop() }

// refutes says whether it is proved that no plan is over by span.
func (p *prover) refutes(span int, shave bool) bool {
	w := p.w
	w.reset(span)
	if !w.narrow() {
		return true
	}
	if !shave {
		return false
	}
	n := len(w.opts)
	for o, last := 0, 0; o < last+n && !p.over(); o++ { // until all were tried since the last change
		changed, ok := p.shave(o % n)
		if !ok {
			return true
		}
		if changed {
			last = o
		}
	}
	return false
}

// shave cuts off what operation o cannot do; ok is false if nothing is left.
func (p *prover) shave(o int) (changed, ok bool) {
	w := p.w
	for i := 0; len(w.opts[o]) > 1 && i < len(w.opts[o]); {
		x := w.opts[o][i]
		p.try.copyFrom(w)
		p.try.opts[o] = append(p.try.opts[o][:0], x)
		p.try.settle(o)
		if p.try.narrow() {
			i++
			continue
		}
		changed = true
		w.opts[o] = append(w.opts[o][:i], w.opts[o][i+1:]...)
		w.settle(o)
		if !w.narrow() {
			return true, false
		}
	}
	for _, late := range []bool{false, true} {
		for width := 0; !p.over(); {
			room := w.late[o] - w.early[o] - w.time[o]
			if width > room {
				width = room
			}
			p.try.copyFrom(w)
			if late {
				p.try.from(o, w.late[o]-w.time[o]-width)
			} else {
				p.try.until(o, w.early[o]+w.time[o]+width)
			}
			if p.try.narrow() {
				if width == 0 {
					break
				}
				width /= 4
				continue
			}
			changed = true
			if late {
				w.until(o, w.late[o]-width-1)
			} else {
				w.from(o, w.early[o]+width+1)
			}
			if !w.narrow() {
				return true, false
			}
			width = 2*width + 1
		}
	}
	return changed, true
}
