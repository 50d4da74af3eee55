package book

import (
	"fmt"
	"strconv"

	"tackline/order"
	"tackline/plant"
	"tackline/product"
)

// hands checks what planners decide by hand. That a job is gone is no fault: the plan says so, and goes on without the row.
func (c *checker) hands() {
	for i := range c.b.Pins {
		c.pin(i, &c.b.Pins[i])
	}
	for i := range c.b.Forbids {
		c.forbid(i, &c.b.Forbids[i])
	}
	for i := range c.b.Splits {
		c.splitRow(i, &c.b.Splits[i])
	}
	for i := range c.b.Priorities {
		if f := c.b.Priorities[i].Factor; !(f > 0 && f <= 100) {
			c.say(at{"priorities", i, "factor"}, OptionText(f), "a number above 0, up to 100; 1 leaves the cost as it is", "", "")
		}
	}
}

func (c *checker) pin(i int, p *order.Pin) {
	op := c.handOp("pins", i, p.Job, p.Seq)
	if p.Station == "" && p.Begin == "" {
		c.say(at{"pins", i, "station"}, "", "a station, or a time in begin, or both", "", "the row pins nothing")
	}
	c.handStation("pins", i, op, p.Station)
	for _, f := range c.ix.ForbidsOf[JobOp{p.Job, p.Seq}] {
		if f.Station != "" && f.Station == p.Station {
			c.say(at{"pins", i, "station"}, string(p.Station), "a station that forbids does not name for it", "", "operation %d of %s is forbidden there: take one of the two rows out", p.Seq, p.Job)
		}
		if op != nil && p.Begin != "" && f.Before != "" {
			begin, ok1 := p.Begin.Time(c.ix.CentreZone(op.Centre))
			before, ok2 := f.Before.Time(c.ix.CentreZone(op.Centre))
			if ok1 && ok2 && begin < before {
				c.say(at{"pins", i, "begin"}, string(p.Begin), "a time not before "+string(f.Before), "", "forbids does not let it begin earlier")
			}
		}
	}
}

func (c *checker) forbid(i int, f *order.Forbid) {
	op := c.handOp("forbids", i, f.Job, f.Seq)
	switch {
	case f.Station == "" && f.Before == "":
		c.say(at{"forbids", i, "station"}, "", "a station, or a time in not_before", "", "the row forbids nothing")
	case f.Station != "" && f.Before != "":
		c.say(at{"forbids", i, "not_before"}, string(f.Before), "nothing beside a station", "", "a station is forbidden for good; give the time in a row of its own")
	}
	c.handStation("forbids", i, op, f.Station)
	if op == nil || f.Station == "" {
		return
	}
	forbidden := map[plant.StationID]bool{}
	for _, other := range c.ix.ForbidsOf[JobOp{f.Job, f.Seq}] {
		forbidden[other.Station] = true
	}
	stations := c.stationsFor(op)
	for _, s := range stations {
		if !forbidden[s.ID] {
			return
		}
	}
	if len(stations) > 0 {
		c.say(at{"forbids", i, "station"}, string(f.Station), "at least one of "+names(stations)+" left free", "", "operation %d of %s has no station left: take one of its rows out", f.Seq, f.Job)
	}
}

func (c *checker) splitRow(i int, s *order.Split) {
	if s.Job != "" && c.ix.ItemOfJob(s.Job) == nil {
		c.say(at{"splits", i, "job"}, string(s.Job), "a job as the plan names it, such as stock/pin-80/12", c.nearJob(s.Job), "the job names no known item")
	}
	if len(s.Part) != 1 || s.Part < "b" || s.Part > "z" {
		c.say(at{"splits", i, "part"}, s.Part, "one letter from b to z: the job itself is the first part", "", "")
	}
	if s.Pieces < 1 || s.Pieces > mostUnits {
		c.say(at{"splits", i, "pieces"}, strconv.Itoa(s.Pieces), fmt.Sprintf("a whole number from 1 to %d", mostUnits), "", "")
	}
}

// handOp finds the operation of a job; nil, and a fault, if there is none.
func (c *checker) handOp(table string, i int, job plant.JobID, seq int) *product.Op {
	if it := c.ix.ItemOfJob(job); it != nil {
		return c.opNamed(at{table, i, "op"}, OpKey{it.ID, seq})
	}
	if job != "" {
		c.say(at{table, i, "job"}, string(job), "a job as the plan names it, such as 1042-1-1/jaw-4c", c.nearJob(job), "the job names no known item")
	}
	return nil
}

// handStation checks that a station can do an operation.
func (c *checker) handStation(table string, i int, op *product.Op, id plant.StationID) {
	if op == nil || c.ix.Stations[id] == nil {
		return // reported
	}
	stations := c.stationsFor(op)
	for _, s := range stations {
		if s.ID == id {
			return
		}
	}
	c.say(at{table, i, "station"}, string(id), "one of "+names(stations), "", "operation %d (%s) of %s cannot be done there", op.Seq, op.Name, op.Item)
}
