package exchange

import (
	"archive/zip"
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"tackline/book"
	"tackline/book/booktest"
	"tackline/fault"
)

// zipped makes an opened workbook of parts.
func zipped(t testing.TB, parts map[string]string) *workbook {
	t.Helper()
	var buf bytes.Buffer
	z := zip.NewWriter(&buf)
	for name, data := range parts {
		p, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		p.Write([]byte(data))
	}
	z.Close()
	r, err := zip.NewReader(bytes.NewReader(buf.Bytes()), int64(buf.Len()))
	if err != nil {
		t.Fatal(err)
	}
	w := &workbook{parts: map[string]*zip.File{}, left: mostUnpacked}
	for _, f := range r.File {
		w.parts[strings.ToLower(f.Name)] = f
	}
	return w
}

// editable gives the small book as a workbook that a test can change as a person would.
func editable(t testing.TB) *excelize.File {
	t.Helper()
	var buf bytes.Buffer
	if err := WriteWorkbook(&buf, booktest.Small()); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&buf)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func bytesOf(t testing.TB, f *excelize.File) []byte {
	t.Helper()
	var buf bytes.Buffer
	if err := f.Write(&buf); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func style(t *testing.T, f *excelize.File, format string) int {
	t.Helper()
	id, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
	if err != nil {
		t.Fatal(err)
	}
	return id
}

// TestTypedCells types values as people do: real numbers, dates, times, per cent, TRUE, and numbers as text.
func TestTypedCells(t *testing.T) {
	f := editable(t)
	set := func(sheet, place string, value any, format string) {
		if err := f.SetCellValue(sheet, place, value); err != nil {
			t.Fatal(err)
		}
		if format != "" {
			if err := f.SetCellStyle(sheet, place, place, style(t, f, format)); err != nil {
				t.Fatal(err)
			}
		}
	}
	set("lines", "E2", time.Date(2026, 12, 18, 16, 30, 0, 0, time.UTC), "dd/mm/yyyy hh:mm")
	set("orders", "A2", 1001, "")
	set("lines", "A2", 1001, "0")
	set("lines", "A3", "1001", "@")
	set("lots", "G2", time.Date(2026, 11, 3, 0, 0, 0, 0, time.UTC), "d. mmm yy")
	set("items", "P5", 0.07, "0.0%")
	set("items", "I2", "900.5", "@")
	set("items", "G2", true, "")
	set("shifts", "D2", 0.25, "h:mm AM/PM")
	set("shifts", "E2", "14:30:00", "")
	set("settings", "B2", time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC), "yyyy-mm-dd hh:mm")
	set("operations", "J2", 75, "")
	set("options", "F4", false, "")
	b, _, err := CheckWorkbook(bytes.NewReader(bytesOf(t, f)))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ what, got, want string }{
		{"due", string(b.Lines[0].Due), "2026-12-18T16:30"},
		{"order", string(b.Lines[0].Order), "1001"},
		{"received", string(b.Lots[0].Received), "2026-11-03"},
		{"scrap", decimal(b.Items[3].Scrap), "7"},
		{"mass", decimal(b.Items[0].Mass), "900.5"},
		{"product", yesNo(b.Items[0].Product), "yes"},
		{"from", b.Shifts[0].From.String(), "06:00"},
		{"to", b.Shifts[0].To.String(), "14:30"},
		{"plan_from", b.Settings[0].Value, "2026-11-25T06:00"},
		{"run", string(b.Ops[0].Run), "75"},
		{"default", b.Options[2].Default, "no"},
	} {
		if c.got != c.want {
			t.Errorf("%s: read %q, want %q", c.what, c.got, c.want)
		}
	}
}

// TestAnyOrder moves sheets and columns about, writes headers in other ways, leaves blank rows and adds notes.
func TestAnyOrder(t *testing.T) {
	f := editable(t)
	if err := f.MoveSheet("orders", "plants"); err != nil {
		t.Fatal(err)
	}
	f.SetCellValue("plants", "C1", " Time Zone ")
	f.SetCellValue("plants", "A1", "PLANT")
	f.InsertRows("plants", 3, 2)
	f.NewSheet("Notes of the planner")
	f.SetCellValue("Notes of the planner", "B7", "ask about the booth")
	f.NewSheet("Sheet1") // empty, as programs make them
	f.RemoveCol("stations", "H")
	f.InsertCols("stations", "A", 1)
	b, origin, err := CheckWorkbook(bytes.NewReader(bytesOf(t, f)))
	if err != nil {
		t.Fatal(err)
	}
	if got := origin.Row("plants", 1); got != 5 {
		t.Errorf("the second plant is read from row %d, want 5", got)
	}
	if b.Stations[1].Family != "" || b.Stations[1].Pallets != 2 {
		t.Errorf("stations are read as %+v", b.Stations[1])
	}
}

func TestSemicolonsAndMarks(t *testing.T) {
	a := newAssembly()
	a.readCSV("Lots", strings.NewReader("\xEF\xBB\xBFlot;Item;plant;quantity;place\r\n\r\nL-1;bar;north;5,25;\"rack; left\"\r\n"))
	if len(a.faults) > 0 {
		t.Fatal(a.faults)
	}
	l := a.book.Lots[0]
	if l.Quantity != 5250 || l.Place != "rack; left" || a.origin.Row("lots", 0) != 3 {
		t.Errorf("read %+v from row %d", l, a.origin.Row("lots", 0))
	}
}

func TestNoWorkbook(t *testing.T) {
	for name, data := range map[string]string{
		"empty": "", "text": "plants,stations", "old binary": "\xD0\xCF\x11\xE0", "zip of nothing": zipOf(t, nil),
		"bad xml": zipOf(t, map[string]string{"xl/workbook.xml": "<a"}),
	} {
		b, _, err := ReadWorkbook(strings.NewReader(data))
		if b != nil || fault.KindOf(err) != fault.Invalid {
			t.Errorf("%s: got %v, %v", name, b, err)
		}
	}
}

func zipOf(t *testing.T, parts map[string]string) string {
	var buf bytes.Buffer
	z := zip.NewWriter(&buf)
	for name, data := range parts {
		p, _ := z.Create(name)
		p.Write([]byte(data))
	}
	z.Close()
	return buf.String()
}

// TestUnpacksBounded: a part that unpacks into more than the limit is refused before it fills the memory.
func TestUnpacksBounded(t *testing.T) {
	w := zipped(t, map[string]string{"xl/sharedStrings.xml": "<sst>" + strings.Repeat("<si><t>x</t></si>", 1000) + "</sst>"})
	w.left = 5000
	if err := w.readTexts("xl/sharedStrings.xml"); err != errTooLarge {
		t.Fatalf("got %v", err)
	}
}

func TestSerialDays(t *testing.T) {
	// ECMA-376 part 1, 18.17.4.1: 1900-01-01 is 1, 1900-03-01 is 61; the last day is 9999-12-31, 2958465.
	for _, c := range []struct {
		days float64
		want string
	}{{1, "1900-01-01T00:00"}, {59, "1900-02-28T00:00"}, {61, "1900-03-01T00:00"}, {2958465, "9999-12-31T00:00"}, {46351.25, "2026-11-25T06:00"}} {
		if got := wall(c.days); got != c.want {
			t.Errorf("%v is %s, want %s", c.days, got, c.want)
		}
	}
	if days, ok := serial("2026-11-25T06:00"); !ok || days != 46351.25 {
		t.Errorf("2026-11-25T06:00 is %v", days)
	}
}

func TestNumberFormats(t *testing.T) {
	for code, want := range map[string]content{
		"General": number, "0.00": number, "0.0%": percent, "yyyy-mm-dd": date, "[h]:mm": date, `0.0" kg"`: number, `#,##0\d`: number,
		"[Red]0": number, "[$-409]d/m/yy": date, `"%"0`: number, "0;[Red]-0;d": number, "mmm": date,
	} {
		if got := shownAs(code); got != want {
			t.Errorf("%s shows %d, want %d", code, got, want)
		}
	}
}

// TestTemplateHasEverything: the template holds every sheet and column, and reads but for what must be filled.
func TestTemplateHasEverything(t *testing.T) {
	var buf bytes.Buffer
	if err := WriteTemplate(&buf); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(buf.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	for _, table := range book.Tables() {
		rows, err := f.GetRows(table.Name)
		if err != nil || len(rows) != 1 || len(rows[0]) != len(table.Columns) {
			t.Errorf("%s: %v %v", table.Name, rows, err)
		}
		notes, err := f.GetComments(table.Name)
		if err != nil || len(notes) != len(table.Columns) {
			t.Errorf("%s: %d notes for %d columns (%v)", table.Name, len(notes), len(table.Columns), err)
		}
	}
	if _, _, err := ReadWorkbook(&buf); err != nil {
		t.Error(err)
	}
}
