// Package fault is the one kind of error that people read: what is wrong, where, and what was expected, in words that say
// what to do. It knows nothing of screens, exit codes or storage; the edges decide how to show a kind.
package fault

import (
	"errors"
	"fmt"
	"strings"
)

// Kind tells an edge how to answer.
type Kind int

const (
	Invalid  Kind = iota + 1 // the input is wrong; the reader can mend it
	NotFound                 // the thing named does not exist
	Conflict                 // somebody changed it meanwhile; look again
	Denied                   // the person may not do this
	Busy                     // something else is under way; try again later
	Stopped                  // cancelled by a person
	Internal                 // a defect of the program; the text is not for the reader
)

// Fault says what is wrong and where. Table, Row, Column and Value are empty where they do not apply.
type Fault struct {
	Kind     Kind
	Table    string // sheet or table
	Row      int    // row of the sheet, the header being row 1; 0 is none
	Column   string
	Value    string // what was found
	Expected string // what was expected, as a noun: "a number above 0"
	Near     string // the nearest valid name, where a name is unknown
	Text     string // the sentence

	Unfinished bool // what is wrong is used by nothing yet: it must be mended before something does
}

// Error gives the whole sentence with its place: `routes row 14, setup: found "abc"; expected a number.`
func (f *Fault) Error() string {
	if at := f.Place(); at != "" {
		return at + ": " + f.Says()
	}
	return f.Says()
}

// Says tells what is wrong without its place.
func (f *Fault) Says() string {
	parts := []string{}
	if f.Text != "" {
		parts = append(parts, f.Text)
	}
	if f.Value != "" {
		parts = append(parts, fmt.Sprintf("found %q", f.Value))
	}
	if f.Expected != "" {
		parts = append(parts, "expected "+f.Expected)
	}
	if f.Near != "" {
		parts = append(parts, fmt.Sprintf("did you mean %q?", f.Near))
	}
	return strings.Join(parts, "; ")
}

// Place says where: "routes row 14, setup".
func (f *Fault) Place() string {
	s := f.Table
	if f.Row > 0 {
		s += fmt.Sprintf(" row %d", f.Row)
	}
	if f.Column != "" {
		if s != "" {
			s += ", "
		}
		s += f.Column
	}
	return s
}

// New makes a fault of a kind with a sentence.
func New(k Kind, format string, args ...any) *Fault {
	return &Fault{Kind: k, Text: fmt.Sprintf(format, args...)}
}

// List is every fault of one input, found in one go.
type List []*Fault

// Error gives the faults one a line.
func (l List) Error() string {
	lines := make([]string, len(l))
	for i, f := range l {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Err gives nil for an empty list, so that a caller can return it as an error.
func (l List) Err() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// KindOf gives the kind of err: that of the first fault in it, or Internal for any other error, 0 for nil.
func KindOf(err error) Kind {
	if err == nil {
		return 0
	}
	if l := (List)(nil); errors.As(err, &l) && len(l) > 0 {
		return l[0].Kind
	}
	if f := (*Fault)(nil); errors.As(err, &f) {
		return f.Kind
	}
	return Internal
}

// All gives the faults in err: the list, the one, or one that stands for any other error.
func All(err error) List {
	if err == nil {
		return nil
	}
	if l := (List)(nil); errors.As(err, &l) {
		return l
	}
	if f := (*Fault)(nil); errors.As(err, &f) {
		return List{f}
	}
	return List{{Kind: Internal, Text: err.Error()}}
}
