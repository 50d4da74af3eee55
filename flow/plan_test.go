package flow_test

import (
	"database/sql"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tackline/book/booktest"
	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
	"tackline/schedule"
	"tackline/store"
)

// until waits for a state of a run. The bound is for a program that hangs; it is not part of what is tested.
func until(t testing.TB, shop *flow.Shop, run int64, reached func(flow.PlanProgress) bool) flow.PlanProgress {
	t.Helper()
	for end := time.Now().Add(time.Minute); ; time.Sleep(10 * time.Millisecond) {
		p, err := shop.PlanRun(ctx, run)
		must(t, err)
		if reached(p) {
			return p
		}
		if p.Over() || time.Now().After(end) {
			t.Fatalf("run %d: %+v", run, p)
		}
	}
}

func over(p flow.PlanProgress) bool    { return p.Over() }
func running(p flow.PlanProgress) bool { return p.State == flow.RunRunning }

func start(t testing.TB, shop *flow.Shop, r flow.PlanRequest) int64 {
	t.Helper()
	run, err := shop.StartPlan(ctx, boss, r)
	must(t, err)
	return run
}

// draft plans the book of a shop and gives the draft's number.
func draft(t testing.TB, shop *flow.Shop, name string) int64 {
	t.Helper()
	p := until(t, shop, start(t, shop, flow.PlanRequest{Name: name, Workers: 1, Seed: 1}), over)
	if p.State != flow.RunDone || p.PlanID == 0 {
		t.Fatalf("planning run: %+v", p)
	}
	return p.PlanID
}

func states(t *testing.T, shop *flow.Shop) map[int64]flow.PlanRow {
	t.Helper()
	list, err := shop.Plans(ctx)
	must(t, err)
	m := map[int64]flow.PlanRow{}
	for _, p := range list {
		m[p.ID] = p
	}
	return m
}

func view(t *testing.T, shop *flow.Shop, plan int64) *flow.View {
	t.Helper()
	v, err := shop.ViewOf(ctx, plan)
	must(t, err)
	return v
}

func TestAPlanningRunMakesADraft(t *testing.T) {
	shop := newShop(t, small())
	if v, err := shop.Current(ctx); v != nil || err != nil {
		t.Fatalf("before any plan: %v, %v", v, err)
	}
	run := start(t, shop, flow.PlanRequest{Name: "monday", Work: 200, Workers: 1, Seed: 7})
	p := until(t, shop, run, over)
	if p.State != flow.RunDone || p.Done != 1 || p.PlanID == 0 || p.Error != "" || p.Name != "monday" || p.By != "mara" || !strings.Contains(p.Text, "late units of 3") {
		t.Errorf("the run: %+v", p)
	}
	row := states(t, shop)[p.PlanID]
	if row.State != flow.Draft || row.Older || row.Revision != 1 || row.Status != schedule.Complete || row.Seed != 7 || row.By != "mara" {
		t.Errorf("the draft: %+v", row)
	}
	v, err := shop.Current(ctx)
	must(t, err)
	if v.PlanID != p.PlanID || len(v.Broken) != 0 || len(v.Plan.Left) != 0 || len(v.Plan.Slots) == 0 || len(v.Why) != 3 {
		t.Errorf("the view of the draft: plan %d, broken %v, left %v, %d slots", v.PlanID, v.Broken, v.Plan.Left, len(v.Plan.Slots))
	}
	if row.Score != v.Score {
		t.Errorf("the stored score %+v is not that of the view %+v", row.Score, v.Score)
	}
	acts, err := shop.Acts(ctx, 1)
	must(t, err)
	if acts[0].Kind != flow.ActPlan || acts[0].Who != "mara" || !strings.Contains(acts[0].Note, "monday") {
		t.Errorf("the act: %+v", acts[0])
	}
	// the stored plan is the plan: setting the book out again and checking anew finds nothing
	f, err := flow.Frame(small(), row.Now)
	must(t, err)
	if f, err = f.Until(v.Problem.Horizon - 1); err != nil {
		t.Fatal(err)
	}
	if broken := schedule.Check(f.Problem, v.Plan); len(broken) != 0 {
		t.Errorf("the stored plan breaks %v", broken)
	}
}

func TestStartPlanRefuses(t *testing.T) {
	empty := newShop(t, nil)
	_, err := empty.StartPlan(ctx, boss, flow.PlanRequest{})
	refused(t, err, fault.Conflict, "planning an empty book")
	_, err = empty.StartPlan(ctx, looker, flow.PlanRequest{})
	refused(t, err, fault.Denied, "planning by a viewer")
	for _, r := range []flow.PlanRequest{{Seconds: -1}, {Seconds: 4000}, {Name: strings.Repeat("n", 300)}} {
		_, err = empty.StartPlan(ctx, boss, r)
		refused(t, err, fault.Invalid, "a wrong request")
	}
	_, err = empty.PlanRun(ctx, 99)
	refused(t, err, fault.NotFound, "a run that there is not")
	refused(t, empty.CancelPlan(ctx, boss, 99), fault.NotFound, "stopping a run that there is not")
}

func TestCancelWhileWaitingAndWhileRunning(t *testing.T) {
	shop := newShop(t, booktest.Large(30, 0))
	first := start(t, shop, flow.PlanRequest{Name: "first", Seconds: 3600, Workers: 1})
	second := start(t, shop, flow.PlanRequest{Name: "second", Workers: 1})
	until(t, shop, first, func(p flow.PlanProgress) bool { return running(p) && p.Text != "waits for its turn" })
	refused(t, shop.CancelPlan(ctx, looker, first), fault.Denied, "stopping by a viewer")
	must(t, shop.CancelPlan(ctx, boss, second))
	must(t, shop.CancelPlan(ctx, boss, first))
	must(t, shop.CancelPlan(ctx, boss, first)) // it is over: fine
	third := start(t, shop, flow.PlanRequest{Name: "third", Workers: 1})
	if p := until(t, shop, third, over); p.State != flow.RunDone { // the worker is free again
		t.Fatalf("the run after: %+v", p)
	}
	for _, c := range []struct {
		run     int64
		started bool
	}{{first, true}, {second, false}} {
		p, err := shop.PlanRun(ctx, c.run)
		must(t, err)
		if p.State != flow.RunCancelled || p.PlanID != 0 || (p.Started != 0) != c.started || !strings.Contains(p.Error, "mara") {
			t.Errorf("the cancelled run: %+v", p)
		}
	}
	if n := len(states(t, shop)); n != 1 {
		t.Errorf("%d plans after two cancelled runs and one done", n)
	}
}

// A fault that shows only when needs are worked out: the minutes for as many pieces as the jobs of the day have.
func TestAPlanningFaultIsToldInWords(t *testing.T) {
	b := small()
	for i := range b.Ops {
		if b.Ops[i].Item == "pin" && b.Ops[i].Seq == 10 {
			b.Ops[i].Run = "qty > 5.0 ? -1.0 : 12.0"
		}
	}
	shop := newShop(t, b)
	p := until(t, shop, start(t, shop, flow.PlanRequest{Workers: 1}), over)
	if p.State != flow.RunFailed || !strings.Contains(p.Error, "operations") || !strings.Contains(p.Error, "run") || strings.Contains(p.Error, "defect") {
		t.Errorf("a fault that only planning finds: %+v", p)
	}
	if n := len(states(t, shop)); n != 0 {
		t.Errorf("%d plans of a run that failed", n)
	}
}

func TestRunsOfAProgramThatIsGoneAreEnded(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	s := openStore(t, path)
	shop, err := flow.Open(ctx, s, flow.Options{SignInMin: -1})
	must(t, err)
	must(t, shop.ImportBook(ctx, boss, small(), nil))
	must(t, shop.Close())
	// as a killed program leaves them: one marked as running, one taken from the queue but not yet marked
	noJob := func(*sql.Tx, int64) (int64, error) { return 4711, nil }
	runningRun, err := s.AddRun(ctx, store.Run{Name: "killed", By: "mara"}, noJob)
	must(t, err)
	if ok, err := s.StartRun(ctx, runningRun, 1); !ok || err != nil {
		t.Fatal(ok, err)
	}
	taken, err := s.AddRun(ctx, store.Run{Name: "taken", By: "mara"}, noJob)
	must(t, err)

	beside, err := flow.Open(ctx, s, flow.Options{SignInMin: -1, Beside: true})
	must(t, err)
	if p, err := beside.PlanRun(ctx, runningRun); err != nil || p.State != flow.RunRunning {
		t.Errorf("a command beside the program that plans ended its run: %+v, %v", p, err)
	}
	must(t, beside.Close())

	again := openShop(t, s, flow.Options{})
	for _, run := range []int64{runningRun, taken} {
		p, err := again.PlanRun(ctx, run)
		must(t, err)
		if p.State != flow.RunFailed || !strings.Contains(p.Error, "Plan again") {
			t.Errorf("after the next start: %+v", p)
		}
	}
	draft(t, again, "after") // planning works
}

// A run that still waits when the program stops is worked by the next one; one that runs is ended with a reason.
func TestStoppingWhilePlanning(t *testing.T) {
	s := openStore(t, filepath.Join(t.TempDir(), "shop.db"))
	shop, err := flow.Open(ctx, s, flow.Options{SignInMin: -1})
	must(t, err)
	must(t, shop.ImportBook(ctx, boss, booktest.Large(30, 0), nil))
	first := start(t, shop, flow.PlanRequest{Seconds: 3600, Workers: 1})
	second := start(t, shop, flow.PlanRequest{Workers: 1})
	until(t, shop, first, running)
	must(t, shop.Close())
	again := openShop(t, s, flow.Options{})
	if p, err := again.PlanRun(ctx, first); err != nil || p.State != flow.RunFailed || !strings.Contains(p.Error, "stopped") {
		t.Errorf("the run under way: %+v, %v", p, err)
	}
	if p := until(t, again, second, over); p.State != flow.RunDone {
		t.Errorf("the run that waited: %+v", p)
	}
}

func TestOneProgramPlansOnAStore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	first, err := flow.Open(ctx, openStore(t, path), flow.Options{SignInMin: -1})
	must(t, err)
	must(t, first.ImportBook(ctx, boss, small(), nil))
	_, err = flow.Open(ctx, openStore(t, path), flow.Options{})
	refused(t, err, fault.Conflict, "a second program that plans on the same file")
	beside := openShop(t, openStore(t, path), flow.Options{Beside: true})
	if _, err := beside.StartPlan(ctx, boss, flow.PlanRequest{}); fault.KindOf(err) != fault.Conflict {
		t.Errorf("planning in the background of a program that does not: %v", err)
	}
	set(t, beside, "orders", "1001", "note", "from beside")
	if got := cells(t, first, "orders", "1001"); got[len(got)-1] != "from beside" {
		t.Errorf("the first program does not see the change: %v", got)
	}
	draft(t, first, "one")
	must(t, first.Close())
	second := openShop(t, openStore(t, path), flow.Options{})
	draft(t, second, "two")
	if n := len(states(t, second)); n != 2 {
		t.Errorf("%d plans", n)
	}
}

func TestAdopt(t *testing.T) {
	shop := newShop(t, small())
	one, two, three := draft(t, shop, "one"), draft(t, shop, "two"), draft(t, shop, "three")
	refused(t, shop.Adopt(ctx, looker, one), fault.Denied, "adopting by a viewer")
	refused(t, shop.Adopt(ctx, boss, 99), fault.NotFound, "adopting a plan that there is not")
	must(t, shop.Adopt(ctx, boss, one))
	must(t, shop.Adopt(ctx, boss, two))
	refused(t, shop.Adopt(ctx, boss, one), fault.Conflict, "adopting a past plan")
	refused(t, shop.Discard(ctx, boss, two), fault.Conflict, "discarding the adopted plan")
	view(t, shop, three)
	must(t, shop.Discard(ctx, boss, three))
	if _, err := shop.ViewOf(ctx, three); fault.KindOf(err) != fault.NotFound {
		t.Errorf("the view of a discarded plan: %v", err)
	}
	got := states(t, shop)
	if len(got) != 2 || got[one].State != flow.Past || got[two].State != flow.Adopted || got[two].Adopted == 0 {
		t.Errorf("after two adoptions: %+v", got)
	}
	draft(t, shop, "four")
	if v, err := shop.Current(ctx); err != nil || v.PlanID != two || v.State != flow.Adopted || view(t, shop, one).State != flow.Past {
		t.Errorf("the current plan: %d %s, %v", v.PlanID, v.State, err)
	}
}

// busy gives an operation of a view that is planned at a station after the plan's start, not by what has begun.
func busy(t *testing.T, v *flow.View, station string) schedule.Slot {
	t.Helper()
	for op, x := range v.Plan.Slots {
		if x.Station != schedule.None && v.Problem.Stations[x.Station].ID == plant.StationID(station) && v.Problem.Ops[op].State == schedule.ToPlan && x.Run > v.Problem.Now {
			return x
		}
	}
	t.Fatalf("nothing is planned at %s", station)
	return schedule.Slot{}
}

func TestAPlanAfterTheBookHasChanged(t *testing.T) {
	shop := newShop(t, small())
	plan := draft(t, shop, "monday")
	slots := len(view(t, shop, plan).Plan.Slots)

	set(t, shop, "orders", "1002", "note", "no matter") // a change that the plan survives
	v := view(t, shop, plan)
	if len(v.Broken) != 0 || len(v.Plan.Left) != 0 || v.Revision != 1 || !states(t, shop)[plan].Older {
		t.Errorf("after a harmless change: broken %v, left %v", v.Broken, v.Plan.Left)
	}

	add(t, shop, "lines", "order", "1002", "line", "2", "product", "grab", "quantity", "1", "due", "2027-02-01T16:00", "state", "open", "priority", "0")
	v = view(t, shop, plan)
	if len(v.Plan.Left) == 0 || len(v.Plan.Slots) <= slots || v.Plan.Status != schedule.Incomplete {
		t.Errorf("after a new line: %d slots, %d before, left %v, %s", len(v.Plan.Slots), slots, v.Plan.Left, v.Plan.Status)
	}
	for _, l := range v.Plan.Left {
		job := v.Needs.Jobs[v.Needs.Ops[l.Op].Job].ID
		if !strings.Contains(l.Why, "new since") || !strings.HasPrefix(string(job), "1002-2") && !strings.HasPrefix(string(job), "stock/") {
			t.Errorf("left: %s %s", job, l.Why)
		}
	}
	must(t, shop.DeleteRow(ctx, boss, "lines", "1002 / 2", revision(t, shop)))
	if v = view(t, shop, plan); len(v.Plan.Left) != 0 || len(v.Broken) != 0 {
		t.Errorf("after the line is gone again: broken %v, left %v", v.Broken, v.Plan.Left)
	}

	// the bench breaks down while the plan uses it
	x := busy(t, v, "bench-1")
	add(t, shop, "exceptions", "station", "bench-1", "kind", "down",
		"from", x.Run.In(time.UTC).Add(-time.Hour).Format("2006-01-02T15:04Z"), "to", x.Run.In(time.UTC).Add(24*time.Hour).Format("2006-01-02T15:04Z"))
	if v = view(t, shop, plan); len(v.Broken) == 0 {
		t.Fatal("a plan that uses a closed station is not seen to be broken")
	}
	err := shop.Adopt(ctx, boss, plan)
	refused(t, err, fault.Conflict, "adopting a draft that does not fit any more")
	if err != nil && !strings.Contains(err.Error(), "Plan again") {
		t.Errorf("the refusal does not say what to do: %v", err)
	}
	if states(t, shop)[plan].State != flow.Draft {
		t.Error("a refused draft was adopted")
	}
	must(t, shop.Adopt(ctx, boss, draft(t, shop, "anew")))
}

func TestAStationThatIsGoneLeavesItsWork(t *testing.T) {
	shop := newShop(t, small())
	plan := draft(t, shop, "monday")
	add(t, shop, "stations", "station", "bench-2", "centre", "bench", "name", "Bench 2", "calendar", "day", "speed", "1", "pallets", "1", "capacity", "1")
	must(t, shop.DeleteRow(ctx, boss, "stations", "bench-1", revision(t, shop)))
	v := view(t, shop, plan)
	n := 0
	for _, l := range v.Plan.Left {
		if strings.Contains(l.Why, "bench-1") {
			n++
		}
	}
	if n != 3 { // the three grabs are assembled at the bench
		t.Errorf("%d operations of the station that is gone are left: %v", n, v.Plan.Left)
	}
}
