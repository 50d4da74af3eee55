package research

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"tackline/fault"
)

// Limits of what is read, so that a wrong file cannot fill the memory.
const (
	longestText = 64 << 20 // bytes
	mostFaults  = 20
	mostTime    = 1 << 24 // of one operation
	most        = 200_000 // jobs, machines, operations
)

// word is a number of a file and where it stands, both from 1.
type word struct {
	text        string
	line, place int
}

// text is the numbers of a file, read one after the other. In a text of rows, numbers end with their line and what is wrong
// with one line does not hide the next; in a free text, lines mean nothing and the first fault ends the reading.
type text struct {
	name   string
	free   bool
	rows   [][]word // lines that hold anything; one row if free
	row    int      // the row being read
	at     int      // the next word in it
	wrong  bool     // the row is not read on
	left   int      // words from here to the end of the file
	last   int      // last line that holds anything
	faults fault.List
}

// readRows reads a file whose lines have a meaning.
func readRows(name string, r io.Reader) *text { return newText(name, r, false) }

// readFree reads a file whose numbers may stand on any lines.
func readFree(name string, r io.Reader) *text { return newText(name, r, true) }

func newText(name string, r io.Reader, free bool) *text {
	t := &text{name: name, free: free, row: -1}
	limited := &io.LimitedReader{R: r, N: longestText}
	lines := bufio.NewScanner(limited)
	lines.Buffer(make([]byte, 1<<16), longestText)
	for n := 1; lines.Scan(); n++ {
		fields := strings.Fields(lines.Text())
		if len(fields) == 0 {
			continue
		}
		row := make([]word, len(fields))
		for i, f := range fields {
			row[i] = word{f, n, i + 1}
		}
		t.left, t.last = t.left+len(row), n
		if free && len(t.rows) > 0 {
			t.rows[0] = append(t.rows[0], row...)
		} else {
			t.rows = append(t.rows, row)
		}
	}
	switch err := lines.Err(); {
	case err != nil:
		t.faults = append(t.faults, &fault.Fault{Kind: fault.Invalid, Table: name, Text: "cannot be read: " + err.Error()})
	case limited.N == 0:
		t.faults = append(t.faults, &fault.Fault{Kind: fault.Invalid, Table: name, Text: fmt.Sprintf("is larger than %d MiB", longestText>>20)})
	}
	if free {
		t.next("numbers")
	}
	return t
}

// bad notes a fault of the row, which is then not read on.
func (t *text) bad(line, place int, found, says, expected string) {
	t.wrong = true
	if len(t.faults) < mostFaults {
		f := &fault.Fault{Kind: fault.Invalid, Table: t.name, Value: found, Text: says, Expected: expected}
		if line > 0 {
			f.Column = "line " + strconv.Itoa(line)
		}
		if place > 0 {
			f.Column += ", number " + strconv.Itoa(place)
		}
		t.faults = append(t.faults, f)
	}
}

// next goes on to the next row, which is expected to hold what; false if there is none. Words left on the row before are a fault.
func (t *text) next(what string) bool {
	t.over()
	if t.row++; t.row >= len(t.rows) {
		t.row = len(t.rows)
		t.bad(t.last, 0, "", "the file ends here", what)
		return false
	}
	t.at, t.wrong = 0, false
	return true
}

// over ends a row: words that nothing asked for are a fault.
func (t *text) over() {
	if t.row < 0 || t.row >= len(t.rows) {
		return
	}
	row := t.rows[t.row]
	if t.at < len(row) && !t.wrong {
		w, expected := row[t.at], "nothing more on this line"
		if t.free {
			expected = "the end of the file"
		}
		t.bad(w.line, w.place, w.text, "", expected)
	}
	t.skip()
}

// skip leaves the rest of the row unread.
func (t *text) skip() {
	if t.row >= 0 && t.row < len(t.rows) {
		t.left -= len(t.rows[t.row]) - t.at
		t.at = len(t.rows[t.row])
	}
}

// here says how many words are left on the row.
func (t *text) here() int {
	if t.wrong || t.row < 0 || t.row >= len(t.rows) {
		return 0
	}
	return len(t.rows[t.row]) - t.at
}

// number gives the next number of the row, a whole one from lo to hi; what says what it is. After a fault it gives lo.
func (t *text) number(what string, lo, hi int) int {
	if t.wrong {
		return lo
	}
	if t.here() == 0 {
		line := t.last
		if t.row >= 0 && t.row < len(t.rows) && t.at > 0 {
			line = t.rows[t.row][t.at-1].line
		}
		t.bad(line, 0, "", "ends early", what)
		return lo
	}
	w := t.rows[t.row][t.at]
	t.at++
	t.left--
	v, err := strconv.Atoi(w.text)
	if err != nil || v < lo || v > hi {
		t.bad(w.line, w.place, w.text, "", fmt.Sprintf("%s from %d to %d", what, lo, hi))
		return lo
	}
	return v
}

// count gives a number of things that take at least each words of the file, so that no more is made room for than there is.
func (t *text) count(what string, lo, hi, each int) int {
	n := t.number(what, lo, hi)
	if !t.wrong && each > 0 && n > t.left/each {
		w := t.rows[t.row][t.at-1]
		t.bad(w.line, w.place, w.text, "", fmt.Sprintf("%s that the rest of the file, %d numbers, has room for", what, t.left))
		return lo
	}
	return n
}

// numbers gives n numbers of the row.
func (t *text) numbers(n int, what string, lo, hi int) []int {
	out := make([]int, 0, min(n, t.here()))
	for i := 0; i < n && !t.wrong; i++ {
		out = append(out, t.number(what, lo, hi))
	}
	return out
}

// end gives what was wrong with the file; words that nothing asked for are wrong too.
func (t *text) end() error {
	if t.row >= 0 && t.row < len(t.rows) && len(t.faults) == 0 {
		t.over()
		if t.row+1 < len(t.rows) {
			w := t.rows[t.row+1][0]
			t.bad(w.line, 0, w.text, "", "the end of the file")
		}
	}
	return t.faults.Err()
}

// refuse gives an error of the whole file.
func refuse(name string, err error) error {
	if err == nil {
		return nil
	}
	return &fault.Fault{Kind: fault.Invalid, Table: name, Text: err.Error()}
}
