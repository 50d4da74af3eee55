package paper

import (
	"bytes"
	"context"
	"testing"
	"time"

	"tackline/book/booktest"
	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
	"tackline/schedule/search"
)

func view(t *testing.T) *flow.View {
	t.Helper()
	b := booktest.Small()
	v, err := flow.Compute(context.Background(), b, plant.At(time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC)), search.Options{Workers: 1, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestTraveller writes the traveller of every job: whole PDF files with as many codes as operations.
func TestTraveller(t *testing.T) {
	v := view(t)
	drawn := time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC)
	for job := range v.Needs.Jobs {
		var one bytes.Buffer
		if err := Traveller(&one, v, job, drawn); err != nil {
			t.Fatalf("job %s: %v", v.Needs.Jobs[job].ID, err)
		}
		if !bytes.HasPrefix(one.Bytes(), []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(one.Bytes()), []byte("%%EOF")) {
			t.Errorf("job %s: not a whole PDF", v.Needs.Jobs[job].ID)
		}
		if got, want := bytes.Count(one.Bytes(), []byte("/Subtype /Image")), len(v.Needs.Jobs[job].Ops); got != want {
			t.Errorf("job %s: %d codes, %d operations", v.Needs.Jobs[job].ID, got, want)
		}
	}
}

// TestOpCode: the code of an operation is read back as that operation.
func TestOpCode(t *testing.T) {
	kind, text, err := floor.ReadCode(OpCode("1042-1-1/jaw-4c#2", 20))
	if err != nil || kind != floor.CodeOp || text != "1042-1-1/jaw-4c#2 20" {
		t.Errorf("%c %q %v", kind, text, err)
	}
}

// TestFacts: the station and time of the plan, revisions, and a warning where a program is not approved.
func TestFacts(t *testing.T) {
	v := view(t)
	tr := &traveller{v: v, loc: time.UTC}
	for op := range v.Needs.Ops {
		facts := map[string]string{}
		for _, f := range tr.facts(op) {
			if f[1] == "" {
				t.Errorf("operation %d: %q is empty", op, f[0])
			}
			facts[f[0]] = f[1]
		}
		if facts["station"] == "" || facts["planned"] == "" {
			t.Errorf("operation %d: %v", op, facts)
		}
		o := &v.Needs.Ops[op]
		if p := v.Index.Programs[o.Program]; p != nil && p.Approved != (facts["program"] == string(o.Program)+" rev "+p.Revision) {
			t.Errorf("operation %d: program %q, approved %v", op, facts["program"], p.Approved)
		}
	}
}
