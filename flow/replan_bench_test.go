package flow_test

import (
	"slices"
	"testing"
	"time"

	"tackline/book"
	"tackline/demo"
	"tackline/flow"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
	"tackline/schedule/search"
	"tackline/stock"
	"tackline/store"
)

// event changes a book as something that happens on a day would.
type event struct {
	name string
	edit func(b *book.Book, v *flow.View)
}

// begin writes the instant from which the plan was made, some hours later.
func begin(v *flow.View, hours int) plant.Wall {
	return plant.WallAt(v.Problem.Now.Add(plant.Seconds(hours)*3600), v.Index.Zone(v.Book.Plants[0].ID))
}

// soonest gives the operation to be planned that begins first, the n-th of them.
func soonest(v *flow.View, n int) int {
	var ops []int
	for op := range v.Problem.Ops {
		if v.Problem.Ops[op].State == schedule.ToPlan {
			ops = append(ops, op)
		}
	}
	slices.SortFunc(ops, func(a, b int) int { return int(v.Plan.Slots[a].Setup - v.Plan.Slots[b].Setup) })
	return ops[n]
}

var events = []event{
	{"robot down until tomorrow", func(b *book.Book, v *flow.View) {
		b.Exceptions = append(b.Exceptions, plant.Exception{Station: "weld-robot-1", From: begin(v, 0), To: begin(v, 32), Kind: "down", Reason: "gearbox"})
	}},
	{"hold for three days", func(b *book.Book, v *flow.View) {
		op := &v.Needs.Ops[soonest(v, 20)]
		b.Work = append(b.Work, stock.Work{Job: v.Needs.Jobs[op.Job].ID, Seq: op.Seq, State: stock.Held, End: begin(v, 72), Note: "crack"})
	}},
	{"runs over by four hours", func(b *book.Book, v *flow.View) {
		at := soonest(v, 0)
		s, op := v.Plan.Slots[at], &v.Needs.Ops[at]
		id := v.Problem.Stations[s.Station].ID
		loc := v.Index.StationZone(id)
		b.Work = append(b.Work, stock.Work{Job: v.Needs.Jobs[op.Job].ID, Seq: op.Seq, State: stock.Running, Station: id,
			Start: plant.WallAt(s.Load, loc), End: plant.WallAt(s.End.Add(4*3600), loc)})
	}},
	{"receipt a week late", func(b *book.Book, _ *flow.View) {
		r := &b.Receipts[len(b.Receipts)/2]
		r.Expected = plant.Wall("2026-12-16T10:00")
	}},
	{"rush order", func(b *book.Book, v *flow.View) {
		l := b.Lines[len(b.Lines)-1]
		for i := range b.Lines {
			if b.Lines[i].State == order.Open {
				l = b.Lines[i]
			}
		}
		l.Line, l.Quantity, l.Due = 90, 1, begin(v, 14*24)
		b.Lines = append(b.Lines, l)
	}},
	{"due a week sooner", func(b *book.Book, _ *flow.View) {
		for i := range b.Lines {
			if b.Lines[i].State == order.Open {
				b.Lines[i].Due = plant.Wall("2026-12-10T16:00")
				return
			}
		}
	}},
}

// BenchmarkReplanDemo plans the demo plant again after one event, from the book on: exploding, setting out, searching for a
// quarter of a second. It reports the median of each, and the operations moved inside the freeze window.
func BenchmarkReplanDemo(b *testing.B) {
	bk, err := demo.Plant(14, plant.At(time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)))
	if err != nil {
		b.Fatal(err)
	}
	now, err := flow.StartOf(bk, 0)
	if err != nil {
		b.Fatal(err)
	}
	v, err := flow.Compute(ctx, bk, now, search.Options{Work: 400_000, Workers: 2})
	if err != nil {
		b.Fatal(err)
	}
	force := &store.Plan{Now: now, Pegs: v.Needs.Pegs()}
	for op, s := range v.Plan.Slots {
		o := &v.Needs.Ops[op]
		force.Slots = append(force.Slots, store.Slot{Job: v.Needs.Jobs[o.Job].ID, Seq: o.Seq, Station: v.Problem.Stations[s.Station].ID,
			Setup: s.Setup, Load: s.Load, Run: s.Run, Unload: s.Unload, End: s.End, Batch: s.Batch})
	}
	var took, moved, frame []float64
	for b.Loop() {
		for _, e := range events {
			c := bk.Clone()
			e.edit(c, v)
			at := time.Now()
			if _, err := flow.FrameLike(c, now, force.Pegs); err != nil {
				b.Fatal(e.name, err)
			}
			frame = append(frame, float64(time.Since(at).Milliseconds()))
			at = time.Now()
			again, err := flow.Replan(ctx, c, now, force, false, search.Options{Seconds: 0.15, Workers: 2})
			if err != nil {
				b.Fatal(e.name, err)
			}
			took = append(took, float64(time.Since(at).Milliseconds()))
			r := flow.Moved(again).R
			moved = append(moved, float64(r.Inside))
			b.Logf("%s: %.0f ms, %d moved inside, %d after, %d new, %d broken; cost %s", e.name, took[len(took)-1], r.Inside, len(r.Moves)-r.Inside, len(r.New), len(again.Broken), again.Score.Total)
		}
	}
	middle := func(x []float64) float64 { slices.Sort(x); return x[len(x)/2] }
	b.ReportMetric(float64(len(v.Needs.Ops)), "operations")
	b.ReportMetric(middle(frame), "frame-ms")
	b.ReportMetric(middle(took), "median-ms")
	b.ReportMetric(took[len(took)-1], "worst-ms")
	b.ReportMetric(middle(moved), "moved")
}
