package flow_test

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"tackline/fault"
	"tackline/floor"
	"tackline/flow"
)

// recordedFloor gives a database on which random events were recorded, closed, and how many.
func recordedFloor(t *testing.T, events int) (path string, told int) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "shop.db")
	s := openStore(t, path)
	shop := openShop(t, s, flow.Options{})
	must(t, shop.ImportBook(ctx, boss, small(), nil))
	must(t, shop.Adopt(ctx, boss, draft(t, shop, "first")))
	devices := newDevices(floorOf(t, shop), 3, 7)
	undone := 0
	for n := range events {
		d := devices[n%len(devices)]
		e := *d.next()
		got := post(t, shop, boss, e)
		d.hear(t, deviceAnswer{ID: e.ID, Number: got[0].Number})
		if e.Kind == floor.Undo && got[0].Refused == nil {
			undone++
		}
	}
	if undone == 0 {
		t.Fatal("nothing was undone")
	}
	told = checkRecord(t, s, devices)
	checkFloor(t, s, shop)
	must(t, shop.Close())
	must(t, s.Close())
	return path, told
}

// matches gives whether a text has a place that a pattern fits.
func matches(pattern string) func(string) bool { return regexp.MustCompile(pattern).MatchString }

// tampered gives a copy of a database with statements done to it behind the back of the program.
func tampered(t *testing.T, path string, statements ...string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	must(t, err)
	place := filepath.Join(t.TempDir(), "shop.db")
	must(t, os.WriteFile(place, text, 0o600))
	db, err := sql.Open("sqlite", place)
	must(t, err)
	defer db.Close()
	for _, q := range statements {
		r, err := db.Exec(q)
		must(t, err)
		if n, err := r.RowsAffected(); err != nil || n == 0 {
			t.Fatalf("%s changed %d rows, %v", q, n, err)
		}
	}
	return place
}

// TestRebuildFloor: a whole record gives the stored state, and nothing is written.
func TestRebuildFloor(t *testing.T) {
	path, told := recordedFloor(t, 600)
	for _, check := range []bool{true, false} {
		report, err := flow.RebuildFloor(ctx, openStore(t, path), check)
		must(t, err)
		if !report.Good() || report.Written || report.Events != int64(told) || len(report.Plants) != 2 || report.Operations == 0 || report.Stations == 0 {
			t.Errorf("check %v of %d events: %+v", check, told, report)
		}
	}
}

// TestTamperedRecord: whatever is done to a record is found and named, by the first event that is concerned, and no state is made of it.
func TestTamperedRecord(t *testing.T) {
	path, _ := recordedFloor(t, 600)
	const the5th = `plant = 'north' AND number = 5`
	const last = `plant = 'north' AND number = (SELECT number FROM floor_chains WHERE plant = 'north')`
	for _, c := range []struct{ name, statement, found string }{
		{"text", `UPDATE floor_events SET body = json_set(body, '$.note', 'nothing') WHERE ` + the5th, `plant north: event 5 .* is not what was recorded`},
		{"person, in the text and in its column", `UPDATE floor_events SET person = 'x', body = json_set(body, '$.person', 'x') WHERE ` + the5th, `plant north: event 5 .* its hash does not fit`},
		{"a blank in the text", `UPDATE floor_events SET body = body || ' ' WHERE ` + the5th, `plant north: event 5 .* not as the program writes it`},
		{"text that is none", `UPDATE floor_events SET body = '{' WHERE ` + the5th, `plant north: event 5 .* cannot be read`},
		{"column", `UPDATE floor_events SET op = op + 10 WHERE ` + the5th, `plant north: event 5 .* do not agree`},
		{"when it was recorded", `UPDATE floor_events SET got = got + 1 WHERE ` + the5th, `plant north: event 5 .* its hash does not fit`},
		{"hash", `UPDATE floor_events SET hash = 'f' || substr(hash, 2) WHERE hash NOT LIKE 'f%' AND plant = 'north' AND number IN (5, 6, 7)`, `plant north: event [567] .* its hash does not fit`},
		{"plant", `UPDATE floor_events SET plant = 'east' WHERE ` + the5th, `plant north: event 5 .* do not agree`},
		{"one is missing", `DELETE FROM floor_events WHERE ` + the5th, `plant north: event 6 comes after event 4`},
		{"the first is missing", `DELETE FROM floor_events WHERE plant = 'north' AND number = 1`, `plant north: event 2 comes after event 0`},
		{"the last is missing", `DELETE FROM floor_events WHERE ` + last, `plant north: the record ends with event \d+, but event \d+ was the last`},
		{"all of a plant are missing", `DELETE FROM floor_events WHERE plant = 'north'`, `plant north: the record ends with event 0, but event \d+ was the last`},
		{"the end is missing", `DELETE FROM floor_chains WHERE plant = 'north'`, `plant north: the record ends with event \d+, but event 0 was the last`},
		{"the end is another", `UPDATE floor_chains SET hash = 'x' WHERE plant = 'north'`, `plant north: the last event, \d+, is not the one that was recorded last`},
		{"order", `UPDATE floor_events SET seq = -seq WHERE ` + the5th, `plant north: event 5 comes after event 0`},
		{"one more", `INSERT INTO floor_events SELECT seq + 1000000, '01940000-0000-7000-8000-000000000000', plant, number + 1000000, got, at, kind, device, person, job, op, station, body, hash
			FROM floor_events WHERE ` + the5th, `plant north: event 10000\d+ .* do not agree`},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := openStore(t, tampered(t, path, c.statement))
			for _, check := range []bool{true, false} {
				report, err := flow.RebuildFloor(ctx, s, check)
				must(t, err)
				if len(report.Broken) == 0 || !slices.ContainsFunc(report.Broken, matches(c.found)) || report.Written {
					t.Errorf("broken: %q, expected %s; written %v", report.Broken, c.found, report.Written)
				}
			}
		})
	}
}

// TestChangedState: whatever is done to the stored state is found, named, and mended from the record.
func TestChangedState(t *testing.T) {
	path, _ := recordedFloor(t, 600)
	s := openStore(t, path)
	state, err := s.Floor(ctx)
	must(t, err)
	must(t, s.Close())
	var worked floor.OpKey
	for k, o := range state.Ops {
		if o.Good > 0 {
			worked = k
		}
	}
	is := ` WHERE job = '` + string(worked.Job) + `' AND op = ` + asJSON(t, worked.Seq)
	name := "operation " + asJSON(t, worked.Seq) + " of job " + string(worked.Job) + ": "
	for _, c := range []struct{ name, statement, found string }{
		{"pieces", `UPDATE floor_ops SET state = json_set(state, '$.good', 99)` + is, name + `good is 99, by the events \d+`},
		{"a value is gone", `UPDATE floor_ops SET state = json_remove(state, '$.began')` + is, name + `began is nothing, by the events \d+`},
		{"column", `UPDATE floor_ops SET phase = 'on the moon'` + is, name + `its columns say phase "on the moon"`},
		{"operation is gone", `DELETE FROM floor_ops` + is, name + `there is no stored state`},
		{"operation is new", `INSERT INTO floor_ops SELECT 'unheard', op, phase, station, state FROM floor_ops` + is, `of job unheard: there is a stored state, but there are no events`},
		{"unreadable", `UPDATE floor_ops SET state = 'x'` + is, name + `the stored state cannot be read`},
		{"station", `UPDATE floor_stations SET state = json_set(state, '$.people', json('[{"person":"ghost","since":1}]')) WHERE station = 'saw-1'`, `station saw-1: people is .*ghost.*, by the events`},
		{"station is gone", `DELETE FROM floor_stations WHERE station = 'saw-1'`, `station saw-1: there is no stored state`},
		{"station is new", `INSERT INTO floor_stations VALUES ('unheard', '{}')`, `station unheard: there is a stored state, but there are no events`},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := openStore(t, tampered(t, path, c.statement))
			for _, check := range []bool{true, false} {
				report, err := flow.RebuildFloor(ctx, s, check)
				must(t, err)
				if len(report.Broken) > 0 || len(report.Differences) != 1 || !matches(c.found)(report.Differences[0]) || report.Written == check {
					t.Errorf("check %v: broken %q, differences %q, expected one: %s; written %v", check, report.Broken, report.Differences, c.found, report.Written)
				}
			}
			report, err := flow.RebuildFloor(ctx, s, true)
			must(t, err)
			again, err := s.Floor(ctx)
			must(t, err)
			if !report.Good() || asJSON(t, again.Ops[worked]) != asJSON(t, state.Ops[worked]) {
				t.Errorf("after it was mended: %+v", report)
			}
		})
	}
}

// TestRebuildBeside: a state is not written under a program that records, and can be checked while it records.
func TestRebuildBeside(t *testing.T) {
	path, _ := recordedFloor(t, 200)
	s := openStore(t, path)
	shop := openShop(t, s, flow.Options{})
	_, err := flow.RebuildFloor(ctx, openStore(t, path), false)
	refused(t, err, fault.Conflict, "rebuilding beside a program that records")
	d := newDevices(floorOf(t, shop), 1, 8)[0]
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for range 600 {
			e := *d.next()
			got, err := shop.PostEvents(ctx, boss, []floor.Event{e})
			if err != nil {
				t.Error(err)
				return
			}
			d.hear(t, deviceAnswer{ID: e.ID, Number: got[0].Number})
		}
	}()
	for beside := openStore(t, path); ; {
		report, err := flow.RebuildFloor(ctx, beside, true)
		must(t, err)
		if !report.Good() {
			t.Fatalf("%+v", report)
		}
		select {
		case <-ended:
			return
		default:
		}
	}
}

// TestNotRecorded: what the database does not take is answered with an error and changes nothing; sent again it is recorded.
func TestNotRecorded(t *testing.T) {
	path, _ := recordedFloor(t, 100)
	s := openStore(t, path)
	shop := openShop(t, s, flow.Options{})
	db, err := sql.Open("sqlite", path)
	must(t, err)
	defer db.Close()
	tablet, other := newDevices(floorOf(t, shop), 2, 9)[0], newDevices(floorOf(t, shop), 2, 9)[1]
	_, err = db.Exec(`CREATE TRIGGER full BEFORE INSERT ON floor_events WHEN new.device = 'tablet-0' BEGIN SELECT RAISE(ABORT, 'the disk is full'); END`)
	must(t, err)
	failed := 0
	for range 200 {
		e := *tablet.next()
		_, err := shop.PostEvents(ctx, boss, []floor.Event{e})
		tablet.waiting = nil
		if err == nil {
			continue // it was refused
		}
		failed++
		checkFloor(t, s, shop)
		x := *other.next()
		got := post(t, shop, boss, x)
		other.hear(t, deviceAnswer{ID: x.ID, Number: got[0].Number})
	}
	if failed == 0 {
		t.Fatal("nothing failed")
	}
	_, err = db.Exec(`DROP TRIGGER full`)
	must(t, err)
	for range 200 {
		e := *tablet.next()
		got := post(t, shop, boss, e)
		tablet.hear(t, deviceAnswer{ID: e.ID, Number: got[0].Number})
	}
	if len(tablet.told) == 0 {
		t.Error("nothing was recorded afterwards")
	}
	checkFloor(t, s, shop)
}

// TestDefectWhileRecording: a defect met while events are recorded is an error for those who posted them; recording goes on.
func TestDefectWhileRecording(t *testing.T) {
	path, _ := recordedFloor(t, 100)
	s := openStore(t, path)
	clock := newClock()
	var broken atomic.Bool
	shop := openShop(t, s, flow.Options{Clock: func() time.Time {
		if broken.Load() {
			panic("the clock has stopped")
		}
		return clock.now()
	}})
	names := floorOf(t, shop)
	e := floor.Event{ID: eventID(1), Kind: floor.Trouble, Plant: names.plants[0], At: 1, Device: "tablet-1", Person: names.people[0], Station: names.stations[0], Reason: "crane"}
	broken.Store(true)
	for range 3 {
		if got, err := shop.PostEvents(ctx, boss, []floor.Event{e}); err == nil || fault.KindOf(err) != fault.Internal {
			t.Fatalf("%+v, %v", got, err)
		}
		checkFloor(t, s, shop)
	}
	broken.Store(false)
	told, stop := context.WithCancel(ctx)
	shop.WatchFloor(told, func(*floor.Record) bool { panic("a watcher that breaks") })
	if got := post(t, shop, boss, e); got[0].Refused != nil || got[0].Known {
		t.Errorf("sent again: %+v", got)
	}
	stop()
	if got := post(t, shop, boss, e); !got[0].Known {
		t.Errorf("after a watcher broke: %+v", got)
	}
	checkFloor(t, s, shop)
}

// TestLongPosting: a device that was away for long sends many events at one time, and all are recorded, in their order.
func TestLongPosting(t *testing.T) {
	path, _ := recordedFloor(t, 100)
	s := openStore(t, path)
	shop := openShop(t, s, flow.Options{})
	names := floorOf(t, shop)
	var list []floor.Event
	for n := range 1_500 {
		list = append(list, floor.Event{ID: floor.NewID(int64(n), [10]byte{3: 1}), Kind: floor.Read, Plant: names.plants[0], At: 1, Device: "tablet-1", Person: names.people[0],
			Job: names.ops[0].Job, Seq: names.ops[0].Seq, Check: "gap", Value: float64(n)})
	}
	last := int64(0)
	for _, a := range post(t, shop, boss, list...) {
		if a.Refused != nil || last > 0 && a.Number != last+1 {
			t.Fatalf("after number %d: %+v", last, a)
		}
		last = a.Number
	}
}
