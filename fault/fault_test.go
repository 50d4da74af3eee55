package fault

import (
	"errors"
	"fmt"
	"testing"
)

func TestText(t *testing.T) {
	for _, c := range []struct {
		f    Fault
		want string
	}{
		{Fault{Table: "stations", Row: 3, Column: "centre", Value: "robto", Expected: "a name from the sheet centres", Near: "robot"},
			`stations row 3, centre: found "robto"; expected a name from the sheet centres; did you mean "robot"?`},
		{Fault{Text: "nothing to plan"}, "nothing to plan"},
		{Fault{Column: "seconds", Value: "-1", Expected: "0 to 3600"}, `seconds: found "-1"; expected 0 to 3600`},
		{Fault{Table: "items"}, "items: "},
	} {
		if got := c.f.Error(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestKinds(t *testing.T) {
	one := New(NotFound, "There is no plan %d.", 7)
	list := List{New(Invalid, "a"), New(Conflict, "b")}
	other := errors.New("disk full")
	for _, c := range []struct {
		err  error
		kind Kind
		all  int
	}{{nil, 0, 0}, {one, NotFound, 1}, {fmt.Errorf("while adopting: %w", one), NotFound, 1}, {list, Invalid, 2}, {fmt.Errorf("in: %w", list), Invalid, 2}, {other, Internal, 1}} {
		if KindOf(c.err) != c.kind || len(All(c.err)) != c.all {
			t.Errorf("%v: kind %d, %d faults; want %d, %d", c.err, KindOf(c.err), len(All(c.err)), c.kind, c.all)
		}
	}
	if err := List(nil).Err(); err != nil {
		t.Errorf("an empty list is the error %v", err)
	}
	if list.Error() != "a\nb" {
		t.Errorf("%q", list.Error())
	}
}
