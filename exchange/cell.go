package exchange

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tackline/book"
	"tackline/fault"
)

// content says what a cell of a sheet holds.
type content uint8

const (
	empty content = iota
	text
	number
	date    // a number shown as a date, a time of day, or both
	percent // a number shown as per cent: 0.05 is 5 %
	truth   // TRUE or FALSE
	broken  // an error such as #REF!
)

// cell is one cell of a sheet.
type cell struct {
	is   content
	text string  // text, or the error
	num  float64 // number; for a date, days since 1899-12-30; for truth, 1 or 0
}

// row is a row of a sheet with its number, the first being 1.
type row struct {
	no    int
	cells []cell
}

func (r row) blank() bool {
	for _, c := range r.cells {
		if c.is != empty {
			return false
		}
	}
	return true
}

func textCell(s string) cell {
	if s = strings.TrimSpace(s); s == "" {
		return cell{}
	}
	return cell{is: text, text: s}
}

// plain writes a cell as a person reads it in a sheet.
func (c cell) plain() string {
	switch c.is {
	case text, broken:
		return c.text
	case number:
		return decimal(c.num)
	case percent:
		return decimal(hundredfold(c.num)) + "%"
	case date:
		return wall(c.num)
	case truth:
		return map[bool]string{true: "TRUE", false: "FALSE"}[c.num != 0]
	}
	return ""
}

func decimal(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// hundredfold multiplies by 100 in decimal, so that 0.07 gives 7.
func hundredfold(f float64) float64 {
	x, _ := strconv.ParseFloat(strconv.FormatFloat(f*100, 'g', 15, 64), 64)
	return x
}

// valueFor writes a cell as the text that a column reads. A fault (without its place) says what does not fit.
func (c cell) valueFor(col *book.Column) (string, *fault.Fault) {
	if c.is == broken {
		return "", &fault.Fault{Text: "the cell shows an error"}
	}
	switch col.Kind {
	case book.Day, book.Wall, book.Clock:
		return c.timeFor(col.Kind)
	case book.YesNo:
		if c.is == truth {
			return yesNo(c.num != 0), nil
		}
	case book.Number, book.Whole, book.Quantity, book.Money:
		return c.numberFor(col)
	}
	switch c.is {
	case date:
		if col.Name != "value" {
			return "", &fault.Fault{Text: "the cell holds a date or a time; format it as text and type it again"}
		}
		return isoTime(c.num), nil
	case truth:
		if col.Kind == book.Formula {
			return strconv.FormatBool(c.num != 0), nil
		}
		return yesNo(c.num != 0), nil
	}
	return c.plain(), nil
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func (c cell) numberFor(col *book.Column) (string, *fault.Fault) {
	switch c.is {
	case percent:
		if col.Unit == "%" {
			return decimal(hundredfold(c.num)), nil
		}
		return decimal(c.num), nil
	case text:
		if s, ok := strings.CutSuffix(c.text, "%"); ok && col.Unit == "%" {
			return strings.TrimSpace(s), nil
		}
	case date, truth:
		return "", &fault.Fault{Text: "the cell holds no number"}
	}
	return c.plain(), nil
}

var clockSeconds = regexp.MustCompile(`^([0-9]{1,2}:[0-9]{2}):00$`)

// timeFor reads dates and times: cells formatted so, or text.
func (c cell) timeFor(kind book.Kind) (string, *fault.Fault) {
	switch c.is {
	case number, percent, truth:
		return "", &fault.Fault{Text: "the cell holds no date or time"}
	case text:
		if m := clockSeconds.FindStringSubmatch(c.text); m != nil && kind == book.Clock {
			return m[1], nil
		}
	}
	if c.is != date {
		return c.plain(), nil
	}
	minutes := math.Round(c.num * 24 * 60)
	switch kind {
	case book.Clock:
		if minutes < 0 || minutes > 24*60 {
			return "", &fault.Fault{Text: "the cell holds a date and not only a time of day"}
		}
		return strconv.Itoa(int(minutes)/60) + ":" + strconv.Itoa(int(minutes)%60/10) + strconv.Itoa(int(minutes)%10), nil
	case book.Day:
		if math.Mod(minutes, 24*60) != 0 {
			return "", &fault.Fault{Text: "the cell holds a time of day as well"}
		}
	}
	if c.num < 1 || c.num > lastSerial {
		return "", &fault.Fault{Text: "the cell holds no date"}
	}
	if kind == book.Day {
		return wall(c.num)[:len("2006-01-02")], nil
	}
	return wall(c.num), nil
}

// lastSerial is 9999-12-31, the last day that workbooks know.
const lastSerial = 2958466

// wall writes days since 1899-12-30 as a wall clock time, to the nearest minute. Days before 1900-03-01 are one more, since
// workbooks count a 29 February 1900 that never was (ECMA-376 part 1, 18.17.4.1).
func wall(days float64) string {
	if days < 0 || days > lastSerial || math.IsNaN(days) {
		return decimal(days)
	}
	if days < 60 {
		days++
	}
	minutes := int(math.Round(days * 24 * 60))
	return time.Date(1899, 12, 30, 0, minutes, 0, 0, time.UTC).Format("2006-01-02T15:04")
}

// isoTime writes a date cell as a date, or as a date and time if it has one.
func isoTime(days float64) string {
	return strings.TrimSuffix(wall(days), "T00:00")
}

// serial gives the days since 1899-12-30 of a wall clock time without an offset; ok is false for any other text, and for
// days before 1900-03-01, which workbooks count in their own way.
func serial(w string) (days float64, ok bool) {
	t, err := time.Parse("2006-01-02T15:04", w)
	if err != nil {
		if t, err = time.Parse("2006-01-02", w); err != nil {
			return 0, false
		}
	}
	minutes := t.Unix()/60 - time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Unix()/60
	days = float64(minutes) / (24 * 60)
	return days, days >= 61 && days < lastSerial
}

func isNumeric(k book.Kind) bool {
	return k == book.Number || k == book.Whole || k == book.Quantity || k == book.Money
}
