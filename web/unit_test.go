package web

import (
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// TestSegmentsAddUp: whatever the seconds, the whole minutes shown add up to the total shown, and so do those of chapters and
// of their shares.
func TestSegmentsAddUp(t *testing.T) {
	v := storyView(t)
	ix, err := newIndex(v)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		lengths := rapid.SliceOfN(rapid.Int64Range(1, 500000), 1, 40).Draw(t, "seconds")
		e := &schedule.Explanation{}
		at := v.Needs.Now
		reasons := []schedule.Reason{schedule.Working, schedule.ShopClosed, schedule.Material}
		for i, l := range lengths {
			e.Segments = append(e.Segments, schedule.Segment{From: at, To: at + plant.Time(l), Op: needs.None, Behind: needs.None, Reason: reasons[i*int(l)%3]})
			at += plant.Time(l)
		}
		e.Ship = at
		rows, total := ix.segmentRows(e)
		sum := int64(0)
		for _, r := range rows {
			sum += readMinutes(r.Time)
		}
		if sum != readMinutes(total) {
			t.Fatalf("%d minutes in rows, %q in all", sum, total)
		}
		chapters, shares := int64(0), int64(0)
		for _, r := range ix.chapterRows(e, rows) {
			chapters += readMinutes(r.Time)
			for _, s := range r.Shares {
				shares += readMinutes(s.Time)
			}
		}
		if chapters != sum || shares != sum {
			t.Fatalf("%d minutes in chapters, %d in shares, %q in all", chapters, shares, total)
		}
	})
}

// readMinutes reads "3 h 05 min".
func readMinutes(s string) int64 {
	total := int64(0)
	f := strings.Fields(s)
	for i := 0; i+1 < len(f); i += 2 {
		n, _ := strconv.ParseInt(f[i], 10, 64)
		if f[i+1] == "h" {
			n *= 60
		}
		total += n
	}
	return total
}

// TestMap draws odd trees: no box covers another, every branch ends before its meeting point, lanes differ.
func TestMap(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newStory(t)
		u := s.unit("1042-9-1", "1042", "tine-grab", 100, "standard")
		jobs := []int{}
		n := rapid.IntRange(1, 12).Draw(rt, "jobs")
		for i := 0; i < n; i++ {
			var steps []step
			for k := rapid.IntRange(1, 5).Draw(rt, "operations"); k > 0; k-- {
				from := rapid.Float64Range(0, 50).Draw(rt, "from")
				steps = append(steps, step{seq: 10 * (len(steps) + 1), name: rapid.SampledFrom([]string{"tack", "assemble and leak test"}).Draw(rt, "name"),
					station: rapid.SampledFrom([]string{"tack-1", ""}).Draw(rt, "station"), setup: from, from: from, to: from + rapid.Float64Range(0, 90).Draw(rt, "hours"),
					state: rapid.SampledFrom([]schedule.State{schedule.ToPlan, schedule.Done}).Draw(rt, "state")})
			}
			parent, at := needs.None, 0
			if i > 0 {
				parent = rapid.SampledFrom(jobs).Draw(rt, "parent")
				at = 10 * rapid.IntRange(1, len(s.v.Needs.Jobs[parent].Ops)).Draw(rt, "at")
			}
			jobs = append(jobs, s.job(u, parent, at, "item-"+strconv.Itoa(i), 1, steps...))
		}
		ix, err := newIndex(s.v)
		if err != nil {
			rt.Fatal(err)
		}
		d := ix.drawUnit(u)
		root := ix.branchesLaidOut(u)
		if n := opsDrawn(root); n != len(s.v.Needs.Ops) {
			rt.Fatalf("%d operations drawn of %d", n, len(s.v.Needs.Ops))
		}
		for i, a := range d.Boxes {
			if a.X < 0 || a.Y < 0 || a.X+a.W > d.Width || a.Y+a.H > d.Height {
				rt.Fatalf("box %v lies outside %d x %d", a, d.Width, d.Height)
			}
			for _, b := range d.Boxes[:i] {
				if a.X < b.X+b.W && b.X < a.X+a.W && a.Y < b.Y+b.H && b.Y < a.Y+a.H {
					rt.Fatalf("boxes %v and %v cover each other", a, b)
				}
			}
		}
		checkBranch(rt, root)
	})
}

// branchesLaidOut gives the tree with its places.
func (ix *index) branchesLaidOut(unit int) *branch {
	b := ix.branchesOf(unit)
	lane := 0
	b.lanes(&lane)
	ix.layOut(b, mapMargin)
	return b
}

func opsDrawn(b *branch) int {
	n := 0
	for _, box := range b.boxes {
		n += len(box.ops)
	}
	for _, k := range b.kids {
		n += opsDrawn(k)
	}
	return n
}

func checkBranch(t *rapid.T, b *branch) {
	for _, k := range b.kids {
		met := false
		for _, j := range b.joins {
			if j.op == k.meets {
				met = true
				if k.to+curveWidth > j.x {
					t.Fatalf("branch %s ends at %d and meets at %d", k.name, k.to, j.x)
				}
			}
		}
		if !met || k.y == b.y {
			t.Fatalf("branch %s does not meet %s, or lies on it", k.name, b.name)
		}
		checkBranch(t, k)
	}
}

func TestShow(t *testing.T) {
	for d, want := range map[plant.Seconds]string{0: "0 min", 59: "1 min", 3540: "59 min", 3600: "1 h", 5400: "1.5 h", 36000: "10 h", 47 * 3600: "47 h",
		48 * 3600: "2 days", 60 * 3600: "2.5 days", -7200: "2 h"} {
		if got := roughly(d); got != want {
			t.Errorf("roughly(%d) = %q, want %q", d, got, want)
		}
	}
	if got := slackText(-19800); got != "5.5 h late" {
		t.Errorf("slackText: %q", got)
	}
	for n, want := range map[int]string{0: "Nothing waits for a decision", 1: "One decision waits", 3: "Three decisions wait", 40: "40 decisions wait"} {
		if got := headline(n); got != want {
			t.Errorf("headline(%d) = %q", n, got)
		}
	}
	for _, c := range []struct {
		n, late int
		want    string
	}{{0, 0, "No unit ships this week."}, {1, 0, "One unit ships this week, in time as the shop stands."},
		{11, 2, "Eleven units ship or are due this week: nine in time, two are late or without a date as the shop stands."}} {
		if got := weekSentence(c.n, c.late); got != c.want {
			t.Errorf("weekSentence(%d, %d) = %q", c.n, c.late, got)
		}
	}
}
