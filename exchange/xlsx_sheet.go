package exchange

import (
	"encoding/xml"
	"errors"
	"math"
	"strconv"
	"strings"
	"time"
)

// rows calls do for every row of a sheet that has cells, in order of the file.
func (w *workbook) rows(s namedSheet, do func(row)) error {
	var r row
	last := 0
	flush := func() {
		if r.no > 0 {
			do(r)
		}
		r.no, r.cells = 0, r.cells[:0]
	}
	err := w.elements(s.part, func(d *xml.Decoder, e xml.StartElement) error {
		switch e.Name.Local {
		case "row":
			flush()
			last++
			if n, err := strconv.Atoi(attr(e, "r")); err == nil {
				last = n
			}
			if last < 1 || last > mostRows {
				return errors.New("the workbook is damaged: a row has no place")
			}
			r.no = last
		case "c":
			if r.no == 0 {
				return errors.New("the workbook is damaged: a cell is outside its row")
			}
			return w.cell(d, e, &r)
		}
		return nil
	})
	if err == nil {
		flush()
	}
	return err
}

// cell reads one cell into its place in the row.
func (w *workbook) cell(d *xml.Decoder, e xml.StartElement, r *row) error {
	place := len(r.cells)
	if ref := attr(e, "r"); ref != "" {
		place = columnOf(ref)
	}
	kind, style := attr(e, "t"), attr(e, "s")
	value, rich, err := cellText(d)
	if err != nil || place < 0 || place >= mostColumns {
		return err
	}
	for len(r.cells) <= place {
		r.cells = append(r.cells, cell{})
	}
	r.cells[place] = w.typed(kind, style, value, rich)
	return nil
}

// cellText reads what is inside a cell up to its end: its value, and its inline text.
func cellText(d *xml.Decoder) (value, rich string, err error) {
	inValue := false
	for {
		tok, err := d.RawToken()
		if errors.Is(err, errTooLarge) {
			return "", "", err
		}
		if err != nil {
			return "", "", errors.New("the workbook is damaged: a cell is not closed")
		}
		switch t := tok.(type) {
		case xml.StartElement:
			switch t.Name.Local {
			case "v":
				inValue = true
			case "is":
				if rich, err = richText(d, "is"); err != nil {
					return "", "", err
				}
			}
		case xml.EndElement:
			switch t.Name.Local {
			case "v":
				inValue = false
			case "c":
				return value, rich, nil
			}
		case xml.CharData:
			if inValue {
				value += string(t)
			}
		}
	}
}

// columnOf gives the column of a reference such as AB12, from 0; -1 if it has none.
func columnOf(ref string) int {
	n := 0
	for i := 0; i < len(ref) && ref[i] >= 'A' && ref[i] <= 'Z'; i++ {
		if n = n*26 + int(ref[i]-'A') + 1; n > 20000 {
			return -1
		}
	}
	return n - 1
}

// typed makes a cell of its type, style and value (ECMA-376 part 1, 18.18.11 ST_CellType).
func (w *workbook) typed(kind, style, value, rich string) cell {
	switch kind {
	case "s":
		i, err := strconv.Atoi(strings.TrimSpace(value))
		if err != nil || i < 0 || i >= len(w.texts) {
			return cell{is: broken, text: "missing text"}
		}
		return textCell(w.texts[i])
	case "inlineStr":
		return textCell(rich)
	case "str":
		return textCell(unescape(value))
	case "e":
		return cell{is: broken, text: value}
	}
	value = strings.TrimSpace(value)
	if value == "" {
		return cell{}
	}
	switch kind {
	case "b":
		return cell{is: truth, num: map[bool]float64{true: 1}[isTrue(value)]}
	case "d":
		return isoCell(value)
	}
	f, err := strconv.ParseFloat(value, 64)
	if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
		return cell{is: broken, text: value}
	}
	is := number
	if i, err := strconv.Atoi(style); err == nil && i >= 0 && i < len(w.styles) {
		is = w.styles[i]
	}
	if is == date && w.date1904 {
		f += 1462 // days from 1899-12-30 to 1904-01-01
	}
	return cell{is: is, num: f}
}

// isoCell reads a cell of type d, which holds an ISO 8601 date.
func isoCell(value string) cell {
	for _, f := range []string{"2006-01-02T15:04:05Z07:00", "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02"} {
		if t, err := time.Parse(f, value); err == nil {
			if days, ok := serial(t.Format("2006-01-02T15:04")); ok {
				return cell{is: date, num: days}
			}
		}
	}
	return textCell(value)
}
