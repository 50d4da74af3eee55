package flow_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"tackline/book"
	"tackline/demo"
	"tackline/dispatch"
	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
	"tackline/store"
)

// demoFloor gives a shop with the demo plant, planned and adopted, in a file on the disk, and what events can be about.
func demoFloor(b *testing.B) (*flow.Shop, *shopFloor) {
	b.Helper()
	bk, err := demo.Plant(14, plant.At(newClock().now()))
	must(b, err)
	shop := openShop(b, openStore(b, filepath.Join(b.TempDir(), "shop.db")), flow.Options{Clock: time.Now})
	must(b, shop.ImportBook(ctx, boss, bk, nil))
	run := start(b, shop, flow.PlanRequest{Name: "first", Workers: 1, Seed: 1, Work: 1000})
	must(b, shop.Adopt(ctx, boss, until(b, shop, run, over).PlanID))
	return shop, floorOf(b, shop)
}

// terminal is a device of which a benchmark measures how long it waits.
type terminal struct {
	shop    *flow.Shop
	floor   *shopFloor
	ops     []floor.OpKey // its own
	station plant.StationID
	name    string
	n       int
	rnd     *rand.Rand
	told    <-chan struct{} // something was recorded that this device has posted
	taken   []time.Duration // from sending until it was acknowledged
	heard   []time.Duration // from there until the watcher was told
}

// terminals makes devices, each with operations of its own at a station that takes any number, so that no event is refused. Every
// tenth watches all that happens, the others what happens to their own.
func terminals(b *testing.B, shop *flow.Shop, f *shopFloor, many int) (list []*terminal) {
	b.Helper()
	bk, _, err := shop.Book(ctx)
	must(b, err)
	ix, err := book.NewIndex(bk)
	must(b, err)
	var station plant.StationID
	for _, id := range f.stations {
		if dispatch.Limit(ix, id) == 0 {
			station = id
		}
	}
	if station == "" || len(f.ops) < many {
		b.Fatal("no plant for this")
	}
	for i := range many {
		t := &terminal{shop: shop, floor: f, station: station, name: fmt.Sprint("terminal-", i), rnd: rand.New(rand.NewPCG(1, uint64(i)))}
		for j := i; j < len(f.ops); j += many {
			t.ops = append(t.ops, f.ops[j])
		}
		t.told = shop.WatchFloor(b.Context(), func(r *floor.Record) bool { return r.Device == t.name })
		list = append(list, t)
	}
	for range many / 10 {
		shop.WatchFloor(b.Context(), func(*floor.Record) bool { return true })
	}
	return list
}

// next gives what a terminal tells next: the life of one of its operations, then of the next.
func (t *terminal) next(b *testing.B) floor.Event {
	var noise [10]byte
	for i := range noise {
		noise[i] = byte(t.rnd.Uint32())
	}
	now := time.Now()
	life := t.n / 10
	if life >= len(t.ops) {
		b.Fatal("no operation is left for ", t.name)
	}
	k := t.ops[life]
	e := floor.Event{ID: floor.NewID(now.UnixMilli(), noise), Plant: t.floor.plants[0], At: plant.At(now), Device: t.name, Person: t.floor.people[len(t.name)%len(t.floor.people)], Job: k.Job, Seq: k.Seq}
	switch t.n % 10 {
	case 0, 1:
		e.Kind, e.Item, e.Qty = floor.Pick, t.floor.items[t.n%len(t.floor.items)], 1
	case 2:
		e.Kind, e.Station = floor.Deliver, t.station
	case 3:
		e.Kind, e.Station, e.At = floor.Start, t.station, e.At-300 // told late: whether plan and kit let it start is not asked
	case 4:
		e.Kind, e.Reason = floor.Pause, "waits for the crane"
	case 5:
		e.Kind, e.Station = floor.Resume, t.station
	case 6:
		e.Kind, e.Good = floor.Count, 1
	case 7, 8:
		e.Kind, e.Check, e.Value, e.Pass = floor.Read, fmt.Sprint("gap ", t.n%10), 12.25, true
	case 9:
		e.Kind, e.Good = floor.Finish, 1
	}
	t.n++
	return e
}

// tell posts an event, and waits until the watcher is told.
func (t *terminal) tell(b *testing.B) {
	e := t.next(b)
	sent := time.Now()
	got, err := t.shop.PostEvents(ctx, boss, []floor.Event{e})
	known := time.Now()
	if err != nil || got[0].Refused != nil {
		b.Error(err, got)
		return
	}
	t.taken = append(t.taken, known.Sub(sent))
	<-t.told
	t.heard = append(t.heard, time.Since(known))
}

// reportWaits reports the times of all terminals.
func reportWaits(b *testing.B, list []*terminal, took time.Duration) {
	var taken, heard []time.Duration
	for _, t := range list {
		taken, heard = append(taken, t.taken...), append(heard, t.heard...)
	}
	slices.Sort(taken)
	slices.Sort(heard)
	ms := func(sorted []time.Duration, share float64) float64 {
		return float64(sorted[int(share*float64(len(sorted)-1))].Microseconds()) / 1000
	}
	b.ReportMetric(float64(len(taken))/took.Seconds(), "events/s")
	b.ReportMetric(ms(taken, 0.5), "p50-ms")
	b.ReportMetric(ms(taken, 0.99), "p99-ms")
	b.ReportMetric(ms(heard, 0.99), "told-p99-ms")
}

// BenchmarkTerminals has 200 terminals that post an event each time. At once: without a pause, which shows how many events a second
// are recorded at most. Paced: at random moments, 1,500 events a second together, which shows how long each waits. The last is paced
// on top of a history of a million events.
func BenchmarkTerminals(b *testing.B) {
	b.Run("at once", func(b *testing.B) { atOnce(b) })
	b.Run("paced", func(b *testing.B) { paced(b, false) })
	b.Run("paced, after a million", func(b *testing.B) { paced(b, true) })
}

func atOnce(b *testing.B) {
	shop, f := demoFloor(b)
	const each = 100
	for b.Loop() {
		list := terminals(b, shop, f, 200)
		began := time.Now()
		var wait sync.WaitGroup
		for _, t := range list {
			wait.Go(func() {
				for range each {
					t.tell(b)
				}
			})
		}
		wait.Wait()
		reportWaits(b, list, time.Since(began))
	}
	checkFloor(b, shop.Store(), shop)
}

func paced(b *testing.B, history bool) {
	shop, f := demoFloor(b)
	const rate, lasts = 1500.0, 10 * time.Second
	if history {
		recordMillion(b, shop.Store(), 40_000)
	}
	for b.Loop() {
		list := terminals(b, shop, f, 200)
		began := time.Now()
		var wait sync.WaitGroup
		for _, t := range list {
			wait.Go(func() {
				pause := func() time.Duration { return time.Duration(t.rnd.ExpFloat64() * float64(len(list)) / rate * 1e9) }
				for due := began.Add(pause()); due.Sub(began) < lasts; due = due.Add(pause()) {
					time.Sleep(time.Until(due))
					t.tell(b)
				}
			})
		}
		wait.Wait()
		reportWaits(b, list, time.Since(began))
	}
}

// BenchmarkFloorStart opens a shop, and proves the record, on a database with a million events about 40,000 operations.
func BenchmarkFloorStart(b *testing.B) {
	path := filepath.Join(b.TempDir(), "shop.db")
	s := openStore(b, path)
	const operations = 40_000
	events := recordMillion(b, s, operations)
	must(b, s.Close())
	var open, prove []float64
	for b.Loop() {
		began := time.Now()
		s, err := store.Open(ctx, path)
		must(b, err)
		shop, err := flow.Open(ctx, s, flow.Options{SignInMin: -1})
		must(b, err)
		open = append(open, time.Since(began).Seconds())
		shop.Floor(func(f *floor.State) {
			if len(f.Ops) != operations {
				b.Fatalf("%d operations", len(f.Ops))
			}
		})
		must(b, shop.Close())
		began = time.Now()
		report, err := flow.RebuildFloor(context.Background(), s, true)
		must(b, err)
		if !report.Good() || report.Events != int64(events) {
			b.Fatalf("%+v", report)
		}
		prove = append(prove, time.Since(began).Seconds())
		must(b, s.Close())
	}
	b.ReportMetric(slices.Max(open), "open-s")
	b.ReportMetric(slices.Max(prove), "prove-s")
}

// recordMillion records a million events, fewer in a short run, and gives how many.
func recordMillion(b *testing.B, s *store.Store, operations int) int {
	b.Helper()
	const batch = 10_000
	events := 1_000_000
	if testing.Short() {
		events /= 10
	}
	random, state, at := rand.New(rand.NewPCG(1, 1)), floor.NewState(), plant.At(newClock().now())
	began := time.Now()
	for n := 0; n < events; {
		change := store.FloorChange{Ops: map[floor.OpKey]floor.Op{}}
		var list []floor.Event
		for range batch {
			e := millionth(n, operations, events, at, random)
			k, _ := e.Op()
			state.Apply(&e, nil)
			change.Ops[k] = state.Ops[k]
			list = append(list, e)
			n++
		}
		_, err := s.AppendEvents(ctx, list, at, change)
		must(b, err)
	}
	b.Logf("%d events recorded in %s", events, time.Since(began).Round(time.Second))
	return events
}

// millionth gives the nth of many events: each operation has an equal share of them, about four hundred are under way at one time.
func millionth(n, operations, events int, at plant.Time, random *rand.Rand) floor.Event {
	each := events / operations
	const together = 400
	group, within := n/(together*each), n%(together*each)
	op, step := group*together+within%together, within/together
	var noise [10]byte
	for i := range noise {
		noise[i] = byte(random.Uint32())
	}
	at += plant.Time(n / 2)
	e := floor.Event{ID: floor.NewID(int64(at)*1000, noise), Plant: "brackwater", At: at, Device: fmt.Sprint("terminal-", op%200), Person: plant.PersonID(fmt.Sprint("p-", op%45)),
		Job: plant.JobID(fmt.Sprintf("%d-1-1/jaw-4c", 1000+op/8)), Seq: 10 * (1 + op%8)}
	station := plant.StationID(fmt.Sprint("station-", op%30))
	switch {
	case step == 0:
		e.Kind, e.Station = floor.Start, station
	case step == each-1:
		e.Kind, e.Good = floor.Finish, 1
	case step%6 == 1:
		e.Kind, e.Reason = floor.Pause, "waits for the crane"
	case step%6 == 2:
		e.Kind, e.Station = floor.Resume, station
	case step%6 == 3:
		e.Kind, e.Good = floor.Count, 1
	default:
		e.Kind, e.Check, e.Value, e.Pass = floor.Read, fmt.Sprint("gap ", step%3), 12.25, true
	}
	return e
}

// BenchmarkFloorKilled kills a program under load 200 times; see TestFloorKilled.
func BenchmarkFloorKilled(b *testing.B) {
	for b.Loop() {
		floorKilled(b, 200, 40)
	}
	b.ReportMetric(200, "kills")
}
