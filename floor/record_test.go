package floor

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tackline/fault"
	"tackline/plant"
)

func mustPost(t *testing.T, r *shopRecord, list ...Event) {
	t.Helper()
	for _, e := range list {
		if err := r.post(e); err != nil {
			t.Fatalf("%s: %v", e.Kind, err)
		}
	}
}

// refuses posts an event that must be refused, and wants words in the refusal.
func refuses(t *testing.T, r *shopRecord, e Event, words string) {
	t.Helper()
	err := r.post(e)
	var f *fault.Fault
	if !errors.As(err, &f) || f.Kind != fault.Conflict || !strings.Contains(f.Error(), words) {
		t.Errorf("%s: %v, a refusal with %q expected", e.Kind, err, words)
	}
}

func at(job plant.JobID, k Kind, more Event) Event {
	more.Job, more.Seq, more.Kind = job, 20, k
	return more
}

// TestOneWins: of two terminals that start one operation, or two operations on one station, the first wins and the second is told what
// runs there; work goes on after it.
func TestOneWins(t *testing.T) {
	r := &shopRecord{state: NewState()}
	mustPost(t, r, at("a", Start, Event{Station: "robot"}))
	refuses(t, r, at("a", Start, Event{Station: "robot", Person: "p-2"}), "runs already, on robot since second 1000")
	refuses(t, r, at("b", Start, Event{Station: "robot"}), "taken: operation 20 of job a runs there")
	mustPost(t, r, at("b", Start, Event{Station: "rack"}), at("c", Start, Event{Station: "rack"}))
	mustPost(t, r, at("a", Pause, Event{Reason: "crane"}), at("d", Start, Event{Station: "robot"}))
	refuses(t, r, at("a", Resume, Event{Station: "robot"}), "taken: operation 20 of job d")
	mustPost(t, r, at("d", Finish, Event{Good: 1}), at("a", Resume, Event{Station: "robot"}))
	if got := r.state.At("robot"); len(got) != 1 || got[0].Job != "a" {
		t.Errorf("on the robot: %v", got)
	}
}

// TestLoads: operations of one load run together where one load at a time can run.
func TestLoads(t *testing.T) {
	r := &shopRecord{state: NewState()}
	mustPost(t, r, at("a", Start, Event{Station: "booth", Batch: "1"}), at("b", Start, Event{Station: "booth", Batch: "1"}))
	refuses(t, r, at("c", Start, Event{Station: "booth", Batch: "2"}), "taken")
}

// TestUndo: an undone event never happened; what rests on it must be undone first; nothing is undone twice.
func TestUndo(t *testing.T) {
	r := &shopRecord{state: NewState()}
	mustPost(t, r, at("a", Start, Event{Station: "robot"}), at("a", Count, Event{Good: 2}), at("a", Finish, Event{Good: 1, Scrap: 1, Reason: "crack"}))
	start, count, finish := r.events[0].ID, r.events[1].ID, r.events[2].ID
	refuses(t, r, at("a", Undo, Event{Of: start, Reason: "wrong job"}), "rests on it")
	mustPost(t, r, at("a", Undo, Event{Of: finish, Reason: "one more piece"}))
	o := r.state.Ops[OpKey{"a", 20}]
	if o.Phase != Running || o.Good != 2 || o.Scrap != 0 || len(o.People()) != 1 {
		t.Errorf("after the finish was undone: %+v", o)
	}
	refuses(t, r, at("a", Undo, Event{Of: finish, Reason: "again"}), "undone already")
	mustPost(t, r, at("a", Undo, Event{Of: count, Reason: "counted wrong"}), at("a", Undo, Event{Of: start, Reason: "wrong job"}))
	if o := r.state.Ops[OpKey{"a", 20}]; o.Phase != Waiting || text(t, o) != "{}" || len(r.state.At("robot")) != 0 {
		t.Errorf("after all was undone: %s at %v", text(t, o), r.state.At("robot"))
	}
	mustPost(t, r, at("b", Start, Event{Station: "robot"}))
	refuses(t, r, at("b", Undo, Event{Of: start, Reason: "another job"}), "not known there")
}

// TestNoMoreThanTheJobHas: no more pieces are counted than the job has, where that is known.
func TestNoMoreThanTheJobHas(t *testing.T) {
	rules := oneEach
	rules.Pieces = func(k OpKey) int { return map[plant.JobID]int{"a": 4}[k.Job] }
	o := Op{Phase: Running, Station: "robot", Good: 2, Scrap: 1}
	for _, c := range []struct {
		job  plant.JobID
		good int
		ok   bool
	}{{"a", 1, true}, {"a", 2, false}, {"b", 9, true}} {
		e := at(c.job, Finish, Event{Good: c.good})
		if err := o.Refuse(&e, rules); (err == nil) != c.ok || err != nil && !strings.Contains(err.Error(), "only 1 are left") {
			t.Errorf("%d more of job %s: %v", c.good, c.job, err)
		}
	}
}

// TestUndoNeedsRoom: what would run again because an event is undone needs its station, as what goes on does.
func TestUndoNeedsRoom(t *testing.T) {
	r := &shopRecord{state: NewState()}
	mustPost(t, r, at("a", Start, Event{Station: "robot"}), at("a", Pause, Event{Reason: "crane"}), at("b", Start, Event{Station: "robot"}))
	pause := r.events[1].ID
	refuses(t, r, at("a", Undo, Event{Of: pause, Reason: "not paused"}), "taken: operation 20 of job b")
	mustPost(t, r, at("b", Finish, Event{Good: 1}), at("a", Undo, Event{Of: pause, Reason: "not paused"}))
	if o := r.state.Ops[OpKey{"a", 20}]; o.Phase != Running {
		t.Errorf("after the pause was undone: %+v", o)
	}
}

// TestStation: down, trouble and people of a station.
func TestStation(t *testing.T) {
	r := &shopRecord{state: NewState()}
	mustPost(t, r, Event{Kind: Down, Station: "robot", Reason: "gearbox"})
	refuses(t, r, at("a", Start, Event{Station: "robot"}), "down since second 1000: gearbox")
	refuses(t, r, Event{Kind: Down, Station: "robot", Reason: "gearbox"}, "down already")
	mustPost(t, r, Event{Kind: Up, Station: "robot"}, Event{Kind: Trouble, Station: "robot", Reason: "crane", Job: "a", Seq: 20})
	trouble := r.events[2].ID
	if st := r.state.Stations["robot"]; st.Down != nil || len(st.Troubles) != 1 || st.Troubles[0].Job != "a" {
		t.Errorf("robot: %+v", st)
	}
	mustPost(t, r, Event{Kind: Cleared, Station: "robot", Of: trouble}, Event{Kind: SignOn, Station: "robot"})
	refuses(t, r, Event{Kind: Cleared, Station: "robot", Of: trouble}, "no such trouble")
	refuses(t, r, Event{Kind: SignOn, Station: "robot"}, "signed on at robot already")
	mustPost(t, r, Event{Kind: SignOff, Station: "robot"})
	refuses(t, r, Event{Kind: SignOff, Station: "robot"}, "not signed on")
}

// TestWorked: time is booked for each person while he works, and a hold stops it.
func TestWorked(t *testing.T) {
	r := &shopRecord{state: NewState()}
	mustPost(t, r, at("a", Start, Event{Station: "robot", At: 100}), at("a", Join, Event{Person: "p-2", At: 200}), at("a", Leave, Event{Person: "p-1", At: 260}),
		at("a", Hold, Event{Reason: "undercut", At: 300}))
	o := r.state.Ops[OpKey{"a", 20}]
	if got := o.Worked(1000); got != 160+100 {
		t.Errorf("worked %d s, want 260", got)
	}
	refuses(t, r, at("a", Resume, Event{Station: "robot"}), "held: undercut")
	mustPost(t, r, at("a", Decide, Event{Of: r.events[3].ID, Reason: Repaired}), at("a", Resume, Event{Station: "robot", At: 400}))
	o = r.state.Ops[OpKey{"a", 20}]
	if got := o.Worked(450); got != 260+50 {
		t.Errorf("worked %d s, want 310", got)
	}
}

// TestChain: a record that was changed, left out, put in or swapped is found.
func TestChain(t *testing.T) {
	var records []Record
	before := ""
	for n := range 5 {
		rec := Record{Event: at("a", Count, Event{Good: n + 1}), Number: int64(n + 1), Got: plant.Time(2000 + n)}
		rec.ID, rec.Plant = idOf(n), "brackwater"
		var err error
		if rec.Hash, err = Seal(before, &rec); err != nil {
			t.Fatal(err)
		}
		before = rec.Hash
		records = append(records, rec)
	}
	follow := func(list []Record) error {
		var c Chain
		for i := range list {
			if err := c.Next(&list[i]); err != nil {
				return err
			}
		}
		return nil
	}
	if err := follow(records); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(l []Record) []Record{
		"a count":     func(l []Record) []Record { l[2].Good++; return l },
		"a time":      func(l []Record) []Record { l[2].Got++; return l },
		"one less":    func(l []Record) []Record { return append(l[:2], l[3:]...) },
		"two swapped": func(l []Record) []Record { l[1], l[2] = l[2], l[1]; return l },
	} {
		if follow(change(append([]Record(nil), records...))) == nil {
			t.Errorf("%s: the change was not found", name)
		}
	}
}

// TestID: version and variant as RFC 9562 asks, and its example of appendix A.6.
func TestID(t *testing.T) {
	const example = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f" // Tuesday, February 22, 2022 2:22:22.00 PM GMT-05:00
	if !IsID(example) || MadeAt(example) != 1645557742 {
		t.Errorf("%s: %v, made at %d", example, IsID(example), MadeAt(example))
	}
	if got := NewID(0x017f22e279b0, [10]byte{0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f}); got != example {
		t.Errorf("made %s, want %s", got, example)
	}
	for _, s := range []string{"", example[1:], strings.ToUpper(example), strings.Replace(example, "-7c", "-4c", 1), strings.Replace(example, "-98", "-c8", 1), strings.Replace(example, "-", "0", 1)} {
		if IsID(s) {
			t.Errorf("%q passes", s)
		}
	}
}

// TestCode: the check character of a published identifier (GRid Handbook, IFPI: A1-2425G-ABC1234002-M, ISO/IEC 7064 MOD 37-36, from
// memory), and every single wrong letter and every swap of neighbours is found.
func TestCode(t *testing.T) {
	if got := checkLetter("A12425GABC1234002"); got != 'M' {
		t.Errorf("check character %c, want M", got)
	}
	code := Code(CodeOp, "1042-1-1/jaw-4c 20")
	kind, text, err := ReadCode(" " + code + "\r\n")
	if err != nil || kind != CodeOp || text != "1042-1-1/jaw-4c 20" {
		t.Fatalf("%q: %c %q %v", code, kind, text, err)
	}
	wrong := func(s string) {
		if _, _, err := ReadCode(s); err == nil {
			t.Errorf("%q passes for %q", s, code)
		}
	}
	for i := 2; i < len(code); i++ {
		if strings.IndexByte(letters, upper(code[i])) < 0 {
			continue
		}
		for _, c := range letters {
			if byte(c) != upper(code[i]) {
				wrong(code[:i] + string(c) + code[i+1:])
			}
		}
		if i+1 < len(code) && code[i+1] != '~' && upper(code[i]) != upper(code[i+1]) && strings.IndexByte(letters, upper(code[i+1])) >= 0 {
			wrong(code[:i] + string(code[i+1]) + string(code[i]) + code[i+2:])
		}
	}
	for _, s := range []string{"", "W", "W:~", "Q:12~0", "4006381333931", "W:12"} {
		wrong(s)
	}
}

// TestCodeRoundTrip: every text comes back.
func TestCodeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[A-Za-z0-9][A-Za-z0-9./ \-]{0,40}[A-Za-z0-9]`).Draw(t, "text")
		if _, got, err := ReadCode(Code(CodeLot, text)); err != nil || got != text {
			t.Fatalf("%q came back as %q: %v", text, got, err)
		}
	})
}

// FuzzEvent: no payload makes it panic, and what is valid can be written and read again as it was.
func FuzzEvent(f *testing.F) {
	ok := at("a", Finish, Event{Good: 1, ID: idOf(1), Plant: "b", Device: "t", Person: "p", At: 5})
	seed, _ := json.Marshal(ok)
	f.Add(seed)
	f.Add([]byte(`{"kind":"undo","of":"x","value":1e999}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var e Event
		if json.Unmarshal(data, &e) != nil || e.Valid() != nil {
			return
		}
		out, err := json.Marshal(&e)
		var back Event
		if err != nil || json.Unmarshal(out, &back) != nil || back != e {
			t.Fatalf("%+v came back as %+v (%v)", e, back, err)
		}
		s := NewState()
		if s.Refuse(&e, nil, oneEach) == nil {
			s.Apply(&e, nil)
		}
	})
}

// FuzzCode: no scan makes it panic, and what is read is what Code writes.
func FuzzCode(f *testing.F) {
	f.Add(Code(CodeStation, "weld-robot-1"))
	f.Add("W:~~")
	f.Fuzz(func(t *testing.T, scan string) {
		kind, text, err := ReadCode(scan)
		if err == nil && !strings.EqualFold(Code(kind, text), strings.TrimSpace(scan)) {
			t.Fatalf("%q was read as %c %q", scan, kind, text)
		}
	})
}
