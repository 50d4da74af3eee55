package book_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"tackline/book"
	"tackline/book/booktest"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
)

// TestTablesAreSound: references name tables, defaults and examples can be read by their own columns.
func TestTablesAreSound(t *testing.T) {
	for _, table := range book.Tables() {
		for j, c := range table.Columns {
			if c.Ref != "" {
				if _, known := book.TableNamed(c.Ref); !known {
					t.Errorf("%s.%s refers to %q, which is no table", table.Name, c.Name, c.Ref)
				}
			}
			for _, text := range []string{c.Default, c.Example} {
				cells := make([]string, len(table.Columns))
				cells[j] = text
				for _, f := range table.Mend(&book.Book{}, 2, cells) {
					if f.Column == c.Name && text != "" {
						t.Errorf("%s.%s cannot read its own %q: %v", table.Name, c.Name, text, f)
					}
				}
			}
		}
	}
}

func TestAppendIsAllOrNothing(t *testing.T) {
	b := &book.Book{}
	table, _ := book.TableNamed("stations")
	faults := table.Append(b, 7, []string{"s-1", "saw", "Saw", "day", "fast", "two", "1", ""})
	if len(faults) != 2 || faults[0].Place() != "stations row 7, speed" || faults[1].Column != "pallets" || len(b.Stations) != 0 {
		t.Fatalf("got %v and %d rows", faults, len(b.Stations))
	}
	if faults := table.Append(b, 7, []string{" s-1 ", "saw", "Saw", "day", "", "", "", ""}); faults != nil {
		t.Fatal(faults)
	}
	want := plant.Station{ID: "s-1", Centre: "saw", Name: "Saw", Calendar: "day", Speed: 1, Pallets: 1, Capacity: 1000}
	if d := cmp.Diff([]plant.Station{want}, b.Stations); d != "" {
		t.Fatal(d)
	}
}

func TestRemoveAndReplace(t *testing.T) {
	b := booktest.Small()
	table, _ := book.TableNamed("people")
	row := table.Cells(b, 1)
	row[1] = "B. Quill-Marsh"
	table.Append(b, 0, row)
	table.Replace(b, 1)
	table.Remove(b, 0)
	if len(b.People) != 3 || b.People[0].Name != "B. Quill-Marsh" || table.Key(b, 0) != "p-2" {
		t.Fatalf("got %+v", b.People)
	}
}

func TestIndexSorts(t *testing.T) {
	b := booktest.Small()
	b.Ops[0], b.Ops[2] = b.Ops[2], b.Ops[0]
	b.Parts[0], b.Parts[2] = b.Parts[2], b.Parts[0]
	ix, err := book.NewIndex(b)
	if err != nil {
		t.Fatal(err)
	}
	var seqs, lines []int
	for _, o := range ix.OpsOf["grab"] {
		seqs = append(seqs, o.Seq)
	}
	for _, p := range ix.PartsOf["grab"] {
		lines = append(lines, p.Line)
	}
	if d := cmp.Diff([]int{10, 20, 30}, seqs); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]int{10, 20, 30}, lines); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(map[string]any{"weld_m": 7.25, "seal": "rubber"}, ix.Attributes["jaw-closed"]); d != "" {
		t.Error(d)
	}
	if ix.StationZone("mill-1").String() != "Europe/Dublin" || len(ix.Closures["robot-1"]) != 1 || len(ix.Exceptions["day"]) != 1 {
		t.Error("zones or exceptions are not found")
	}
}

func TestIndexRefusesUnknownZones(t *testing.T) {
	b := booktest.Small()
	b.Plants[1].TimeZone = "Erewhon/City"
	if _, err := book.NewIndex(b); err == nil {
		t.Fatal("no error")
	}
}

func TestConfigure(t *testing.T) {
	ix, err := book.NewIndex(booktest.Small())
	if err != nil {
		t.Fatal(err)
	}
	got, err := ix.Configure(&order.Line{Product: "grab", Options: "jaws=3.0; rotator=true; reach=5.5"})
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]any{"jaws": 3.0, "form": "open", "rotator": true, "reach": 5.5}
	if d := cmp.Diff(want, got); d != "" {
		t.Fatal(d)
	}
	texts := map[plant.OptionID]string{"jaws": "3", "form": "open", "rotator": "yes", "reach": "5.5"}
	if d := cmp.Diff(texts, book.OptionTexts(got)); d != "" {
		t.Fatal(d)
	}
	for _, bad := range []order.Choices{"jaws", "jaws=2", "jaws=NaN", "rotator=perhaps", "form=Open", "colour=red", "reach=far", "jaws=3;jaws=3"} {
		if v, err := ix.Configure(&order.Line{Product: "grab", Options: bad}); err == nil {
			t.Errorf("%s is accepted as %v", bad, v)
		}
	}
}

func TestOptionValues(t *testing.T) {
	for _, c := range []struct {
		o    product.Option
		want []any
	}{
		{product.Option{Kind: "number", Values: "3|4 | 5"}, []any{3.0, 4.0, 5.0}},
		{product.Option{Kind: "choice", Values: "a|b"}, []any{"a", "b"}},
		{product.Option{Kind: "yes-no"}, []any{false, true}},
		{product.Option{Kind: "number"}, nil},
	} {
		if d := cmp.Diff(c.want, book.OptionValues(&c.o)); d != "" {
			t.Errorf("%+v: %s", c.o, d)
		}
	}
}

func TestSettings(t *testing.T) {
	b := booktest.Small()
	if got := b.SettingNumber("freeze_hours"); got != 12 {
		t.Errorf("freeze_hours is %v", got)
	}
	if got := b.SettingNumber("horizon_days"); got != 180 {
		t.Errorf("horizon_days is %v", got)
	}
	if got := b.Setting("currency"); got != "EUR" {
		t.Errorf("currency is %q", got)
	}
}

func TestNearest(t *testing.T) {
	for _, c := range []struct{ word, want string }{{"statoins", "stations"}, {"station", "stations"}, {"zebra", ""}, {"lnes", "lines"}, {"", ""}} {
		if got := book.Nearest(c.word, []string{"lines", "lots", "stations"}); got != c.want {
			t.Errorf("nearest to %q is %q, want %q", c.word, got, c.want)
		}
	}
}

func TestItemOfJob(t *testing.T) {
	ix, err := book.NewIndex(booktest.Small())
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[plant.JobID]plant.ItemID{"1001-1-1/grab": "grab", "1001-1-1/jaw-open#2": "jaw-open", "1001-1-1/jaw-open#2+3": "jaw-open",
		"stock/pin/12": "pin", "stock/pin/12+2": "pin", "stock/pin/12/jaw-open": "jaw-open", "pin": "", "1001-1-1/nothing": ""} {
		it := ix.ItemOfJob(id)
		if (it == nil) != (want == "") || it != nil && it.ID != want {
			t.Errorf("%s is of %v, want %q", id, it, want)
		}
	}
}

func BenchmarkNewIndex(b *testing.B) {
	large := booktest.Large(2000, 30000)
	for b.Loop() {
		if _, err := book.NewIndex(large); err != nil {
			b.Fatal(err)
		}
	}
}

func TestUnitFactor(t *testing.T) {
	// SI prefixes: ISO 80000-1; hours and minutes: SI brochure, 9th edition, table 8.
	for _, c := range []struct {
		from, to plant.MeasureUnit
		want     float64
		ok       bool
	}{{"mm", "m", 0.001, true}, {"kg", "g", 1000, true}, {"", "m2", 1, true}, {"ea", "ea", 1, true}, {"kg", "m", 0, false}, {"cm", "m", 0, false}} {
		if got, ok := book.UnitFactor(c.from, c.to); got != c.want || ok != c.ok {
			t.Errorf("%s to %s: %v, %v", c.from, c.to, got, ok)
		}
	}
}
