package floor

import (
	"strings"

	"tackline/fault"
)

// What a scan code names: the letter before the colon.
const (
	CodeOp      = 'W' // an operation on a traveller: job, a blank, operation
	CodeKit     = 'K' // the kit of an operation: job, a blank, operation
	CodeLot     = 'L' // a lot
	CodePerson  = 'P' // a person, on his badge
	CodeStation = 'S' // a station
)

var codeNames = map[byte]string{CodeOp: "an operation on a traveller", CodeKit: "a kit", CodeLot: "a lot", CodePerson: "a badge", CodeStation: "a station"}

// Code writes a scan code: the letter of its kind, a colon, the text, a tilde and a check character over all before the tilde by
// ISO/IEC 7064:2003, MOD 37-36 (hybrid system), which finds every single wrong letter and every two that changed places. Only
// letters and digits count, capitals as small ones.
func Code(kind byte, text string) string {
	s := string(kind) + ":" + text
	return s + "~" + string(checkLetter(s))
}

// ReadCode reads what a scanner sent. It gives an Invalid fault in words if that is no code, or was read wrong.
func ReadCode(scan string) (kind byte, text string, err error) {
	s := strings.TrimSpace(scan)
	i := strings.LastIndexByte(s, '~')
	if i < 3 || i != len(s)-2 || s[1] != ':' || codeNames[s[0]] == "" {
		return 0, "", fault.New(fault.Invalid, "%q is no code of ours: a traveller, a kit, a lot, a badge or a station was expected.", shortened(s))
	}
	if upper(s[i+1]) != checkLetter(s[:i]) {
		return 0, "", fault.New(fault.Invalid, "%q was read wrong: its check letter does not fit. Scan it again, or type it.", shortened(s))
	}
	return s[0], s[2:i], nil
}

// CodeName says in words what a code names.
func CodeName(kind byte) string { return codeNames[kind] }

const letters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

// checkLetter gives the check character of MOD 37-36.
func checkLetter(s string) byte {
	const m = len(letters)
	p := m
	for i := range len(s) {
		a := strings.IndexByte(letters, upper(s[i]))
		if a < 0 {
			continue
		}
		p += a
		if p %= m; p == 0 {
			p = m
		}
		p = p * 2 % (m + 1)
	}
	return letters[(m+1-p)%m]
}

func upper(c byte) byte {
	if c >= 'a' && c <= 'z' {
		return c - 'a' + 'A'
	}
	return c
}

// shortened keeps a scan of many letters readable.
func shortened(s string) string {
	if len(s) > 60 {
		return strings.ToValidUTF8(s[:60], "") + "…"
	}
	return s
}
