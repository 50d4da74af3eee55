package exchange

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tackline/book"
	"tackline/book/booktest"
	"tackline/dispatch"
	"tackline/fault"
	"tackline/flow"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/setout"
)

// framed sets the small book out for planning.
func framed(t testing.TB) *flow.Framed {
	t.Helper()
	ix, err := book.NewIndex(booktest.Small())
	if err != nil {
		t.Fatal(err)
	}
	now, _ := ix.PlanFrom()
	r, err := needs.Explode(ix, now)
	if err != nil {
		t.Fatal(err)
	}
	p, err := setout.Problem(ix, r)
	if err != nil {
		t.Fatal(err)
	}
	return &flow.Framed{Index: ix, Needs: r, Problem: p}
}

func viewOf(f *flow.Framed, p *schedule.Plan) *flow.View {
	return &flow.View{Book: f.Index.Book, Index: f.Index, Needs: f.Needs, Problem: f.Problem, Plan: p}
}

// TestPlanRoundTrip: what WritePlan writes, ReadPlan reads back to the same second, over the changes of the clocks too.
func TestPlanRoundTrip(t *testing.T) {
	f := framed(t)
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		p := &schedule.Plan{Slots: make([]schedule.Slot, len(f.Problem.Ops)), Status: schedule.Complete, Rule: "read from plan.csv"}
		for i := range p.Slots {
			p.Slots[i].Station = schedule.None
			if rapid.IntRange(0, 9).Draw(t, "left") == 0 {
				p.Left = append(p.Left, schedule.Left{Op: i, Why: "no room"})
				p.Status = schedule.Incomplete
				continue
			}
			at := plant.Time(rapid.Int64Range(int64(f.Problem.Now), int64(f.Problem.Now)+400*24*3600).Draw(t, "begin"))
			next := func() plant.Time {
				at += plant.Time(rapid.Int64Range(0, 5000).Draw(t, "more"))
				return at
			}
			p.Slots[i] = schedule.Slot{Station: rapid.IntRange(0, len(f.Problem.Stations)-1).Draw(t, "station"),
				Setup: next(), Load: next(), Run: next(), Unload: next(), End: next(), Batch: rapid.IntRange(0, 3).Draw(t, "batch")}
		}
		if err := WritePlan(dir, viewOf(f, p)); err != nil {
			t.Fatal(err)
		}
		got, err := ReadPlan(dir, f)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(p, got); d != "" {
			t.Fatal(d)
		}
		if now, horizon, ok := PlanSpan(dir); !ok || now != f.Problem.Now || horizon != f.Problem.Horizon {
			t.Fatalf("the span reads as %d to %d, %v", now, horizon, ok)
		}
	})
}

// TestOffsets: 02:30 UTC+1 and 01:30 UTC are told apart when clocks go back in Dublin on 25 October 2026 at 01:00 UTC.
func TestOffsets(t *testing.T) {
	loc, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	before := plant.At(time.Date(2026, 10, 25, 0, 30, 0, 0, time.UTC))
	after := before.Add(3600)
	if got := stamp(before, loc); got != "2026-10-25T01:30:00+01:00" {
		t.Errorf("before: %s", got)
	}
	if got := stamp(after, loc); got != "2026-10-25T01:30:00+00:00" {
		t.Errorf("after: %s", got)
	}
}

const planHeader = "job,op,station,setup_start,start,run,unload,end,batch\n"

func TestPlanFaults(t *testing.T) {
	f := framed(t)
	const times = ",2026-11-25T06:00:00Z,2026-11-25T06:00:00Z,2026-11-25T06:00:00Z,2026-11-25T07:00:00Z,2026-11-25T07:00:00Z,"
	job := string(f.Needs.Jobs[f.Needs.Units[0].Top].ID)
	for _, c := range []struct{ name, text, place, part string }{
		{"job", planHeader + job + "x,10,bench-1" + times, "plan row 2, job", job},
		{"operation", planHeader + job + ",11,bench-1" + times, "plan row 2, op", "10, 20, 30"},
		{"station", planHeader + "\n" + job + ",10,bench-2" + times, "plan row 3, station", "bench-1"},
		{"time", planHeader + job + ",10,bench-1" + strings.Replace(times, "06:00:00Z", "6 o'clock", 1), "plan row 2, setup_start", "a time such as"},
		{"time without offset", planHeader + job + ",10,bench-1" + strings.Replace(times, "07:00:00Z", "07:00:00", 1), "plan row 2, unload", "a time such as"},
		{"twice", planHeader + job + ",10,bench-1" + times + "\n" + job + ",10,bench-1" + times, "plan row 3, op", "row 2"},
		{"batch", planHeader + job + ",10,bench-1" + times + "b", "plan row 2, batch", "whole number"},
		{"column missing", strings.Replace(planHeader, "station,", "", 1), "plan row 1, station", "missing"},
		{"column misspelt", strings.Replace(planHeader, "batch", "bach", 1), "plan row 1, bach", "batch"},
		{"empty", "", "plan row 1", "empty"},
	} {
		p, err := readPlan(strings.NewReader(c.text), f)
		var list fault.List
		if p != nil || !errors.As(err, &list) || len(list) != 1 || list[0].Place() != c.place || !strings.Contains(list[0].Error(), c.part) {
			t.Errorf("%s: got %v, %v", c.name, p, err)
		}
	}
}

func FuzzReadPlan(f *testing.F) {
	fr := framed(f)
	f.Add(planHeader + "a,10,b,2026-11-25T06:00:00Z,,,,,")
	f.Add("job;op;station\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		if p, err := readPlan(strings.NewReader(text), fr); (p == nil) == (err == nil) {
			t.Fatal("neither a plan nor an error, or both")
		}
	})
}

// TestPlanFilesHaveTheirColumns: every file is written, and each of its rows has a cell for each column.
func TestPlanFilesHaveTheirColumns(t *testing.T) {
	f := framed(t)
	p := &schedule.Plan{Slots: make([]schedule.Slot, len(f.Problem.Ops)), Status: schedule.Complete}
	with := *f.Problem
	with.Adopted = make([]schedule.Slot, len(p.Slots))
	for i := range p.Slots {
		with.Adopted[i] = schedule.Slot{End: 60}
	}
	v := viewOf(&flow.Framed{Index: f.Index, Needs: f.Needs, Problem: &with}, p)
	at := f.Problem.Now
	v.Why = []schedule.Explanation{{Unit: 0, Ship: at + 7200, Slack: -3600, Sentence: "works", Segments: []schedule.Segment{
		{From: at, To: at + 7200, Reason: schedule.Working, Op: 0, Behind: schedule.None, Text: "working"}}}}
	v.Kits = []dispatch.Kit{{Op: 0, Due: at, State: dispatch.KitShort, Lines: []dispatch.KitLine{{Item: "pin", Qty: 2500, Comes: plant.Never}}}}
	v.Runs = []dispatch.RunList{{Station: "bench-1", Runs: []dispatch.Run{{Op: 0, Blocks: []dispatch.Block{{What: "waits", Clears: "planner", Until: at}}}}}}
	v.Shorts = []dispatch.Short{{Item: "pin", Plant: "north", Qty: 1000, Op: 0, Wanted: at, Comes: at, Units: []plant.UnitID{"a", "b"}}}
	v.Load = []dispatch.Load{{Centre: "bench", Week: at, Open: 50, Run: 30, Setup: 5, Ops: []int{0, 1}}}
	dir := t.TempDir()
	if err := WritePlan(dir, v); err != nil {
		t.Fatal(err)
	}
	for _, file := range planFiles() {
		r, err := os.Open(filepath.Join(dir, file.name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		rows := 0
		if f := records(r, func(no int, fields []string, _ rune) {
			if rows++; len(fields) != len(file.columns) {
				t.Errorf("%s row %d has %d cells, want %d", file.name, no, len(fields), len(file.columns))
			}
		}); f != nil {
			t.Error(f)
		}
		if rows < 2 && file.name != "actions" {
			t.Errorf("%s has %d rows", file.name, rows)
		}
		r.Close()
	}
}

// TestVerifySeesTheSamePlan plans the small book, writes it, reads it back and has it checked; then moves one operation by
// hand in plan.csv, which the checker must find.
func TestVerifySeesTheSamePlan(t *testing.T) {
	b := booktest.Small()
	ix, err := book.NewIndex(b)
	if err != nil {
		t.Fatal(err)
	}
	now, _ := ix.PlanFrom()
	v, err := flow.Compute(context.Background(), b, now, search.Options{Work: 1, Workers: 1, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := WritePlan(dir, v); err != nil {
		t.Fatal(err)
	}
	f := &flow.Framed{Index: v.Index, Needs: v.Needs, Problem: v.Problem}
	p, err := ReadPlan(dir, f)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(v.Plan.Slots, p.Slots); d != "" {
		t.Fatal(d)
	}
	if d := cmp.Diff(v.Broken, schedule.Check(f.Problem, p)); d != "" {
		t.Fatal(d)
	}
	path := filepath.Join(dir, "plan.csv")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	moved := 0
	for i, s := range p.Slots {
		if s.Station >= 0 && f.Problem.Ops[i].State == schedule.ToPlan {
			moved = i
			break
		}
	}
	end := stamp(p.Slots[moved].End, ix.StationZone(f.Problem.Stations[p.Slots[moved].Station].ID))
	early := strings.Replace(string(text), end, "2026-11-01T00:00:00Z", 1)
	if err := os.WriteFile(path, []byte(early), 0o644); err != nil {
		t.Fatal(err)
	}
	if p, err = ReadPlan(dir, f); err != nil {
		t.Fatal(err)
	}
	if len(schedule.Check(f.Problem, p)) == 0 {
		t.Error("an operation that ends before it starts is not found")
	}
}
