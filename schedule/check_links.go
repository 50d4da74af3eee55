package schedule

import (
	"sort"

	"tackline/plant"
)

// checkLink: the operation begins after the one before has passed on its pieces (rules 7 and 8).
func (c *checker) checkLink(l *Link) {
	from, to := &c.p.Ops[l.From], &c.p.Ops[l.To]
	if to.State == Done || to.State == Running || to.State == Frozen && from.State != ToPlan || c.slots[l.To].Station == None {
		return
	}
	rule := orderRule
	if l.Meeting || from.Job != to.Job {
		rule = joinRule
	}
	pair := []int{l.From, l.To}
	if from.State == ToPlan && c.slots[l.From].Station == None {
		c.add(rule, pair, "%s begins, but %s before it has no slot", c.name(l.To), c.name(l.From))
		return
	}
	if c.turnOf[l.To] == None || from.State == ToPlan && c.turnOf[l.From] == None {
		return // reported already: its slot makes no sense
	}
	load := c.slots[l.To].Load
	n := c.lots(l)
	if first := c.arrival(l, 1, n); load < first {
		c.add(rule, pair, "%s begins at %s, before what %s passes on is there at %s", c.name(l.To), clock(load), c.name(l.From), clock(first))
		return
	}
	run := &c.turns[c.turnOf[l.To]].parts[inRun]
	for k := 2; k <= n; k++ {
		at := c.arrival(l, k, n)
		if done, may := run.by(at), portion(l, k-1, run.work); done > may {
			c.add(rule, pair, "%s has run for %s when lot %d of %d from %s is there at %s; the lots before are enough for %s", c.name(l.To),
				lasting(done), k, n, c.name(l.From), clock(at), lasting(may))
			return
		}
	}
}

// lots gives the number of lots in which a link passes on its pieces: 1 if the link is plain, which it is also if To's run
// takes no time.
func (r *reading) lots(l *Link) int {
	to := r.turnOf[l.To]
	if l.Transfer <= 0 || l.Pieces <= l.Transfer || to == None || r.turns[to].parts[inRun].work <= 0 || r.turnOf[l.From] == None {
		return 1
	}
	return (l.Pieces + l.Transfer - 1) / l.Transfer
}

// portion gives the run work that k lots are of work in all, rounded down to seconds.
func portion(l *Link, k int, work plant.Seconds) plant.Seconds {
	return plant.Seconds(int64(k) * int64(l.Transfer) * int64(work) / int64(l.Pieces))
}

// leaves gives the instant at which lot k of n leaves From.
func (r *reading) leaves(l *Link, k, n int) plant.Time {
	if k >= n {
		return r.slots[l.From].End
	}
	run := &r.turns[r.turnOf[l.From]].parts[inRun]
	return run.finished(portion(l, k, run.work))
}

// arrival gives the instant at which lot k of n is at To.
func (r *reading) arrival(l *Link, k, n int) plant.Time { return r.p.Arrives(l, r.leaves(l, k, n)) }

// Arrives gives the arrival of what leaves From at t: after the lag, or with the first truck then; plant.Never if none goes.
func (p *Problem) Arrives(l *Link, t plant.Time) plant.Time {
	t = t.Add(l.Lag)
	if l.Carrier == None {
		return t
	}
	c := &p.Carriers[l.Carrier]
	i := sort.Search(len(c.Departures), func(i int) bool { return c.Departures[i] >= t })
	if i == len(c.Departures) {
		return plant.Never
	}
	return c.Departures[i].Add(c.Transit)
}
