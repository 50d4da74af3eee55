package store

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"tackline/book"
	"tackline/plant"
)

// tableSQL holds the statements of one table of the book. Its columns have the names of the book's columns; seq keeps
// the order of the rows.
type tableSQL struct {
	table               *book.Table
	load, clear, insert string
	update, remove      string
	last                string
	keys                []int // places of the key columns
}

// Prefix of the tables that hold the book.
const Prefix = "b_"

func tableStatements() []tableSQL {
	all := book.Tables()
	out := make([]tableSQL, len(all))
	for i := range all {
		out[i] = statements(&all[i])
	}
	return out
}

func statements(t *book.Table) tableSQL {
	s := tableSQL{table: t}
	name := quote(Prefix + t.Name)
	var cols, marks, sets, where []string
	for j := range t.Columns {
		c := quote(t.Columns[j].Name)
		cols, marks, sets = append(cols, c), append(marks, "?"), append(sets, c+" = ?")
		if t.Columns[j].Key {
			s.keys = append(s.keys, j)
			where = append(where, c+" = ?")
		}
	}
	list, key := strings.Join(cols, ", "), strings.Join(where, " AND ")
	s.load = fmt.Sprintf("SELECT %s FROM %s ORDER BY seq", list, name)
	s.clear = "DELETE FROM " + name
	s.insert = fmt.Sprintf("INSERT INTO %s (seq, %s) VALUES (?, %s)", name, list, strings.Join(marks, ", "))
	s.update = fmt.Sprintf("UPDATE %s SET %s WHERE %s", name, strings.Join(sets, ", "), key)
	s.remove = fmt.Sprintf("DELETE FROM %s WHERE %s", name, key)
	s.last = fmt.Sprintf("SELECT COALESCE(MAX(seq), 0) FROM %s", name)
	return s
}

// Schema gives the statement that makes the table of the database for a table of the book. The migrations must agree
// with it.
func Schema(t *book.Table) string {
	var b strings.Builder
	fmt.Fprintf(&b, "CREATE TABLE %s (\n    seq BIGINT NOT NULL PRIMARY KEY", quote(Prefix+t.Name))
	var keys []string
	for j := range t.Columns {
		c := &t.Columns[j]
		fmt.Fprintf(&b, ",\n    %s %s NOT NULL", quote(c.Name), sqlType(c.Kind))
		if c.Key {
			keys = append(keys, quote(c.Name))
		}
	}
	fmt.Fprintf(&b, ",\n    UNIQUE (%s)\n);", strings.Join(keys, ", "))
	return b.String()
}

// sqlType gives the type of a column: quantities are stored in thousandths, money in hundredths, times of day in minutes.
func sqlType(k book.Kind) string {
	switch k {
	case book.Number:
		return "DOUBLE PRECISION"
	case book.Whole, book.Quantity, book.Money, book.Clock:
		return "BIGINT"
	case book.YesNo:
		return "BOOLEAN"
	}
	return "TEXT"
}

func quote(name string) string { return `"` + name + `"` }

// values gives the typed values of row i of the table in b, in the order of the columns (the fields of the row).
func (s *tableSQL) values(b *book.Book, i int) []any {
	row := reflect.ValueOf(s.table.Row(b, i)).Elem()
	out := make([]any, len(s.table.Columns))
	for j := range out {
		f := row.Field(j)
		switch f.Kind() {
		case reflect.Bool:
			out[j] = f.Bool()
		case reflect.Float64:
			out[j] = f.Float()
		case reflect.String:
			out[j] = f.String()
		default:
			out[j] = f.Int()
		}
	}
	return out
}

// key picks the key columns out of the values of a row.
func (s *tableSQL) key(values []any) []any {
	out := make([]any, len(s.keys))
	for i, j := range s.keys {
		out[i] = values[j]
	}
	return out
}

// cell is a typed value on its way from the database to a cell of text.
type cell struct {
	kind book.Kind
	text string
	n    int64
	f    float64
	b    bool
}

func (c *cell) target() any {
	switch sqlType(c.kind) {
	case "DOUBLE PRECISION":
		return &c.f
	case "BIGINT":
		return &c.n
	case "BOOLEAN":
		return &c.b
	}
	return &c.text
}

// string writes the value as book.Table.Cells does.
func (c *cell) string() string {
	switch c.kind {
	case book.Number:
		return strconv.FormatFloat(c.f, 'f', -1, 64)
	case book.Whole:
		return strconv.FormatInt(c.n, 10)
	case book.Quantity:
		return plant.Qty(c.n).String()
	case book.Money:
		return plant.Money(c.n).String()
	case book.Clock:
		return plant.Clock(c.n).String()
	case book.YesNo:
		if c.b {
			return "yes"
		}
		return "no"
	}
	return c.text
}
