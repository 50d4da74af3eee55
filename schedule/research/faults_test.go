package research

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"tackline/schedule"
)

// readers gives every reader by name, with a small file that it accepts.
func readers() map[string]struct {
	read func(string, io.Reader) error
	good string
} {
	type entry = struct {
		read func(string, io.Reader) error
		good string
	}
	one := "5 7\n3 4\n9 30\n"
	return map[string]entry{
		"jobshop":  {func(n string, r io.Reader) error { _, err := JobShop(n, r); return err }, "2 2\n0 1 1 2\n\n1 3 0 4 1 9\n"},
		"flexible": {func(n string, r io.Reader) error { _, err := Flexible(n, r); return err }, "2 2 1.5\n2 1 1 5 2 1 3 2 4\n0\n"},
		"assembly": {func(n string, r io.Reader) error { _, err := Assembly(n, r); return err }, "3 1 2\n0 1\n1 0 5\n2 0 3 1 4\n1 1 1\n"},
		"project":  {func(n string, r io.Reader) error { return problem(Project(n, r)) }, "3 1\n4\n0 0 2 2 3\n5 4\n1 3\n2 1 0\n"},
		"portfolio": {func(n string, r io.Reader) error { return problem(Portfolio(n, r)) },
			"2 1\n4\n2 0\n3 4 1 2\n1 1 0\n1 6\n2 2 0\n"},
		"hybrid":    {func(n string, r io.Reader) error { return problem(HybridFlowShop(n, r)) }, "2 2\n2 1\n3 4\n5 6\n"},
		"flow":      {func(n string, r io.Reader) error { return problem(FlowShopSetups(n, r)) }, "2 1\n3\n5\n0 1\n2 0\n"},
		"setups":    {func(n string, r io.Reader) error { return problem(SingleSetups(n, r)) }, "2\n3 4\n1 2\n9 -3\n0 1\n0 2\n3 0\n"},
		"tardiness": {func(n string, r io.Reader) error { return problem(JobShopTardiness(n, r)) }, "2 2\n0 1 1 2 9\n1 3 0 4 -1\n"},
		"single": {func(n string, r io.Reader) error {
			list, err := SingleTardiness(n, r)
			for _, c := range list {
				if err == nil {
					err = problem(c, nil)
				}
			}
			return err
		}, strings.Repeat(one, inOneFile)},
	}
}

// problem gives the error of a reader, and, if there is none, that of a plan in which everything is done one after the other.
func problem(c *Case, err error) error {
	if err != nil {
		return err
	}
	p := c.Problem
	plan := &schedule.Plan{Slots: make([]schedule.Slot, len(p.Ops)), Status: schedule.Complete}
	now := p.Now
	for i := range p.Ops { // all readers give operations in an order that precedence allows
		o := &p.Ops[i]
		now = max(now, o.Earliest)
		s := schedule.Slot{Station: o.Can[0].Station, Setup: now}
		if m := p.Centres[p.Stations[s.Station].Centre].Changeover; m != nil {
			from := p.Stations[s.Station].Family
			for k := range i {
				if plan.Slots[k].Station == s.Station {
					from = p.Ops[k].Family
				}
			}
			now = now.Add(m[from][o.Family])
		}
		s.Load, s.Run = now, now
		now = now.Add(o.Can[0].Run)
		s.Unload, s.End = now, now
		plan.Slots[i] = s
	}
	if broken := schedule.Check(p, plan); len(broken) > 0 {
		return refuse(c.Name, errText(broken[0].Text))
	}
	return nil
}

type errText string

func (e errText) Error() string { return string(e) }

// TestAccepted reads a small file of each kind and makes a plan of it.
func TestAccepted(t *testing.T) {
	for name, r := range readers() {
		if err := r.read(name, strings.NewReader(r.good)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestFaults: errors name file, line and number, what was found and what was expected.
func TestFaults(t *testing.T) {
	for _, c := range []struct{ kind, text, says string }{
		{"jobshop", "", "jobshop: the file ends here; expected the numbers of jobs and machines"},
		{"jobshop", "1 2\n", "jobshop, line 1, number 1: found \"1\"; expected a number of jobs that the rest of the file, 1 numbers, has room for"},
		{"jobshop", "3 2\n0 1 1 2\n\n0 1 1 2\n", "jobshop, line 4: the file ends here; expected the operations of a job"},
		{"jobshop", "1 2\n0 1 2 2\n", "jobshop, line 2, number 3: found \"2\"; expected a machine from 0 to 1"},
		{"jobshop", "1 2\n\n0 one 1 2\n", "jobshop, line 3, number 2: found \"one\"; expected a time from 0 to 16777216"},
		{"jobshop", "1 2\n0 1 1\n", "jobshop, line 2: ends early; expected a time"},
		{"jobshop", "1 2\n0 1 1 2\n0 1 1 2\n", "jobshop, line 3: found \"0\"; expected the end of the file"},
		{"jobshop", "1 2 3\n0 1 1 2\n", "jobshop, line 1, number 3: found \"3\"; expected nothing more on this line"},
		{"jobshop", "2 2\n0 x 1 2\n0 1 9 2\n", "jobshop, line 3, number 3: found \"9\""}, // the second fault too
		{"flexible", "2 2 1\n2 1 1 5 1 1\n1 1 1 5\n", "flexible, line 2: ends early; expected a time"},
		{"flexible", "1 2 1\n1 1 0 5\n", "flexible, line 2, number 3: found \"0\"; expected a machine from 1 to 2"},
		{"flexible", "1 2 1\n1 0 0 0\n", "flexible, line 2, number 2: found \"0\"; expected a number of machines from 1 to 2"},
		{"assembly", "2 2 2\n0 1\n1 0\n1 0 5\n1 1 4\n", "assembly: the operations wait for each other in a circle"},
		{"assembly", "2 1 2\n0 2\n1 0 5\n1 1 4\n", "assembly, line 2, number 2: found \"2\"; expected an operation from 0 to 1"},
		{"project", "2 1\n4\n1 5 0\n1 1 0\n", "project, line 3, number 2: found \"5\"; expected a demand from 0 to 4"},
		{"project", "2 0\n1 1 1\n1 0\n", "project, line 2, number 3: found \"1\"; expected a successor, later in the list, from 2 to 2"},
		{"project", "2 0\n1 1 2\n1 0 7\n", "project, line 3, number 3: found \"7\"; expected the end of the file"},
		{"portfolio", "1 1\n4\n1 -2\n3 4 0\n", "portfolio, line 3, number 2: found \"-2\"; expected a release from 0"},
		{"hybrid", "2 2\n2 1\n3 4\n5\n", "hybrid, line 4: ends early; expected a time for each of 2 jobs in each of 2 stages"},
		{"flow", "2 1\n3\n5\n0 1\n2\n", "flow, line 5: ends early; expected times and set-ups of 2 jobs on 1 machines"},
		{"setups", "2\n3 4\n1 2\n9 3\n0 1\n0 2\n3\n", "setups, line 7: 11 numbers follow the number of jobs; expected 12 with weights or 10 without"},
		{"tardiness", "1 1\n0 3\n", "tardiness, line 2: ends early; expected a due date"},
		{"single", "1 2 3\n", "single, line 1: the file has 3 numbers; expected times, weights and due dates of 125 problems"},
	} {
		err := readers()[c.kind].read(c.kind, strings.NewReader(c.text))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s %q:\n  says  %v\n  wants %s", c.kind, c.text, err, c.says)
		}
	}
}

func fuzz(f *testing.F, kind string) {
	r := readers()[kind]
	f.Add([]byte(r.good))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) < 2000 { // what is read must be whole: a plan of it can be made
			_ = r.read("fuzz", bytes.NewReader(b))
		}
	})
}

func FuzzJobShop(f *testing.F)   { fuzz(f, "jobshop") }
func FuzzFlexible(f *testing.F)  { fuzz(f, "flexible") }
func FuzzAssembly(f *testing.F)  { fuzz(f, "assembly") }
func FuzzProject(f *testing.F)   { fuzz(f, "project") }
func FuzzPortfolio(f *testing.F) { fuzz(f, "portfolio") }
func FuzzHybrid(f *testing.F)    { fuzz(f, "hybrid") }
func FuzzFlow(f *testing.F)      { fuzz(f, "flow") }
func FuzzSetups(f *testing.F)    { fuzz(f, "setups") }
func FuzzTardiness(f *testing.F) { fuzz(f, "tardiness") }
func FuzzSingle(f *testing.F)    { fuzz(f, "single") }

func TestKnown(t *testing.T) {
	for _, c := range []struct{ text, instance, says string }{
		{"instance\tlower_bound\tupper_bound\na\t3\t4\nb\t5\t\n", "a", ""},
		{"file\tnumber\tbest_total_weighted_tardiness\nw\t2\t4\n", "w-2", ""},
		{"instance\tlower_bound\na\t3\n", "", "k, line 1: found \"instance\\tlower_bound\"; expected columns named instance and upper_bound"},
		{"instance\tupper_bound\na\t3\nb\tx\n", "", "k, line 3, upper_bound: found \"x\"; expected a whole number, or nothing"},
		{"", "", "k, line 1"},
	} {
		known, err := Known("k", strings.NewReader(c.text))
		if c.says == "" && (err != nil || len(known) != 1 || known[c.instance] != 4) || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%q: %v, %v; want %s", c.text, known, err, c.says)
		}
	}
}

func FuzzKnown(f *testing.F) {
	f.Add([]byte("instance\tupper_bound\na\t3\nb\t\n"))
	f.Fuzz(func(t *testing.T, b []byte) { _, _ = Known("fuzz", bytes.NewReader(b)) })
}
