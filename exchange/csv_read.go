package exchange

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"regexp"
	"strings"
	"unicode/utf8"

	"tackline/fault"
)

// readCSV reads one CSV file into the table of its name. With semicolons between the cells, numbers may have a decimal
// comma, as the programs that write such files use it.
func (a *assembly) readCSV(name string, r io.Reader) {
	s := a.begin(name)
	if s.ignored {
		return
	}
	var cells []cell
	f := records(r, func(no int, fields []string, comma rune) {
		cells = cells[:0]
		for _, f := range fields {
			if len(cells) < mostColumns {
				cells = append(cells, s.csvCell(f, len(cells), comma))
			}
		}
		s.add(row{no: no, cells: cells})
	})
	if f != nil {
		f.Table = name
		a.shape(f)
		return
	}
	s.end()
}

// records reads CSV (RFC 4180, in UTF-8, with or without a byte order mark) and calls do for each record that is not blank,
// with the row that a spreadsheet would give it. The separator is a comma, a semicolon or a tab, whichever the header has
// most.
func records(r io.Reader, do func(no int, fields []string, comma rune)) *fault.Fault {
	bad := func(row int, text string) *fault.Fault {
		return &fault.Fault{Kind: fault.Invalid, Row: row, Text: text}
	}
	data, err := io.ReadAll(io.LimitReader(r, mostPacked+1))
	switch {
	case err != nil:
		return bad(0, "the file cannot be read")
	case len(data) > mostPacked:
		return bad(0, "the file is too large")
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return bad(0, "the file is in UTF-16; save it as CSV in UTF-8")
	}
	data = bytes.TrimPrefix(data, []byte("\xEF\xBB\xBF"))
	if i := firstInvalid(data); i >= 0 {
		return bad(1+bytes.Count(data[:i], []byte("\n")), "the file is not in UTF-8; save it as CSV in UTF-8")
	}
	comma := separator(data)
	c := csv.NewReader(bytes.NewReader(data))
	c.Comma, c.FieldsPerRecord, c.ReuseRecord = comma, -1, true
	within := 0 // line breaks inside cells so far
	for {
		fields, err := c.Read()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			row := 0
			if p := (*csv.ParseError)(nil); errors.As(err, &p) {
				row = p.StartLine - within
			}
			return bad(row, "a quote is not closed, or stands inside a cell that is not quoted")
		}
		line, _ := c.FieldPos(0)
		do(line-within, fields, comma)
		for _, f := range fields {
			within += strings.Count(f, "\n")
		}
	}
}

var decimalComma = regexp.MustCompile(`^-?[0-9]+,[0-9]+%?$`)

func (s *sheet) csvCell(f string, i int, comma rune) cell {
	c := textCell(f)
	if comma == ';' && s.begun && i < len(s.columns) && s.columns[i] >= 0 && decimalComma.MatchString(c.text) {
		if isNumeric(s.table.Columns[s.columns[i]].Kind) {
			c.text = strings.Replace(c.text, ",", ".", 1)
		}
	}
	return c
}

func firstInvalid(data []byte) int {
	if utf8.Valid(data) {
		return -1
	}
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

// separator finds what separates the cells of the first line that is not blank.
func separator(data []byte) rune {
	for len(data) > 0 {
		line, rest, _ := bytes.Cut(data, []byte("\n"))
		if data = rest; len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		best := ','
		for _, c := range ";\t" {
			if bytes.Count(line, []byte(string(c))) > bytes.Count(line, []byte(string(best))) {
				best = c
			}
		}
		return best
	}
	return ','
}
