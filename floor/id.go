package floor

import (
	"encoding/hex"

	"tackline/plant"
)

// IsID says whether s is a UUID of version 7 as RFC 9562, section 5.7, writes it: 36 letters, small hexadecimal digits.
func IsID(s string) bool {
	if len(s) != 36 || s[14] != '7' || s[19] != '8' && s[19] != '9' && s[19] != 'a' && s[19] != 'b' {
		return false
	}
	for i := range len(s) {
		c := s[i]
		switch {
		case i == 8 || i == 13 || i == 18 || i == 23:
			if c != '-' {
				return false
			}
		case (c < '0' || c > '9') && (c < 'a' || c > 'f'):
			return false
		}
	}
	return true
}

// NewID makes a UUID of version 7 from a time in milliseconds since 1970 and ten random bytes.
func NewID(milliseconds int64, random [10]byte) string {
	var b [16]byte
	for i := range 6 {
		b[i] = byte(milliseconds >> (8 * (5 - i)))
	}
	copy(b[6:], random[:])
	b[6] = b[6]&0x0f | 0x70
	b[8] = b[8]&0x3f | 0x80
	h := hex.EncodeToString(b[:])
	return h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:]
}

// MadeAt gives the instant that is written in an identifier.
func MadeAt(id string) plant.Time {
	if !IsID(id) {
		return 0
	}
	b, _ := hex.DecodeString(id[:8] + id[9:13])
	var ms int64
	for _, x := range b {
		ms = ms<<8 | int64(x)
	}
	return plant.Time(ms / 1000)
}
