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

// readCSV reads one CSV file (RFC 4180, in UTF-8, with or without a byte order mark) into the table of its name. The
// separator is a comma, a semicolon or a tab, whichever the header has most; with semicolons, numbers may have a decimal
// comma, as the programs that write such files use it.
func (a *assembly) readCSV(name string, r io.Reader) {
	s := a.begin(name)
	if s.ignored {
		return
	}
	bad := func(row int, text string) {
		a.shape(&fault.Fault{Table: name, Row: row, Text: text})
	}
	data, err := io.ReadAll(io.LimitReader(r, mostPacked+1))
	switch {
	case err != nil:
		bad(0, "the file cannot be read")
		return
	case len(data) > mostPacked:
		bad(0, "the file is too large")
		return
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		bad(0, "the file is in UTF-16; save it as CSV in UTF-8")
		return
	}
	data = bytes.TrimPrefix(data, []byte("\xEF\xBB\xBF"))
	if i := firstInvalid(data); i >= 0 {
		bad(1+bytes.Count(data[:i], []byte("\n")), "the file is not in UTF-8; save it as CSV in UTF-8")
		return
	}
	comma := separator(data)
	c := csv.NewReader(bytes.NewReader(data))
	c.Comma, c.FieldsPerRecord, c.ReuseRecord = comma, -1, true
	within := 0 // line breaks within cells so far
	var cells []cell
	for {
		record, err := c.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			var p *csv.ParseError
			line := 0
			if errors.As(err, &p) {
				line = p.StartLine - within
			}
			bad(line, "a quote is not closed, or stands inside a cell that is not quoted")
			return
		}
		line, _ := c.FieldPos(0)
		no := line - within
		cells = cells[:0]
		for _, f := range record {
			within += strings.Count(f, "\n")
			if len(cells) < mostColumns {
				cells = append(cells, s.csvCell(f, len(cells), comma))
			}
		}
		s.add(row{no: no, cells: cells})
	}
	s.end()
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
