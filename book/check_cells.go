package book

import (
	"math"
	"reflect"
	"strings"
	"unicode/utf8"

	"tackline/plant"
)

// longestText is the most characters that a cell of a workbook holds (ECMA-376 workbooks as written by the usual
// spreadsheet programs: 32,767).
const longestText = 32767

// cells checks each cell by itself: what must not be empty, values allowed, dates, numbers, characters. Cells that were
// read from a sheet pass; rows made by a program may not.
func (c *checker) cells() {
	for ti := range tables {
		t := &tables[ti]
		rows := t.slice(c.b)
		for i := 0; i < rows.Len(); i++ {
			row := rows.Index(i)
			for j := range t.Columns {
				c.cell(t, i, &t.Columns[j], row.Field(t.Columns[j].field))
			}
		}
	}
}

func (c *checker) cell(t *Table, i int, col *Column, v reflect.Value) {
	p := at{t.Name, i, col.Name}
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.Abs(f) > largest {
			c.say(p, writeCell(v), "a number", "", "")
		}
	case reflect.Int64:
		if n := v.Int(); n > largest*1000 || n < -largest*1000 {
			c.say(p, writeCell(v), "a number up to 1e12", "", "")
		}
	case reflect.Int:
		if col.Kind == Clock && (v.Int() < 0 || v.Int() > 1440) {
			c.say(p, writeCell(v), "a time of day from 00:00 to 24:00", "", "")
		}
	case reflect.String:
		c.textCell(t, p, col, v.String())
	}
}

func (c *checker) textCell(t *Table, p at, col *Column, s string) {
	switch {
	case s == "" && (col.Need || col.Key && t.Name != "exceptions" && t.Name != "forbids"):
		c.say(p, "", expected(col), "", "this cell must not be empty")
	case s == "" && col.Default != "":
		c.say(p, "", expected(col), "", "this cell must not be empty (where a sheet leaves it empty, %s is read)", col.Default)
	case s == "":
	case len(col.Enum) > 0 && !contains(col.Enum, s):
		c.say(p, s, expected(col), Nearest(s, col.Enum), "")
	case col.Kind == Day && !isDate(s), col.Kind == Wall && !isWall(s):
		c.say(p, s, expected(col), "", "")
	case !clean(s):
		c.say(p, "", "text without control characters and without blanks at its ends, at most 32,767 characters", "", "")
	}
}

func isDate(s string) bool {
	d, err := plant.ParseDate(s)
	return err == nil && string(d) == s
}

func isWall(s string) bool {
	w, err := plant.ParseWall(s)
	return err == nil && string(w) == s
}

// clean tells whether a text survives being written to a sheet and read again.
func clean(s string) bool {
	if len(s) > longestText || !utf8.ValidString(s) || strings.TrimSpace(s) != s {
		return false
	}
	for _, r := range s {
		if r < ' ' && r != '\n' && r != '\t' || r == 0xFFFE || r == 0xFFFF {
			return false
		}
	}
	return true
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// Fill puts the default into every empty text cell of b that has one: formulas, and values out of a list. A program that
// makes rows may leave those empty and call Fill; numbers it must set itself, because 0 may be meant.
func (b *Book) Fill() {
	for ti := range tables {
		t := &tables[ti]
		rows := t.slice(b)
		for i := 0; i < rows.Len(); i++ {
			for j := range t.Columns {
				col := &t.Columns[j]
				if v := rows.Index(i).Field(col.field); v.Kind() == reflect.String && v.String() == "" && col.Default != "" {
					v.SetString(col.Default)
				}
			}
		}
	}
}
