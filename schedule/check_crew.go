package schedule

import (
	"sort"

	"tackline/calendar"
	"tackline/plant"
)

// checkCrew: heads in use of each pool stay within those present (rule 4).
func (c *checker) checkCrew() {
	changes := make([][]change, len(c.p.Pools))
	for k := range c.turns {
		for x := range c.turns[k].parts {
			c.crewOf(k, x, changes)
		}
	}
	for i := range c.p.Pools {
		pool := &c.p.Pools[i]
		limits := make([]limit, 0, len(pool.Heads)+1)
		for _, s := range pool.Heads {
			if s.At < c.p.Horizon {
				limits = append(limits, limit{s.At, int64(s.N)})
			}
		}
		limits = append(limits, limit{c.p.Horizon, 0})
		c.overuse(changes[i], limits, func(x excess) {
			c.add(crewRule, x.ops, "from %s %d heads of %s are in use, of %d there: %s", clock(x.from), x.used, pool.Name, x.limit, c.names(x.ops))
		})
	}
}

// crewOf notes the heads that phase x of turn k uses while it works: in its open time, until its work is done.
func (c *checker) crewOf(k, x int, changes [][]change) {
	y := &c.turns[k].parts[x]
	if len(y.at.needs) == 0 || y.work <= 0 {
		return
	}
	for _, s := range within(y.at.open, y.begin, y.done) {
		from, to := max(s.From, y.begin), min(s.To, y.done)
		for _, n := range y.at.needs {
			changes[n.Pool] = append(changes[n.Pool], change{from, int64(n.Heads), k}, change{to, -int64(n.Heads), k})
		}
	}
}

// within gives the spans of open that meet [from, to).
func within(open calendar.Open, from, to plant.Time) []calendar.Span {
	if from >= to {
		return nil
	}
	s := open.Spans()
	i := sort.Search(len(s), func(i int) bool { return s[i].To > from })
	j := sort.Search(len(s), func(i int) bool { return s[i].From >= to })
	return s[i:max(i, j)]
}
