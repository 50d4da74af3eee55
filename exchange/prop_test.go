package exchange

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tackline/book/booktest"
)

func TestRoundTripOfRandomBooks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := booktest.Random(t)
		var buf bytes.Buffer
		if err := WriteWorkbook(&buf, b); err != nil {
			t.Fatal(err)
		}
		got, _, err := ReadWorkbook(&buf)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(b, got); d != "" {
			t.Fatalf("workbook: %s", d)
		}
	})
}

func TestRoundTripOfRandomFolders(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		b := booktest.Random(t)
		if err := WriteFolder(dir, b); err != nil {
			t.Fatal(err)
		}
		a := newAssembly()
		if err := a.readFolder(dir); err != nil {
			t.Fatal(err)
		}
		got, _, err := a.finish()
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(b, got); d != "" {
			t.Fatalf("folder: %s", d)
		}
	})
}

func FuzzReadWorkbook(f *testing.F) {
	f.Add(stored(f, map[string]string{
		"_rels/.rels":                `<Relationships><Relationship Id="r" Type="x/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/workbook.xml":            `<workbook><sheets><sheet name="plants" r:id="a"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="a" Type="x/worksheet" Target="s.xml"/><Relationship Id="b" Type="x/sharedStrings" Target="t.xml"/></Relationships>`,
		"xl/s.xml":                   `<worksheet><sheetData><row r="1"><c t="s"><v>0</v></c></row></sheetData></worksheet>`,
		"xl/t.xml":                   `<sst><si><t>plant</t></si></sst>`,
	}))
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, data []byte) {
		b, _, err := ReadWorkbook(bytes.NewReader(data))
		if (b == nil) == (err == nil) {
			t.Fatal("neither a book nor an error, or both")
		}
	})
}

// stored packs parts without compressing them, so that the fuzzer can change what they say.
func stored(f *testing.F, parts map[string]string) []byte {
	var buf bytes.Buffer
	z := zip.NewWriter(&buf)
	for name, data := range parts {
		p, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
		if err != nil {
			f.Fatal(err)
		}
		p.Write([]byte(data))
	}
	z.Close()
	return buf.Bytes()
}

// FuzzSheet reads the XML of one sheet: packing it is no work for the fuzzer.
func FuzzSheet(f *testing.F) {
	f.Add(`<worksheet><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>plant</t></is></c></row><row><c><v>1</v></c></row></sheetData></worksheet>`)
	f.Add(`<sheetData><row r="3"><c r="ZZ3" t="s"><v>9</v></c><c t="e"><v>#REF!</v></c><c s="1"><v>46000.25</v></c></row></sheetData>`)
	f.Fuzz(func(t *testing.T, xml string) {
		w := zipped(t, map[string]string{"xl/worksheets/sheet1.xml": xml})
		w.styles = []content{number, date, percent}
		a := newAssembly()
		s := a.begin("plants")
		if err := w.rows(namedSheet{"plants", "xl/worksheets/sheet1.xml"}, s.add); err == nil {
			s.end()
		}
		a.check()
	})
}

func FuzzCSV(f *testing.F) {
	f.Add("plants", "plant,name,time_zone\nnorth,North,UTC\n")
	f.Add("lots", "\xEF\xBB\xBFlot;item;plant;quantity\r\n\r\nL-1;pin;north;1,5\r\n\"a\nb\";x;y;z")
	f.Fuzz(func(t *testing.T, name, data string) {
		a := newAssembly()
		a.readCSV(name, strings.NewReader(data))
		a.check()
	})
}

// TestRecordsAgainstLines compares row numbers with counting the lines outside quotes one by one.
func TestRecordsAgainstLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var text strings.Builder
		var want []int
		w := csv.NewWriter(&text)
		for no := 1; no <= 8; no++ {
			if rapid.IntRange(0, 3).Draw(t, "blank") == 0 {
				w.Flush()
				text.WriteString("\n")
				continue
			}
			want = append(want, no)
			if err := w.Write([]string{"a", rapid.SampledFrom([]string{"b", "two\nlines", "", "\n\n"}).Draw(t, "cell")}); err != nil {
				t.Fatal(err)
			}
		}
		w.Flush()
		var got []int
		if f := records(strings.NewReader(text.String()), func(no int, _ []string, _ rune) { got = append(got, no) }); f != nil {
			t.Fatal(f)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Fatalf("%q: %s", text.String(), d)
		}
	})
}
