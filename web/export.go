package web

import (
	"encoding/csv"
	"io"
	"net/http"
	"strings"

	"github.com/xuri/excelize/v2"

	"tackline/fault"
)

// exported answers with the whole list as a file if the address asks for one, and says whether it did.
func (l *list[T]) exported(w http.ResponseWriter, r *http.Request, rows []T) (bool, error) {
	format := r.URL.Query().Get("format")
	if format == "" {
		return false, nil
	}
	rows = l.sorted(r.URL.Query(), rows)
	h := w.Header()
	h.Set("Cache-Control", "private, no-store")
	switch format {
	case "csv":
		h.Set("Content-Type", "text/csv; charset=utf-8")
		h.Set("Content-Disposition", `attachment; filename="`+l.name+`.csv"`)
		return true, l.writeCSV(w, rows)
	case "xlsx":
		h.Set("Content-Type", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
		h.Set("Content-Disposition", `attachment; filename="`+l.name+`.xlsx"`)
		return true, l.writeXLSX(w, rows)
	}
	return true, fault.New(fault.Invalid, "Lists are exported as csv or xlsx, not as %s.", format)
}

// part gives the table of a sheet's part; done says that the answer was a file instead.
func (l *list[T]) part(w http.ResponseWriter, r *http.Request, rows []T, f *filter) (t table, done bool, err error) {
	if done, err := l.exported(w, r, rows); done || err != nil {
		return table{}, done, err
	}
	return l.table(r, rows).filteredBy(f), false, nil
}

// value gives what is exported for a cell: times in ISO 8601 with offset, numbers without their unit.
func (c cell) value() any {
	switch {
	case c.ISO != "":
		return c.ISO
	case c.Exact && c.Text == "":
		return nil
	case c.Exact:
		return c.Number
	case c.State.Word != "":
		return c.State.Word
	}
	if c.Whole != "" {
		return c.Whole
	}
	return c.Text
}

// title gives the head of an exported column.
func (l *list[T]) titles() []string {
	titles := make([]string, len(l.columns))
	for i, c := range l.columns {
		titles[i] = c.title
	}
	return titles
}

func (l *list[T]) writeCSV(w io.Writer, rows []T) error {
	out := csv.NewWriter(w)
	if err := out.Write(l.titles()); err != nil {
		return err
	}
	line := make([]string, len(l.columns))
	for _, x := range rows {
		for i, c := range l.columns {
			line[i] = csvText(c.cell(x).value())
		}
		if err := out.Write(line); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// csvText writes a value. A text that a spreadsheet would take for a formula gets an apostrophe before it.
func csvText(v any) string {
	switch x := v.(type) {
	case float64:
		return plainNumber(x)
	case string:
		if strings.ContainsAny(x[:min(1, len(x))], "=+-@\t\r") {
			return "'" + x
		}
		return x
	}
	return ""
}

func (l *list[T]) writeXLSX(w io.Writer, rows []T) error {
	f := excelize.NewFile()
	defer f.Close()
	const sheet = "Sheet1"
	out, err := f.NewStreamWriter(sheet)
	if err != nil {
		return err
	}
	bold, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	for i, c := range l.columns {
		width := 16.0
		if c.wide {
			width = 60
		}
		if err := out.SetColWidth(i+1, i+1, width); err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	line := make([]any, len(l.columns))
	for i, t := range l.titles() {
		line[i] = excelize.Cell{StyleID: bold, Value: t}
	}
	if err := out.SetRow("A1", line); err != nil {
		return err
	}
	for i, x := range rows {
		for j, c := range l.columns {
			line[j] = c.cell(x).value()
		}
		at, _ := excelize.CoordinatesToCellName(1, i+2)
		if err := out.SetRow(at, line); err != nil {
			return err
		}
	}
	if err := out.Flush(); err != nil {
		return err
	}
	_ = f.SetSheetName(sheet, l.name)
	return f.Write(w)
}
