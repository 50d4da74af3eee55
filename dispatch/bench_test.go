package dispatch

import (
	"fmt"
	"testing"

	"tackline/book"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/stock"
)

// large is a floor of n operations in jobs of five on 30 benches, the first operation of each job with a part from one of a
// thousand lots, a receipt, a purchase, a lot in the sister plant and the job before; one part has every lot and receipt.
func large(t testing.TB, n int) *shopfloor {
	b := works()
	b.Stations[1].ID = "night-0"
	for i := range 29 {
		s := b.Stations[1]
		s.ID = plant.StationID(fmt.Sprint("night-", i+1))
		b.Stations = append(b.Stations, s)
	}
	b.Settings = []plant.Setting{{Name: "horizon_days", Value: "400"}}
	for i := range 1000 {
		b.Lots = append(b.Lots, stock.Lot{ID: plant.LotID(fmt.Sprint("H-", i)), Item: "hose", Plant: "brackwater", Place: "rack A"})
		b.Receipts = append(b.Receipts, stock.Receipt{ID: plant.ReceiptID(fmt.Sprint("R-", i)), Item: "hose", Plant: "brackwater",
			Promised: "2026-11-27T10:00", Expected: "2026-11-30T10:00"})
	}
	r := &needs.Result{Now: now}
	for j := 0; len(r.Ops) < n; j++ {
		unit := needs.None
		if j%4 != 0 {
			unit = len(r.Units)
			r.Units = append(r.Units, needs.Unit{ID: plant.UnitID(fmt.Sprint(j)), Class: "standard", Plant: "brackwater", Due: now.Add(90 * 24 * hour), Top: j})
		}
		ops := make([]needs.Op, 5)
		for i := range ops {
			ops[i] = needs.Op{Name: "work", Centre: "night", Run: hour}
		}
		add(r, needs.Job{ID: plant.JobID(fmt.Sprint(j, "/grab")), Unit: unit, Item: "grab", Plant: "brackwater", Pieces: 1, Parent: needs.None}, ops...)
		covers := []needs.Cover{one(needs.FromStock, now), one(needs.FromReceipt, now.Add(5*24*hour)), one(needs.FromPurchase, now.Add(99*24*hour)), one(needs.FromStock, now)}
		covers[0].Lot, covers[1].Receipt = plant.LotID(fmt.Sprint("H-", j%1000)), plant.ReceiptID(fmt.Sprint("R-", j%1000))
		covers[3].Lot, covers[3].Plant = "L-2", "fellgate"
		if j%4 != 0 {
			covers = append(covers, needs.Cover{Kind: needs.FromJob, Job: j - j%4, Qty: plant.Pieces(1)})
		}
		consume(r, 5*j, "hose", covers...)
	}
	s := lay(t, b, r)
	first := make(map[int]plant.Time, 30)
	for i := range s.plan.Slots {
		station := s.p.Ops[i].Can[i/20%len(s.p.Ops[i].Can)].Station
		from := max(first[station], now)
		to := from.Add(hour)
		first[station] = to
		s.plan.Slots[i] = schedule.Slot{Station: station, Setup: from, Load: from, Run: from, Unload: to, End: to}
	}
	return s
}

// BenchmarkViews measures what is done with every plan, at 100,000 operations.
func BenchmarkViews(b *testing.B) {
	s := large(b, 100_000)
	kits := s.kits()
	for name, f := range map[string]func(*book.Index, *needs.Result, *schedule.Problem, *schedule.Plan) int{
		"Kits": func(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) int {
			return len(Kits(ix, r, p, plan))
		},
		"RunLists": func(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) int {
			return len(RunLists(ix, r, p, plan, kits))
		},
		"Shorts": func(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) int {
			return len(Shorts(ix, r, p, plan))
		},
		"Loads": func(ix *book.Index, r *needs.Result, p *schedule.Problem, plan *schedule.Plan) int {
			return len(Loads(ix, r, p, plan))
		},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if f(s.ix, s.r, s.p, s.plan) == 0 {
					b.Fatal("nothing")
				}
			}
		})
	}
}
