package needs_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// 1042 takes 8 pins and 1043 takes 12 of lots 2 and 1 (see TestUnitTrees). Lot 1 goes apart as 12 = 7 + 5, whose bar is 1.75
// and 1.25 m; a set is not split, nor a lot of which nothing would be left.
func TestSplitByHand(t *testing.T) {
	b := grabs()
	b.Splits = []order.Split{{Job: "stock/pin/1", Part: "b", Pieces: 5}, {Job: "1042-1-1/jaw-4", Part: "b", Pieces: 2},
		{Job: "stock/pin/2", Part: "b", Pieces: 8}, {Job: "stock/pin/99", Part: "b", Pieces: 1}}
	r := run(t, b)
	same(t, "pins", []string{"stock/pin/1 x7", "stock/pin/1+b x5", "stock/pin/2 x8"}, having(jobs(r), "stock/pin"))
	same(t, "jaws", []string{"1042-1-1/jaw-4 x4"}, having(jobs(r), "1042-1-1/jaw-4"))
	same(t, "covers", []string{"1043-1-1/grab: pin 6 = job 6 stock/pin/1", "1043-1-2/grab: pin 6 = job 1 stock/pin/1, job 5 stock/pin/1+b",
		"1042-1-1/grab: pin 8 = job 8 stock/pin/2"}, only(covers(r), ": pin "))
	same(t, "bar", []string{"stock/pin/1: bar 1.75 = purchase 1.75", "stock/pin/1+b: bar 1.25 = purchase 1.25", "stock/pin/2: bar 2 = purchase 2"}, only(covers(r), ": bar "))
	var made []string
	for _, a := range r.Actions {
		if a.Kind == needs.Make && a.Item == "pin" {
			made = append(made, fmt.Sprint(a.Job, " ", a.Qty))
		}
	}
	same(t, "proposals", []string{"stock/pin/1 7", "stock/pin/1+b 5", "stock/pin/2 8"}, made)
}

// The parts of a split job take what is made below it from one job, whose number and pieces stay; what the floor has taken for
// one part is not asked for again.
func TestPartsShareWhatIsMadeBelow(t *testing.T) {
	b := grabs()
	b.Lines = b.Lines[:1]
	b.Parts[1].Quantity = "6" // heads
	b.Items = append(b.Items, product.Item{ID: "lug", Name: "lug", Kind: "made", Unit: "ea", Plant: "main", Policy: "unit", Lot: "as needed"})
	b.Ops = append(b.Ops, product.Op{Item: "lug", Seq: 10, Name: "cut", Centre: "bench", Nature: "attended", Closed: "pause", Run: "5"})
	b.Parts = append(b.Parts, product.Part{Parent: "head", Line: 10, Component: "lug", Quantity: "2", Op: 10})
	b.Splits = []order.Split{{Job: "1042-1-1/head", Part: "c", Pieces: 1}, {Job: "1042-1-1/head", Part: "b", Pieces: 2}}
	r := run(t, b)
	same(t, "jobs", []string{"1042-1-1/head x3", "1042-1-1/head+b x2", "1042-1-1/head+c x1", "1042-1-1/lug x12"},
		append(having(jobs(r), "1042-1-1/head"), having(jobs(r), "1042-1-1/lug")...))
	same(t, "lugs", []string{"1042-1-1/head: lug 6 = job 6 1042-1-1/lug", "1042-1-1/head+b: lug 4 = job 4 1042-1-1/lug", "1042-1-1/head+c: lug 2 = job 2 1042-1-1/lug"},
		only(covers(r), ": lug "))
	same(t, "heads", []string{"1042-1-1/grab: head 6 = job 3 1042-1-1/head, job 2 1042-1-1/head+b, job 1 1042-1-1/head+c"}, only(covers(r), ": head "))

	b.Work = []stock.Work{{Job: "1042-1-1/head+b", Seq: 10, State: "running", Station: "bench-1", Start: "2026-11-25T05:00", End: "2026-11-25T09:00"},
		{Job: "1042-1-1/lug", Seq: 10, State: "done", Station: "bench-1", Start: "2026-11-24T05:00", End: "2026-11-24T09:00"}}
	r = run(t, b)
	same(t, "lugs taken for one part", []string{"1042-1-1/head: lug 6 = job 6 1042-1-1/lug", "1042-1-1/head+b: lug 4 = issued 4", "1042-1-1/head+c: lug 2 = job 2 1042-1-1/lug"},
		only(covers(r), ": lug "))
}

// A released lot goes apart; a part that is released itself is not taken off again.
func TestSplitOfReleasedLot(t *testing.T) {
	b := grabs()
	b.Releases = []stock.Release{{Job: "stock/pin/7", Item: "pin", Pieces: 10}}
	b.Splits = []order.Split{{Job: "stock/pin/7", Part: "b", Pieces: 4}}
	same(t, "split", []string{"stock/pin/7 x6", "stock/pin/7+b x4"}, having(jobs(run(t, b)), "stock/pin/7"))
	b.Releases = []stock.Release{{Job: "stock/pin/7", Item: "pin", Pieces: 6}, {Job: "stock/pin/7+b", Item: "pin", Pieces: 4}}
	same(t, "both released", []string{"stock/pin/7 x6", "stock/pin/7+b x4"}, having(jobs(run(t, b)), "stock/pin/7"))
}

// drawSplits draws splits of some jobs of a result.
func drawSplits(t *rapid.T, r *needs.Result) []order.Split {
	var out []order.Split
	for _, j := range r.Jobs {
		if j.Pieces < 2 || rapid.IntRange(0, 2).Draw(t, "split "+string(j.ID)) > 0 {
			continue
		}
		for part := 'b'; part < 'b'+rune(rapid.IntRange(1, 2).Draw(t, "parts")); part++ {
			out = append(out, order.Split{Job: j.ID, Part: string(part), Pieces: rapid.IntRange(1, j.Pieces).Draw(t, "pieces")})
		}
	}
	return out
}

// total adds up pieces and good pieces of each job with its parts, and says how many parts were taken off.
func total(r *needs.Result) (map[string]string, int) {
	pieces, need, parts := map[string]int{}, map[string]int{}, 0
	for _, j := range r.Jobs {
		id := string(j.ID)
		if j.Part != "" {
			id = strings.TrimSuffix(id, "+"+j.Part)
			parts++
		}
		pieces[id] += j.Pieces
		need[id] += j.Need
	}
	out := map[string]string{}
	for id := range pieces {
		out[id] = fmt.Sprint(pieces[id], " for ", need[id])
	}
	return out, parts
}

// Splits keep pieces and good pieces in total and all other jobs as they are, balance, and leave pegs that make the same of
// the same book; without them the pegs make whole lots again.
func TestSplitsKeepTotals(t *testing.T) {
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		b := drawBook(t)
		b.Work = nil
		plain := explodeAt(t, b, now)
		whole, _ := total(plain)
		apart := b.Clone()
		apart.Splits = drawSplits(t, plain)
		r := explodeAt(t, apart, now)
		got, parts := total(r)
		tried += parts
		if fmt.Sprint(got) != fmt.Sprint(whole) {
			t.Fatalf("pieces in total changed with %+v:\n%v\n%v", apart.Splits, whole, got)
		}
		checkBalance(t, apart, r)
		if again := explodeLike(t, apart, now, r); fmt.Sprint(jobs(again)) != fmt.Sprint(jobs(r)) {
			t.Fatalf("not stable:\n%v\n%v", jobs(r), jobs(again))
		}
		back := explodeLike(t, b, now, r)
		checkBalance(t, b, back)
		if got, parts := total(back); parts > 0 || fmt.Sprint(got) != fmt.Sprint(whole) {
			t.Fatalf("not whole again:\n%v\n%v", whole, got)
		}
	})
	if tried == 0 {
		t.Error("nothing was split")
	}
}

// The item of a part is found in its name.
func TestItemOfPart(t *testing.T) {
	ix := index(t, grabs())
	for id, want := range map[string]plant.ItemID{"stock/pin/1+b": "pin", "1042-1-1/head+b": "head", "1042-1-1/head+2+c": "head", "1042-1-1/head#2+c": "head"} {
		if it := ix.ItemOfJob(plant.JobID(id)); it == nil || it.ID != want {
			t.Errorf("%s: %v", id, it)
		}
	}
}
