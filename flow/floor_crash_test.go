package flow_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
	"tackline/store"
)

// floorCrashPlace names the database on which a child records events until it is killed.
const floorCrashPlace = "TACKLINE_FLOOR_CRASH_TEST_DATABASE"

// devicePost is what a device sends to the child; deviceAnswer is what it gets back.
type devicePost struct {
	Device int
	Event  floor.Event
}

type deviceAnswer struct {
	Device int
	ID     string
	Number int64  // 0 if it was refused
	Why    string // it was refused
}

// floorCrashChild records what devices post on standard input, a line each, all at one time, and answers on standard output.
func floorCrashChild(place string) {
	s, err := store.Open(ctx, place)
	if err == nil {
		var shop *flow.Shop
		if shop, err = flow.Open(ctx, s, flow.Options{Clock: newClock().now, SignInMin: -1}); err == nil {
			for lines := bufio.NewScanner(os.Stdin); lines.Scan(); {
				var p devicePost
				if err = json.Unmarshal(lines.Bytes(), &p); err != nil {
					break
				}
				go answerDevice(shop, &p)
			}
		}
	}
	fmt.Println("error", err)
	os.Exit(1)
}

func answerDevice(shop *flow.Shop, p *devicePost) {
	got, err := shop.PostEvents(ctx, boss, []floor.Event{p.Event})
	if err != nil {
		fmt.Println("error", err)
		return
	}
	a := deviceAnswer{Device: p.Device, ID: got[0].ID, Number: got[0].Number}
	if got[0].Refused != nil {
		a.Why = got[0].Refused.Error()
	}
	line, _ := json.Marshal(a)          // numbers and texts: cannot fail
	os.Stdout.Write(append(line, '\n')) // in one piece, so that lines do not mix
}

// shopFloor is what events of tests can be about.
type shopFloor struct {
	ops      []floor.OpKey
	plants   []plant.ID
	stations []plant.StationID
	people   []plant.PersonID
	items    []plant.ItemID
}

// floorOf reads the names in an adopted plan.
func floorOf(t testing.TB, shop *flow.Shop) *shopFloor {
	t.Helper()
	desk, v, err := shop.Desk(ctx)
	must(t, err)
	f := &shopFloor{}
	for op := range v.Needs.Ops {
		f.ops = append(f.ops, desk.Key(op))
	}
	for _, p := range v.Book.Plants {
		f.plants = append(f.plants, p.ID)
	}
	for _, st := range v.Book.Stations {
		f.stations = append(f.stations, st.ID)
	}
	for _, p := range v.Book.People {
		f.people = append(f.people, p.ID)
	}
	for _, i := range v.Book.Items {
		f.items = append(f.items, i.ID)
	}
	return f
}

// testDevice draws events, sensible or not, and remembers what was recorded of them.
type testDevice struct {
	floor   *shopFloor
	name    string
	rnd     *rand.Rand
	drawn   int
	told    []floor.Event // recorded, in the order in which they were sent
	numbers map[string]int64
	refused map[string]bool
	waiting *floor.Event // sent, and not answered
}

func newDevices(f *shopFloor, n int, seed uint64) (list []*testDevice) {
	for i := range n {
		list = append(list, &testDevice{floor: f, name: fmt.Sprint("tablet-", i), rnd: rand.New(rand.NewPCG(seed, uint64(i+1))),
			numbers: map[string]int64{}, refused: map[string]bool{}})
	}
	return list
}

func anyOf[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

// next gives the event to be sent: the one without an answer, now and then an old one once more, else a new one.
func (d *testDevice) next() *floor.Event {
	if d.waiting == nil && len(d.told) > 0 && d.rnd.IntN(10) == 0 {
		e := anyOf(d.rnd, d.told)
		d.waiting = &e
	}
	for d.waiting == nil {
		if e := d.draw(); e.Valid() == nil {
			d.waiting = &e
		}
	}
	return d.waiting
}

func (d *testDevice) draw() floor.Event {
	d.drawn++
	r, f := d.rnd, d.floor
	var noise [10]byte
	for i := range noise {
		noise[i] = byte(r.Uint32())
	}
	// long ago, so that only the rules of the state hold
	at := plant.At(newClock().now()) - 3600 + plant.Time(d.drawn)
	e := floor.Event{ID: floor.NewID(int64(at)*1000, noise), Kind: anyOf(r, floor.Kinds()), Plant: anyOf(r, f.plants), At: at, Device: d.name, Person: anyOf(r, f.people)}
	if k := f.ops[r.IntN(min(len(f.ops), 12))]; r.IntN(3) > 0 {
		e.Job, e.Seq = k.Job, k.Seq
	}
	switch e.Kind {
	case floor.Start, floor.Resume, floor.Deliver, floor.Down, floor.Up, floor.Trouble, floor.Cleared, floor.SignOn, floor.SignOff:
		e.Station = anyOf(r, f.stations)
	case floor.Pick, floor.Return:
		e.Item, e.Qty = anyOf(r, f.items), plant.Qty(1+r.IntN(3))
	case floor.Count, floor.Finish:
		e.Good = r.IntN(3)
	case floor.Read:
		e.Check, e.Value, e.Pass = "gap", r.Float64(), true
	}
	if e.Kind == floor.Pause || e.Kind == floor.Hold || e.Kind == floor.Down || e.Kind == floor.Trouble {
		e.Reason = anyOf(r, []string{"crane", "ein Riss, \u00fcber 3 mm", "no wire \"1.2\""})
	}
	if e.Kind == floor.Undo || e.Kind == floor.Decide || e.Kind == floor.Cleared {
		d.about(&e)
	}
	return e
}

// about makes e contradict, decide or clear something that this device has told.
func (d *testDevice) about(e *floor.Event) {
	if len(d.told) == 0 {
		return
	}
	of := anyOf(d.rnd, d.told)
	op, station, aboutOp := of.Subject()
	e.Of, e.Reason, e.Job, e.Seq = of.ID, floor.Accepted, op.Job, op.Seq
	if !aboutOp {
		e.Station = station
	}
}

// hear takes an answer.
func (d *testDevice) hear(t testing.TB, a deviceAnswer) {
	t.Helper()
	old, known := d.numbers[a.ID]
	switch {
	case d.waiting == nil || d.waiting.ID != a.ID:
		t.Errorf("%s: an answer to %s, which was not asked", d.name, a.ID)
	case known && old != a.Number:
		t.Errorf("%s: event %s was number %d, and is %d (%s) when sent again", d.name, a.ID, old, a.Number, a.Why)
	case known:
	case a.Number == 0:
		d.refused[a.ID] = true
	default:
		d.numbers[a.ID] = a.Number
		d.told = append(d.told, *d.waiting)
	}
	d.waiting = nil
}

// TestFloorKilled kills a program that records what twelve devices tell, eight times. The devices send again what was not answered.
// Nothing that was acknowledged is lost, nothing is there twice, nothing that was refused is there, the chain is whole, and the state is
// what the events give.
func TestFloorKilled(t *testing.T) { floorKilled(t, 8, 12) }

func floorKilled(t testing.TB, kills, many int) {
	path := filepath.Join(t.TempDir(), "shop.db")
	s := openStore(t, path)
	shop := openShop(t, s, flow.Options{})
	must(t, shop.ImportBook(ctx, boss, small(), nil))
	must(t, shop.Adopt(ctx, boss, draft(t, shop, "first")))
	names := floorOf(t, shop)
	must(t, shop.Close())
	must(t, s.Close())
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	devices := newDevices(names, many, seed)
	random := rand.New(rand.NewPCG(seed, 0))
	open := 0
	for range kills {
		recordAndKill(t, path, devices, random.IntN(200), time.Duration(random.IntN(3000))*time.Microsecond)
		for _, d := range devices {
			if d.waiting != nil {
				open++
			}
		}
		provedFloor(t, path)
	}
	s = openStore(t, path)
	shop = openShop(t, s, flow.Options{})
	for i, d := range devices {
		if d.waiting != nil {
			got := post(t, shop, boss, *d.waiting)
			d.hear(t, deviceAnswer{Device: i, ID: got[0].ID, Number: got[0].Number})
		}
	}
	told := checkRecord(t, s, devices)
	t.Logf("%d events acknowledged, %d without an answer at %d kills", told, open, kills)
	if told < 10*kills || open == 0 {
		t.Fatal("too little happened: the test proves nothing")
	}
	checkFloor(t, s, shop)
}

// provedFloor looks that the record on a database is whole, and that the stored state is what it gives.
func provedFloor(t testing.TB, path string) {
	t.Helper()
	s, err := store.Open(ctx, path)
	must(t, err)
	report, err := flow.RebuildFloor(ctx, s, true)
	must(t, err)
	if !report.Good() {
		t.Errorf("broken %q, differences %q", report.Broken, report.Differences)
	}
	must(t, s.Close())
}

// recordAndKill lets a child record, and kills it a moment after so many answers. What it had answered by then counts. The moment only
// makes that any point of its work is met: the test holds for every one.
func recordAndKill(t testing.TB, path string, devices []*testDevice, after int, moment time.Duration) {
	t.Helper()
	child := exec.CommandContext(ctx, os.Args[0])
	child.Env = append(os.Environ(), floorCrashPlace+"="+path)
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	must(t, err)
	in, err := child.StdinPipe()
	must(t, err)
	must(t, child.Start())
	var sending sync.WaitGroup // a child that is dead does not read: what is sent to it goes nowhere
	send := func(i int) {
		line, err := json.Marshal(devicePost{i, *devices[i].next()})
		must(t, err)
		sending.Go(func() { _, _ = in.Write(append(line, '\n')) })
	}
	for i := range devices {
		send(i)
	}
	answers := 0
	for lines := bufio.NewScanner(out); lines.Scan(); {
		var a deviceAnswer
		if err := json.Unmarshal(lines.Bytes(), &a); err != nil {
			t.Errorf("the child said: %s", lines.Text())
			continue
		}
		devices[a.Device].hear(t, a)
		if answers++; answers == after+1 {
			time.AfterFunc(moment, func() { _ = child.Process.Kill() })
		}
		send(a.Device)
	}
	sending.Wait()
	if err := child.Wait(); err == nil || !strings.Contains(err.Error(), "killed") {
		t.Errorf("the child was not killed: %v", err)
	}
}

// checkRecord looks that the record holds what was acknowledged, once, in the order of each device, and nothing else.
func checkRecord(t testing.TB, s *store.Store, devices []*testDevice) int {
	t.Helper()
	want := map[string]int64{}
	for _, d := range devices {
		last := map[plant.ID]int64{}
		for _, e := range d.told {
			if want[e.ID] = d.numbers[e.ID]; want[e.ID] <= last[e.Plant] {
				t.Errorf("%s: event %s is number %d, after %d", d.name, e.ID, want[e.ID], last[e.Plant])
			}
			last[e.Plant] = want[e.ID]
		}
	}
	told := len(want)
	must(t, s.EachRecord(ctx, func(r *floor.Record) error {
		if want[r.ID] != r.Number {
			t.Errorf("event %d of %s is %s, acknowledged as number %d (0: never, or twice there)", r.Number, r.Plant, r.ID, want[r.ID])
		}
		delete(want, r.ID)
		return nil
	}, ""))
	for id, n := range want {
		t.Errorf("the acknowledged event %s, number %d, is lost", id, n)
	}
	return told
}

// checkFloor looks that the record is whole, and that what is stored and what the shop has in memory are what it gives.
func checkFloor(t testing.TB, s *store.Store, shop *flow.Shop) {
	t.Helper()
	report, err := flow.RebuildFloor(ctx, s, true)
	must(t, err)
	if !report.Good() {
		t.Errorf("broken %q, differences %q", report.Broken, report.Differences)
	}
	var events []floor.Event
	must(t, s.EachRecord(ctx, func(r *floor.Record) error { events = append(events, r.Event); return nil }, ""))
	want := floor.Fold(events)
	shop.Floor(func(state *floor.State) {
		for k, o := range want.Ops {
			if a, b := asJSON(t, state.Ops[k]), asJSON(t, o); a != b {
				t.Errorf("%v is %s in memory, by the events %s", k, a, b)
			}
		}
		for id, st := range want.Stations {
			if a, b := asJSON(t, state.Stations[id]), asJSON(t, st); a != b {
				t.Errorf("%v is %s in memory, by the events %s", id, a, b)
			}
		}
		if len(state.Ops) != len(want.Ops) || len(state.Stations) != len(want.Stations) {
			t.Errorf("%d operations and %d stations in memory, by the events %d and %d", len(state.Ops), len(state.Stations), len(want.Ops), len(want.Stations))
		}
	})
}

func asJSON(t testing.TB, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	must(t, err)
	return string(b)
}
