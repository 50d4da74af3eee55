package book

import (
	"reflect"
	"strconv"
	"strings"
)

// references checks that no two rows of a table have the same key, and that every name that refers to another table is
// there.
func (c *checker) references() {
	known := map[string]map[string]bool{}
	for ti := range tables {
		t := &tables[ti]
		c.duplicates(t)
		for j := range t.Columns {
			if ref := t.Columns[j].Ref; ref != "" {
				if known[ref] == nil {
					known[ref] = c.firstKeys(ref)
				}
				c.refColumn(t, &t.Columns[j], known[ref])
			}
		}
	}
}

func (c *checker) duplicates(t *Table) {
	rows := t.slice(c.b)
	first := make(map[string]int, rows.Len())
	var keys []*Column
	for j := range t.Columns {
		if t.Columns[j].Key {
			keys = append(keys, &t.Columns[j])
		}
	}
	for i := 0; i < rows.Len(); i++ {
		cells := make([]string, len(keys))
		for j, k := range keys {
			cells[j] = writeCell(rows.Index(i).Field(k.field))
		}
		key := strings.Join(cells, " / ")
		if was, twice := first[key]; twice {
			c.say(at{t.Name, i, keys[0].Name}, key, "each only once", "", "row %d has the same key", c.origin.Row(t.Name, was))
			continue
		}
		first[key] = i
	}
}

// firstKeys gives the values of the first key column of a table.
func (c *checker) firstKeys(table string) map[string]bool {
	t, ok := TableNamed(table)
	if !ok {
		return map[string]bool{}
	}
	rows := t.slice(c.b)
	m := make(map[string]bool, rows.Len())
	for i := 0; i < rows.Len(); i++ {
		m[rows.Index(i).Field(t.Columns[0].field).String()] = true
	}
	return m
}

func (c *checker) refColumn(t *Table, col *Column, known map[string]bool) {
	rows := t.slice(c.b)
	for i := 0; i < rows.Len(); i++ {
		v := rows.Index(i).Field(col.field)
		if v.Kind() != reflect.String {
			continue
		}
		if s := v.String(); s != "" && !known[s] {
			near := c.nearest(col.Ref, s, func() []string { return sorted(known) })
			c.say(at{t.Name, i, col.Name}, s, "a name from the sheet "+col.Ref, near, "")
		}
	}
}

// settings checks that each setting is known and can be read.
func (c *checker) settings() {
	var names []string
	for _, s := range Settings() {
		names = append(names, s.Name)
	}
	for i, s := range c.b.Settings {
		info, ok := settingNamed(s.Name)
		if !ok {
			c.say(at{"settings", i, "setting"}, s.Name, "the name of a setting", Nearest(s.Name, names), "")
			continue
		}
		if want := info.wrong(s.Value); want != "" && s.Value != "" {
			c.say(at{"settings", i, "value"}, s.Value, want, Nearest(s.Value, info.Enum), "%s is %s", s.Name, info.Note)
		}
	}
}

// wrong says what was expected instead of value; "" if value is right.
func (s SettingInfo) wrong(value string) string {
	switch {
	case len(s.Enum) > 0:
		if !contains(s.Enum, value) {
			return "one of " + strings.Join(s.Enum, ", ")
		}
	case s.Kind == Number:
		f, err := strconv.ParseFloat(value, 64)
		if err != nil || !(f >= s.Least && f <= s.most()) {
			return "a number from " + OptionText(s.Least) + " to " + OptionText(s.most()) + ", in " + s.Unit
		}
	case s.Kind == Wall:
		if !isWall(value) {
			return "a date and time such as 2026-11-25T06:00"
		}
	case s.Name == "currency":
		if len(value) != 3 || strings.ToUpper(value) != value || strings.Trim(value, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" {
			return "three capital letters, such as EUR"
		}
	}
	return ""
}

// most is the largest value of a number setting: ten years of days or hours, a million of anything else.
func (s SettingInfo) most() float64 {
	switch s.Unit {
	case "days":
		return 3650
	case "h":
		return 87600
	}
	return 1e6
}
