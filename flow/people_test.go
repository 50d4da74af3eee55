package flow_test

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tackline/fault"
	"tackline/flow"
	"tackline/store"
)

const word = "correct horse"

// peopleShop has a manager mara and a planner piet, and a clock.
func peopleShop(t *testing.T) (*flow.Shop, *fakeClock) {
	t.Helper()
	clock := newClock()
	shop := openShop(t, openStore(t, filepath.Join(t.TempDir(), "shop.db")), flow.Options{Clock: clock.now,
		People: []flow.NewUser{{Name: "mara", Role: flow.Manager, Password: word}, {Name: "piet", Role: flow.Planner, Password: word}}})
	return shop, clock
}

func signIn(t *testing.T, shop *flow.Shop, name, password string) (flow.User, error) {
	t.Helper()
	u, err := shop.SignIn(ctx, name, password)
	if err != nil {
		refused(t, err, fault.Denied, "sign-in of "+name)
	}
	return u, err
}

func TestSignIn(t *testing.T) {
	shop, _ := peopleShop(t)
	if u, err := signIn(t, shop, "piet", word); err != nil || u.Name != "piet" || u.Role != flow.Planner || u.MustChange {
		t.Errorf("sign-in: %+v, %v", u, err)
	}
	_, wrong := signIn(t, shop, "piet", "wrong horse")
	_, unknown := signIn(t, shop, "nobody", word)
	_, empty := signIn(t, shop, "piet", "")
	_, long := signIn(t, shop, "piet", strings.Repeat("x", 1<<20))
	for what, err := range map[string]error{"wrong password": wrong, "unknown name": unknown, "no password": empty, "a huge password": long} {
		if err == nil || err.Error() != wrong.Error() {
			t.Errorf("%s: %v; expected the same words as for a wrong password: %v", what, err, wrong)
		}
	}
}

// The words, and when they come, are the same for a name that a user has and for one that nobody has.
func TestFiveWrongPasswordsLockAName(t *testing.T) {
	for _, name := range []string{"piet", "nobody"} {
		t.Run(name, func(t *testing.T) {
			shop, clock := peopleShop(t)
			locked := func(password string) bool {
				_, err := signIn(t, shop, name, password)
				return err != nil && strings.Contains(err.Error(), "Try again in")
			}
			for n := range 5 {
				if locked("wrong horse") {
					t.Fatalf("locked after %d wrong passwords", n)
				}
			}
			if !locked(word) {
				t.Error("not locked after five wrong passwords")
			}
			if _, err := signIn(t, shop, "mara", word); err != nil {
				t.Errorf("another name was locked too: %v", err)
			}
			clock.pass(5*time.Minute - time.Second)
			if !locked(word) {
				t.Error("the lock did not last five minutes")
			}
			clock.pass(time.Second)
			for n := range 5 {
				if locked("wrong horse") {
					t.Fatalf("locked again after %d more wrong passwords", n)
				}
			}
			clock.pass(9 * time.Minute)
			if !locked(word) {
				t.Error("the second lock is not longer than the first")
			}
			clock.pass(2 * time.Minute)
			if _, err := signIn(t, shop, name, word); (err == nil) != (name == "piet") {
				t.Errorf("after the second lock: %v", err)
			}
		})
	}
}

func TestASuccessForgetsWrongPasswords(t *testing.T) {
	shop, _ := peopleShop(t)
	for range 3 {
		for range 4 {
			if _, err := signIn(t, shop, "piet", "wrong horse"); err == nil {
				t.Fatal("a wrong password signed in")
			}
		}
		if _, err := signIn(t, shop, "piet", word); err != nil {
			t.Fatalf("after four wrong passwords: %v", err)
		}
	}
}

func TestAManagersNewPasswordEndsALock(t *testing.T) {
	shop, _ := peopleShop(t)
	for range 5 {
		signIn(t, shop, "piet", "wrong horse")
	}
	refused(t, shop.SetPassword(ctx, flow.Who{Name: "olga", Role: flow.Operator}, "piet", "another horse"), fault.Denied, "somebody else's password")
	must(t, shop.SetPassword(ctx, boss, "piet", "another horse"))
	u, err := signIn(t, shop, "piet", "another horse")
	if err != nil || !u.MustChange {
		t.Errorf("after a new password: %+v, %v; it must be changed", u, err)
	}
	piet := flow.Who{Name: "piet", Role: flow.Planner}
	refused(t, shop.SetPassword(ctx, piet, "piet", "short"), fault.Invalid, "a short password")
	must(t, shop.SetPassword(ctx, piet, "piet", "my own horse"))
	if u, err := signIn(t, shop, "piet", "my own horse"); err != nil || u.MustChange {
		t.Errorf("after a password of one's own: %+v, %v", u, err)
	}
	refused(t, shop.SetPassword(ctx, boss, "nobody", "another horse"), fault.NotFound, "the password of nobody")
}

func TestUsersAreAddedAndBarred(t *testing.T) {
	shop, _ := peopleShop(t)
	refused(t, shop.AddUser(ctx, flow.Who{Name: "piet", Role: flow.Planner}, flow.User{Name: "x", Role: flow.Viewer}, word), fault.Denied, "a planner adds a user")
	for _, c := range []struct {
		what           string
		user           flow.User
		password, name string
	}{
		{"an unknown role", flow.User{Name: "ines", Role: "king"}, word, "role"},
		{"no name", flow.User{Role: flow.Viewer}, word, "name"},
		{"blanks", flow.User{Name: " ines", Role: flow.Viewer}, word, "name"},
		{"a long name", flow.User{Name: strings.Repeat("i", 61), Role: flow.Viewer}, word, "name"},
		{"a short password", flow.User{Name: "ines", Role: flow.Viewer}, "123456789", "password"},
	} {
		err := shop.AddUser(ctx, boss, c.user, c.password)
		refused(t, err, fault.Invalid, c.what)
		if all := fault.All(err); len(all) != 1 || all[0].Column != c.name {
			t.Errorf("%s: %v does not name %s alone", c.what, err, c.name)
		}
	}
	must(t, shop.AddUser(ctx, boss, flow.User{Name: "ines", Role: flow.Inspector}, word))
	refused(t, shop.AddUser(ctx, boss, flow.User{Name: "ines", Role: flow.Viewer}, word), fault.Conflict, "the same name again")
	if u, err := signIn(t, shop, "ines", word); err != nil || !u.MustChange {
		t.Errorf("a new user: %+v, %v; the password must be changed", u, err)
	}
	must(t, shop.ChangeUser(ctx, boss, flow.User{Name: "ines", Role: flow.Inspector, Disabled: true}))
	if _, err := signIn(t, shop, "ines", word); err == nil {
		t.Error("a barred user signed in")
	}
	must(t, shop.ChangeUser(ctx, boss, flow.User{Name: "ines", Role: flow.Shipper}))
	if u, err := signIn(t, shop, "ines", word); err != nil || u.Role != flow.Shipper {
		t.Errorf("a user let in again: %+v, %v", u, err)
	}
	refused(t, shop.ChangeUser(ctx, boss, flow.User{Name: "nobody", Role: flow.Viewer}), fault.NotFound, "a change of nobody")
}

func TestTheLastManagerStays(t *testing.T) {
	shop, _ := peopleShop(t)
	bar := flow.User{Name: "mara", Role: flow.Manager, Disabled: true}
	refused(t, shop.ChangeUser(ctx, boss, bar), fault.Conflict, "barring the last manager")
	refused(t, shop.ChangeUser(ctx, boss, flow.User{Name: "mara", Role: flow.Planner}), fault.Conflict, "another role for the last manager")
	must(t, shop.ChangeUser(ctx, boss, flow.User{Name: "piet", Role: flow.Manager, Disabled: true}))
	refused(t, shop.ChangeUser(ctx, boss, bar), fault.Conflict, "barring the last manager who is not barred")
	must(t, shop.ChangeUser(ctx, boss, flow.User{Name: "piet", Role: flow.Manager}))
	must(t, shop.ChangeUser(ctx, boss, bar))
	refused(t, shop.ChangeUser(ctx, boss, flow.User{Name: "piet", Role: flow.Manager, Disabled: true}), fault.Conflict, "barring the manager left")
}

// Two managers who bar each other at the same moment must not both succeed.
func TestManagersCannotBarEachOther(t *testing.T) {
	shop, _ := peopleShop(t)
	must(t, shop.ChangeUser(ctx, boss, flow.User{Name: "piet", Role: flow.Manager}))
	done := make(chan error, 2)
	for _, name := range []string{"mara", "piet"} {
		go func() { done <- shop.ChangeUser(ctx, boss, flow.User{Name: name, Role: flow.Manager, Disabled: true}) }()
	}
	first, second := <-done, <-done
	if (first == nil) == (second == nil) {
		t.Errorf("one should have succeeded: %v, %v", first, second)
	}
}

func TestTheFirstAdministratorIsShownOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	s, err := store.Open(ctx, path)
	must(t, err)
	shop, err := flow.Open(ctx, s, flow.Options{SignInMin: -1})
	must(t, err)
	first, ok := shop.FirstSignIn()
	if !ok || first.Role != flow.Manager || len(first.Password) < 16 {
		t.Fatalf("the first administrator: %v, %v", first, ok)
	}
	if _, again := shop.FirstSignIn(); again {
		t.Error("the password is shown twice")
	}
	if u, err := shop.SignIn(ctx, first.Name, first.Password); err != nil || !u.MustChange {
		t.Errorf("the first sign-in: %+v, %v; the password must be changed", u, err)
	}
	must(t, shop.Close())
	must(t, s.Close())
	later := openShop(t, openStore(t, path), flow.Options{})
	if _, ok := later.FirstSignIn(); ok {
		t.Error("a later start makes an administrator again")
	}
	if _, err := later.SignIn(ctx, first.Name, first.Password); err != nil {
		t.Errorf("the administrator after a restart: %v", err)
	}
}
