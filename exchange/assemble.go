package exchange

import (
	"fmt"
	"strings"

	"tackline/book"
	"tackline/fault"
)

// needed are the tables without which there is nothing to plan.
var needed = []string{"plants", "calendars", "shifts", "centres", "stations", "items", "operations", "classes", "orders", "lines"}

// mostFaults ends the reading of a sheet: whoever has so many mends the first ones and tries again.
const mostFaults = 5000

// aside tells whether a sheet holds notes for people and is not read.
func aside(name string) bool { return name == "about" || strings.HasPrefix(name, "notes") }

// plainName makes the names of sheets and columns comparable: "Time Zone" is time_zone.
func plainName(s string) string {
	s = strings.ToLower(strings.Join(strings.Fields(s), "_"))
	return strings.ReplaceAll(s, "-", "_")
}

// assembly puts the rows of sheets into a book.
type assembly struct {
	book    *book.Book
	origin  book.Origin
	faults  fault.List
	seen    map[string]bool // tables seen
	shapely bool            // every needed sheet and column is there
}

func newAssembly() *assembly {
	return &assembly{book: &book.Book{}, origin: book.Origin{}, seen: map[string]bool{}, shapely: true}
}

// sheet is one sheet being read: its table, and the column of the table for each column of the sheet.
type sheet struct {
	a       *assembly
	name    string
	table   *book.Table
	columns []int           // -1: not a column of the table
	missing map[string]bool // needed columns that are not there: reported once, not for each row
	begun   bool
	ignored bool
	cells   []string
}

// begin starts a sheet by its name.
func (a *assembly) begin(name string) *sheet {
	s := &sheet{a: a, name: name}
	plain := plainName(name)
	if aside(plain) {
		s.ignored = true
		return s
	}
	t, known := book.TableNamed(plain)
	if known && a.seen[plain] {
		a.shape(&fault.Fault{Table: name, Text: "two sheets have this name"})
		s.ignored = true
		return s
	}
	if known {
		a.seen[plain] = true
		s.table, s.cells, s.missing = t, make([]string, len(t.Columns)), map[string]bool{}
	}
	return s
}

// shape reports that sheets or columns are wrong.
func (a *assembly) shape(f *fault.Fault) {
	f.Kind = fault.Invalid
	a.shapely = false
	a.faults = append(a.faults, f)
}

// add takes the next row of the sheet. Blank rows are skipped; the first other one is the header.
func (s *sheet) add(r row) {
	switch {
	case s.ignored || r.blank() || len(s.a.faults) > mostFaults:
	case s.table == nil:
		var names []string
		for _, t := range book.Tables() {
			names = append(names, t.Name)
		}
		s.a.shape(&fault.Fault{Table: s.name, Text: "unknown sheet", Expected: "a table of the shop book, or notes in a sheet named about",
			Near: book.Nearest(plainName(s.name), names)})
		s.ignored = true
	case !s.begun:
		s.header(r)
	default:
		s.row(r)
	}
}

func (s *sheet) header(r row) {
	s.begun = true
	t := s.table
	var names []string
	for _, c := range t.Columns {
		names = append(names, c.Name)
	}
	at := map[int]bool{}
	for i := range r.cells {
		s.columns = append(s.columns, -1)
		title := r.cells[i].plain()
		if title == "" {
			continue
		}
		j, _, known := t.Column(plainName(title))
		switch {
		case !known:
			f := &fault.Fault{Table: t.Name, Row: r.no, Column: title, Text: "unknown column", Near: book.Nearest(plainName(title), names)}
			if f.Near == "" {
				f.Expected = "one of " + strings.Join(names, ", ")
			}
			s.a.shape(f)
		case at[j]:
			s.a.shape(&fault.Fault{Table: t.Name, Row: r.no, Column: title, Text: "the column is there twice"})
		default:
			at[j], s.columns[i] = true, j
		}
	}
	for j, c := range t.Columns {
		if at[j] {
			continue
		}
		if c.Need || c.Key && t.Name != "exceptions" {
			s.missing[c.Name] = true
			s.a.shape(&fault.Fault{Table: t.Name, Row: r.no, Column: c.Name, Text: "the column is missing", Expected: c.Note})
		}
	}
}

func (s *sheet) row(r row) {
	for j := range s.cells {
		s.cells[j] = ""
	}
	var bad fault.List
	for i := range r.cells {
		if i >= len(s.columns) || s.columns[i] < 0 {
			if r.cells[i].is != empty && i >= len(s.columns) {
				bad = append(bad, &fault.Fault{Column: fmt.Sprintf("column %d", i+1), Value: r.cells[i].plain(),
					Text: "the cell has no header above it"})
			}
			continue
		}
		c := &s.table.Columns[s.columns[i]]
		value, f := r.cells[i].valueFor(c)
		if f != nil {
			f.Column, f.Value, f.Expected = c.Name, r.cells[i].plain(), c.Expected()
			bad = append(bad, f)
		}
		s.cells[s.columns[i]] = value
	}
	reported := map[string]bool{}
	for _, f := range bad {
		f.Kind, f.Table, f.Row = fault.Invalid, s.table.Name, r.no
		reported[f.Column] = true
	}
	for _, f := range s.table.Mend(s.a.book, r.no, s.cells) {
		if !reported[f.Column] && !s.missing[f.Column] {
			bad = append(bad, f)
		}
	}
	s.a.faults = append(s.a.faults, bad...)
	s.a.origin[s.table.Name] = append(s.a.origin[s.table.Name], r.no)
}

// end closes a sheet: one that is a table must have a header.
func (s *sheet) end() {
	if s.table != nil && !s.begun && !s.ignored && isNeeded(s.table.Name) {
		s.a.shape(&fault.Fault{Table: s.table.Name, Row: 1, Text: "the sheet is empty", Expected: "a row with the names of the columns"})
	}
}

func isNeeded(table string) bool {
	for _, n := range needed {
		if n == table {
			return true
		}
	}
	return false
}

// finish gives the book if every cell was read, else every fault.
func (a *assembly) finish() (*book.Book, book.Origin, error) {
	for _, n := range needed {
		if !a.seen[n] {
			a.shape(&fault.Fault{Table: n, Text: "the sheet is missing", Expected: "a sheet or file with this name"})
		}
	}
	return a.result()
}

// result gives the book if there is no fault, else the faults in the order of the sheets.
func (a *assembly) result() (*book.Book, book.Origin, error) {
	if len(a.faults) > 0 {
		book.Sort(a.faults)
		return nil, nil, a.faults
	}
	return a.book, a.origin, nil
}

// check gives the book if every cell was read and the book passes its checks, else every fault of both kinds. Where a row
// did not read, only that is reported of it; where sheets or columns are missing, the checks would say nothing new.
func (a *assembly) check() (*book.Book, book.Origin, error) {
	if _, _, err := a.finish(); err != nil && !a.shapely {
		return nil, nil, a.faults
	}
	unread := map[string]bool{}
	for _, f := range a.faults {
		unread[fmt.Sprint(f.Table, f.Row)] = true
	}
	for _, f := range book.Check(a.book, a.origin) {
		if !unread[fmt.Sprint(f.Table, f.Row)] {
			a.faults = append(a.faults, f)
		}
	}
	return a.result()
}
