package flow

import (
	"context"
	"errors"
	"log/slog"
	"maps"
	"runtime/debug"
	"slices"
	"sync"

	"tackline/dispatch"
	"tackline/fault"
	"tackline/floor"
	"tackline/plant"
	"tackline/store"
)

// Answer says what became of an event.
type Answer struct {
	ID      string
	Number  int64 // in the record of its plant; 0 if it was refused
	Known   bool  // it was recorded before: sending it again did nothing
	Refused error // why it was not recorded, in words; nil if it was
}

// mostTogether bounds the events that are recorded in one transaction.
const mostTogether = 512

// recorder records events: what many devices post at one time goes into one transaction, so that the disk is waited for once. One
// goroutine decides, one event after the other, so that of two that contradict each other one wins.
type recorder struct {
	store *store.Store
	now   func() plant.Time
	log   *slog.Logger
	posts chan *posting
	ended chan struct{} // closed when nothing is recorded any more

	mu    sync.RWMutex
	state *floor.State // as recorded
	ahead *floor.State // with what is being recorded; only the goroutine uses it

	watch    sync.Mutex
	watchers map[*watcher]bool
}

// posting is what one device posts.
type posting struct {
	events []floor.Event
	rules  floor.Rules
	reply  chan []Answer
}

type watcher struct {
	wants func(*floor.Record) bool
	told  chan struct{}
}

// startRecorder reads the state of the floor and begins to record.
func (s *Shop) startRecorder(ctx context.Context) error {
	r := &recorder{store: s.store, now: s.now, log: s.log, posts: make(chan *posting, mostTogether), ended: make(chan struct{}), watchers: map[*watcher]bool{}}
	if err := r.load(ctx); err != nil {
		return err
	}
	s.recorder = r
	s.spawn("record events", r.run)
	return nil
}

// load makes the state that everybody sees, and the one ahead, what the database has.
func (r *recorder) load(ctx context.Context) error {
	state, err := r.store.Floor(ctx)
	if err != nil {
		return err
	}
	r.ahead = floor.NewState()
	for k, o := range state.Ops {
		r.ahead.SetOp(k, o)
	}
	maps.Copy(r.ahead.Stations, state.Stations)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.state = state
	return nil
}

// run records until the shop closes, or the database cannot be read any more.
func (r *recorder) run(ctx context.Context) error {
	defer close(r.ended)
	for {
		select {
		case <-ctx.Done():
			return nil
		case p := <-r.posts:
			list := []*posting{p}
			for n := len(p.events); n < mostTogether; n += len(p.events) {
				select {
				case p = <-r.posts:
					list = append(list, p)
					continue
				default:
				}
				break
			}
			if err := r.recordOn(context.WithoutCancel(ctx), list); err != nil {
				return err
			}
		}
	}
}

// errDefect answers a posting whose round ended in a defect of the program. It is no fault in words: the device posts again.
var errDefect = errors.New("a defect of the program ended the recording of some events; it is in the log")

// recordOn is record, but a defect of the program met on the way ends the round, not the recording: everybody sees again what the
// database has, and who has no answer yet is to post again.
func (r *recorder) recordOn(ctx context.Context, list []*posting) (err error) {
	defer func() {
		v := recover()
		if v == nil {
			return
		}
		r.log.Error("record events", "panic", v, "stack", string(debug.Stack()))
		err = r.load(ctx)
		for _, p := range list {
			answers := make([]Answer, len(p.events))
			for i := range answers {
				answers[i] = Answer{ID: p.events[i].ID, Refused: errDefect}
			}
			select {
			case p.reply <- answers:
			default: // it has its answer
			}
		}
	}()
	r.record(ctx, list)
	return nil
}

// round is what is recorded in one transaction.
type round struct {
	events  []floor.Event
	places  []*Answer // of each event, where its number goes
	seen    map[string]*Answer
	change  store.FloorChange
	answers [][]Answer
}

// record decides on the events of some postings, records those that are not refused, and answers.
func (r *recorder) record(ctx context.Context, list []*posting) {
	x := &round{seen: map[string]*Answer{}, change: store.FloorChange{Ops: map[floor.OpKey]floor.Op{}, Stations: map[plant.StationID]floor.Station{}}}
	err := r.decide(ctx, list, x)
	var records []floor.Record
	if err == nil && len(x.events) > 0 {
		records, err = r.store.AppendEvents(ctx, x.events, r.now(), x.change)
	}
	if err != nil {
		r.forget(x)
		for i := range x.answers {
			for j := range x.answers[i] {
				x.answers[i][j].Number, x.answers[i][j].Refused = 0, err
			}
		}
	}
	for i := range records {
		x.places[i].Number = records[i].Number
	}
	if err == nil {
		r.publish(x)
	}
	for i, p := range list {
		for j := range x.answers[i] { // sent twice at one time
			if a := &x.answers[i][j]; a.Known && a.Number == 0 && x.seen[a.ID] != nil {
				a.Number, a.Refused = x.seen[a.ID].Number, x.seen[a.ID].Refused
			}
		}
		p.reply <- x.answers[i]
	}
	r.tell(records)
}

// decide answers each event: known, refused, or to be recorded. Answers for all are there even if it gives an error.
func (r *recorder) decide(ctx context.Context, list []*posting, x *round) error {
	var ids []string
	for _, p := range list {
		answers := make([]Answer, len(p.events))
		for i := range p.events {
			answers[i].ID = p.events[i].ID
			ids = append(ids, p.events[i].ID)
		}
		x.answers = append(x.answers, answers)
	}
	known, err := r.store.KnownEvents(ctx, ids)
	if err != nil {
		return err
	}
	for i, p := range list {
		for j := range p.events {
			e, a := &p.events[j], &x.answers[i][j]
			if n, is := known[e.ID]; is {
				a.Number, a.Known = n, true
				continue
			}
			if x.seen[e.ID] != nil {
				a.Known = true
				continue
			}
			x.seen[e.ID] = a
			if err := r.take(ctx, e, p.rules, a, x); err != nil {
				return err
			}
		}
	}
	return nil
}

// take refuses an event, or takes it into the round.
func (r *recorder) take(ctx context.Context, e *floor.Event, rules floor.Rules, a *Answer, x *round) error {
	var history []floor.Event
	key, station, aboutOp := e.Subject()
	if e.Kind == floor.Undo {
		var err error
		if aboutOp {
			history, err = r.store.OpHistory(ctx, key)
		} else {
			history, err = r.store.StationHistory(ctx, station)
		}
		if err != nil {
			return err
		}
		for _, h := range x.events {
			if k, st, op := h.Subject(); op == aboutOp && k == key && st == station {
				history = append(history, h)
			}
		}
	}
	if a.Refused = r.ahead.Refuse(e, history, rules); a.Refused != nil {
		return nil
	}
	r.ahead.Apply(e, history)
	if aboutOp {
		x.change.Ops[key] = r.ahead.Ops[key]
	} else {
		x.change.Stations[station] = r.ahead.Stations[station]
	}
	x.events, x.places = append(x.events, *e), append(x.places, a)
	return nil
}

// forget takes back what a round that failed has changed ahead.
func (r *recorder) forget(x *round) {
	for k := range x.change.Ops {
		r.ahead.SetOp(k, r.state.Ops[k])
	}
	for id := range x.change.Stations {
		r.ahead.Stations[id] = r.state.Stations[id]
	}
}

// publish makes what a round has changed the state that everybody sees.
func (r *recorder) publish(x *round) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for k, o := range x.change.Ops {
		r.state.SetOp(k, o)
	}
	for id, st := range x.change.Stations {
		r.state.Stations[id] = st
	}
}

// tell wakes those who watch.
func (r *recorder) tell(records []floor.Record) {
	r.watch.Lock()
	defer r.watch.Unlock()
	for w := range r.watchers {
		for i := range records {
			if !w.wants(&records[i]) {
				continue
			}
			select {
			case w.told <- struct{}{}:
			default: // told already, and has not looked yet
			}
			break
		}
	}
}

// errNoRecorder answers where events cannot be recorded.
var errNoRecorder = fault.New(fault.Conflict, "Events are recorded by the program that serves the shop, not beside it.")

// PostEvents records what a device has to tell, in its order, and answers each event. What is refused is not recorded; what comes
// after it is decided for itself. An error means that nothing was recorded, or that it is not known whether: post again.
func (s *Shop) PostEvents(ctx context.Context, who Who, events []floor.Event) ([]Answer, error) {
	if s.recorder == nil {
		return nil, errNoRecorder
	}
	answers := make([]Answer, len(events))
	p := &posting{reply: make(chan []Answer, 1)}
	var at []int
	rules, err := s.floorRules(ctx)
	if err != nil {
		return nil, err
	}
	p.rules = rules
	for i := range events {
		answers[i].ID = events[i].ID
		if answers[i].Refused = s.admit(ctx, who, &events[i]); answers[i].Refused == nil {
			p.events = append(p.events, events[i])
			at = append(at, i)
		} else if fault.KindOf(answers[i].Refused) == fault.Internal {
			return nil, answers[i].Refused
		}
	}
	if len(p.events) == 0 {
		return answers, nil
	}
	select {
	case s.recorder.posts <- p:
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-s.recorder.ended:
		return nil, errClosing
	}
	select {
	case got := <-p.reply:
		for i, a := range got {
			if a.Refused != nil && !errors.As(a.Refused, new(*fault.Fault)) {
				return nil, a.Refused
			}
			answers[at[i]] = a
		}
		return answers, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-s.recorder.ended:
		return nil, errClosing
	}
}

var errClosing = fault.New(fault.Busy, "The program is being stopped. Send it again in a moment.")

// Floor lets read look at the state of the floor. It must not keep or change it.
func (s *Shop) Floor(read func(*floor.State)) {
	if s.recorder == nil {
		read(floor.NewState())
		return
	}
	s.recorder.mu.RLock()
	defer s.recorder.mu.RUnlock()
	read(s.recorder.state)
}

// FloorOp gives the state of an operation on the floor; ok is false if nothing was recorded about it.
func (s *Shop) FloorOp(k floor.OpKey) (o floor.Op, ok bool) {
	s.Floor(func(state *floor.State) { o, ok = state.Ops[k] })
	return o, ok
}

// WatchFloor gives a channel that gets a value after events that wants chooses were recorded, one value for any number of them
// that come before it is read. It ends with ctx.
func (s *Shop) WatchFloor(ctx context.Context, wants func(*floor.Record) bool) <-chan struct{} {
	w := &watcher{wants: wants, told: make(chan struct{}, 1)}
	if r := s.recorder; r != nil {
		r.watch.Lock()
		r.watchers[w] = true
		r.watch.Unlock()
		context.AfterFunc(ctx, func() {
			r.watch.Lock()
			delete(r.watchers, w)
			r.watch.Unlock()
		})
	}
	return w.told
}

// Desk gives the desk of the plan in force: what keeps its operations from starting. It is nil without a plan.
func (s *Shop) Desk(ctx context.Context) (*dispatch.Desk, *View, error) {
	v, err := s.Current(ctx)
	if err != nil || v == nil {
		return nil, nil, err
	}
	return v.desk(), v, nil
}

// OpEvents gives what was recorded about an operation, in order.
func (s *Shop) OpEvents(ctx context.Context, k floor.OpKey) ([]floor.Event, error) {
	return s.store.OpHistory(ctx, k)
}

// StationEvents gives what was recorded about a station itself, in order.
func (s *Shop) StationEvents(ctx context.Context, id plant.StationID) ([]floor.Event, error) {
	return s.store.StationHistory(ctx, id)
}

// eventLeave says which roles, beside the manager, may report a kind of event.
var eventLeave = map[floor.Kind][]string{
	floor.Hold: {Operator, Inspector, Planner, Maintenance}, floor.Decide: {Inspector},
	floor.Pick: {Materials, Operator}, floor.Deliver: {Materials, Operator}, floor.Return: {Materials, Operator},
	floor.Down: {Operator, Maintenance, Planner}, floor.Up: {Maintenance, Planner},
}

// MayReport says whether a role may report a kind of event.
func MayReport(role string, k floor.Kind) bool {
	list, special := eventLeave[k]
	if !special {
		list = []string{Operator, Inspector, Planner, Maintenance, Materials}
	}
	return role == Manager || slices.Contains(list, role)
}
