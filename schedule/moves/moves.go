package moves

import (
	"cmp"
	"slices"
	"time"

	"tackline/plant"
	"tackline/schedule"
)

// Kind says what moved an operation.
type Kind string

// Kinds of causes. Those from Behind on name the operation that is in the way.
const (
	Cannot   Kind = "cannot"   // the station cannot do it any more
	Late     Kind = "late"     // it should have begun before now and has not
	Material Kind = "material" // material, release, program or hold: the operation's Earliest
	Shut     Kind = "closed"   // the station is closed then
	NoCrew   Kind = "no crew"  // too few of its crew are present then
	Behind   Kind = "behind"   // what comes before it comes later
	Place    Kind = "place"    // another operation stands there now
	Crew     Kind = "crew"     // another operation uses the crew now
	Follows  Kind = "follows"  // what it goes into moved
	Pays     Kind = "pays"     // nothing keeps it there: the plan is cheaper so
)

// Cause is why an operation is not where the adopted plan has it.
type Cause struct {
	Kind  Kind
	By    int        // the operation that is in the way, else schedule.None
	From  plant.Time // Shut, NoCrew: the time concerned
	Until plant.Time // Shut, NoCrew: its end; Material: when it is there; Late: now
	Pool  int        // NoCrew: the pool, else schedule.None
}

// Move is an operation that both plans have, at another place or time.
type Move struct {
	Op     int
	Was    schedule.Slot // in the adopted plan
	Is     schedule.Slot
	Inside bool // the adopted plan has it begin before the freeze
	Cause  Cause
}

// Shift is a unit that ships at another time than in the adopted plan.
type Shift struct {
	Unit int
	Was  plant.Time
	Is   plant.Time
	Move int // into Report.Moves: its last operation; schedule.None if that is fixed
}

// Report is what changed.
type Report struct {
	Moves  []Move  // those inside the freeze first, each part by begin in the adopted plan
	Inside int     // number of moves inside the freeze
	Units  []Shift // by loss, the largest first
	New    []int   // operations that the adopted plan does not have, and this one does
	Left   []int   // operations that the adopted plan has, and this one leaves

	at map[int]int // place in Moves by operation
}

// Between compares a plan with the adopted plan of its problem. Without an adopted plan nothing moved. It takes O(n log n) in
// the operations, if no operation stands in the way of very many.
func Between(p *schedule.Problem, plan *schedule.Plan) *Report {
	r := &Report{at: map[int]int{}}
	if len(p.Adopted) != len(p.Ops) || len(plan.Slots) != len(p.Ops) {
		return r
	}
	for op := range p.Ops {
		was, is := p.Adopted[op], plan.Slots[op]
		switch {
		case p.Ops[op].State != schedule.ToPlan || was.Station == schedule.None && is.Station == schedule.None:
		case was.Station == schedule.None:
			r.New = append(r.New, op)
		case is.Station == schedule.None:
			r.Left = append(r.Left, op)
		case was.Station != is.Station || was.Setup != is.Setup || was.Load != is.Load || was.Run != is.Run || was.End != is.End:
			m := Move{Op: op, Was: was, Is: is, Inside: was.Setup < p.Freeze && (was.Station != is.Station || was.Setup != is.Setup)}
			r.Moves = append(r.Moves, m)
		}
	}
	slices.SortStableFunc(r.Moves, func(a, b Move) int {
		return cmp.Or(-cmp.Compare(one(a.Inside), one(b.Inside)), cmp.Compare(a.Was.Setup, b.Was.Setup))
	})
	f := newFinder(p, plan)
	for i := range r.Moves {
		m := &r.Moves[i]
		r.at[m.Op] = i
		r.Inside += one(m.Inside)
		m.Cause = f.cause(m)
	}
	r.units(p, plan)
	return r
}

func one(b bool) int {
	if b {
		return 1
	}
	return 0
}

func (r *Report) units(p *schedule.Problem, plan *schedule.Plan) {
	for u := range p.Units {
		last := p.Units[u].Last
		was, is := p.Adopted[last], plan.Slots[last]
		if was.Station == schedule.None || is.Station == schedule.None || was.End == is.End {
			continue
		}
		s := Shift{Unit: u, Was: was.End, Is: is.End, Move: schedule.None}
		if i, ok := r.at[last]; ok {
			s.Move = i
		}
		r.Units = append(r.Units, s)
	}
	slices.SortStableFunc(r.Units, func(a, b Shift) int { return cmp.Compare(b.Is.Sub(b.Was), a.Is.Sub(a.Was)) })
}

// Chain gives the moves that led to one, that one first, what set it off last, as places in Moves. What the last one names
// as its cause is the root: it is no move itself, or has been named already.
func (r *Report) Chain(move int) []int {
	var chain []int
	for move != schedule.None && !slices.Contains(chain, move) {
		chain = append(chain, move)
		next, ok := r.at[r.Moves[move].Cause.By]
		if r.Moves[move].Cause.By == schedule.None || !ok {
			break
		}
		move = next
	}
	return chain
}

// Words says things about a report in the time of one place, for people who live at the problem's Now.
type Words struct {
	P   *schedule.Problem
	R   *Report
	Loc *time.Location // nil: UTC
	// Closed says why a station is closed at a time, such as "down (gearbox)"; nil, or "": only that it is.
	Closed func(station int, at plant.Time) string
}
