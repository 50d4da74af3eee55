package flow

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"tackline/fault"
	"tackline/plant"
)

// digits says whether a text has the form of a PIN: 4 to 8 of the digits 0 to 9.
func digits(pin string) bool {
	if len(pin) < shortestPIN || len(pin) > longestPIN {
		return false
	}
	for i := range len(pin) {
		if pin[i] < '0' || pin[i] > '9' {
			return false
		}
	}
	return true
}

// checkNewPIN gives an Invalid fault for a PIN that has not the form of one, or that others would guess first.
func checkNewPIN(person plant.PersonID, pin string) error {
	if !digits(pin) {
		return &fault.Fault{Kind: fault.Invalid, Column: "pin", Expected: fmt.Sprintf("%d to %d digits", shortestPIN, longestPIN)}
	}
	if why := guessed(person, pin); why != "" {
		return &fault.Fault{Kind: fault.Invalid, Column: "pin", Text: "This PIN is one of the first that others would try: " + why + "."}
	}
	return nil
}

// guessed says why a PIN is guessed early, "" if it is not. Repeated and counting digits and what has to do with the person are refused
// as NIST SP 800-63B, 5.1.1.2, asks (from memory); pairs, mirrors, years and columns of the keypad are common practice.
func guessed(person plant.PersonID, pin string) string {
	n := len(pin)
	step := func(i int) int { return (int(pin[i]) - int(pin[i-1]) + 10) % 10 }
	even, pairs, mirror := true, n%2 == 0, true
	for i := 1; i < n; i++ {
		even = even && step(i) == step(1)
		pairs = pairs && (i%2 == 0 || pin[i] == pin[i-1])
		mirror = mirror && pin[i] == pin[n-1-i]
	}
	block := false
	for k := 1; k <= n/2; k++ {
		block = block || n%k == 0 && strings.Repeat(pin[:k], n/k) == pin
	}
	switch {
	case block:
		return "it repeats itself"
	case even:
		return "its digits count up or down"
	case pairs:
		return "it is made of pairs"
	case mirror:
		return "it reads the same backwards"
	case n == 4 && (strings.HasPrefix(pin, "19") || strings.HasPrefix(pin, "20")):
		return "it is a year"
	case strings.Contains("2580 0852 1470 0741 3690 0963", pin):
		return "it is a column of the keypad"
	case strings.Contains(string(person), pin):
		return "it stands in the number of the person"
	}
	return ""
}

const keyBytes = 32

// load gives the key of the PINs, made on demand at the first PIN; nil if there is none yet.
func (g *pinGuard) load(make bool) ([]byte, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.key != nil {
		return g.key, nil
	}
	path, err := g.path()
	if err != nil && !make {
		return nil, nil // no place for a key, so that no PIN was ever set
	}
	if err != nil {
		return nil, err
	}
	key, err := readKey(path)
	if errors.Is(err, fs.ErrNotExist) {
		if !make {
			return nil, nil
		}
		if err = writeKey(path); err == nil {
			key, err = readKey(path)
		}
	}
	if err != nil {
		return nil, err
	}
	g.key = key
	return key, nil
}

func readKey(path string) ([]byte, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	key, err := hex.DecodeString(strings.TrimSpace(string(text)))
	if err != nil || len(key) != keyBytes {
		return nil, fault.New(fault.Conflict, "The file %s, which holds the key of the PINs, is damaged. Put back a copy of it; or remove it, and set all PINs anew.", path)
	}
	return key, nil
}

// writeKey makes a new key. The file appears whole or not at all; of two programs that make it at once, one does.
func writeKey(path string) error {
	var key [keyBytes]byte
	_, _ = rand.Read(key[:]) // it never fails
	f, err := os.CreateTemp(filepath.Dir(path), ".pinkey-*")
	if err != nil {
		return fmt.Errorf("keep the key of the PINs: %w", err)
	}
	defer os.Remove(f.Name())
	_, err = f.WriteString(hex.EncodeToString(key[:]) + "\n")
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("keep the key of the PINs: %w", err)
	}
	if err := os.Link(f.Name(), path); err != nil && !errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("keep the key of the PINs: %w", err)
	}
	return nil
}
