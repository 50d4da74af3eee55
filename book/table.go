package book

import (
	"reflect"
	"strings"

	"tackline/plant"
)

// Kind of a column: how its cells are read and written.
type Kind string

// Kinds of columns.
const (
	Text     Kind = "text"
	Number   Kind = "number"
	Whole    Kind = "whole number"
	YesNo    Kind = "yes or no"
	Quantity Kind = "quantity"
	Money    Kind = "money"
	Day      Kind = "date"
	Wall     Kind = "date and time"
	Clock    Kind = "time of day"
	Formula  Kind = "formula"
	Pattern  Kind = "text with {formula}"
)

// Column describes one column of a table, from the tags of the row's field.
type Column struct {
	Name    string
	Kind    Kind
	Key     bool     // part of the row's identity
	Need    bool     // must not be empty (keys may be empty where their note says so)
	Ref     string   // table whose (first) key the value must be
	Enum    []string // values allowed
	Unit    string   // unit of the number
	Default string   // what an empty cell means
	Example string
	Note    string
	field   int
}

// Table describes one table of the book.
type Table struct {
	Name    string
	Note    string
	Columns []Column
	field   int
	row     reflect.Type
}

var tables = describe()
var byName = func() map[string]*Table {
	m := map[string]*Table{}
	for i := range tables {
		m[tables[i].Name] = &tables[i]
	}
	return m
}()

// Tables gives every table in the order of the sheets. The result is shared: do not change it.
func Tables() []Table { return tables }

// TableNamed gives the table with a name.
func TableNamed(name string) (*Table, bool) { t, ok := byName[name]; return t, ok }

// Column gives the column with a name, and its place.
func (t *Table) Column(name string) (int, *Column, bool) {
	for i := range t.Columns {
		if t.Columns[i].Name == name {
			return i, &t.Columns[i], true
		}
	}
	return 0, nil, false
}

func describe() []Table {
	bt := reflect.TypeOf(Book{})
	out := make([]Table, bt.NumField())
	for i := range out {
		f := bt.Field(i)
		out[i] = Table{Name: f.Tag.Get("table"), Note: f.Tag.Get("note"), field: i, row: f.Type.Elem()}
		for j := 0; j < out[i].row.NumField(); j++ {
			out[i].Columns = append(out[i].Columns, describeColumn(out[i].row.Field(j), j))
		}
	}
	return out
}

func describeColumn(f reflect.StructField, j int) Column {
	words := strings.Split(f.Tag.Get("col"), ",")
	c := Column{Name: words[0], Kind: kindOf(f.Type), Ref: f.Tag.Get("ref"), Unit: f.Tag.Get("unit"),
		Default: f.Tag.Get("def"), Example: f.Tag.Get("eg"), Note: f.Tag.Get("note"), field: j}
	for _, w := range words[1:] {
		c.Key = c.Key || w == "key"
		c.Need = c.Need || w == "need"
	}
	if e := f.Tag.Get("enum"); e != "" {
		c.Enum = strings.Split(e, "|")
	}
	return c
}

var kinds = map[reflect.Type]Kind{
	reflect.TypeOf(plant.Qty(0)):      Quantity,
	reflect.TypeOf(plant.Money(0)):    Money,
	reflect.TypeOf(plant.Date("")):    Day,
	reflect.TypeOf(plant.Wall("")):    Wall,
	reflect.TypeOf(plant.Clock(0)):    Clock,
	reflect.TypeOf(plant.Formula("")): Formula,
	reflect.TypeOf(plant.Pattern("")): Pattern,
}

func kindOf(t reflect.Type) Kind {
	if k, ok := kinds[t]; ok {
		return k
	}
	switch t.Kind() {
	case reflect.Bool:
		return YesNo
	case reflect.Int:
		return Whole
	case reflect.Float64:
		return Number
	default:
		return Text
	}
}
