package floor

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"tackline/plant"
)

// Record is an event as it stands in the record of its plant.
type Record struct {
	Event
	Number int64      // in the plant, from 1 without a gap
	Got    plant.Time // when it was recorded
	Hash   string     // see Seal
}

// Seal gives the hash of a record: SHA-256 (FIPS 180-4), in hexadecimal, of the hash before it in its plant ("" for the first), its
// number, the time at which it was recorded, and the event as JSON with its fields in the order of Event, a line each.
func Seal(before string, r *Record) (string, error) {
	body, err := json.Marshal(&r.Event)
	if err != nil {
		return "", fmt.Errorf("write event %s: %w", r.ID, err)
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\n%d\n%d\n%s\n", before, r.Number, r.Got, body))
	return hex.EncodeToString(sum[:]), nil
}

// Chain follows the records of one plant and finds the first that was changed, left out or put in.
type Chain struct {
	number int64
	hash   string
}

// Next gives an error in words if r does not follow what came before.
func (c *Chain) Next(r *Record) error {
	if r.Number != c.number+1 {
		return fmt.Errorf("plant %s: event %d comes after event %d", r.Plant, r.Number, c.number)
	}
	hash, err := Seal(c.hash, r)
	if err != nil {
		return err
	}
	if hash != r.Hash {
		return fmt.Errorf("plant %s: event %d (%s, %s) is not what was recorded: its hash does not fit", r.Plant, r.Number, r.Kind, r.ID)
	}
	c.number, c.hash = r.Number, r.Hash
	return nil
}
