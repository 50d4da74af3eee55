package web

import (
	"strconv"
	"testing"

	"tackline/dispatch"
	"tackline/flow"
	"tackline/needs"
	"tackline/plant"
	"tackline/product"
	"tackline/schedule"
	"tackline/stock"
)

// storyView gives the whole story.
func storyView(t testing.TB) *flow.View {
	s := newStory(t)
	s.b.Ops = []product.Op{{Item: "jaw-4c", Seq: 20, Name: "robot weld", Centre: "weld-robot", Nature: product.Tended, Load: "8", Run: "weld_minutes(8, 6400, 'robot')", Setup: "10", Size: "1"}}
	s.lateUnit()
	s.riskyUnit()
	s.finishedUnit()
	s.heldUnit()
	s.unplannedUnit()
	s.events()
	s.kits()
	s.runs()
	s.loads()
	s.actions()
	s.problem()
	return s.v
}

// problem gives the problem the units and jobs of the needs.
func (s *story) problem() {
	n, p := s.v.Needs, s.v.Problem
	for i := range n.Jobs {
		p.Jobs = append(p.Jobs, schedule.Job{ID: n.Jobs[i].ID, Item: n.Jobs[i].Item, Unit: n.Jobs[i].Unit, Pieces: n.Jobs[i].Pieces, Parent: n.Jobs[i].Parent})
	}
	for i := range n.Units {
		u := schedule.Unit{ID: n.Units[i].ID, Due: n.Units[i].Due, Last: schedule.None}
		if top := n.Units[i].Top; top != needs.None && len(n.Jobs[top].Ops) > 0 {
			u.Last = n.Jobs[top].Ops[len(n.Jobs[top].Ops)-1]
		}
		p.Units = append(p.Units, u)
	}
}

// lateUnit is decided by its jaws, which wait behind another job.
func (s *story) lateUnit() {
	u := s.unit("1042-1-1", "1042", "log-grapple", 90, "rush")
	top := s.job(u, needs.None, 0, "log-grapple", 1,
		step{seq: 10, name: "assemble", station: "assembly-1", setup: 58.6, from: 58.6, to: 72.5, draws: "D-455"},
		step{seq: 20, name: "hydraulic test", station: "assembly-1", setup: 72.5, from: 72.5, to: 75.5, hold: true},
		step{seq: 30, name: "final paint", station: "paint-1", setup: 75.9, from: 76.5, to: 78},
		step{seq: 40, name: "dry", station: "rack-1", setup: 78, from: 78, to: 94, nature: product.Dwell},
		step{seq: 50, name: "sign off and ship", station: "assembly-2", setup: 94, from: 94, to: 95.5})
	head := s.job(u, top, 10, "head-4", 1,
		step{seq: 10, name: "tack", station: "tack-1", setup: -30, from: -30, to: -26, state: schedule.Done},
		step{seq: 20, name: "robot weld", station: "weld-robot-1", setup: -26, from: -25, to: -20, state: schedule.Done, program: "WJ-310"},
		step{seq: 30, name: "machine", station: "pallet-mill-1", setup: 2, from: 2.4, to: 6})
	s.job(u, head, 10, "pin-80", 4, step{seq: 10, name: "turn", station: "cylinder-1", setup: -60, from: -60, to: -57, state: schedule.Done})
	jaws := s.job(u, top, 10, "jaw-4c", 4,
		step{seq: 10, name: "tack", station: "tack-2", setup: -5, from: -4.8, to: 1.5, state: schedule.Running, draws: "D-310"},
		step{seq: 20, name: "robot weld", station: "weld-robot-2", setup: 26, from: 26.6, to: 34, program: "WG-77", draws: "D-310"},
		step{seq: 30, name: "machine bores", station: "pallet-mill-2", setup: 49, from: 50, to: 58.6, program: "WJ-310"})
	s.job(u, jaws, 30, "pin-80#2", 8, step{seq: 10, name: "turn", station: "cylinder-2", setup: 12, from: 12.3, to: 15})
	s.job(u, top, 10, "cyl-110", 4,
		step{seq: 10, name: "gun drill", station: "cylinder-1", setup: 3, from: 3.2, to: 9},
		step{seq: 20, name: "assemble and leak test", station: "cylinder-2", setup: 26, from: 26, to: 31, hold: true})
	s.job(u, top, 30, "cover-plate", 1, step{seq: 10, name: "prime", station: "paint-1", setup: 4, from: 4, to: 5},
		step{seq: 20, name: "dry", station: "rack-1", setup: 5, from: 5, to: 21, nature: product.Dwell})
	n := s.v.Needs
	op := n.Jobs[jaws].Ops[1]
	n.Ops[op].Row = 0
	s.why(u, 95.5, 90, "Ships Mon 30 Nov 05:32, 5.5 h late: its jaws wait 16 h for pallet mill 2 behind job 1043-1-1/head-4, then 11 h with the shop closed.",
		schedule.Segment{To: s.in(1.5), Reason: schedule.Working, Op: n.Jobs[jaws].Ops[0], Behind: needs.None, Text: "tack jaws on Tack station 2"},
		schedule.Segment{To: s.in(16), Reason: schedule.Material, Op: op, Behind: needs.None, Text: "program WG-77 is not approved until Fri 27 Nov"},
		schedule.Segment{To: s.in(26), Reason: schedule.ShopClosed, Op: op, Behind: needs.None, Text: "Weld robot 2 is closed"},
		schedule.Segment{To: s.in(26.6), Reason: schedule.SettingUp, Op: op, Behind: needs.None, Text: "change over to jaw-l"},
		schedule.Segment{To: s.in(34), Reason: schedule.Working, Op: op, Behind: needs.None, Text: "robot weld jaws on Weld robot 2"},
		schedule.Segment{To: s.in(49) + 17, Reason: schedule.StationWait, Op: n.Jobs[jaws].Ops[2], Behind: 2, Text: "behind job 1043-1-1/head-4 on Pallet mill 2"},
		schedule.Segment{To: s.in(58.6), Reason: schedule.Working, Op: n.Jobs[jaws].Ops[2], Behind: needs.None, Text: "machine bores on Pallet mill 2"},
		schedule.Segment{To: s.in(78), Reason: schedule.Working, Op: n.Jobs[top].Ops[0], Behind: needs.None, Text: "assemble, test, paint"},
		schedule.Segment{To: s.in(94), Reason: schedule.Drying, Op: n.Jobs[top].Ops[3], Behind: needs.None, Text: "dry on Drying rack 1"},
		schedule.Segment{To: s.in(95.5), Reason: schedule.Working, Op: n.Jobs[top].Ops[4], Behind: needs.None, Text: "sign off and ship"})
}

// why gives a unit its explanation; the segments carry their end only.
func (s *story) why(unit int, ship, due float64, sentence string, segments ...schedule.Segment) {
	from := s.now
	for i := range segments {
		segments[i].From = from
		from = segments[i].To
	}
	s.v.Why = append(s.v.Why, schedule.Explanation{Unit: unit, Ship: s.in(ship), Slack: plant.HoursToSeconds(due - ship), Segments: segments, Sentence: sentence})
}

func (s *story) riskyUnit() {
	u := s.unit("1043-1-1", "1043", "tine-grab", 60, "standard")
	top := s.job(u, needs.None, 0, "tine-grab", 1, step{seq: 10, name: "assemble", station: "assembly-2", setup: 34, from: 34, to: 48}, step{seq: 20, name: "test", station: "assembly-2", setup: 48, from: 48, to: 51})
	s.job(u, top, 10, "head-4", 1, step{seq: 10, name: "machine", station: "pallet-mill-2", setup: 0.2, from: 1, to: 30})
	op := s.v.Needs.Jobs[top].Ops[0]
	s.why(u, 51, 60, "Ships Sat 28 Nov 09:02, 9 h early: machining of the head decides it.", schedule.Segment{To: s.in(51), Reason: schedule.Working, Op: op, Behind: needs.None, Text: "machine, assemble, test"})
}

func (s *story) finishedUnit() {
	u := s.unit("1043-1-2", "1043", "tine-grab", 7, "standard")
	top := s.job(u, needs.None, 0, "tine-grab", 1, step{seq: 10, name: "assemble", station: "assembly-1", setup: -20, from: -20, to: -2, state: schedule.Done})
	s.why(u, 0, 7, "It is done and waits to ship.", schedule.Segment{To: s.now, Reason: schedule.Waiting, Op: s.v.Needs.Jobs[top].Ops[0], Behind: needs.None})
}

func (s *story) heldUnit() {
	u := s.unit("1043-2-1", "1043", "tine-grab", 200, "standard")
	top := s.job(u, needs.None, 0, "tine-grab", 1, step{seq: 10, name: "assemble", station: "assembly-2", setup: 70, from: 70, to: 90})
	cyl := s.job(u, top, 10, "cyl-110", 4, step{seq: 10, name: "leak test", station: "cylinder-2", setup: 40, from: 40, to: 42})
	s.b.Work = append(s.b.Work, stock.Work{Job: s.v.Needs.Jobs[cyl].ID, Seq: 10, State: stock.Held, Note: "leak test of cylinder C-881 failed: 4 bar lost in 10 min; decide repair or scrap"})
	s.why(u, 90, 200, "Ships Mon 30 Nov 00:02, 4.6 days early: the hold on its cylinders decides it.", schedule.Segment{To: s.in(90), Reason: schedule.Held, Op: s.v.Needs.Jobs[cyl].Ops[0], Behind: needs.None, Text: "leak test held"})
}

func (s *story) unplannedUnit() {
	u := s.unit("1043-2-2", "1043", "tine-grab", 300, "standard")
	top := s.job(u, needs.None, 0, "tine-grab", 1, step{seq: 10, name: "assemble"})
	s.v.Plan.Left = append(s.v.Plan.Left, schedule.Left{Op: s.v.Needs.Jobs[top].Ops[0], Why: "no welder is present before the horizon"})
}

// events are the things that go wrong in the shop book, and yesterday's finished work.
func (s *story) events() {
	s.b.Exceptions = []plant.Exception{{Station: "weld-robot-1", From: s.wall(-14), To: s.wall(20), Kind: "down", Reason: "wire feeder, part ordered"},
		{Station: "paint-1", From: s.wall(30), To: s.wall(34), Kind: "maintenance", Reason: "filters"}}
	s.b.Absences = []plant.Absence{{Person: "p-102", From: s.wall(-6), To: s.wall(18), Reason: "leave"}}
	for i, f := range []stock.Finished{{Station: "tack-1", Planned: 230, Actual: 248}, {Station: "tack-2", Planned: 120, Actual: 96}, {Station: "weld-robot-1", Planned: 300, Actual: 415, Result: "repaired"}} {
		f.Unit, f.Item, f.Seq, f.Pieces = plant.UnitID("0984-1-"+strconv.Itoa(i+1)), "jaw-4c", 20, 4
		f.Due, f.Start, f.End = s.wall(-16), s.wall(-21), s.wall(-16+float64(i)-1)
		s.b.Finished = append(s.b.Finished, f)
	}
}

func (s *story) kits() {
	n := s.v.Needs
	for op := range n.Ops {
		if len(n.Ops[op].Demands) == 0 && op%4 != 1 {
			continue
		}
		state := []string{dispatch.KitComplete, dispatch.KitPlanned, dispatch.KitShort}[op%3]
		due := s.v.Plan.Slots[op].Load
		if s.v.Plan.Slots[op].Station == schedule.None {
			due = plant.Never
		}
		k := dispatch.Kit{Op: op, Due: due, State: state, Lines: []dispatch.KitLine{
			{Item: "jaw-4c", Name: "Jaw, closed, 4-jaw grab", Qty: 4000, Unit: "ea", State: "complete", Comes: s.in(-3), Source: "lot L-2041, rack B4"},
			{Item: "kit-head-4", Name: "Plate kit, head, 4 arms", Qty: 1000, Unit: "ea", State: state, Comes: s.in(30), Source: "PO-5512 from fellgate, late by 3 days"}}}
		s.v.Kits = append(s.v.Kits, k)
		if state == dispatch.KitShort {
			s.v.Shorts = append(s.v.Shorts, dispatch.Short{Item: "kit-head-4", Plant: "brackwater", Qty: 1000, Op: op, Wanted: s.in(2), Comes: s.in(30),
				Source: "PO-5512 from fellgate, late by 3 days", Units: []plant.UnitID{"1042-1-1", "1043-1-1", "1043-1-2", "1043-2-1", "1043-2-2"}})
		}
	}
}

func (s *story) runs() {
	for st := range s.b.Stations {
		list := dispatch.RunList{Station: s.b.Stations[st].ID}
		for op, sl := range s.v.Plan.Slots {
			if sl.Station != st || s.v.Problem.Ops[op].State == schedule.Done {
				continue
			}
			run := dispatch.Run{Op: op, Slot: len(list.Runs), Setup: sl.Setup, Start: sl.Load, End: sl.End, Kit: dispatch.KitNone, Ready: true}
			for _, k := range s.v.Kits {
				if k.Op == op {
					run.Kit = k.State
				}
			}
			if s.v.Needs.Ops[op].Program == "WG-77" {
				run.Ready, run.Blocks = false, []dispatch.Block{{What: "program WG-77 is not approved", Clears: "programming", Until: s.in(96)}}
			}
			if run.Kit == dispatch.KitShort {
				run.Ready = false
				run.Blocks = append(run.Blocks, dispatch.Block{What: "waits for the kit: plate kit, head, 4 arms", Clears: "materials", Until: s.in(30)})
			}
			list.Runs = append(list.Runs, run)
		}
		s.v.Runs = append(s.v.Runs, list)
	}
}

func (s *story) loads() {
	monday := s.in(-78)
	for c := range s.b.Centres {
		for w := 0; w < 6; w++ {
			l := dispatch.Load{Centre: s.b.Centres[c].ID, Week: monday.Add(plant.Seconds(w * 7 * 24 * 3600)), Open: 160, Run: float64(170 - 30*w + 7*c), Setup: float64(12 + 2*c)}
			for op := range s.v.Needs.Ops {
				if s.v.Needs.Ops[op].Centre == l.Centre && w == 0 {
					l.Ops = append(l.Ops, op)
				}
			}
			s.v.Load = append(s.v.Load, l)
		}
	}
}

func (s *story) actions() {
	s.v.Needs.Actions = []needs.Action{
		{Kind: needs.Expedite, Item: "kit-head-4", Plant: "brackwater", Qty: 4000, Receipt: "PO-5512", By: s.in(5), For: []plant.UnitID{"1042-1-1", "1043-1-1"}, Reason: "expected Mon 30 Nov 10:00, needed Thu 26 Nov 11:00"},
		{Kind: needs.Buy, Item: "bar-80", Plant: "brackwater", Qty: 5900, By: s.in(40), For: []plant.UnitID{"1043-2-2"}, Reason: "stock covers 12 m of 17.9 m"},
		{Kind: needs.Transfer, Item: "cyl-110", Plant: "fellgate", Qty: 2000, By: s.in(60), For: []plant.UnitID{"1043-2-1"}, Reason: "made at Fellgate; truck leaves Fri 27 Nov 15:00"},
		{Kind: needs.Defer, Item: "pin-80", Plant: "brackwater", Qty: 40000, Receipt: "PO-5600", By: s.in(24 * 20), Reason: "comes 12 days before any need"}}
}
