package schedule

import "tackline/plant"

// inside explains the time from op's load to what is explained already: working, closed, drying, away.
func (t *trail) inside(op int, turn *turn) {
	x := t.x
	switch x.p.Stations[turn.station].Takes {
	case Places:
		t.back(turn.slot.Load, Drying, op, None, x.name(op)+" on "+x.p.Stations[turn.station].Name)
		return
	case NoLimit:
		t.back(turn.slot.Load, AwayWork, op, None, x.name(op)+" at "+x.p.Stations[turn.station].Name)
		return
	}
	for n := inUnload; n >= inLoad && t.cur > x.p.Now; n-- {
		t.after(op, turn, n)
		t.phase(op, turn, &turn.parts[n], turn.parts[n].begin)
	}
}

// after explains the time between the work of phase n and what is explained already: pieces still loaded beside the run,
// and waiting.
func (t *trail) after(op int, turn *turn, n int) {
	done := turn.parts[n].done
	if t.cur <= done || done >= plant.Never {
		return
	}
	if beside := &turn.parts[inBeside]; n >= inRun && beside.work > 0 && beside.done > done {
		t.gap(op, turn, n+1, min(beside.done, t.cur), None)
		t.phase(op, turn, beside, done)
	}
	t.gap(op, turn, n+1, done, None)
}

// phase explains the time from from on in which a phase goes on: work in its open time, shop closed between.
func (t *trail) phase(op int, turn *turn, y *part, from plant.Time) {
	what := t.x.name(op)
	if y.through {
		t.back(from, Working, op, None, what)
		return
	}
	spans := within(y.at.open, from, t.cur)
	for i := len(spans) - 1; i >= 0; i-- {
		t.closedTo(turn, max(min(spans[i].To, t.cur), from), op)
		t.back(max(spans[i].From, from), Working, op, None, what)
	}
	if turn.fixed { // it happened, whatever the calendar says
		t.back(from, Working, op, None, what)
	}
	t.closedTo(turn, from, op)
}

// closedTo explains the time from from on as closed, or as crew away where only the crew is missing.
func (t *trail) closedTo(turn *turn, from plant.Time, op int) {
	st := &t.x.p.Stations[turn.station]
	spans := within(st.Open, from, t.cur)
	for i := len(spans) - 1; i >= 0; i-- {
		t.back(min(spans[i].To, t.cur), ShopClosed, op, None, st.Name+" closed")
		t.back(max(spans[i].From, from), CrewWait, op, None, "crew not there")
	}
	t.back(from, ShopClosed, op, None, st.Name+" closed")
}

// before explains the time from ready to op's load: its setup, others on the station, closed time, crew.
func (t *trail) before(op int, turn *turn, ready plant.Time, link int) {
	if t.cur <= ready {
		return
	}
	setup := &turn.parts[inSetup]
	if setup.work > 0 && setup.begin < t.cur {
		if t.cur > setup.done && setup.done >= setup.begin {
			t.gap(op, turn, inLoad, max(setup.done, ready), link)
		}
		t.setup(op, turn, ready)
	}
	t.gap(op, turn, inSetup, ready, link)
}

func (t *trail) setup(op int, turn *turn, ready plant.Time) {
	y := &turn.parts[inSetup]
	from := max(y.begin, ready)
	spans := within(y.at.open, from, t.cur)
	for i := len(spans) - 1; i >= 0; i-- {
		t.closedTo(turn, max(min(spans[i].To, t.cur), from), op)
		t.back(max(spans[i].From, from), SettingUp, op, None, "setup for "+t.x.name(op))
	}
	t.closedTo(turn, from, op)
}
