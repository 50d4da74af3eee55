package flow_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"tackline/fault"
	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
	"tackline/schedule"
)

var hand = flow.Who{Name: "olga", Role: flow.Operator}

// eventID makes identifiers for events of tests.
func eventID(n int) string {
	return floor.NewID(int64(1_795_000_000_000+n), [10]byte{8: byte(n >> 8), 9: byte(n)})
}

// post records events and gives the answers.
func post(t testing.TB, shop *flow.Shop, who flow.Who, events ...floor.Event) []flow.Answer {
	t.Helper()
	got, err := shop.PostEvents(ctx, who, events)
	must(t, err)
	return got
}

// atWork gives a shop with an adopted plan, and the start of an operation of it that can begin now.
func atWork(t *testing.T) (shop *flow.Shop, start floor.Event) {
	t.Helper()
	shop = newShop(t, small())
	must(t, shop.Adopt(ctx, boss, draft(t, shop, "first")))
	desk, v, err := shop.Desk(ctx)
	must(t, err)
	now, err := shop.Now(ctx)
	must(t, err)
	for op := range v.Needs.Ops {
		if v.Plan.Slots[op].Station < 0 || v.Problem.Ops[op].State != 0 {
			continue
		}
		station := v.Problem.Stations[v.Plan.Slots[op].Station].ID
		blocks, _ := desk.Blocks(op, station, now, floor.NewState())
		for _, p := range v.Book.People {
			if len(blocks) == 0 && desk.Unfit(op, p.ID, now) == "" {
				k := desk.Key(op)
				return shop, floor.Event{ID: eventID(0), Kind: floor.Start, Plant: v.Book.Plants[0].ID, At: plant.At(shop.Clock()), Device: "tablet-1",
					Person: p.ID, Job: k.Job, Seq: k.Seq, Station: station}
			}
		}
	}
	t.Fatal("nothing can start")
	return nil, start
}

// TestPostEvents: an event is recorded once, whoever sends it and how often; what is refused says why in words.
func TestPostEvents(t *testing.T) {
	shop, start := atWork(t)
	got := post(t, shop, hand, start, start)
	if got[0].Refused != nil || got[0].Number != 1 || got[1].Number != 1 || !got[1].Known {
		t.Fatalf("start: %+v", got)
	}
	if again := post(t, shop, hand, start); !again[0].Known || again[0].Number != 1 {
		t.Errorf("sent again: %+v", again)
	}
	other := start
	other.ID = eventID(1)
	if got := post(t, shop, hand, other); fault.KindOf(got[0].Refused) != fault.Conflict || !strings.Contains(got[0].Refused.Error(), "runs already") {
		t.Errorf("a second start: %+v", got)
	}
	done := start
	done.ID, done.Kind, done.Good, done.Station = eventID(2), floor.Finish, 1, ""
	if got := post(t, shop, looker, done); fault.KindOf(got[0].Refused) != fault.Denied {
		t.Errorf("a viewer reports: %+v", got)
	}
	wrong := done
	wrong.ID, wrong.Person = eventID(3), "nobody"
	if got := post(t, shop, hand, wrong, done); fault.KindOf(got[0].Refused) != fault.NotFound || got[1].Number != 2 {
		t.Errorf("an unknown person, then the end: %+v", got)
	}
	shop.Floor(func(s *floor.State) {
		if o := s.Ops[floor.OpKey{Job: start.Job, Seq: start.Seq}]; o.Phase != floor.Done || o.Good != 1 {
			t.Errorf("state: %+v", o)
		}
	})
}

// TestOneOfManyWins: of many devices that start one operation at one time, one wins.
func TestOneOfManyWins(t *testing.T) {
	shop, start := atWork(t)
	var wait sync.WaitGroup
	won := make([]bool, 40)
	for i := range won {
		wait.Go(func() {
			e := start
			e.ID, e.Device = eventID(i), fmt.Sprint("tablet-", i)
			got, err := shop.PostEvents(ctx, hand, []floor.Event{e})
			if err != nil {
				t.Error(err)
				return
			}
			won[i] = got[0].Refused == nil
		})
	}
	wait.Wait()
	n := 0
	for _, w := range won {
		if w {
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d devices started the operation", n)
	}
	list, err := shop.OpEvents(ctx, floor.OpKey{Job: start.Job, Seq: start.Seq})
	must(t, err)
	if len(list) != 1 {
		t.Errorf("%d events were recorded", len(list))
	}
}

// TestWatchFloor: who watches a station is told of what happens there, and of nothing else.
func TestWatchFloor(t *testing.T) {
	shop, start := atWork(t)
	here := shop.WatchFloor(t.Context(), func(r *floor.Record) bool { return r.Station == start.Station })
	elsewhere := shop.WatchFloor(t.Context(), func(r *floor.Record) bool { return r.Station == "elsewhere" })
	post(t, shop, hand, start)
	<-here
	select {
	case <-elsewhere:
		t.Error("told of another station")
	default:
	}
}

// TestThePlanStartsFromTheFloor: what was begun, is done or is out of order on the floor is so in the next plan; the plan keeps what it
// was made with, whatever happens later; and the shop book stays as it was.
func TestThePlanStartsFromTheFloor(t *testing.T) {
	shop, start := atWork(t)
	book := revision(t, shop)
	post(t, shop, hand, start)
	state := func(plan int64) (schedule.State, plant.StationID) {
		v, err := shop.ViewOf(ctx, plan)
		must(t, err)
		if len(v.Broken) > 0 {
			t.Errorf("plan %d breaks rules: %v", plan, v.Broken)
		}
		op := opOf(t, v, start.Job, start.Seq)
		return v.Problem.Ops[op].State, v.Problem.Stations[v.Plan.Slots[op].Station].ID
	}
	running := draft(t, shop, "while it runs")
	if st, at := state(running); st != schedule.Running || at != start.Station {
		t.Errorf("while it runs: state %v on %s", st, at)
	}
	done := start
	done.ID, done.Kind, done.Good = eventID(1), floor.Finish, 1
	post(t, shop, hand, done)
	over := draft(t, shop, "when it is over")
	must(t, shop.Adopt(ctx, boss, over))
	if st, at := state(over); st != schedule.Done || at != start.Station {
		t.Errorf("when it is over: state %v on %s", st, at)
	}
	if st, _ := state(running); st != schedule.Running {
		t.Errorf("the plan made while it ran: state %v", st)
	}

	down := floor.Event{ID: eventID(2), Kind: floor.Down, Plant: start.Plant, At: start.At, Device: "tablet-1", Person: start.Person, Station: start.Station, Reason: "gearbox"}
	post(t, shop, flow.Who{Name: "max", Role: flow.Maintenance}, down)
	upsets := func() int {
		list, err := shop.Upsets(ctx)
		must(t, err)
		return len(list)
	}
	if got := upsets(); got != 1 {
		t.Errorf("%d things upset the plan, want the station", got)
	}
	again := draft(t, shop, "out of order")
	v, err := shop.ViewOf(ctx, again)
	must(t, err)
	must(t, shop.Adopt(ctx, boss, again))
	if got := upsets(); got != 0 {
		t.Errorf("%d things upset the plan that was made after them", got)
	}
	for op, s := range v.Plan.Slots {
		if s.Station >= 0 && v.Problem.Stations[s.Station].ID == start.Station && v.Problem.Ops[op].State == schedule.ToPlan && s.Load < v.Problem.Now.Add(24*3600) {
			t.Errorf("operation %d begins on a station that is out of order", op)
		}
	}
	if got := revision(t, shop); got != book {
		t.Errorf("the book moved from revision %d to %d", book, got)
	}
}

// TestWhoMayNot: whose qualification has run out may neither begin work nor join or resume it; the refusal names who can.
func TestWhoMayNot(t *testing.T) {
	shop, start := atWork(t)
	b, _, err := shop.Book(ctx)
	must(t, err)
	other := b.Clone()
	for i := range other.Pools {
		other.Pools[i].Qualification = "bay"
	}
	for i, p := range other.People {
		q := plant.Qualification{Person: p.ID, Name: "bay", Expires: "2020-01-01"}
		if i > 0 {
			q.Expires = ""
		}
		other.Qualifications = append(other.Qualifications, q)
	}
	if len(other.People) < 2 {
		t.Fatal("the small plant has one person")
	}
	must(t, shop.ImportBook(ctx, boss, other, nil))
	bad, good := other.People[0].ID, other.People[1].ID
	desk, v, err := shop.Desk(ctx)
	must(t, err)
	now, err := shop.Now(ctx)
	must(t, err)
	if op, _ := desk.Op(floor.OpKey{Job: start.Job, Seq: start.Seq}); desk.Unfit(op, bad, now) == "" || len(v.Needs.Ops[op].Crew) == 0 {
		t.Fatal("the operation asks for nobody")
	}
	send := func(n int, k floor.Kind, who plant.PersonID) error {
		e := start
		e.ID, e.Kind, e.Person = eventID(n), k, who
		if k == floor.Pause {
			e.Reason, e.Station = "break", ""
		}
		return post(t, shop, hand, e)[0].Refused
	}
	refused(t, send(1, floor.Start, bad), fault.Conflict, "a start")
	must(t, send(2, floor.Start, good))
	refused(t, send(3, floor.Join, bad), fault.Conflict, "joining")
	must(t, send(4, floor.Pause, good))
	refused(t, send(5, floor.Resume, bad), fault.Conflict, "resuming")
	must(t, send(6, floor.Resume, good))
}
