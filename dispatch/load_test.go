package dispatch

import (
	"fmt"
	"testing"

	"tackline/needs"
	"tackline/plant"
	"tackline/product"
)

// hours lists the load of a work centre: "week: run of open, operations".
func (s *shopfloor) hours(centre plant.CentreID) (out []string) {
	for _, l := range s.loads() {
		if l.Centre == centre {
			out = append(out, fmt.Sprintf("%s: %g of %g, %v", plant.DateAt(l.Week, s.ix.Zone("brackwater")), l.Run, l.Open, l.Ops))
		}
	}
	return out
}

// Night shifts, Sunday to Thursday 22:00 to 06:00. Work of 6 h from Sunday 22:00 is 2 h of this week and 4 h of the next; an
// hour from Tuesday 22:00 is all of the next. Open from Wednesday 06:00, in this week: the nights of Wednesday and Thursday,
// 16 h, and 2 h of Sunday; in the next 40 h: 6 h of Sunday's night, 32 h of the four after, 2 h of next Sunday's.
func TestLoadsOfNights(t *testing.T) {
	b := works()
	b.Shifts[1].Days, b.Shifts[1].From, b.Shifts[1].To = "sun,mon,tue,wed,thu", 22*60, 6*60
	r := asked(needs.Op{Centre: "night", Run: 6 * hour}, needs.Op{Centre: "night", Run: hour})
	s := lay(t, b, r, [3]string{"night-1", "11-29T22:00", "11-30T04:00"}, [3]string{"night-1", "12-01T22:00", "12-01T23:00"}).sound(t)
	same(t, "nights", s.hours("night"), []string{"2026-11-23: 2 of 18, [0]", "2026-11-30: 5 of 40, [0 1]"})
}

// In Dublin clocks go from 01:00 UTC on 28 March 2027 to summer, from 00:00 UTC on 31 October back. That Sunday has 23 h, so
// its week has 167 h; the week of 25 October 169 h. Work of 48 h from Saturday 27 March 12:00 is 12 + 23 = 35 h of that week
// and 13 h of the next, where midnight is at 23:00 UTC: it is over on Monday at 12:00 UTC, 13:00 in Dublin.
func TestLoadsWhenClocksChange(t *testing.T) {
	b := works()
	b.Settings = []plant.Setting{{Name: "horizon_days", Value: "400"}}
	r := asked(needs.Op{Centre: "night", Run: 48 * hour})
	s := lay(t, b, r)
	put := func(from, to string) {
		s.plan.Slots[0].Station = 1
		x := &s.plan.Slots[0]
		x.Setup, x.Load, x.Run, x.Unload, x.End = at(from), at(from), at(from), at(to), at(to)
		s.sound(t)
	}
	put("2027-03-27T12:00", "2027-03-29T12:00")
	h := s.hours("night")
	same(t, "spring", h[len(h)-2:], []string{"2027-03-22: 35 of 167, [0]", "2027-03-29: 13 of 168, [0]"})
	put("2027-10-31T12:00", "2027-11-02T12:00") // 12 h of Sunday
	h = s.hours("night")
	same(t, "autumn", h[len(h)-2:], []string{"2027-10-25: 12 of 169, [0]", "2027-11-01: 36 of 168, [0]"})
}

// Two jobs in one batch of 2 h count once, each job named. Away work has no load. Open: from Wednesday 06:00 to Monday, 4 days
// and 18 h.
func TestLoadsOfBatches(t *testing.T) {
	r := asked(needs.Op{Centre: "booth", Nature: product.Batch, Run: 2 * hour, Size: 1000}, needs.Op{Centre: "plating", Nature: product.Away, Run: 30 * hour})
	add(r, needs.Job{ID: "1-1-1/pin", Unit: 0, Item: "pin", Plant: "brackwater", Pieces: 1, Parent: 0}, needs.Op{Centre: "booth", Nature: product.Batch, Run: 2 * hour, Size: 2000})
	s := lay(t, works(), r, [3]string{"booth-1", "11-25T07:00", "11-25T09:00"}, [3]string{"plater", "11-25T09:00", "11-26T15:00"}, [3]string{"booth-1", "11-25T07:00", "11-25T09:00"})
	s.plan.Slots[0].Batch, s.plan.Slots[2].Batch = 7, 7
	s.sound(t)
	same(t, "booth", s.hours("booth"), []string{"2026-11-23: 2 of 114, [0 2]"})
	same(t, "plating", s.hours("plating"), []string(nil))
}
