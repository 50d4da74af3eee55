package formula

import (
	"strconv"
	"strings"

	"tackline/fault"
)

type part struct {
	text       string
	expression bool
}

// splitPattern cuts a pattern into literal text and the expressions within braces. A brace within quotes belongs to the
// expression. {{ and }} stand for the braces themselves.
func splitPattern(s string) ([]part, *fault.Fault) {
	var parts []part
	var lit strings.Builder
	for i := 0; i < len(s); {
		switch c := s[i]; {
		case strings.HasPrefix(s[i:], "{{"), strings.HasPrefix(s[i:], "}}"):
			lit.WriteByte(c)
			i += 2
		case c == '}':
			return nil, fault.New(fault.Invalid, "the } at character %d closes nothing; write }} for a brace", place(s, i))
		case c == '{':
			n := closing(s[i+1:])
			if n < 0 {
				return nil, fault.New(fault.Invalid, "the { at character %d is not closed; write {{ for a brace", place(s, i))
			}
			if lit.Len() > 0 {
				parts = append(parts, part{text: lit.String()})
				lit.Reset()
			}
			parts = append(parts, part{text: s[i+1 : i+1+n], expression: true})
			i += n + 2
		default:
			lit.WriteByte(c)
			i++
		}
	}
	if lit.Len() > 0 {
		parts = append(parts, part{text: lit.String()})
	}
	return parts, nil
}

// closing gives the offset of the first } outside quotes, or -1.
func closing(s string) int {
	quote := byte(0)
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case quote != 0 && c == '\\':
			i++
		case quote != 0 && c == quote:
			quote = 0
		case quote != 0:
		case c == '\'' || c == '"':
			quote = c
		case c == '}':
			return i
		}
	}
	return -1
}

// place counts characters from 1, as a person does.
func place(s string, offset int) int { return len([]rune(s[:offset])) + 1 }

// plainNumber reads digits with an optional sign, point and exponent; nothing else that Go would read as a number.
func plainNumber(s string) (float64, bool) {
	if s == "" || len(s) > 30 || strings.Trim(s, "0123456789.-+eE") != "" || s[0] == '+' || s[0] == 'e' || s[0] == 'E' {
		return 0, false
	}
	n, err := strconv.ParseFloat(s, 64)
	if err != nil || n <= -Limit || n >= Limit {
		return 0, false
	}
	return n, true
}
