package flow

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"github.com/alexedwards/argon2id"

	"tackline/fault"
	"tackline/plant"
	"tackline/store"
)

// Bounds of PINs. A PIN is short, so that what protects it is the count of tries: NIST SP 800-63B, 5.2.2, allows at most 100 wrong
// tries in a row (from memory); five at a time and the doubling pause are common practice.
const (
	shortestPIN   = 4
	longestPIN    = 8
	longestPerson = 200 // bytes of a name that is counted for itself

	pinEnds        = 100                        // wrong tries in a row that end a PIN: a manager must set a new one
	deviceTries    = 20                         // wrong tries at one device, whoever they are for
	deviceWindow   = plant.Seconds(10 * 60)     // in which they are counted, and for which the device is then locked
	triesForgotten = plant.Seconds(30 * 86_400) // after which tries for names without a PIN are forgotten
)

// pinGuard holds the key of the PINs.
//
// A stolen database must not give PINs. A salted hash alone would: of four digits there are ten thousand, which argon2id delays by
// minutes. So what is hashed is an HMAC of person and PIN under a key that lies outside of the database (NIST SP 800-63B, 5.1.1.2,
// from memory: a keyed hash whose key is stored apart). Without the key even the right guess cannot be told from a wrong one.
type pinGuard struct {
	path   func() (string, error) // of the file that holds the key
	hashed atomic.Int64           // how many PINs were compared, for tests

	mu  sync.Mutex
	key []byte
}

func newPINGuard(s *store.Store, path string) *pinGuard {
	if path != "" {
		return &pinGuard{path: func() (string, error) { return path, nil }}
	}
	return &pinGuard{path: func() (string, error) { return s.Beside(".pinkey") }}
}

// secret is what is hashed in the place of a PIN.
func secret(key []byte, person plant.PersonID, pin string) string {
	m := hmac.New(sha256.New, key)
	fmt.Fprintf(m, "%d:%s:%s", len(person), person, pin)
	return hex.EncodeToString(m.Sum(nil))
}

// keyMark tells one key from another without giving it away.
func keyMark(key []byte) string {
	m := hmac.New(sha256.New, key)
	m.Write([]byte("mark"))
	return hex.EncodeToString(m.Sum(nil)[:6])
}

// PINState is what is known of the PIN of a person, which is never the PIN.
type PINState struct {
	Set         plant.Time // 0: there is none
	Failures    int        // wrong tries in a row
	LockedUntil plant.Time // plant.Never: until a manager sets a new one
	Lost        bool       // it was made under a key that is gone: it must be set anew
}

// PINs gives the PINs of people, and the wrong tries for them.
func (s *Shop) PINs(ctx context.Context) (map[plant.PersonID]PINState, error) {
	rows, err := s.store.PINs(ctx)
	if err != nil {
		return nil, err
	}
	tries, err := s.store.AllTries(ctx, store.TriesOfPerson)
	if err != nil {
		return nil, err
	}
	key, err := s.pins.load(false)
	if err != nil {
		return nil, err
	}
	out := map[plant.PersonID]PINState{}
	for _, r := range rows {
		out[r.Person] = PINState{Set: r.Set, Lost: key == nil || r.Key != keyMark(key)}
	}
	for _, t := range tries {
		p := out[plant.PersonID(t.Name)]
		p.Failures, p.LockedUntil = t.Failures, t.LockedUntil
		out[plant.PersonID(t.Name)] = p
	}
	return out, nil
}

// HasPIN says whether a person has a PIN.
func (s *Shop) HasPIN(ctx context.Context, person plant.PersonID) (bool, error) {
	_, ok, err := s.store.PIN(ctx, person)
	return ok, err
}

// SetPIN gives a person of the shop book a PIN, in the place of the one he had, and ends a lock.
func (s *Shop) SetPIN(ctx context.Context, who Who, person plant.PersonID, pin string) error {
	if err := need(who, MayKeepPeople); err != nil {
		return err
	}
	if err := s.isPerson(ctx, person); err != nil {
		return err
	}
	if err := checkNewPIN(person, pin); err != nil {
		return err
	}
	s.people.Lock()
	defer s.people.Unlock()
	return s.savePIN(ctx, person, pin, who.Name, "set")
}

func (s *Shop) savePIN(ctx context.Context, person plant.PersonID, pin, by, what string) error {
	key, err := s.pins.load(true)
	if err != nil {
		return err
	}
	hash, err := argon2id.CreateHash(secret(key, person, pin), hashing)
	if err != nil {
		return err
	}
	row := store.PIN{Person: person, Hash: hash, Key: keyMark(key), Set: s.now()}
	return s.store.SavePIN(ctx, row, s.pinAct(by, person, what))
}

func (s *Shop) pinAct(by string, person plant.PersonID, what string) store.Act {
	return store.Act{At: s.now(), Who: by, Kind: ActPIN, Note: fmt.Sprintf("%s, %s", person, what)}
}

// ClearPIN takes a person's PIN away.
func (s *Shop) ClearPIN(ctx context.Context, who Who, person plant.PersonID) error {
	if err := need(who, MayKeepPeople); err != nil {
		return err
	}
	s.people.Lock()
	defer s.people.Unlock()
	return s.store.ClearPIN(ctx, person, s.pinAct(who.Name, person, "cleared"))
}

// UnlockPIN forgets the wrong tries for a person: his PIN counts again at once.
func (s *Shop) UnlockPIN(ctx context.Context, who Who, person plant.PersonID) error {
	if err := need(who, MayKeepPeople); err != nil {
		return err
	}
	return s.store.ForgetTries(ctx, person, s.pinAct(who.Name, person, "unlocked"))
}

// ChangePIN gives a person who knows his PIN another. A wrong old PIN counts as a wrong try.
func (s *Shop) ChangePIN(ctx context.Context, person plant.PersonID, old, fresh string) error {
	if err := checkNewPIN(person, fresh); err != nil {
		return err
	}
	if old == fresh {
		return fault.New(fault.Invalid, "The new PIN is the old one. Choose another.")
	}
	row, err := s.checkPIN(ctx, person, old)
	if err != nil {
		return err
	}
	s.people.Lock()
	defer s.people.Unlock()
	if now, _, err := s.store.PIN(ctx, person); err != nil || now != row {
		return conflictOr(err, "A manager changed this PIN meanwhile.")
	}
	return s.savePIN(ctx, person, fresh, string(person), "changed by the person")
}

func conflictOr(err error, what string) error {
	if err != nil {
		return err
	}
	return fault.New(fault.Conflict, "%s", what)
}

func (s *Shop) isPerson(ctx context.Context, person plant.PersonID) error {
	ix, err := s.bookIndex(ctx)
	if err == nil && ix.People[person] == nil {
		err = fault.New(fault.NotFound, "The shop book has no person %q. See the table people.", string(person))
	}
	return err
}

// CheckPIN gives nil if the PIN is that of the person. A refusal is a Denied fault that takes its time and does not tell whether there
// is such a person. Wrong tries are counted for the person, and for the device that the context names (see AtDevice), and are kept in
// the database: five in a row lock the person's PIN for a time that doubles with each further five, a hundred end it; twenty within ten
// minutes lock the device. What is locked is refused without looking at the PIN.
func (s *Shop) CheckPIN(ctx context.Context, person plant.PersonID, pin string) error {
	_, err := s.checkPIN(ctx, person, pin)
	return err
}

// checkPIN is CheckPIN; it gives what is kept of the PIN that fits.
func (s *Shop) checkPIN(ctx context.Context, person plant.PersonID, pin string) (store.PIN, error) {
	began := time.Now() // real time, whatever the shop's clock says: this is about waiting
	row, err := s.tryPIN(ctx, person, pin)
	if err != nil {
		s.guard.wait(ctx, began)
	}
	return row, err
}

func (s *Shop) tryPIN(ctx context.Context, person plant.PersonID, pin string) (store.PIN, error) {
	name, device := string(person), deviceIn(ctx)
	if len(name) > longestPerson {
		name, person = "", "" // nobody is called so; counted with all that nobody is called
	}
	p, d, err := s.store.Tries(ctx, name, device)
	if err == nil {
		err = locked(&p, &d, s.now())
	}
	if err != nil {
		return store.PIN{}, err
	}
	select {
	case s.guard.slots <- struct{}{}:
		defer func() { <-s.guard.slots }()
	case <-ctx.Done():
		return store.PIN{}, ctx.Err()
	}
	key, err := s.pins.load(false) // before the try is counted: a damaged key is nobody's wrong PIN
	if err != nil {
		return store.PIN{}, err
	}
	locks, err := s.countTry(ctx, name, device)
	if err != nil {
		return store.PIN{}, err
	}
	row, fits, err := s.fits(ctx, key, person, pin)
	if err != nil {
		return store.PIN{}, err
	}
	if !fits {
		for _, note := range locks {
			if err := s.store.Record(ctx, store.Act{At: s.now(), Who: device, Kind: ActPIN, Note: note}); err != nil {
				return store.PIN{}, err
			}
		}
		return store.PIN{}, fault.New(fault.Denied, "Person and PIN do not fit together.")
	}
	return row, s.store.ChangeTries(ctx, name, device, s.now().Add(-triesForgotten), func(p, d *store.Tries) error {
		*p = store.Tries{Kind: p.Kind, Name: p.Name}
		d.Failures = max(d.Failures-1, 0) // its own try; wrong ones for others stay
		if d.Failures < deviceTries {
			d.LockedUntil = 0
		}
		return nil
	})
}

// countTry counts a try as a wrong one before the PIN is looked at, so that of many at one time no more than are allowed are looked
// at, and none is forgotten if the program is killed. What fits is taken back. It gives what is locked if it does not fit, in words.
func (s *Shop) countTry(ctx context.Context, name, device string) (locks []string, err error) {
	now := s.now()
	err = s.store.ChangeTries(ctx, name, device, now.Add(-triesForgotten), func(p, d *store.Tries) error {
		if err := locked(p, d, now); err != nil {
			return err
		}
		if d.Failures == 0 || now.Sub(d.Since) >= deviceWindow {
			d.Failures, d.Since, d.LockedUntil = 0, now, 0
		}
		d.Failures++
		d.Last = now
		if d.Failures >= deviceTries {
			d.LockedUntil = now.Add(deviceWindow)
			locks = append(locks, fmt.Sprintf("%s, no PIN for a while after %d wrong tries", device, d.Failures))
		}
		if p.Failures == 0 {
			p.Since = now
		}
		p.Failures++
		p.Last = now
		if p.Failures >= pinEnds {
			p.LockedUntil = plant.Never
		} else if wait := lockAfter(p.Failures); wait > 0 {
			p.LockedUntil = now.Add(wait)
		} else {
			return nil
		}
		locks = append(locks, fmt.Sprintf("%s, locked after %d wrong tries", name, p.Failures))
		return nil
	})
	return locks, err
}

// locked gives a fault in words while a device or a person is locked.
func locked(p, d *store.Tries, now plant.Time) error {
	switch {
	case d.LockedUntil > now:
		return fault.New(fault.Denied, "Too many wrong PINs at this terminal. Try again in %d minutes, or ask a manager.", int(d.LockedUntil.Sub(now).Minutes())+1)
	case p.LockedUntil >= plant.Never:
		return fault.New(fault.Denied, "Too many wrong PINs for this person. Ask a manager for a new one.")
	case p.LockedUntil > now:
		return fault.New(fault.Denied, "Too many wrong PINs for this person. Try again in %d minutes, or ask a manager for a new one.", int(p.LockedUntil.Sub(now).Minutes())+1)
	}
	return nil
}

// fits compares a PIN with what is kept of it; where there is nothing, with a hash of something else, so that the time tells nothing.
func (s *Shop) fits(ctx context.Context, key []byte, person plant.PersonID, pin string) (store.PIN, bool, error) {
	row, known, err := s.store.PIN(ctx, person)
	if err != nil {
		return row, false, err
	}
	ix, err := s.bookIndex(ctx)
	if err != nil {
		return row, false, err
	}
	hash := row.Hash
	if known = known && ix.People[person] != nil && key != nil && digits(pin); !known {
		hash = s.guard.decoy()
	}
	if len(pin) > longestPIN {
		pin = ""
	}
	s.pins.hashed.Add(1)
	same, err := argon2id.ComparePasswordAndHash(secret(key, person, pin), hash)
	return row, known && same, err
}
