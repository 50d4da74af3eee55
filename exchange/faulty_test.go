package exchange

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"tackline/book"
	"tackline/book/booktest"
	"tackline/fault"
)

var update = flag.Bool("update", false, "write the faulty workbooks, the expected faults and docs/formats.md anew")

// faulty is a workbook made wrong on purpose.
type faulty struct {
	name string
	edit func(f *excelize.File)
	at   []string // place of every fault
}

// set changes cells: place, value, place, value.
func set(sheet string, changes ...any) func(*excelize.File) {
	return func(f *excelize.File) {
		for i := 0; i < len(changes); i += 2 {
			if err := f.SetCellValue(sheet, changes[i].(string), changes[i+1]); err != nil {
				panic(err)
			}
		}
	}
}

// all does several edits.
func all(edits ...func(*excelize.File)) func(*excelize.File) {
	return func(f *excelize.File) {
		for _, e := range edits {
			e(f)
		}
	}
}

// add writes a row of cells below a sheet.
func add(sheet string, row int, cells ...any) func(*excelize.File) {
	return func(f *excelize.File) {
		if err := f.SetSheetRow(sheet, fmt.Sprintf("A%d", row), &cells); err != nil {
			panic(err)
		}
	}
}

var faultyBooks = []faulty{
	{"01-unknown-work-centre", set("operations", "D5", "robto"), []string{"operations row 5, centre"}},
	{"02-number-is-text", set("operations", "H2", "ten minutes", "O3", "one"), []string{"operations row 2, setup", "operations row 3, transfer_quantity"}},
	{"03-setup-not-a-number", set("setups", "D3", "abc"), []string{"setups row 3, minutes"}},
	{"04-doubled-station", set("stations", "A3", "saw-1"), []string{"stations row 3, station", "exceptions row 3, station", "operations row 6, centre", "able row 2, station", "work row 2, station"}},
	{"05-parts-list-circle", add("parts", 8, "jaw-open", 20, "grab", 1, "ea", 10), []string{"parts row 8, component"}},
	{"06-nobody-can-do-it", set("crews", "D2", 4), []string{"crews row 2, heads"}},
	{"07-calendar-never-open", func(f *excelize.File) { f.RemoveRow("shifts", 3) }, []string{"calendars row 3, calendar"}},
	{"08-unit-does-not-convert", set("parts", "E7", "kg"), []string{"parts row 7, unit"}},
	{"09-formula-does-not-compile", set("operations", "J2", "60 + 20*opt.jaws)"), []string{"operations row 2, run"}},
	{"10-formula-fails-for-one-choice", set("operations", "J2", "100 - 25*opt.jaws"), []string{"operations row 2, run"}},
	{"11-component-unknown-for-one-choice", set("options", "E3", "open|closed|orange"), []string{"parts row 2, component"}},
	{"12-rule-broken-by-order", set("lines", "G2", "jaws=5; form=closed"), []string{"lines row 2, options"}},
	{"13-option-misspelt", set("lines", "G2", "jaws=4; from=closed"), []string{"lines row 2, options"}},
	{"14-column-misspelt", set("items", "C1", "kinds"), []string{"items row 1, kinds", "items row 1, kind"}},
	{"15-sheet-misspelt", func(f *excelize.File) { f.SetSheetName("stations", "statoins") }, []string{"statoins", "stations"}},
	{"16-sheet-missing", func(f *excelize.File) { f.DeleteSheet("operations") }, []string{"operations"}},
	{"17-time-zone", set("plants", "C2", "Europe/Dubin"), []string{"plants row 2, time_zone"}},
	{"18-cell-shows-an-error", func(f *excelize.File) {
		f.SetCellFormula("lots", "D2", "1/0")
		f.SetCellValue("lots", "D2", nil)
		f.SetCellDefault("lots", "D2", "#DIV/0!")
	}, []string{"lots row 2, quantity"}},
	{"19-date-where-text-belongs", set("lots", "F2", time.Date(2026, 4, 3, 0, 0, 0, 0, time.UTC)), []string{"lots row 2, place"}},
	{"20-day-and-month-as-text", set("lots", "G2", "03/11/2026"), []string{"lots row 2, received"}},
	{"21-wrong-nature-for-the-booth", set("operations", "E3", "attended"), []string{"operations row 3, nature"}},
	{"22-bought-item-without-route", set("items", "C5", "bought"), []string{"operations row 7, item", "operations row 8, item", "parts row 7, parent", "releases row 2, item"}},
	{"23-crew-on-a-run-that-runs-through", set("operations", "F2", "through"), []string{"crews row 2, for"}},
	{"24-after-blank-rows", all(func(f *excelize.File) { f.InsertRows("lots", 2, 3) }, set("lots", "B6", "pim")), []string{"lots row 6, item"}},
	{"25-no-way-between-plants", func(f *excelize.File) { f.RemoveRow("transits", 2) }, []string{"parts row 3, component"}},
	{"26-several-at-once", all(set("stations", "D2", "dya", "E4", -1), set("lines", "D3", 0), set("lines", "E2", "Friday"), set("shifts", "E2", "26:00")),
		[]string{"shifts row 2, to", "stations row 2, calendar", "stations row 4, speed", "lines row 2, due", "lines row 3, quantity"}},
	{"27-piece-larger-than-the-booth", set("attributes", "C5", 14), []string{"operations row 3, size"}},
	{"28-running-without-a-station", set("work", "D2", ""), []string{"work row 2, station"}},
}

const faultyDir = "testdata/faulty"

// TestFaultyWorkbooks refuses each workbook of testdata/faulty with exactly the faults that faults.txt holds, at the places
// that this file names.
func TestFaultyWorkbooks(t *testing.T) {
	if *update {
		writeFaulty(t)
	}
	golden, err := os.ReadFile(filepath.Join(faultyDir, "faults.txt"))
	if err != nil {
		t.Fatal(err)
	}
	want := sections(string(golden))
	for _, c := range faultyBooks {
		t.Run(c.name, func(t *testing.T) {
			b, _, err := ReadBook(filepath.Join(faultyDir, c.name+".xlsx"))
			if b != nil || err == nil {
				t.Fatal("the workbook is accepted")
			}
			if got := err.Error(); got != want[c.name] {
				t.Errorf("got\n%s\nwant\n%s", got, want[c.name])
			}
			var list fault.List
			if !errors.As(err, &list) {
				t.Fatalf("%T is no list of faults", err)
			}
			places := map[string]bool{}
			for _, f := range list {
				places[f.Place()] = true
			}
			for _, p := range c.at {
				if !places[p] {
					t.Errorf("nothing is reported at %s", p)
				}
				delete(places, p)
			}
			for p := range places {
				t.Errorf("reported at %s, where nothing is wrong", p)
			}
		})
	}
}

func sections(text string) map[string]string {
	out := map[string]string{}
	for _, s := range strings.Split(text, "== ")[1:] {
		name, rest, _ := strings.Cut(s, "\n")
		out[name] = strings.TrimRight(rest, "\n")
	}
	return out
}

// bare gives the small book as a workbook of plain cells, as a person might type it.
func bare(t *testing.T) *excelize.File {
	f, b := excelize.NewFile(), booktest.Small()
	for _, table := range book.Tables() {
		if _, err := f.NewSheet(table.Name); err != nil {
			t.Fatal(err)
		}
		for j, c := range table.Columns {
			place, _ := excelize.CoordinatesToCellName(j+1, 1)
			f.SetCellValue(table.Name, place, c.Name)
			for i := 0; i < table.Len(b); i++ {
				place, _ := excelize.CoordinatesToCellName(j+1, i+2)
				text := table.Cells(b, i)[j]
				if n, err := strconv.ParseFloat(text, 64); err == nil && isNumeric(c.Kind) {
					f.SetCellValue(table.Name, place, n)
				} else if text != "" {
					f.SetCellValue(table.Name, place, text)
				}
			}
		}
	}
	return f
}

func writeFaulty(t *testing.T) {
	if err := os.MkdirAll(faultyDir, 0o755); err != nil {
		t.Fatal(err)
	}
	var golden strings.Builder
	golden.WriteString("Every fault of each workbook in this folder.\n\n")
	for _, c := range faultyBooks {
		f := bare(t)
		c.edit(f)
		path := filepath.Join(faultyDir, c.name+".xlsx")
		if err := os.WriteFile(path, bytesOf(t, f), 0o644); err != nil {
			t.Fatal(err)
		}
		_, _, err := ReadBook(path)
		fmt.Fprintf(&golden, "== %s\n%v\n\n", c.name, err)
	}
	if err := os.WriteFile(filepath.Join(faultyDir, "faults.txt"), []byte(golden.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
