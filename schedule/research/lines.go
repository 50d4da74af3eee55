package research

import (
	"bytes"
	"io"
)

func readerOf(b []byte) io.Reader { return bytes.NewReader(b) }

func trim(b []byte) []byte { return bytes.TrimSpace(b) }

func countWords(b []byte) int { return len(bytes.Fields(b)) }

// splitLines gives the lines that hold anything.
func splitLines(b []byte) [][]byte {
	var out [][]byte
	for _, l := range bytes.Split(b, []byte{'\n'}) {
		if len(trim(l)) > 0 {
			out = append(out, l)
		}
	}
	return out
}
