package flow

import (
	"context"
	"crypto/rand"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/alexedwards/argon2id"

	"tackline/fault"
	"tackline/plant"
	"tackline/store"
)

// NewUser is a user to be made, with the password in clear.
type NewUser struct{ Name, Role, Password string }

// Bounds of passwords and of refused sign-ins.
const (
	shortestPassword = 10
	longestPassword  = 200
	longestName      = 60
	failuresAllowed  = 5               // in a row, before the name is locked
	lockFor          = 5 * time.Minute // and doubled with each further five
	longestLock      = 4 * time.Hour
	refusedTakes     = 400 * time.Millisecond
)

// hashing follows OWASP's password storage sheet for argon2id: 19 MiB, two passes, one lane.
var hashing = &argon2id.Params{Memory: 19 * 1024, Iterations: 2, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// signInGuard makes a refused sign-in take its time, and bounds how many passwords are hashed at once.
type signInGuard struct {
	least time.Duration
	slots chan struct{}
	decoy func() string // a hash to compare with where there is no such user, so that the time tells nothing

	mu        sync.Mutex
	strangers map[string]store.User // refusals of names that no user has, so that a lock tells nothing either
}

// wait makes what began at an instant, and is refused, take its time.
func (g *signInGuard) wait(ctx context.Context, began time.Time) {
	select {
	case <-time.After(g.least - time.Since(began)):
	case <-ctx.Done():
	}
}

// strangersKept bounds the memory that made-up names can take.
const strangersKept = 10_000

// stranger gives the refusals of a name that no user has.
func (g *signInGuard) stranger(name string) store.User {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.strangers[name]
}

// refuse counts a refusal of a name that no user has.
func (g *signInGuard) refuse(name string, now plant.Time) {
	if len(name) > 4*longestName {
		return // no user can have it
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if len(g.strangers) >= strangersKept {
		clear(g.strangers)
	}
	u := g.strangers[name]
	u.Failures++
	if wait := lockAfter(u.Failures); wait > 0 {
		u.LockedUntil = now.Add(wait)
	}
	g.strangers[name] = u
}

func newSignInGuard(least time.Duration) *signInGuard {
	if least == 0 {
		least = refusedTakes
	}
	decoy := sync.OnceValue(func() string {
		h, _ := argon2id.CreateHash(rand.Text(), hashing)
		return h
	})
	return &signInGuard{least: max(least, 0), slots: make(chan struct{}, 4), decoy: decoy, strangers: map[string]store.User{}}
}

// firstUsers makes the users of a new store: those given, else one administrator with a random password.
func (s *Shop) firstUsers(ctx context.Context, people []NewUser) error {
	there, err := s.store.Users(ctx)
	if err != nil || len(there) > 0 {
		return err
	}
	if len(people) == 0 {
		first := NewUser{Name: "administrator", Role: Manager, Password: strings.ToLower(rand.Text()[:16])}
		if err := s.makeUser(ctx, "first start", first, true); err != nil {
			return err
		}
		s.first.Store(&first)
		return nil
	}
	for _, u := range people {
		if err := s.makeUser(ctx, "first start", u, false); err != nil {
			return err
		}
	}
	return nil
}

// FirstSignIn gives the administrator that this start made on a store without users; ok is false otherwise. The password
// is kept nowhere else.
func (s *Shop) FirstSignIn() (u NewUser, ok bool) {
	if f := s.first.Swap(nil); f != nil {
		return *f, true
	}
	return NewUser{}, false
}

func (s *Shop) makeUser(ctx context.Context, by string, u NewUser, mustChange bool) error {
	if err := checkUser(u); err != nil {
		return err
	}
	hash, err := argon2id.CreateHash(u.Password, hashing)
	if err != nil {
		return err
	}
	row := store.User{Name: u.Name, Role: u.Role, Hash: hash, MustChange: mustChange, Made: s.now()}
	return s.store.AddUser(ctx, row, store.Act{At: s.now(), Who: by, Kind: ActUser, Note: fmt.Sprintf("%s, %s, added", u.Name, u.Role)})
}

func checkUser(u NewUser) error {
	var faults fault.List
	if n := len([]rune(u.Name)); n == 0 || n > longestName || strings.TrimSpace(u.Name) != u.Name {
		faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: "name", Value: u.Name, Expected: fmt.Sprintf("1 to %d letters without blanks at the ends", longestName)})
	}
	if !has(Roles(), u.Role) {
		faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: "role", Value: u.Role, Expected: "one of " + strings.Join(Roles(), ", ")})
	}
	if f := checkPassword(u.Password); f != nil {
		faults = append(faults, f)
	}
	return faults.Err()
}

func checkPassword(p string) *fault.Fault {
	if n := len([]rune(p)); n < shortestPassword || n > longestPassword {
		return &fault.Fault{Kind: fault.Invalid, Column: "password", Expected: fmt.Sprintf("%d to %d characters", shortestPassword, longestPassword)}
	}
	return nil
}

// AddUser makes a user. Somebody else chose the password, so it must be changed at the first sign-in.
func (s *Shop) AddUser(ctx context.Context, who Who, u User, password string) error {
	if err := need(who, MayKeepPeople); err != nil {
		return err
	}
	return s.makeUser(ctx, who.Name, NewUser{Name: u.Name, Role: u.Role, Password: password}, true)
}

// SetPassword gives a user a new password: one's own, or anybody's for those who keep users.
func (s *Shop) SetPassword(ctx context.Context, who Who, name, password string) error {
	if who.Name != name {
		if err := need(who, MayKeepPeople); err != nil {
			return err
		}
	}
	if f := checkPassword(password); f != nil {
		return f
	}
	s.people.Lock()
	defer s.people.Unlock()
	row, err := s.store.User(ctx, name)
	if err != nil {
		return err
	}
	if row.Hash, err = argon2id.CreateHash(password, hashing); err != nil {
		return err
	}
	row.MustChange, row.Failures, row.LockedUntil = who.Name != name, 0, 0
	return s.store.SaveUser(ctx, row, store.Act{At: s.now(), Who: who.Name, Kind: ActPassword, Note: name})
}

// ChangeUser changes a user's role, or bars him from signing in. The last manager can neither lose the role nor be barred.
func (s *Shop) ChangeUser(ctx context.Context, who Who, u User) error {
	name, role, disabled := u.Name, u.Role, u.Disabled
	if err := need(who, MayKeepPeople); err != nil {
		return err
	}
	if !has(Roles(), role) {
		return &fault.Fault{Kind: fault.Invalid, Column: "role", Value: role, Expected: "one of " + strings.Join(Roles(), ", ")}
	}
	s.people.Lock()
	defer s.people.Unlock()
	all, err := s.store.Users(ctx)
	if err != nil {
		return err
	}
	managers := 0
	for _, u := range all {
		if u.Role == Manager && !u.Disabled && u.Name != name {
			managers++
		}
	}
	if managers == 0 && (role != Manager || disabled) {
		return fault.New(fault.Conflict, "%s is the last manager who can sign in. Make another first.", name)
	}
	row, err := s.store.User(ctx, name)
	if err != nil {
		return err
	}
	row.Role, row.Disabled = role, disabled
	return s.store.SaveUser(ctx, row, store.Act{At: s.now(), Who: who.Name, Kind: ActUser, Note: fmt.Sprintf("%s, %s", name, role)})
}

// User gives the user with a name.
func (s *Shop) User(ctx context.Context, name string) (User, error) {
	row, err := s.store.User(ctx, name)
	return userOf(row), err
}

// Users gives all users by name.
func (s *Shop) Users(ctx context.Context) ([]User, error) {
	rows, err := s.store.Users(ctx)
	out := make([]User, len(rows))
	for i := range rows {
		out[i] = userOf(rows[i])
	}
	return out, err
}

func userOf(r store.User) User {
	return User{Name: r.Name, Role: r.Role, MustChange: r.MustChange, Disabled: r.Disabled, Made: r.Made}
}

// SignIn gives the user if name and password fit. A refusal is a Denied fault that does not tell which of the two was
// wrong, takes its time, and after five in a row locks the name for a while.
func (s *Shop) SignIn(ctx context.Context, name, password string) (User, error) {
	began := time.Now() // real time, whatever the shop's clock says: this is about waiting
	u, err := s.trySignIn(ctx, name, password)
	if err != nil {
		s.guard.wait(ctx, began)
	}
	return u, err
}

func (s *Shop) trySignIn(ctx context.Context, name, password string) (User, error) {
	select {
	case s.guard.slots <- struct{}{}:
		defer func() { <-s.guard.slots }()
	case <-ctx.Done():
		return User{}, ctx.Err()
	}
	row, err := s.store.User(ctx, name)
	known := err == nil
	if !known && fault.KindOf(err) != fault.NotFound {
		return User{}, err
	}
	if !known {
		row = s.guard.stranger(name)
	}
	if row.LockedUntil > s.now() {
		return User{}, fault.New(fault.Denied, "Too many wrong passwords for this name. Try again in %d minutes, or ask a manager for a new password.",
			int(row.LockedUntil.Sub(s.now()).Minutes())+1)
	}
	hash := row.Hash
	if !known {
		hash = s.guard.decoy()
	}
	if len(password) > 4*longestPassword {
		password = ""
	}
	fits, err := argon2id.ComparePasswordAndHash(password, hash)
	if err != nil {
		return User{}, err
	}
	if known && fits && !row.Disabled {
		if row.Failures > 0 {
			err = s.store.ClearFailures(ctx, name)
		}
		return userOf(row), err
	}
	if !known {
		s.guard.refuse(name, s.now())
	} else if err := s.countFailure(ctx, name); err != nil {
		return User{}, err
	}
	return User{}, fault.New(fault.Denied, "Name and password do not fit together.")
}

// countFailure locks a name after each five refusals in a row, twice as long each time.
func (s *Shop) countFailure(ctx context.Context, name string) error {
	n, err := s.store.CountFailure(ctx, name)
	wait := lockAfter(n)
	if err != nil || wait == 0 {
		return err
	}
	return s.store.LockUser(ctx, name, s.now().Add(wait))
}

// lockAfter gives how long a name is locked after its n-th refusal in a row; 0: not at all.
func lockAfter(n int) plant.Seconds {
	if n == 0 || n%failuresAllowed != 0 {
		return 0
	}
	return plant.Seconds(min(lockFor<<min(n/failuresAllowed-1, 10), longestLock) / time.Second)
}
