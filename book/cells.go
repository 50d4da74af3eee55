package book

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"tackline/fault"
	"tackline/plant"
)

// Len gives the number of rows of the table in b.
func (t *Table) Len(b *Book) int { return t.slice(b).Len() }

// Row gives row i of the table in b, a pointer to the row's struct.
func (t *Table) Row(b *Book, i int) any { return t.slice(b).Index(i).Addr().Interface() }

// Cells writes row i as text, a cell a column. ReadRow reads it back to the same row.
func (t *Table) Cells(b *Book, i int) []string {
	row := t.slice(b).Index(i)
	out := make([]string, len(t.Columns))
	for j := range t.Columns {
		out[j] = writeCell(row.Field(t.Columns[j].field))
	}
	return out
}

// Key gives the identity of row i: its key cells joined with " / ".
func (t *Table) Key(b *Book, i int) string { return t.KeyOf(t.Cells(b, i)) }

// KeyOf gives the identity of a row of cells.
func (t *Table) KeyOf(cells []string) string {
	var parts []string
	for j := range t.Columns {
		if t.Columns[j].Key {
			parts = append(parts, cells[j])
		}
	}
	return strings.Join(parts, " / ")
}

// Append reads a row of cells (one a column, in the table's order) and appends it to b. If any cell is wrong nothing is
// appended, and every wrong cell is reported with row as its row.
func (t *Table) Append(b *Book, row int, cells []string) fault.List {
	faults := t.Mend(b, row, cells)
	if len(faults) > 0 {
		t.Remove(b, t.Len(b)-1)
	}
	return faults
}

// Mend reads a row as Append does, but appends it in any case: a cell that is wrong becomes its default, or nothing. So
// the rest of a book can be checked although some cells do not read.
func (t *Table) Mend(b *Book, row int, cells []string) fault.List {
	v := reflect.New(t.row).Elem()
	var faults fault.List
	for j := range t.Columns {
		c := &t.Columns[j]
		text := strings.TrimSpace(cells[j])
		if f := readCell(v.Field(c.field), c, text); f != nil {
			f.Kind, f.Table, f.Row, f.Column, f.Value = fault.Invalid, t.Name, row, c.Name, text
			faults = append(faults, f)
			if c.Default != "" {
				readCell(v.Field(c.field), c, c.Default)
			}
		}
	}
	s := t.slice(b)
	s.Set(reflect.Append(s, v))
	return faults
}

// Remove takes row i out of the table in b.
func (t *Table) Remove(b *Book, i int) {
	s := t.slice(b)
	s.Set(reflect.AppendSlice(s.Slice(0, i), s.Slice(i+1, s.Len())))
}

// Replace puts the last row in the place of row i: Append then Replace changes a row in place.
func (t *Table) Replace(b *Book, i int) {
	s := t.slice(b)
	s.Index(i).Set(s.Index(s.Len() - 1))
	s.Set(s.Slice(0, s.Len()-1))
}

// Clone gives a deep copy of b: rows hold no pointers, so copying the slices is enough.
func (b *Book) Clone() *Book {
	c := *b
	for i := range tables {
		s := tables[i].slice(b)
		if s.IsNil() {
			continue
		}
		d := reflect.MakeSlice(s.Type(), s.Len(), s.Len())
		reflect.Copy(d, s)
		tables[i].slice(&c).Set(d)
	}
	return &c
}

func (t *Table) slice(b *Book) reflect.Value { return reflect.ValueOf(b).Elem().Field(t.field) }

func writeCell(v reflect.Value) string {
	switch x := v.Interface().(type) {
	case bool:
		if x {
			return "yes"
		}
		return "no"
	case float64:
		return strconv.FormatFloat(x, 'f', -1, 64)
	case fmt.Stringer:
		return x.String()
	}
	if v.Kind() == reflect.Int {
		return strconv.FormatInt(v.Int(), 10)
	}
	return v.String()
}

// readCell sets v from text; a fault says what was expected.
func readCell(v reflect.Value, c *Column, text string) *fault.Fault {
	if text == "" {
		if c.Need {
			return &fault.Fault{Text: "this cell must not be empty", Expected: expected(c)}
		}
		text = c.Default
	}
	if len(c.Enum) > 0 && text != "" {
		return readEnum(v, c, text)
	}
	switch c.Kind {
	case YesNo:
		return readYesNo(v, text)
	case Number, Whole, Quantity, Money:
		return readNumber(v, c, text)
	case Day:
		return readInto(v, text, func(s string) (any, error) { return plant.ParseDate(s) })
	case Wall:
		return readInto(v, text, func(s string) (any, error) { return plant.ParseWall(s) })
	case Clock:
		return readInto(v, text, func(s string) (any, error) { return plant.ParseClock(s) })
	}
	v.SetString(text)
	return nil
}

func readEnum(v reflect.Value, c *Column, text string) *fault.Fault {
	for _, e := range c.Enum {
		if strings.EqualFold(e, text) {
			v.SetString(e)
			return nil
		}
	}
	return &fault.Fault{Expected: expected(c), Near: Nearest(text, c.Enum)}
}

func readYesNo(v reflect.Value, text string) *fault.Fault {
	switch strings.ToLower(text) {
	case "yes", "true", "1", "x":
		v.SetBool(true)
	case "no", "false", "0", "":
		v.SetBool(false)
	default:
		return &fault.Fault{Expected: "yes or no"}
	}
	return nil
}

func readNumber(v reflect.Value, c *Column, text string) *fault.Fault {
	if text == "" {
		return nil
	}
	f, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(f) || math.Abs(f) > largest || (c.Kind == Whole && f != math.Trunc(f)) {
		return &fault.Fault{Expected: expected(c)}
	}
	switch c.Kind {
	case Number:
		v.SetFloat(f)
	case Whole:
		v.SetInt(int64(f))
	case Quantity:
		v.SetInt(int64(plant.QtyOf(f)))
	case Money:
		v.SetInt(int64(plant.MoneyOf(f)))
	}
	return nil
}

func readInto(v reflect.Value, text string, parse func(string) (any, error)) *fault.Fault {
	if text == "" {
		return nil
	}
	x, err := parse(text)
	if err != nil {
		return &fault.Fault{Expected: err.Error()}
	}
	v.Set(reflect.ValueOf(x))
	return nil
}

// Expected says in words what a cell of the column must be.
func (c *Column) Expected() string { return expected(c) }

func expected(c *Column) string {
	if len(c.Enum) > 0 {
		return "one of " + strings.Join(c.Enum, ", ")
	}
	s := string(c.Kind)
	switch c.Kind {
	case YesNo:
		return s
	case Money, Text:
	default:
		s = "a " + s
	}
	if c.Unit != "" {
		s += " in " + c.Unit
	}
	if c.Example != "" {
		s += ", such as " + c.Example
	}
	return s
}

// largest is the largest number that a cell may hold.
const largest = 1e12
