package exchange

import (
	"encoding/xml"
	"strconv"
	"strings"
)

// readStyles finds out which cell styles show numbers as dates or per cent.
func (w *workbook) readStyles(part string) error {
	formats := map[int]content{}
	inCells := false
	return w.elements(part, func(_ *xml.Decoder, e xml.StartElement) error {
		switch e.Name.Local {
		case "numFmt":
			if id, err := strconv.Atoi(attr(e, "numFmtId")); err == nil {
				formats[id] = shownAs(attr(e, "formatCode"))
			}
		case "cellStyleXfs", "cellStyles", "dxfs":
			inCells = false
		case "cellXfs":
			inCells = true
		case "xf":
			if !inCells || len(w.styles) >= mostTexts {
				return nil
			}
			id, _ := strconv.Atoi(attr(e, "numFmtId"))
			is, custom := formats[id]
			if !custom {
				is = builtIn(id)
			}
			w.styles = append(w.styles, is)
		}
		return nil
	})
}

// builtIn tells what the built-in number formats show (ECMA-376 part 1, 18.8.30 numFmt).
func builtIn(id int) content {
	switch {
	case id == 9 || id == 10:
		return percent
	case id >= 14 && id <= 22, id >= 27 && id <= 36, id >= 45 && id <= 47, id >= 50 && id <= 58:
		return date
	}
	return number
}

// shownAs tells what a number format code shows: a date if its first section has a letter of a date or time outside
// quotes, escapes and brackets (other than [h], [m], [s]); per cent if it has a % there.
func shownAs(code string) content {
	is := number
	for i := 0; i < len(code); i++ {
		switch ch := code[i]; ch {
		case ';':
			return is
		case '"':
			if end := strings.IndexByte(code[i+1:], '"'); end >= 0 {
				i += end + 1
			}
		case '\\', '_', '*':
			i++
		case '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				return is
			}
			if inside := strings.ToLower(code[i+1 : i+end]); strings.Trim(inside, "h") == "" || strings.Trim(inside, "m") == "" || strings.Trim(inside, "s") == "" {
				return date
			}
			i += end
		case '%':
			is = percent
		case 'y', 'm', 'd', 'h', 's', 'Y', 'M', 'D', 'H', 'S':
			return date
		case 'G', 'g':
			if len(code) >= i+7 && strings.EqualFold(code[i:i+7], "general") {
				i += 6
			}
		}
	}
	return is
}
