package formula

import (
	"strings"
	"testing"

	"tackline/plant"
)

func TestExplain(t *testing.T) {
	x, err := engine(t).Number("opt.jaws == 4 ? weld_minutes(8, item.weld_m*1000, 'robot') + qty + item.weld_m : item.mass_kg")
	if err != nil {
		t.Fatal(err)
	}
	trace, err := x.Explain(sample)
	if err != nil {
		t.Fatal(err)
	}
	t.Log("\n" + trace.String())
	var reads []string
	for _, r := range trace.Reads {
		reads = append(reads, r.Name+"="+r.Value.String())
	}
	if got := strings.Join(reads, " "); got != "opt.jaws=4 item.weld_m=6.4 qty=3" {
		t.Errorf("reads %s", got)
	}
	if len(trace.Calls) != 1 || trace.Calls[0].String() != "weld_minutes(leg_mm 8, length_mm 6400, process 'robot'; usual kg_per_h 5, arc_on_percent 75, reinforcement_percent 0) = 25.7229" {
		t.Errorf("calls %v", trace.Calls)
	}
	if trace.Result != "35.1229" || trace.Calls[0].Function.Caution == "" {
		t.Errorf("result %s", trace.Result)
	}
}

func TestExplainFailure(t *testing.T) {
	x, err := engine(t).Number("opt.jaws*2 + item.nothing")
	if err != nil {
		t.Fatal(err)
	}
	trace, err := x.Explain(sample)
	if err == nil || !strings.Contains(err.Error(), "no attribute nothing") || len(trace.Reads) != 1 || trace.Result != "" {
		t.Errorf("trace %+v, error %v", trace, err)
	}
}

func TestExplainPattern(t *testing.T) {
	x, err := engine(t).Text("jaw-{int(opt.jaws)}-{opt.colour}")
	if err != nil {
		t.Fatal(err)
	}
	trace, err := x.Explain(sample)
	if err != nil || trace.Result != "jaw-4-red" || len(trace.Reads) != 2 {
		t.Errorf("trace %+v, error %v", trace, err)
	}
}

func TestExplainLiteral(t *testing.T) {
	x, err := engine(t).Number(plant.Formula("12.5"))
	if err != nil {
		t.Fatal(err)
	}
	if trace, err := x.Explain(Env{}); err != nil || trace.String() != "12.5\n= 12.5\n" {
		t.Errorf("trace %q, error %v", trace, err)
	}
}
