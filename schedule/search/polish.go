package search

import (
	"cmp"
	"slices"

	"tackline/plant"
	"tackline/schedule"
)

// backTries bounds the search for the latest place of a visit: each try steps back by as much as the one before was late.
const backTries = 6

// polish moves visits within their gaps where that is cheaper: the last operations of branches later, so that branches
// meet instead of waiting for each other, and work out of overtime. The order on stations stays, and nothing after a visit
// is delayed. A first sweep, from the last visit to the first, moves all later that costs nothing to move, so that what is
// before has room; a second, from the first to the last, brings back what gains nothing by being late.
func (s *state) polish() {
	s.openAccount()
	s.start()
	s.polishThese(s.latestFirst())
	s.log.on = false
}

// polishThese polishes visits, given the last first.
func (s *state) polishThese(leads []int32) {
	s.lax = s.rule.late
	for _, lead := range leads {
		v := &s.visits[lead]
		rate := s.waitRate(lead)
		if s.rule.late {
			rate = max(0, rate)
		}
		limit := s.slack(lead)
		if rate < 0 || limit < v.end || limit == v.end && s.held(v) == 0 || !s.mayBeLater(lead, limit) && rate == 0 {
			continue
		}
		s.moveIf(lead, rate, func() bool { return s.latestFit(lead, limit) })
		if rate > 0 && v.end < limit {
			s.reinsert(lead, rate, limit)
		}
	}
	s.lax = false
	if s.rule.stay {
		return
	}
	s.byEnd(leads)
	slices.Reverse(leads)
	for _, lead := range leads {
		if s.delayed != none && lead == s.leader[s.delayed] {
			continue
		}
		if s.visits[lead].takes == schedule.Places && s.waitRate(lead) <= 0 { // wet paint goes onto the rack when it leaves the booth
			if s.mayBeEarlier(lead) {
				s.move(lead, func() bool { return s.earliestFit(lead) })
			}
			continue
		}
		if rate := s.waitRate(lead); rate <= 0 && s.mayBeEarlier(lead) && !s.feedsRack(lead) {
			s.moveIf(lead, rate, func() bool { return s.earliestFit(lead) })
		}
		if limit := s.slack(lead); limit > s.visits[lead].end && s.overtime(&s.visits[lead]) > 0 {
			s.moveIf(lead, s.waitRate(lead), func() bool { return s.leaveOvertime(lead, limit) })
		}
	}
	s.putOff(leads)
}

// putOff sets up and loads no earlier than must be.
func (s *state) putOff(leads []int32) {
	for _, lead := range leads {
		v := &s.visits[lead]
		if v.toLoad > 0 && s.held(v) > 0 && s.waitRate(lead) > 0 {
			s.move(lead, func() bool { return s.lateLoad(lead) })
		}
		if v.toSetup > 0 {
			s.move(lead, func() bool { return s.lateSetup(lead) })
			if s.setupOver(v) > 0 {
				s.move(lead, func() bool { return s.earlySetup(lead) })
			}
		}
	}
}

// setupOver gives the part of a visit's setup that lies in overtime.
func (s *state) setupOver(v *visit) plant.Seconds {
	out := s.m.p.Stations[v.station].Overtime
	if spans := out.Spans(); len(spans) == 0 || spans[len(spans)-1].To <= v.setup {
		return 0
	}
	return out.Work(v.setup, s.m.hours[v.loadHours].Add(v.setup, v.toSetup))
}

// setupTries bounds the search for a setup out of overtime.
const setupTries = 8

// earlySetup puts into s.trial the visit with its setup before the overtime that it lies in.
func (s *state) earlySetup(lead int32) bool {
	old := &s.visits[lead]
	h := &s.m.hours[old.loadHours]
	lo, _, _, _ := s.bounds(lead)
	least := s.setupOver(old)
	spans := s.m.p.Stations[old.station].Overtime.Spans()
	from := old.setup
	for range setupTries {
		before := from
		for i := len(spans) - 1; i >= 0; i-- {
			if spans[i].From < h.Add(from, old.toSetup) {
				before = min(from-1, h.Sub(spans[i].From, old.toSetup))
				break
			}
		}
		if before >= from || before < lo {
			return false
		}
		from = before
		begin, end, ok := s.phase(h, old.loadTeam, from, old.toSetup, schedule.Pause, old.load)
		if !ok || end > old.load {
			continue
		}
		s.trial = *old
		s.trial.setup = begin
		if s.setupOver(&s.trial) < least {
			return true
		}
	}
	return false
}

// lateLoad puts into s.trial the visit with its load just before its run, so that no piece waits on the station for longer than
// it must.
func (s *state) lateLoad(lead int32) bool {
	old := &s.visits[lead]
	begin, ok := s.justBefore(old, old.run, old.load, old.toLoad)
	if !ok {
		return false
	}
	s.trial = *old
	s.trial.load = begin
	if old.toSetup == 0 {
		s.trial.setup = begin
	}
	return s.overtime(&s.trial) <= s.overtime(old)
}

// justBefore finds a late begin, after the one it has, of work by hand that is to be done by an instant.
func (s *state) justBefore(v *visit, by, now plant.Time, work plant.Seconds) (plant.Time, bool) {
	h := &s.m.hours[v.loadHours]
	from := h.Sub(by, work)
	for back := plant.Time(3600); from > now; from, back = from-back, back*2 { // crews may be taken: look earlier
		if begin, end, ok := s.phase(h, v.loadTeam, from, work, schedule.Pause, by); ok && end <= by {
			return begin, begin > now
		}
	}
	return 0, false
}

// lateSetup puts into s.trial the visit with its setup just before its load, so that the station is not kept from other
// work for longer than it must be.
func (s *state) lateSetup(lead int32) bool {
	old := &s.visits[lead]
	begin, ok := s.justBefore(old, old.load, old.setup, old.toSetup)
	if !ok {
		return false
	}
	s.trial = *old
	s.trial.setup = begin
	return s.overtime(&s.trial) <= s.overtime(old)
}

// mayBeLater says whether open time and the visit after it leave room to move a visit back.
func (s *state) mayBeLater(lead int32, limit plant.Time) bool {
	v := &s.visits[lead]
	if _, hi, _, _ := s.bounds(lead); !v.pallets {
		limit = min(limit, hi)
	}
	load, _ := s.backFrom(v, limit)
	return load > v.load
}

// mayBeEarlier says whether a visit's load begins later than the visit before it and what it waits for ask.
func (s *state) mayBeEarlier(lead int32) bool {
	v := &s.visits[lead]
	t := s.m.p.Now
	if !v.pallets {
		t, _, _, _ = s.bounds(lead)
		t = t.Add(v.toSetup)
	}
	for o := range s.membersOf(lead) {
		ready, _ := s.ready(o)
		t = max(t, ready)
	}
	return v.load > t
}

// earliestFit puts into s.trial the visit as early as it can be in its gap without more overtime.
func (s *state) earliestFit(lead int32) bool {
	old := &s.visits[lead]
	over := s.overtime(old)
	for from := s.m.p.Now; from <= old.load; from = s.afterOvertime(&s.trial) {
		if !s.earliestFrom(lead, from) {
			return false
		}
		if s.overtime(&s.trial) <= over {
			return true
		}
	}
	return false
}

// earliestFrom puts into s.trial the visit as early as it can be in its gap, nothing of it before from.
func (s *state) earliestFrom(lead int32, from plant.Time) bool {
	old := &s.visits[lead]
	lo, hi, after, before := s.bounds(lead)
	v := &s.trial
	*v = *old
	v.ready, v.first = from, from
	for o := range s.membersOf(lead) {
		t, ok := s.ready(o)
		if !ok {
			return false
		}
		s.await(o, v, t)
	}
	return s.fit(v, max(lo, from), min(hi, s.m.p.Horizon)) && v.end <= old.end && v.load < old.load && v.run > after && v.run < before
}

// afterOvertime gives the end of the first overtime that a visit meets, or Never.
func (s *state) afterOvertime(v *visit) plant.Time {
	for _, x := range s.m.p.Stations[v.station].Overtime.Spans() {
		if x.To > v.setup {
			return x.To
		}
	}
	return plant.Never
}

// latestFirst gives the visits that may move, the last to end first.
func (s *state) latestFirst() []int32 {
	leads := make([]int32, 0, len(s.m.ops))
	for o := range s.m.ops {
		if v := &s.visits[o]; s.leader[o] == int32(o) && !v.fixed && !v.kept {
			leads = append(leads, int32(o))
		}
	}
	s.byEnd(leads)
	return leads
}

// byEnd sorts visits, the last to end first.
func (s *state) byEnd(leads []int32) {
	slices.SortFunc(leads, func(a, b int32) int {
		return cmp.Or(cmp.Compare(s.visits[b].end, s.visits[a].end), cmp.Compare(b, a))
	})
}

// slack gives the last instant at which a visit may end without moving or delaying anything else.
func (s *state) slack(lead int32) plant.Time {
	v := &s.visits[lead]
	limit := v.latest
	for o := range s.membersOf(lead) {
		if s.m.p.Ops[o].Pinned != 0 {
			return v.end
		}
		if due := s.m.shipDue[o]; due < plant.Never {
			limit = min(limit, max(due, v.end))
		}
		for _, i := range s.m.out.of(o) {
			l := &s.m.p.Links[i]
			to := &s.m.ops[l.To]
			at := s.leader[l.To]
			switch {
			case at == none || !to.binds:
			case l.Transfer > 0 && to.takes != schedule.Batch: // its lots leave when they do
				return s.m.p.Now
			default:
				limit = min(limit, s.m.latest(*l, s.visits[at].load))
			}
		}
	}
	return limit
}

// feedsRack says whether what a visit makes is still to go onto a rack next: it then stays late with it.
func (s *state) feedsRack(lead int32) bool {
	for o := range s.membersOf(lead) {
		for _, i := range s.m.out.of(o) {
			if to := &s.m.ops[s.m.p.Links[i].To]; to.binds && to.takes == schedule.Places {
				return true
			}
		}
	}
	return false
}

// membersOf goes through the operations of a visit.
func (s *state) membersOf(lead int32) func(yield func(int32) bool) {
	return func(yield func(int32) bool) {
		for o := lead; o != none && yield(o); o = s.next[o] {
		}
	}
}

// waitRate is the money saved a second by ending a visit later: what waits after it, less what waits before it.
func (s *state) waitRate(lead int32) float64 {
	rate := 0.0
	for o := range s.membersOf(lead) {
		for _, i := range s.m.out.of(o) {
			rate += s.m.waitValue(i) + s.m.dwells[s.m.p.Links[i].To]
		}
		rate -= s.m.dwells[o]
		for _, i := range s.m.in.of(o) {
			rate -= s.m.waitValue(i)
		}
	}
	return rate
}

// waitValue is the cost of a second of waiting at the meeting point of a link.
func (m *model) waitValue(link int32) float64 {
	l := &m.p.Links[link]
	if !l.Meeting || !m.ops[l.To].binds { // nothing waits for what has begun without it
		return 0
	}
	return m.waitMoney(l)
}

// moveIf moves a visit by fit, unless that costs more than it saves.
func (s *state) moveIf(lead int32, rate float64, fit func() bool) {
	s.move(lead, func() bool {
		old := &s.visits[lead]
		if !fit() {
			return false
		}
		saved := rate * float64(s.trial.load-old.load)
		return saved+(s.overtime(old)-s.overtime(&s.trial)).Hours()*float64(s.m.p.Weights.Overtime) >= 0
	})
}

// move takes a visit out, and puts it back with the times of s.trial if fit finds them.
func (s *state) move(lead int32, fit func() bool) {
	v := &s.visits[lead]
	before := s.money
	s.touch(lead)
	s.account(lead, -1)
	s.crew(v, -1)
	s.stay(v, -1)
	moves := fit()
	if moves {
		s.best = *v
		*v = s.trial
	}
	s.account(lead, 1)
	if moves && !s.lax && s.money > before+1e-6 {
		s.account(lead, -1)
		*v = s.best
		s.account(lead, 1)
		moves = false
	}
	if moves {
		if v.takes == schedule.One || v.takes == schedule.Batch {
			s.touchSeq(v.station)
			seq := s.seqs[v.station]
			i := s.entryAt(v.station, lead)
			seq[i].run = v.run
			seq[i].from, seq[i].to = v.taken()
		}
	}
	s.crew(v, 1)
	s.stay(v, 1)
}

// entryAt gives the place of a visit in its station's sequence, whatever its times.
func (s *state) entryAt(station, lead int32) int {
	return slices.IndexFunc(s.seqs[station], func(e entry) bool { return e.visit == lead })
}

// bounds gives the time between the visits before and after one, and the instants between which it must run.
func (s *state) bounds(lead int32) (lo, hi, after, before plant.Time) {
	v := &s.visits[lead]
	lo, hi, after, before = s.m.p.Now, plant.Never, -plant.Never, plant.Never
	if v.takes != schedule.One && v.takes != schedule.Batch {
		return lo, hi, after, before
	}
	seq := s.seqs[v.station]
	i := s.entryOf(v, lead)
	if i > 0 {
		lo, after = max(lo, seq[i-1].to), seq[i-1].run
	}
	if i+1 < len(seq) {
		hi, before = seq[i+1].from, seq[i+1].run
	}
	return lo, hi, after, before
}

// latestFit puts into s.trial the visit as late as it can be in its gap, ending by limit. Backward times come from open
// time alone; crews may push the forward fit past the limit, then it starts so much earlier.
func (s *state) latestFit(lead int32, limit plant.Time) bool {
	old := &s.visits[lead]
	lo, hi, after, before := s.bounds(lead)
	end := limit
	if !old.pallets {
		end = min(end, hi)
	}
	for range backTries {
		load, run := s.backFrom(old, end)
		if old.pallets && hi < plant.Never {
			load, run = s.underGap(old, load, run, hi)
		}
		if load <= old.load {
			return false
		}
		v := &s.trial
		*v = *old
		v.ready, v.first = load, max(old.first, run)
		if !s.fit(v, lo, hi) {
			v.end = limit + day
		}
		if v.end <= limit && v.load > old.load && v.run > after && v.run < before {
			v.ready, v.first = old.ready, old.first
			return true
		}
		end -= max(3600, v.end-limit)
	}
	return false
}

// lastMoment is how long before closing time work that runs through it is begun, if it is put off.
const lastMoment = 3600

// backFrom gives the last instants at which load and run may begin for all work to be done by end.
func (s *state) backFrom(v *visit, end plant.Time) (load, run plant.Time) {
	hand, machine := &s.m.hours[v.loadHours], &s.m.hours[v.runHours]
	unload := hand.Sub(end, v.toUnload)
	if v.beside > 0 {
		unload = min(unload, end)
	}
	switch v.closed {
	case schedule.Through:
		at := unload.Add(-v.toRun)
		if run = machine.Prev(at); run < at { // begun an hour before its station closes, not at the last moment
			run = machine.Sub(run, min(lastMoment, machine.Work(run-lastMoment, run)))
		}
	case schedule.Whole:
		run = machine.FitBefore(unload, v.toRun)
	default:
		run = machine.Sub(unload, v.toRun)
	}
	if v.beside > 0 {
		run = min(run, hand.Sub(end, v.beside))
	}
	return hand.Sub(run, v.toLoad), run
}

// underGap brings load and run so far forward that the run is done before the next run on a station with pallets.
func (s *state) underGap(v *visit, load, run, hi plant.Time) (plant.Time, plant.Time) {
	bare := *v
	bare.toUnload, bare.beside = 0, 0
	l, r := s.backFrom(&bare, hi)
	return min(load, l), min(run, r)
}

// leaveOvertime puts into s.trial the visit after the overtime that it lies in, if it can still end by limit.
func (s *state) leaveOvertime(lead int32, limit plant.Time) bool {
	old := &s.visits[lead]
	from := s.afterOvertime(old)
	if from >= old.end {
		return false
	}
	lo, hi, after, before := s.bounds(lead)
	v := &s.trial
	*v = *old
	v.ready, v.first, v.latest = max(old.ready, from), max(old.first, from), limit
	if !s.fit(v, max(lo, from), hi) || v.run <= after || v.run >= before || v.load < old.load {
		return false
	}
	v.ready, v.first, v.latest = old.ready, old.first, old.latest
	return true
}
