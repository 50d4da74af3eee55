package setout

import (
	"fmt"

	"tackline/book"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
)

// Loose is a row planned by hand that says nothing for this plan, or cannot be followed as it stands.
type Loose struct {
	Table string
	Row   int    // in the book's table
	Text  string // why, and what can be done
}

// LooseRows gives the rows planned by hand that p, set out of r, does not follow, in the order of the book. None of them keeps
// a plan from being made: jobs come and go with orders, and work is done.
func LooseRows(ix *book.Index, r *needs.Result, p *schedule.Problem) []Loose {
	b := ix.Book
	if len(b.Pins)+len(b.Forbids)+len(b.Splits)+len(b.Priorities) == 0 {
		return nil
	}
	l := &looser{ix: ix, r: r, p: p, jobs: map[plant.JobID]int{}}
	for i := range r.Jobs {
		l.jobs[r.Jobs[i].ID] = i
	}
	for i := range b.Pins {
		l.pin(i, &b.Pins[i])
	}
	for i := range b.Forbids {
		l.forbid(i, &b.Forbids[i])
	}
	for i := range b.Splits {
		l.split(i, &b.Splits[i])
	}
	for i := range b.Priorities {
		l.priority(i, &b.Priorities[i])
	}
	return l.out
}

type looser struct {
	ix   *book.Index
	r    *needs.Result
	p    *schedule.Problem
	jobs map[plant.JobID]int
	out  []Loose
}

func (l *looser) say(table string, row int, text string, args ...any) {
	l.out = append(l.out, Loose{table, row, fmt.Sprintf(text, args...)})
}

const gone = "job %s is not in the plan: it is done, or its order has changed. Take the row out, or name the job as the plan does now"

// op finds an operation that is still to be planned; it says so if there is none.
func (l *looser) op(table string, row int, job plant.JobID, seq int) (*schedule.Op, *needs.Op) {
	j, known := l.jobs[job]
	if !known {
		l.say(table, row, gone, job)
		return nil, nil
	}
	for _, i := range l.r.Jobs[j].Ops {
		op := &l.p.Ops[i]
		if op.Seq != seq {
			continue
		}
		switch op.State {
		case schedule.Done:
			l.say(table, row, "operation %d of job %s is done. The row can be taken out", seq, job)
		case schedule.Running:
			l.say(table, row, "operation %d of job %s runs already. The row can be taken out", seq, job)
		case schedule.Frozen:
			l.say(table, row, "operation %d of job %s is frozen where the table work says. Take one of the two rows out", seq, job)
		default:
			return op, &l.r.Ops[i]
		}
		return nil, nil
	}
	l.say(table, row, "job %s has no operation %d with the options of its order. Take the row out", job, seq)
	return nil, nil
}

func (l *looser) pin(row int, pin *order.Pin) {
	op, o := l.op("pins", row, pin.Job, pin.Seq)
	if op == nil {
		return
	}
	if pin.Station != "" && (len(op.Can) != 1 || l.p.Stations[op.Can[0].Station].ID != pin.Station) {
		l.say("pins", row, "%s cannot take operation %d of job %s: it is too small for its %d pieces, or forbidden. Pin another station",
			pin.Station, pin.Seq, pin.Job, l.p.Jobs[op.Job].Pieces)
	}
	loc := l.ix.CentreZone(o.Centre)
	if at, ok := pin.Begin.Time(loc); ok && at < l.p.Now {
		l.say("pins", row, "the begin of operation %d of job %s, %s, has passed: it is planned as soon as it can be", pin.Seq, pin.Job, inWords(at, loc))
	}
}

func (l *looser) forbid(row int, f *order.Forbid) {
	op, _ := l.op("forbids", row, f.Job, f.Seq)
	if op == nil || f.Station == "" {
		return
	}
	for _, a := range op.Can {
		if l.p.Stations[a.Station].ID == f.Station {
			l.say("forbids", row, "no station is left for operation %d of job %s, so none is forbidden. Take one of its rows out", f.Seq, f.Job)
			return
		}
	}
}

func (l *looser) split(row int, s *order.Split) {
	j, known := l.jobs[s.Job]
	if !known {
		l.say("splits", row, gone, s.Job)
		return
	}
	if _, made := l.jobs[order.PartOf(s.Job, s.Part)]; made {
		return
	}
	job := &l.r.Jobs[j]
	if job.Set {
		l.say("splits", row, "the pieces of job %s are a set and stay together. Take the row out", s.Job)
		return
	}
	l.say("splits", row, "job %s has %d pieces to split, so %d cannot be taken off it. Give fewer, or take the row out", s.Job, job.Pieces, s.Pieces)
}

func (l *looser) priority(row int, p *order.Priority) {
	if p.Of == order.OfJob {
		j, known := l.jobs[plant.JobID(p.Name)]
		if !known {
			l.say("priorities", row, gone, p.Name)
		} else if len(unitsOf(&l.r.Jobs[j])) == 0 {
			l.say("priorities", row, "job %s goes into no unit, so nothing is late with it. Take the row out", p.Name)
		}
		return
	}
	for i := range l.r.Units {
		u := &l.r.Units[i]
		if name := map[string]string{order.OfUnit: string(u.ID), order.OfLine: lineName(u), order.OfOrder: string(u.Order)}[p.Of]; name == p.Name {
			return
		}
	}
	l.say("priorities", row, "nothing of %s %s is to be built: it has shipped, or its name is another. Take the row out", p.Of, p.Name)
}
