package schedule

import (
	"cmp"
	"slices"

	"tackline/plant"
)

// Branch is a job that feeds a unit, and where it meets the job that consumes it.
type Branch struct {
	Job     int
	Parent  int           // job it joins; None for the job that makes the unit itself
	Ops     []int         // in the order of the route
	Meets   int           // operation of Parent at which it joins; None for the unit itself
	Arrives plant.Time    // when what it makes is there; for the unit itself the ship date; plant.Never if it has none
	Slack   plant.Seconds // how much later it could arrive without delaying Meets; for the unit itself due - ship date
	Decides bool          // nothing else that Meets waits for arrives later: neither another branch nor the operation before
}

// Branches gives the jobs that feed a unit, the unit's own job first, each before those that join it, as far as links
// lead. A job that joins at several operations is given once, for the one with the least slack. A branch that has no slot
// arrives never, with slack 0; so has one whose meeting point has none. It takes O(n log n) in the operations of the problem.
func Branches(p *Problem, plan *Plan, unit int) []Branch {
	if unit < 0 || unit >= len(p.Units) || len(plan.Slots) != len(p.Ops) {
		return nil
	}
	last := p.Units[unit].Last
	if last < 0 || last >= len(p.Ops) {
		return nil
	}
	b := brancher{reading: read(p, plan.Slots), ops: make([][]int, len(p.Jobs)), into: make([][]int, len(p.Ops)), seen: make([]bool, len(p.Jobs))}
	for i := range p.Ops {
		b.ops[p.Ops[i].Job] = append(b.ops[p.Ops[i].Job], i)
	}
	for i := range p.Links {
		b.into[p.Links[i].To] = append(b.into[p.Links[i].To], i)
	}
	root := Branch{Job: p.Ops[last].Job, Parent: None, Meets: None, Arrives: plant.Never, Decides: true}
	if ship, planned := b.ship(&p.Units[unit]); planned {
		root.Arrives, root.Slack = ship, p.Units[unit].Due.Sub(ship)
	}
	b.add(root)
	for i := 0; i < len(b.out); i++ {
		b.feeders(b.out[i].Job)
	}
	return b.out
}

type brancher struct {
	*reading
	ops  [][]int // by job
	into [][]int // links by the operation they lead to
	seen []bool  // by job
	out  []Branch
}

func (b *brancher) add(x Branch) {
	b.seen[x.Job] = true
	x.Ops = b.ops[x.Job]
	slices.SortStableFunc(x.Ops, func(i, j int) int { return cmp.Compare(b.p.Ops[i].Seq, b.p.Ops[j].Seq) })
	b.out = append(b.out, x)
}

// feeders adds the jobs that join a job, in the order of its route.
func (b *brancher) feeders(job int) {
	var found []Branch
	for _, op := range b.ops[job] {
		lastIn, decides := -plant.Never, None // place in found of the branch that arrives last; None: the job itself
		for _, i := range b.into[op] {
			l := &b.p.Links[i]
			arrives, slack := b.meet(l)
			from, at := b.p.Ops[l.From].Job, None
			if from != job && !b.seen[from] {
				at = len(found)
				found = append(found, Branch{Job: from, Parent: job, Meets: op, Arrives: arrives, Slack: slack})
			}
			if arrives > lastIn {
				lastIn, decides = arrives, at
			}
		}
		if decides != None && lastIn >= b.p.Ops[op].Earliest {
			found[decides].Decides = true
		}
	}
	for _, x := range found {
		if !slices.ContainsFunc(found, func(y Branch) bool { return y.Job == x.Job && y.Slack < x.Slack }) && !b.seen[x.Job] {
			b.add(x)
		}
	}
}

// meet gives the arrival of the first lot over a link, and how much later all lots could arrive.
func (b *brancher) meet(l *Link) (arrives plant.Time, slack plant.Seconds) {
	if b.slots[l.From].Station == None && b.p.Ops[l.From].State == ToPlan {
		return plant.Never, 0
	}
	n := b.lots(l)
	arrives = b.arrival(l, 1, n)
	if b.slots[l.To].Station == None || arrives >= plant.Never {
		return arrives, 0
	}
	slack = b.slots[l.To].Load.Sub(arrives)
	for k := 2; k <= n; k++ {
		run := &b.turns[b.turnOf[l.To]].parts[inRun]
		slack = min(slack, run.finished(portion(l, k-1, run.work)).Sub(b.arrival(l, k, n)))
	}
	return arrives, slack
}
