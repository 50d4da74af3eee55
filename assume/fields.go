package assume

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"tackline/book"
	"tackline/fault"
	"tackline/plant"
)

// Field describes one field of an assumption, for forms and for reading.
type Field struct {
	Name    string
	Title   string
	Kind    book.Kind // Text, Whole, Quantity or Wall
	Ref     string    // table of the book whose key the value must be
	Example string
	Need    bool // in the shape asked for
	place   int
}

var fields = describe()

func describe() map[string]Field {
	out := map[string]Field{}
	t := reflect.TypeOf(Assumption{})
	for i := 1; i < t.NumField(); i++ { // the first is Kind
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		kind := book.Text
		switch f.Type {
		case reflect.TypeOf(plant.Wall("")):
			kind = book.Wall
		case reflect.TypeOf(plant.Qty(0)):
			kind = book.Quantity
		case reflect.TypeOf(0):
			kind = book.Whole
		}
		out[name] = Field{Name: name, Title: f.Tag.Get("title"), Kind: kind, Ref: f.Tag.Get("ref"), Example: f.Tag.Get("eg"), place: i}
	}
	return out
}

// Fields gives the fields of a shape in the order of the fields of Assumption.
func (s *Shape) Fields() []Field {
	var out []Field
	for _, name := range s.Need {
		f := fields[name]
		f.Need = true
		out = append(out, f)
	}
	for _, name := range s.May {
		out = append(out, fields[name])
	}
	slices.SortFunc(out, func(x, y Field) int { return x.place - y.place })
	for i := range out {
		if out[i].Name == "at" {
			out[i].Title = s.At
		}
	}
	return out
}

// Text gives the value of a field as it is typed, "" for none.
func (a *Assumption) Text(name string) string {
	f, ok := fields[name]
	if !ok {
		return ""
	}
	v := reflect.ValueOf(a).Elem().Field(f.place)
	switch {
	case v.IsZero():
		return ""
	case f.Kind == book.Quantity:
		return a.Quantity.String()
	case f.Kind == book.Whole:
		return strconv.FormatInt(v.Int(), 10)
	}
	return v.String()
}

// Read makes an assumption of a kind from texts, one a field of its shape. Every text that cannot be read, and every field
// needed that is empty, is a fault with the field as its column.
func Read(k Kind, text func(name string) string) (Assumption, fault.List) {
	a := Assumption{Kind: k}
	shape, ok := ShapeOf(k)
	if !ok {
		return a, fault.List{unknownKind(k)}
	}
	var faults fault.List
	v := reflect.ValueOf(&a).Elem()
	for _, f := range shape.Fields() {
		value := strings.TrimSpace(text(f.Name))
		if value == "" {
			continue // what is needed is asked for by check
		}
		if expected := readField(v.Field(f.place), f.Kind, value); expected != "" {
			faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: f.Name, Value: value, Expected: expected})
		}
	}
	for _, m := range missing(shape, &a) {
		if !slices.ContainsFunc(faults, func(f *fault.Fault) bool { return f.Column == m.Column }) {
			faults = append(faults, m)
		}
	}
	return a, faults
}

// readField sets v from text; else it gives what was expected.
func readField(v reflect.Value, k book.Kind, text string) (expected string) {
	switch k {
	case book.Wall:
		w, err := plant.ParseWall(text)
		if err != nil {
			return err.Error()
		}
		v.SetString(string(w))
	case book.Whole:
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 || n > 1e6 {
			return "a whole number from 0 to 1000000"
		}
		v.SetInt(int64(n))
	case book.Quantity:
		f, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(f) || f < 0 || f > 1e9 {
			return "a number above 0"
		}
		v.SetInt(int64(plant.QtyOf(f)))
	default:
		v.SetString(text)
	}
	return ""
}

func unknownKind(k Kind) *fault.Fault {
	names := make([]string, len(shapes))
	for i := range shapes {
		names[i] = string(shapes[i].Kind)
	}
	return &fault.Fault{Kind: fault.Invalid, Column: "kind", Value: string(k), Expected: "one of " + strings.Join(names, ", "),
		Near: book.Nearest(string(k), names)}
}

// missing gives a fault for each needed field that is empty.
func missing(s *Shape, a *Assumption) (faults fault.List) {
	for _, name := range s.Need {
		if a.Text(name) == "" {
			faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: name, Text: "this field must not be empty", Expected: expected(fields[name])})
		}
	}
	return faults
}

// negative gives a fault for each number below 0.
func negative(a *Assumption) (faults fault.List) {
	for _, n := range []struct {
		name  string
		below bool
	}{{"heads", a.Heads < 0}, {"line", a.Line < 0}, {"op", a.Op < 0}, {"quantity", a.Quantity < 0}} {
		if n.below {
			faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: n.name, Value: a.Text(n.name), Expected: "a number above 0"})
		}
	}
	return faults
}

func expected(f Field) string {
	switch {
	case f.Ref != "":
		return "one of the " + f.Ref + " in the shop book"
	case f.Kind == book.Wall:
		return "a date and time, such as 2026-11-30T06:00"
	case f.Example != "":
		return "a value such as " + f.Example
	}
	return "a text"
}

// check gives the faults that an assumption has by itself and by the names in it.
func check(b *book.Book, a *Assumption) fault.List {
	shape, ok := ShapeOf(a.Kind)
	if !ok {
		return fault.List{unknownKind(a.Kind)}
	}
	faults := append(missing(shape, a), negative(a)...)
	for name, f := range fields {
		value := a.Text(name)
		if value == "" {
			continue
		}
		if !slices.Contains(shape.Need, name) && !slices.Contains(shape.May, name) {
			faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: name, Value: value,
				Text: "an assumption of the kind " + string(a.Kind) + " has no such field: leave it out"})
			continue
		}
		if _, err := plant.ParseWall(value); f.Kind == book.Wall && err != nil {
			faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: name, Value: value, Expected: err.Error()})
		}
		newOrder := a.Kind == OrderAdded && name == "order"
		if f.Ref != "" && !newOrder && !known(b, f.Ref, value) {
			faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: name, Value: value, Expected: expected(f),
				Near: book.Nearest(value, keys(b, f.Ref))})
		}
	}
	slices.SortFunc(faults, func(x, y *fault.Fault) int { return fields[x.Column].place - fields[y.Column].place })
	return faults
}

// known says whether a table has a row with a key of one column.
func known(b *book.Book, table, key string) bool {
	return slices.Contains(keys(b, table), key)
}

// keys gives the first key column of each row of a table.
func keys(b *book.Book, table string) []string {
	t, ok := book.TableNamed(table)
	if !ok {
		return nil
	}
	out := make([]string, t.Len(b))
	for i := range out {
		out[i] = reflect.ValueOf(t.Row(b, i)).Elem().Field(0).String() // the key of every table referred to is its first column
	}
	return out
}
