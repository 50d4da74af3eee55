package search

import "tackline/schedule"

// mostPulled bounds the visits looked at after a change.
const mostPulled = 200

// pull brings visits of late units forward into the room that a change has made: those after what was taken out or put back,
// on the same station or next in their jobs, and then those after what has come forward.
func (c *chain) pull() {
	s := c.s
	c.queue = c.queue[:0]
	for _, h := range c.room {
		c.pushFrom(h)
	}
	for _, o := range s.gone {
		c.pushAfter(s.leader[o])
	}
	for n := 0; n < len(c.queue) && n < mostPulled; n++ {
		lead := c.queue[n]
		v := &s.visits[lead]
		if s.leader[lead] != lead || v.fixed || v.kept || !c.late(lead) || !s.mayBeEarlier(lead) {
			continue
		}
		load := v.load
		s.moveIf(lead, min(0, s.waitRate(lead)), func() bool { return s.earliestFit(lead) })
		if v.load < load {
			c.pushAfter(lead)
		}
	}
}

// pushFrom puts the first visit of a station from a hole on into the queue.
func (c *chain) pushFrom(h hole) {
	seq := c.s.seqs[h.station]
	if i := firstRun(seq, h.run); i < len(seq) {
		c.queue = append(c.queue, seq[i].visit)
	}
}

// pushAfter puts what comes after a visit into the queue, on its station and in its jobs.
func (c *chain) pushAfter(lead int32) {
	s := c.s
	v := &s.visits[lead]
	if v.takes == schedule.One || v.takes == schedule.Batch {
		c.pushFrom(hole{v.station, v.run + 1})
	}
	for o := lead; o != none; o = s.next[o] {
		for _, i := range s.m.out.of(o) {
			if to := s.leader[s.m.p.Links[i].To]; to != none {
				c.queue = append(c.queue, to)
			}
		}
	}
}

// late says whether a visit is of a late unit.
func (c *chain) late(lead int32) bool {
	s := c.s
	for o := lead; o != none; o = s.next[o] {
		if u := s.m.p.Jobs[s.m.p.Ops[o].Job].Unit; u >= 0 && u < len(s.m.p.Units) {
			x := &s.m.p.Units[u]
			if x.Last >= 0 && s.leader[x.Last] != none && s.visits[s.leader[x.Last]].end > x.Due {
				return true
			}
		}
	}
	return false
}
