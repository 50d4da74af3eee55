package booktest

import (
	"fmt"

	"pgregory.net/rapid"

	"tackline/book"
	"tackline/plant"
)

// Random draws a book whose cells all read, though it makes no sense as a whole: for tests of reading and writing.
func Random(t *rapid.T) *book.Book {
	b := &book.Book{}
	tables := book.Tables()
	for i := range tables {
		rows := rapid.IntRange(0, 4).Draw(t, tables[i].Name)
		for r := 0; r < rows; r++ {
			cells := make([]string, len(tables[i].Columns))
			for j := range cells {
				cells[j] = RandomCell(t, &tables[i].Columns[j])
			}
			// a blank row is no row
			if cells[0] == "" {
				cells[0] = "x"
			}
			if faults := tables[i].Append(b, r+2, cells); len(faults) > 0 {
				panic(faults)
			}
		}
	}
	return b
}

// RandomCell draws a text that a column reads.
func RandomCell(t *rapid.T, c *book.Column) string {
	if !c.Need && rapid.IntRange(0, 3).Draw(t, "empty") == 0 {
		return ""
	}
	if len(c.Enum) > 0 {
		return rapid.SampledFrom(c.Enum).Draw(t, c.Name)
	}
	day := func() string {
		return fmt.Sprintf("%04d-%02d-%02d", rapid.IntRange(1890, 2200).Draw(t, "year"), rapid.IntRange(1, 12).Draw(t, "month"), rapid.IntRange(1, 28).Draw(t, "day"))
	}
	switch c.Kind {
	case book.YesNo:
		return rapid.SampledFrom([]string{"yes", "no"}).Draw(t, c.Name)
	case book.Whole:
		return fmt.Sprint(rapid.IntRange(-1000, 1_000_000).Draw(t, c.Name))
	case book.Quantity:
		return plant.Qty(rapid.Int64Range(-1e12, 1e14).Draw(t, c.Name)).String()
	case book.Money:
		return plant.Money(rapid.Int64Range(-1e11, 1e13).Draw(t, c.Name)).String()
	case book.Number:
		return fmt.Sprint(rapid.Float64Range(-1e9, 1e9).Draw(t, c.Name))
	case book.Day:
		return day()
	case book.Wall:
		return day() + fmt.Sprintf("T%02d:%02d", rapid.IntRange(0, 23).Draw(t, "hour"), rapid.IntRange(0, 59).Draw(t, "minute")) +
			rapid.SampledFrom([]string{"", "", "", "Z", "+01:00"}).Draw(t, "offset")
	case book.Clock:
		return plant.Clock(rapid.IntRange(0, 1440).Draw(t, c.Name)).String()
	case book.Formula:
		return rapid.SampledFrom([]string{"0", "12.5", "-3", "1e3", "007", "opt.jaws*2", "item.a == 'x' ? 1 : 2", "true", "false", "=SUM(A1)"}).Draw(t, c.Name)
	}
	return rapid.OneOf(
		rapid.SampledFrom([]string{"a", "007", "12", "3.5", "TRUE", "yes", "=1+1", "_x0041_", "_x000D_", "a_x", "two\nlines", "5%", "2026-11-25", "#", "\"quoted\"", "a;b,c", "'", "é", "日本", "-", "+1", "@x"}),
		rapid.StringMatching(`[A-Za-z0-9_ .,;'"<>&äß-]{0,8}[A-Za-z0-9_<>&]`),
	).Draw(t, c.Name)
}
