package exchange

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tackline/schedule"
)

// What WritePlan writes, ReadKept reads back: every slot and every peg.
func TestKeptRoundTrip(t *testing.T) {
	f := framed(t)
	p := &schedule.Plan{Slots: make([]schedule.Slot, len(f.Problem.Ops)), Status: schedule.Incomplete}
	for i := range p.Slots {
		at := f.Problem.Now.Add(3600)
		p.Slots[i] = schedule.Slot{Station: i % len(f.Problem.Stations), Setup: at, Load: at + 1, Run: at + 2, Unload: at + 3, End: at + 4, Batch: i % 3}
	}
	p.Slots[0] = schedule.Slot{Station: schedule.None}
	p.Left = []schedule.Left{{Op: 0, Why: "no room"}}
	dir := t.TempDir()
	if err := WritePlan(dir, viewOf(f, p)); err != nil {
		t.Fatal(err)
	}
	got, err := ReadKept(dir)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(f.Needs.Pegs(), got.Pegs); d != "" {
		t.Errorf("pegs:\n%s", d)
	}
	if got.Now != f.Problem.Now || len(got.Slots) != len(p.Slots) || got.Slots[0].Why != "no room" {
		t.Errorf("%+v", got)
	}
	for i, s := range got.Slots[1:] {
		w := p.Slots[i+1]
		if s.Setup != w.Setup || s.End != w.End || s.Batch != w.Batch || s.Station != f.Problem.Stations[w.Station].ID {
			t.Fatalf("slot %d: %+v; want %+v", i+1, s, w)
		}
	}
}

func TestKeptFaultsNameTheRow(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"about.csv": "name,value,unit,note\nnow,2026-11-25T06:00:00+00:00,,\nhorizon,2026-12-25T06:00:00+00:00,,\n",
		"plan.csv":  strings.Join(planTable.header(), ",") + "\n,1-1-1/x,x,ten,,1,s,soon,2026-11-25T06:00:00Z,2026-11-25T06:00:00Z,2026-11-25T06:00:00Z,2026-11-25T06:00:00Z,,,,\n",
		"pegs.csv":  "job,op\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	_, err := ReadKept(dir)
	if err == nil {
		t.Fatal("read")
	}
	for _, want := range []string{"plan", "row 2", "op", "setup_start", "soon", "pegs", "quantity"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not in %v", want, err)
		}
	}
}
