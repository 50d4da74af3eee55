package exchange

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"tackline/assume"
	"tackline/flow"
	"tackline/needs"
	"tackline/order"
	"tackline/plant"
	"tackline/schedule"
)

// WritePlan writes a plan and everything derived from it as CSV files: plan, units, kits, shortages, why, load, actions,
// runs, pegs and about. Times are in ISO 8601 with the offset of the plant concerned, to the second. The folder is made if it is
// not there. docs/formats.md describes every column.
func WritePlan(dir string, v *flow.View) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	w := &planWriter{v: v}
	files := []planRows{
		{planTable, w.plan}, {unitsTable, w.units}, {kitsTable, w.kits}, {shortagesTable, w.shortages}, {whyTable, w.why},
		{loadTable, w.load}, {actionsTable, w.actions}, {runsTable, w.runs}, {pegsTable, w.pegs}, {aboutTable, w.about},
	}
	if v.Problem.Adopted != nil {
		files = append(files, planRows{movesTable, w.moves})
	}
	for _, f := range files {
		err := writeFile(filepath.Join(dir, f.name+".csv"), func(out *csv.Writer) error {
			err := out.Write(f.header())
			f.rows(func(cells ...string) {
				if err == nil {
					err = out.Write(cells)
				}
			})
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// planRows writes the rows of a plan file.
type planRows struct {
	planFile
	rows func(put func(...string))
}

type planWriter struct{ v *flow.View }

// stamp writes an instant with the offset of a zone; never and no time at all are empty.
func stamp(t plant.Time, loc *time.Location) string {
	if t <= 0 || t >= plant.Never {
		return ""
	}
	return t.In(loc).Format("2006-01-02T15:04:05-07:00") // +00:00, not Z: every time shows its offset
}

func hours(h float64) string { return decimal(math.Round(h*1000) / 1000) }

func (w *planWriter) jobZone(j int) *time.Location { return w.v.Index.Zone(w.v.Needs.Jobs[j].Plant) }

// job gives the ID of an operation's job and its number, or nothing.
func (w *planWriter) job(op int) (job, seq string) {
	if op < 0 || op >= len(w.v.Needs.Ops) {
		return "", ""
	}
	o := &w.v.Needs.Ops[op]
	return string(w.v.Needs.Jobs[o.Job].ID), strconv.Itoa(o.Seq)
}

func (w *planWriter) unitOf(j int) string {
	if u := w.v.Needs.Jobs[j].Unit; u != needs.None {
		return string(w.v.Needs.Units[u].ID)
	}
	return ""
}

// slot gives the slot of an operation; Station is None without one.
func (w *planWriter) slot(op int) schedule.Slot {
	if w.v.Plan != nil && op >= 0 && op < len(w.v.Plan.Slots) {
		return w.v.Plan.Slots[op]
	}
	return schedule.Slot{Station: schedule.None}
}

// station gives the station of an operation and the time zone to write its times in: that of the station, or else of the
// job.
func (w *planWriter) station(op int) (id string, loc *time.Location) {
	if s := w.slot(op); s.Station >= 0 {
		st := w.v.Problem.Stations[s.Station].ID
		return string(st), w.v.Index.StationZone(st)
	}
	return "", w.jobZone(w.v.Needs.Ops[op].Job)
}

var stateNames = map[schedule.State]string{schedule.Done: "done", schedule.Running: "running", schedule.Frozen: "frozen"}

func (w *planWriter) plan(put func(...string)) {
	why := map[int]string{}
	for _, l := range w.v.Plan.Left {
		why[l.Op] = l.Why
	}
	for i := range w.v.Needs.Ops {
		o := &w.v.Needs.Ops[i]
		j := &w.v.Needs.Jobs[o.Job]
		s := w.slot(i)
		id, loc := w.station(i)
		cells := []string{w.unitOf(o.Job), string(j.ID), string(j.Item), strconv.Itoa(o.Seq), o.Name, strconv.Itoa(j.Pieces), id, "", "", "", "", "", "",
			w.crew(i), stateNames[w.v.Problem.Ops[i].State], why[i]}
		if id != "" {
			for k, t := range []plant.Time{s.Setup, s.Load, s.Run, s.Unload, s.End} {
				cells[7+k] = stamp(t, loc)
			}
			if s.Batch != 0 {
				cells[12] = strconv.Itoa(s.Batch)
			}
		}
		put(cells...)
	}
}

// crew writes the people that an operation needs: "2 fitters; 1 welders (load)".
func (w *planWriter) crew(op int) string {
	var parts []string
	for _, n := range w.v.Problem.Ops[op].Needs {
		text := fmt.Sprintf("%d %s", n.Heads, w.v.Problem.Pools[n.Pool].ID)
		switch n.When {
		case schedule.OnLoad:
			text += " (load)"
		case schedule.OnRun:
			text += " (run)"
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}

func (w *planWriter) units(put func(...string)) {
	for i := range w.v.Needs.Units {
		u := &w.v.Needs.Units[i]
		loc := w.v.Index.Zone(u.Plant)
		cells := []string{string(u.ID), string(u.Order), strconv.Itoa(u.Line), u.Customer, string(u.Class), string(u.Plant),
			string(u.Product), options(u.Options), stamp(u.Due, loc), "", "", "", "", ""}
		if i < len(w.v.Why) {
			e := &w.v.Why[i]
			if e.Ship > 0 && e.Ship < plant.Never {
				late := max(0, -e.Slack.Hours()/24)
				cells[9], cells[10], cells[11] = stamp(e.Ship, loc), hours(e.Slack.Hours()), hours(late)
				cells[12] = plant.MoneyOf(late * w.v.Problem.Units[i].LateDay.Float()).String()
			}
			cells[13] = e.Sentence
		}
		put(cells...)
	}
}

func options(m map[plant.OptionID]string) string {
	out := make(map[string]string, len(m))
	for k, v := range m {
		out[string(k)] = v
	}
	return string(order.ChoicesOf(out))
}

func (w *planWriter) kits(put func(...string)) {
	for i := range w.v.Kits {
		k := &w.v.Kits[i]
		o := &w.v.Needs.Ops[k.Op]
		job, seq := w.job(k.Op)
		id, loc := w.station(k.Op)
		for _, l := range k.Lines {
			put(w.unitOf(o.Job), job, seq, o.Name, id, stamp(k.Due, loc), k.State, string(l.Item), l.Name, l.Qty.String(),
				string(l.Unit), l.State, stamp(l.Comes, loc), l.Source)
		}
	}
}

func (w *planWriter) shortages(put func(...string)) {
	for _, s := range w.v.Shorts {
		job, seq := w.job(s.Op)
		loc := w.v.Index.Zone(s.Plant)
		put(string(s.Item), string(s.Plant), s.Qty.String(), job, seq, stamp(s.Wanted, loc), stamp(s.Comes, loc), s.Source, ids(s.Units))
	}
}

func ids(units []plant.UnitID) string {
	out := make([]string, len(units))
	for i, u := range units {
		out[i] = string(u)
	}
	return strings.Join(out, " ")
}

func (w *planWriter) why(put func(...string)) {
	for i := range w.v.Why {
		e := &w.v.Why[i]
		u := &w.v.Needs.Units[e.Unit]
		loc := w.v.Index.Zone(u.Plant)
		for n, s := range e.Segments {
			job, seq := w.job(s.Op)
			behind, behindSeq := w.job(s.Behind)
			put(string(u.ID), strconv.Itoa(n+1), stamp(s.From, loc), stamp(s.To, loc), strconv.FormatFloat(s.To.Sub(s.From).Hours(), 'f', 4, 64),
				string(s.Reason), job, seq, behind, behindSeq, s.Text)
		}
	}
}

func (w *planWriter) load(put func(...string)) {
	for _, l := range w.v.Load {
		c := w.v.Index.Centres[l.Centre]
		if c == nil {
			continue
		}
		share := ""
		if l.Open > 0 {
			share = strconv.FormatFloat(100*(l.Run+l.Setup)/l.Open, 'f', 1, 64)
		}
		put(string(l.Centre), string(plant.DateAt(l.Week, w.v.Index.Zone(c.Plant))), hours(l.Open), hours(l.Run),
			hours(l.Setup), share, strconv.Itoa(len(l.Ops)))
	}
}

func (w *planWriter) actions(put func(...string)) {
	for _, a := range w.v.Needs.Actions {
		put(a.Kind, string(a.Item), string(a.Plant), string(a.From), a.Qty.String(), stamp(a.By, w.v.Index.Zone(a.Plant)),
			string(a.Receipt), string(a.Job), ids(a.For), a.Reason)
	}
}

func (w *planWriter) runs(put func(...string)) {
	for _, list := range w.v.Runs {
		loc := w.v.Index.StationZone(list.Station)
		for n, r := range list.Runs {
			o := &w.v.Needs.Ops[r.Op]
			j := &w.v.Needs.Jobs[o.Job]
			var blocks []string
			for _, b := range r.Blocks {
				text := b.What
				if by := b.By(); by != "" {
					text += " (" + by + ")"
				}
				if until := stamp(b.Until, loc); until != "" {
					text += " until " + until
				}
				blocks = append(blocks, text)
			}
			put(string(list.Station), strconv.Itoa(n+1), w.unitOf(o.Job), string(j.ID), string(j.Item), strconv.Itoa(o.Seq), o.Name,
				strconv.Itoa(j.Pieces), stamp(r.Setup, loc), stamp(r.Start, loc), stamp(r.End, loc), string(o.Program), o.Fixture,
				string(o.Drawing), r.Kit, yesNo(r.Ready), strings.Join(blocks, "; "))
		}
	}
}

func (w *planWriter) pegs(put func(...string)) {
	for _, p := range w.v.Needs.Pegs() {
		op, no := "", ""
		if p.Job != "" {
			op, no = strconv.Itoa(p.Seq), strconv.Itoa(p.No)
		}
		put(string(p.Job), op, string(p.Item), no, string(p.Plant), p.Kind, p.From, p.Qty.String(), stamp(p.At, w.v.Index.Zone(p.Plant)))
	}
}

func (w *planWriter) moves(put func(...string)) {
	moved := flow.Moved(w.v)
	for i := range moved.R.Moves {
		m := &moved.R.Moves[i]
		j := w.v.Needs.Ops[m.Op].Job
		job, seq := w.job(m.Op)
		byJob, bySeq := w.job(m.Cause.By)
		was, is := &w.v.Problem.Stations[m.Was.Station], &w.v.Problem.Stations[m.Is.Station]
		at, now := w.v.Index.StationZone(was.ID), w.v.Index.StationZone(is.ID)
		put(w.unitOf(j), job, seq, w.v.Needs.Ops[m.Op].Name, yesNo(m.Inside), string(was.ID), stamp(m.Was.Setup, at), stamp(m.Was.End, at),
			string(is.ID), stamp(m.Is.Setup, now), stamp(m.Is.End, now), string(m.Cause.Kind), byJob, bySeq, moved.Why(i))
	}
}

func (w *planWriter) about(put func(...string)) {
	loc := time.UTC
	if len(w.v.Book.Plants) > 0 {
		loc = w.v.Index.Zone(w.v.Book.Plants[0].ID)
	}
	p, s, money := w.v.Plan, &w.v.Score, w.v.Book.Setting("currency")
	put("now", stamp(w.v.Problem.Now, loc), instant, "nothing that is not fixed begins before")
	put("horizon", stamp(w.v.Problem.Horizon, loc), instant, "calendars are laid out until here")
	put("status", string(p.Status), "", "complete: every operation has a place")
	put("left", strconv.Itoa(len(p.Left)), "operations", "operations without a place")
	put("rule", p.Rule, "", "how the plan was made")
	put("seed", strconv.FormatUint(p.Seed, 10), "", "start of the random numbers")
	put("work", strconv.FormatInt(p.Work, 10), "", "work spent on it, in the search's own unit")
	put("broken", strconv.Itoa(len(w.v.Broken)), "rules", "rules that the checker found broken")
	for _, a := range w.v.Assumed {
		put("assumed", assume.Line(a), "", assume.Sentence(w.v.Book, a, w.v.Problem.Now))
	}
	put("units", strconv.Itoa(len(w.v.Needs.Units)), "units", "units planned")
	put("operations", strconv.Itoa(len(w.v.Needs.Ops)), "operations", "operations in all")
	put("late_units", strconv.Itoa(s.LateUnits), "units", "units that ship after they are due")
	put("late_days", hours(s.LateDays), "d", "days late, summed over units")
	put("lateness", s.Lateness.String(), money, "cost of lateness")
	put("wait_hours", hours(s.WaitHours), "h", "branches waiting at meeting points")
	put("waiting", s.Waiting.String(), money, "cost of waiting")
	put("setup_hours", hours(s.SetupHours), "h", "hours of setup")
	put("setups", s.Setups.String(), money, "cost of setups")
	put("overtime_hours", hours(s.OvertimeHour), "h", "hours worked in overtime")
	put("overtime", s.Overtime.String(), money, "cost of overtime")
	put("moves", strconv.Itoa(s.Moves), "operations", "operations moved inside the freeze window")
	put("moved", s.Moved.String(), money, "cost of moves")
	put("pin_time", hours(s.PinHours), "h", "hours by which pinned work begins after its pins")
	put("pins", s.Pins.String(), money, "cost of pins not kept in time")
	put("total", s.Total.String(), money, "sum of the costs")
	put("bound", s.Bound.String(), money, "no plan costs less")
	put("gap", strconv.FormatFloat(math.Round(1000*s.Gap())/10, 'f', -1, 64), "%", "of the cost that a better plan would save at most")
}
