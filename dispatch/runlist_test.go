package dispatch

import (
	"fmt"
	"testing"
	"time"

	"tackline/needs"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// blocked lists what keeps an operation from starting: "what | who clears it | until".
func (s *shopfloor) blocked(t *testing.T, station plant.StationID, op int) (out []string) {
	t.Helper()
	for _, run := range s.runs(station) {
		if run.Op != op {
			continue
		}
		for _, b := range run.Blocks {
			until := "?"
			if b.Until != 0 {
				until = b.Until.In(s.ix.Zone("brackwater")).Format("Mon 2 Jan 15:04")
			}
			out = append(out, b.What+" | "+b.Clears+" | "+until)
		}
		if run.Ready != (len(run.Blocks) == 0) {
			t.Errorf("operation %d is ready: %v, with %q", op, run.Ready, out)
		}
		return out
	}
	t.Fatalf("operation %d is not on the list of %s", op, station)
	return nil
}

// An order line that must not be begun yet is not ready, though everything is there; one whose day has come is.
func TestNotToBeBegunYet(t *testing.T) {
	r := asked(needs.Op{Run: hour})
	for _, tt := range []struct {
		release plant.Time
		want    []string
	}{{0, nil}, {now, nil}, {at("2026-11-30T06:00"), []string{"order line not to be begun before Mon 30 Nov 06:00 | planner | Mon 30 Nov 06:00"}}} {
		r.Units[0].Release = tt.release
		s := lay(t, works(), r, [3]string{"bench-1", "11-30T06:00", "11-30T07:00"}).sound(t)
		same(t, "blocks", s.blocked(t, "bench-1", 0), tt.want)
	}
}

// A job of 4 pieces passes them on one by one. It has been running for the time given of 4 h: the first piece is over
// after 1 h, and from then on the next operation can begin.
func TestFirstPiecesAreEnough(t *testing.T) {
	for _, tt := range []struct {
		start string
		want  []string
	}{
		{"2026-11-25T05:00", nil},
		{"2026-11-25T05:01", []string{"waits for tack on Night bench | Night bench | Wed 25 Nov 06:01"}},
	} {
		r := asked(needs.Op{Name: "tack", Centre: "night", Run: hour, Transfer: 1}, needs.Op{Name: "weld", Run: hour})
		r.Jobs[0].Pieces = 4
		b := works()
		b.Work = []stock.Work{{Job: "1-1-1/grab", Seq: 10, State: stock.Running, Station: "night-1", Start: plant.Wall(tt.start), End: plant.WallAt(at(tt.start).Add(4*hour), time.UTC)}}
		s := lay(t, b, r, [3]string{}, [3]string{"bench-1", "11-26T06:00", "11-26T10:00"}).sound(t)
		same(t, tt.start, s.blocked(t, "bench-1", 1), tt.want)
	}
}

// What is made waits for the truck, materials clears it; what no truck brings is not known to come.
func TestOnItsWay(t *testing.T) {
	r := asked(needs.Op{Name: "assemble", Run: hour})
	j := add(r, needs.Job{ID: "1-1-1/bar", Unit: 0, Item: "plate", Plant: "fellgate", Pieces: 1, Parent: 0}, needs.Op{Name: "saw", Centre: "saw", Run: hour})
	consume(r, 0, "plate", needs.Cover{Kind: needs.FromJob, Job: j, Qty: plant.Pieces(1)})
	b := works()
	b.Work = []stock.Work{{Job: "1-1-1/bar", Seq: 10, State: stock.Done, Station: "saw-1", Start: "2026-11-24T15:30", End: "2026-11-24T16:30"}}
	s := lay(t, b, r, [3]string{"bench-1", "11-30T06:00", "11-30T07:00"}).sound(t)
	same(t, "blocks", s.blocked(t, "bench-1", 0), []string{"job 1-1-1/bar is on its way, truck from Fellgate to Brackwater | materials | Fri 27 Nov 18:30"})

	s.p.Carriers[0].Departures = nil
	same(t, "blocks", s.blocked(t, "bench-1", 0), []string{"job 1-1-1/bar is on its way, truck from Fellgate to Brackwater | materials | ?"})
}

// A kit of which half comes from another job says only what the other half waits for.
func TestMissingHalf(t *testing.T) {
	r := asked(needs.Op{Name: "assemble", Run: hour})
	j := add(r, needs.Job{ID: "1-1-1/pin", Unit: 0, Item: "pin", Plant: "brackwater", Pieces: 1, Parent: 0}, needs.Op{Name: "turn", Centre: "night", Run: hour})
	made := needs.Cover{Kind: needs.FromJob, Job: j, Qty: plant.Pieces(1)}
	for _, tt := range []struct {
		other needs.Cover
		want  []string
	}{
		{one(needs.FromStock, now), []string{"waits for turn of job 1-1-1/pin on Night bench | Night bench | Wed 25 Nov 07:00"}},
		{one(needs.FromPurchase, at("2026-11-27T12:00")), []string{"waits for turn of job 1-1-1/pin on Night bench | Night bench | Wed 25 Nov 07:00",
			"waits for Pin 80 (job 1-1-1/pin, there Wed 25 Nov 07:00; to be bought, there Fri 27 Nov 12:00 if ordered now) | materials | Fri 27 Nov 12:00"}},
	} {
		r.Ops[0].Demands, r.Jobs[0].Demands, r.Demands = nil, nil, nil
		consume(r, 0, "pin", made, tt.other)
		s := lay(t, works(), r, [3]string{"bench-1", "11-30T06:00", "11-30T07:00"}, [3]string{"night-1", "11-25T06:00", "11-25T07:00"}).sound(t)
		same(t, "blocks", s.blocked(t, "bench-1", 0), tt.want)
	}
}

// What runs comes first, then what is planned, in order of time and not of the book; what is over is on no list.
func TestOrderOfRuns(t *testing.T) {
	r := asked(needs.Op{Run: hour, Centre: "night"}, needs.Op{Run: hour, Centre: "night"}, needs.Op{Run: hour, Centre: "night"}, needs.Op{Run: hour, Centre: "rack", Nature: product.Dwell, Size: 1000})
	for _, run := range []plant.Seconds{2 * hour, 3 * hour} {
		add(r, needs.Job{ID: plant.JobID(fmt.Sprint("1-1-1/", run)), Unit: 0, Item: "pin", Plant: "brackwater", Pieces: 1, Parent: 0}, needs.Op{Centre: "night", Run: run})
	}
	b := works()
	b.Work = []stock.Work{{Job: "1-1-1/grab", Seq: 10, State: stock.Done, Station: "night-1", Start: "2026-11-25T04:00", End: "2026-11-25T05:00"},
		{Job: "1-1-1/grab", Seq: 20, State: stock.Running, Station: "night-1", Start: "2026-11-25T05:30", End: "2026-11-25T06:30"}}
	s := lay(t, b, r, [3]string{}, [3]string{}, [3]string{"night-1", "11-25T11:30", "11-25T12:30"}, [3]string{"rack-1", "11-25T13:00", "11-25T14:00"},
		[3]string{"night-1", "11-25T09:30", "11-25T11:30"}, [3]string{"night-1", "11-25T06:30", "11-25T09:30"}).sound(t)
	var got []int
	for i, run := range s.runs("night-1") {
		if run.Slot != i {
			t.Errorf("entry %d has slot %d", i, run.Slot)
		}
		got = append(got, run.Op)
	}
	same(t, "night bench", got, []int{1, 5, 4, 2})
	same(t, "bench", s.runs("bench-1"), []Run(nil))
}

// What was expected before now has not come: the plan takes it as there, but the kit is not complete and nobody is told that
// the operation can start.
func TestOverdueReceipt(t *testing.T) {
	r := asked(needs.Op{Name: "assemble", Run: hour})
	r.Units[0].Due = at("2026-12-04T16:00")
	cover := one(needs.FromReceipt, now)
	cover.Receipt = "PO-1"
	consume(r, 0, "hose", cover)
	b := works()
	b.Receipts[0].Expected = "2026-11-23T10:00"
	s := lay(t, b, r, [3]string{"bench-1", "11-25T06:00", "11-25T07:00"}).sound(t)
	same(t, "kit", s.kits()[0].State, KitPlanned)
	same(t, "blocks", s.blocked(t, "bench-1", 0), []string{"waits for Hose 1/2 (PO-1, overdue since Mon 23 Nov 10:00) | materials | ?"})
}

// A program or drawing that the book does not know is not approved; where the book keeps none at all, nobody asks.
func TestUnknownProgram(t *testing.T) {
	r := asked(needs.Op{Run: hour, Program: "W-9", Drawing: "D-9"})
	b := works()
	lists := func(want ...string) {
		s := lay(t, b, r, [3]string{"bench-1", "11-25T06:00", "11-25T07:00"}).sound(t)
		same(t, "blocks", s.blocked(t, "bench-1", 0), want)
	}
	b.Programs, b.Drawings = nil, nil
	lists()
	b.Programs, b.Drawings = []product.Program{{ID: "W-1", Approved: true}}, []product.Drawing{{ID: "D-1", Approved: true}}
	lists("program W-9 is not in the shop book | programming | ?", "drawing D-9 is not in the shop book | drawing office | ?")
	b.Programs, b.Drawings = []product.Program{{ID: "W-9", Approved: true}}, []product.Drawing{{ID: "D-9", Approved: true}}
	lists()
}
