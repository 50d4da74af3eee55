package exchange

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"tackline/book"
)

// WriteWorkbook writes a book as a workbook: a sheet for each table with a frozen header, the meaning of each column as a
// note on its header, lists to choose from, and a sheet about with all of it in one place. ReadWorkbook reads back exactly
// the same book.
func WriteWorkbook(w io.Writer, b *book.Book) error { return writeWorkbook(w, b, 200) }

// WriteTemplate writes an empty workbook: every sheet with its header, notes and examples.
func WriteTemplate(w io.Writer) error { return writeWorkbook(w, &book.Book{}, 500) }

// writer is one workbook being written.
type writer struct {
	f      *excelize.File
	book   *book.Book
	spare  int // rows below the data that still offer lists
	header int // style of a header that must be filled
	maybe  int // style of a header that may be left out
	wrap   int
	styles map[book.Kind]int
}

func writeWorkbook(out io.Writer, b *book.Book, spare int) error {
	w := &writer{f: excelize.NewFile(), book: b, spare: spare, styles: map[book.Kind]int{}}
	defer w.f.Close()
	if err := w.makeStyles(); err != nil {
		return err
	}
	first := w.f.GetSheetName(0)
	if err := w.f.SetSheetName(first, "about"); err != nil {
		return err
	}
	tables := book.Tables()
	for i := range tables {
		if _, err := w.f.NewSheet(tables[i].Name); err != nil {
			return err
		}
	}
	if err := w.about(tables); err != nil {
		return err
	}
	for i := range tables {
		if err := w.table(&tables[i]); err != nil {
			return fmt.Errorf("sheet %s: %w", tables[i].Name, err)
		}
	}
	return w.f.Write(out)
}

// formats are the number formats of the columns, by kind.
var formats = map[book.Kind]string{
	book.Number: "General", book.Whole: "0", book.Quantity: "0.###", book.Money: "#,##0.00",
	book.Day: "yyyy-mm-dd", book.Wall: "yyyy-mm-dd hh:mm", book.Clock: "[hh]:mm", book.Text: "@",
}

func (w *writer) makeStyles() (err error) {
	line := []excelize.Border{{Type: "bottom", Color: "808080", Style: 1}}
	top := &excelize.Alignment{Vertical: "top", WrapText: true}
	if w.header, err = w.f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Border: line,
		Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"D9D9D9"}}}); err != nil {
		return err
	}
	if w.maybe, err = w.f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true, Color: "595959"}, Border: line,
		Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"F2F2F2"}}}); err != nil {
		return err
	}
	if w.wrap, err = w.f.NewStyle(&excelize.Style{Alignment: top}); err != nil {
		return err
	}
	for kind, format := range formats {
		code := format
		if w.styles[kind], err = w.f.NewStyle(&excelize.Style{CustomNumFmt: &code}); err != nil {
			return err
		}
	}
	return nil
}

// table writes one sheet. Widths and panes must come before the rows, notes and lists before the end.
func (w *writer) table(t *book.Table) error {
	s, err := w.f.NewStreamWriter(t.Name)
	if err != nil {
		return err
	}
	rows := t.Len(w.book)
	if err := w.shape(s, t, rows); err != nil {
		return err
	}
	header := make([]any, len(t.Columns))
	for j, c := range t.Columns {
		style := w.maybe
		if c.Key || c.Need {
			style = w.header
		}
		header[j] = excelize.Cell{StyleID: style, Value: c.Name}
	}
	if err := s.SetRow("A1", header); err != nil {
		return err
	}
	values := make([]any, len(t.Columns))
	for i := 0; i < rows; i++ {
		for j, text := range t.Cells(w.book, i) {
			values[j] = w.value(&t.Columns[j], text)
		}
		if err := s.SetRow("A"+strconv.Itoa(i+2), values); err != nil {
			return err
		}
	}
	if err := w.lists(t, rows); err != nil {
		return err
	}
	if err := w.notes(t); err != nil {
		return err
	}
	return s.Flush()
}

// value gives what a cell of a column holds in the sheet: a real number, date or time where the text is one.
func (w *writer) value(c *book.Column, text string) any {
	style := w.styles[c.Kind]
	if text == "" {
		return nil
	}
	switch c.Kind {
	case book.Number, book.Whole, book.Quantity, book.Money:
		if f, err := strconv.ParseFloat(text, 64); err == nil && short(f) {
			return excelize.Cell{StyleID: style, Value: f}
		}
	case book.Day, book.Wall:
		if days, ok := serial(text); ok {
			return excelize.Cell{StyleID: style, Value: days}
		}
	case book.Clock:
		var h, m int
		if n, err := fmt.Sscanf(text, "%d:%d", &h, &m); n == 2 && err == nil {
			return excelize.Cell{StyleID: style, Value: float64(h*60+m) / (24 * 60)}
		}
	case book.Formula:
		if f, err := strconv.ParseFloat(text, 64); err == nil && decimal(f) == text && short(f) {
			return f
		}
	}
	return excelize.Cell{StyleID: w.styles[book.Text], Value: text}
}

// short tells whether a number has no more than the 15 digits that workbooks keep; longer ones are written as text.
func short(f float64) bool {
	x, err := strconv.ParseFloat(strconv.FormatFloat(f, 'g', 15, 64), 64)
	return err == nil && x == f
}

func (w *writer) shape(s *excelize.StreamWriter, t *book.Table, rows int) error {
	if err := s.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	widths := make([]int, len(t.Columns))
	for j, c := range t.Columns {
		widths[j] = max(utf8.RuneCountInString(c.Name)+2, len(formats[c.Kind])+1, 8)
	}
	for i := 0; i < min(rows, 100); i++ {
		for j, text := range t.Cells(w.book, i) {
			widths[j] = max(widths[j], utf8.RuneCountInString(text)+2)
		}
	}
	for j := range widths {
		if err := s.SetColWidth(j+1, j+1, float64(min(widths[j], 48))); err != nil {
			return err
		}
	}
	return nil
}

// lists adds drop-down lists: values allowed, and names out of other sheets.
func (w *writer) lists(t *book.Table, rows int) error {
	for j := range t.Columns {
		c := &t.Columns[j]
		column, err := excelize.ColumnNumberToName(j + 1)
		if err != nil {
			return err
		}
		v := excelize.NewDataValidation(true)
		v.SetSqref(fmt.Sprintf("%s2:%s%d", column, column, rows+1+w.spare))
		switch {
		case len(c.Enum) > 0:
			err = v.SetDropList(c.Enum)
			v.SetError(excelize.DataValidationErrorStyleStop, c.Name, clip(c.Expected(), 220))
		case c.Kind == book.YesNo:
			err = v.SetDropList([]string{"yes", "no"})
			v.SetError(excelize.DataValidationErrorStyleStop, c.Name, "yes or no")
		case c.Ref != "":
			of, _ := book.TableNamed(c.Ref)
			v.SetSqrefDropList(fmt.Sprintf("%s!$A$2:$A$%d", c.Ref, of.Len(w.book)+1+w.spare))
			v.SetError(excelize.DataValidationErrorStyleWarning, c.Name, "This name is not in the sheet "+c.Ref+".")
		default:
			continue
		}
		if err != nil {
			return err
		}
		if err := w.f.AddDataValidation(t.Name, v); err != nil {
			return err
		}
	}
	return nil
}

func clip(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most])
	}
	return s
}

// notes puts the meaning of each column on its header.
func (w *writer) notes(t *book.Table) error {
	for j := range t.Columns {
		c := &t.Columns[j]
		place, err := excelize.CoordinatesToCellName(j+1, 1)
		if err != nil {
			return err
		}
		text := c.Note
		for _, f := range columnFacts(c) {
			text += "\n" + f.name + ": " + f.value
		}
		if err := w.f.AddComment(t.Name, excelize.Comment{Cell: place, Author: "Tackline", Width: 260, Height: uint(60 + 18*strings.Count(text, "\n")),
			Paragraph: []excelize.RichTextRun{{Text: text}}}); err != nil {
			return err
		}
	}
	return nil
}

// fact is one thing to know about a column.
type fact struct{ name, value string }

func columnFacts(c *book.Column) []fact {
	facts := []fact{{"holds", string(c.Kind)}}
	add := func(name, value string) {
		if value != "" {
			facts = append(facts, fact{name, value})
		}
	}
	add("unit", c.Unit)
	add("one of", strings.Join(c.Enum, ", "))
	if c.Ref != "" {
		add("names a row of", "the sheet "+c.Ref)
	}
	switch {
	case c.Key:
		add("key", "part of what tells the rows apart")
	case c.Need:
		add("needed", "must not be empty")
	}
	add("if empty", c.Default)
	add("example", c.Example)
	return facts
}

// about writes the sheet that explains all others.
func (w *writer) about(tables []book.Table) error {
	s, err := w.f.NewStreamWriter("about")
	if err != nil {
		return err
	}
	for i, width := range []float64{16, 20, 18, 14, 24, 18, 12, 22, 70} {
		if err := s.SetColWidth(i+1, i+1, width); err != nil {
			return err
		}
	}
	if err := s.SetPanes(&excelize.Panes{Freeze: true, YSplit: 3, TopLeftCell: "A4", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	no := 0
	put := func(style int, cells ...string) {
		no++
		row := make([]any, len(cells))
		for i, c := range cells {
			row[i] = excelize.Cell{StyleID: style, Value: c}
		}
		if err == nil {
			err = s.SetRow("A"+strconv.Itoa(no), row)
		}
	}
	put(0, "The shop book: everything that planning needs, a sheet for each table. This sheet is not read.")
	put(0, "Dark headers must be filled, light ones may be empty or left out. Order of sheets, columns and rows is free.")
	put(w.header, "sheet", "column", "holds", "unit", "one of", "names a row of", "if empty", "example", "meaning")
	for i := range tables {
		put(w.maybe, tables[i].Name, "", "", "", "", "", "", "", tables[i].Note)
		for _, c := range tables[i].Columns {
			name := c.Name
			if c.Key {
				name += " (key)"
			}
			put(w.wrap, tables[i].Name, name, string(c.Kind), c.Unit, strings.Join(c.Enum, ", "), c.Ref, c.Default, c.Example, c.Note)
		}
	}
	for _, info := range book.Settings() {
		put(w.wrap, "settings", info.Name+" (setting)", string(info.Kind), info.Unit, strings.Join(info.Enum, ", "), "", info.Default, "", info.Note)
	}
	if err != nil {
		return err
	}
	return s.Flush()
}
