package flow_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alexedwards/argon2id"

	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
	"tackline/store"
)

const pin = "480615"

// pinShop has the small book on a database at path, where the first two people have the PIN, and a clock.
type pinShop struct {
	*flow.Shop
	path     string
	clock    *fakeClock
	ada, ben plant.PersonID
}

func newPINShop(t *testing.T) *pinShop {
	t.Helper()
	b := small()
	x := &pinShop{path: filepath.Join(t.TempDir(), "shop.db"), clock: newClock(), ada: b.People[0].ID, ben: b.People[1].ID}
	x.Shop = openShop(t, openStore(t, x.path), flow.Options{Clock: x.clock.now})
	must(t, x.ImportBook(ctx, boss, b, nil))
	must(t, x.SetPIN(ctx, boss, x.ada, pin))
	must(t, x.SetPIN(ctx, boss, x.ben, pin))
	return x
}

// restart opens the database anew.
func (x *pinShop) restart(t *testing.T) {
	t.Helper()
	must(t, x.Close())
	x.Shop = openShop(t, openStore(t, x.path), flow.Options{Clock: x.clock.now})
}

// try gives what a PIN that must be refused is answered.
func (x *pinShop) try(t *testing.T, device string, person plant.PersonID, with string) string {
	t.Helper()
	err := x.CheckPIN(flow.AtDevice(ctx, device), person, with)
	refused(t, err, fault.Denied, fmt.Sprintf("PIN %q of %s", with, person))
	return fmt.Sprint(err)
}

func TestPINs(t *testing.T) {
	x := newPINShop(t)
	must(t, x.CheckPIN(ctx, x.ada, pin))
	none := plant.PersonID("p-none")
	words := x.try(t, "a", x.ada, "480616")
	must(t, x.ClearPIN(ctx, boss, x.ben))
	for person, with := range map[plant.PersonID]string{x.ben: pin, none: pin, "": "", plant.PersonID(strings.Repeat("x", 1<<16)): strings.Repeat("1", 1<<16)} {
		if got := x.try(t, "b", person, with); got != words {
			t.Errorf("%.20s is told %q; somebody with another PIN %q", person, got, words)
		}
	}
	if has, err := x.HasPIN(ctx, x.ada); !has || err != nil {
		t.Errorf("has a PIN: %t, %v", has, err)
	}
	if has, err := x.HasPIN(ctx, x.ben); has || err != nil {
		t.Errorf("has a PIN after it was cleared: %t, %v", has, err)
	}
	refused(t, x.SetPIN(ctx, hand, x.ada, "719304"), fault.Denied, "an operator sets a PIN")
	refused(t, x.ClearPIN(ctx, hand, x.ada), fault.Denied, "an operator clears a PIN")
	refused(t, x.UnlockPIN(ctx, hand, x.ada), fault.Denied, "an operator unlocks a PIN")
	refused(t, x.SetPIN(ctx, boss, none, "719304"), fault.NotFound, "the PIN of nobody")
	refused(t, x.ClearPIN(ctx, boss, x.ben), fault.NotFound, "clearing no PIN")

	refused(t, x.ChangePIN(ctx, x.ada, "480616", "719304"), fault.Denied, "a change with a wrong PIN")
	refused(t, x.ChangePIN(ctx, x.ada, pin, pin), fault.Invalid, "a change to the same PIN")
	refused(t, x.ChangePIN(ctx, x.ada, pin, "1234"), fault.Invalid, "a change to a PIN that is guessed")
	must(t, x.ChangePIN(ctx, x.ada, pin, "719304"))
	x.try(t, "a", x.ada, pin)
	must(t, x.CheckPIN(ctx, x.ada, "719304"))

	acts, err := x.Store().Acts(ctx, 100)
	must(t, err)
	kinds := 0
	for _, a := range acts {
		if a.Kind == flow.ActPIN {
			kinds++
		}
		if strings.Contains(a.Note, pin) || strings.Contains(a.Note, "719304") {
			t.Errorf("an act tells the PIN: %+v", a)
		}
	}
	if kinds != 4 {
		t.Errorf("%d acts about PINs; expected two set, one cleared, one changed", kinds)
	}
}

// TestLocksAreActs: what is locked stands in the history, and what fitted at the last try does not.
func TestLocksAreActs(t *testing.T) {
	x := newPINShop(t)
	locks := func() (list []string) {
		acts, err := x.Store().Acts(ctx, 100)
		must(t, err)
		for _, a := range acts {
			if strings.Contains(a.Note, "wrong tries") {
				list = append(list, a.Who+": "+a.Note)
			}
		}
		return list
	}
	at := flow.AtDevice(ctx, "t1")
	for range 4 {
		x.try(t, "t1", x.ada, "480616")
	}
	must(t, x.CheckPIN(at, x.ada, pin))
	if got := locks(); len(got) != 0 {
		t.Errorf("after four wrong tries and the right one: %q", got)
	}
	for range 5 {
		x.try(t, "t1", x.ada, "480616")
	}
	if got := locks(); len(got) != 1 || got[0] != "t1: "+string(x.ada)+", locked after 5 wrong tries" {
		t.Errorf("after five: %q", got)
	}
}

func TestPINsThatAreGuessed(t *testing.T) {
	for _, bad := range []string{"", "123", "123456789", "12a4", " 1234", "١٢٣٤", "-123", "1e99", "0000", "1111", "1234", "4321", "7890", "0987", "1357", "1212", "123123", "2580", "1122", "4554", "1987", "2004", "55555555", "4711"} {
		if err := flow.CheckNewPIN("p-4711", bad); fault.KindOf(err) != fault.Invalid {
			t.Errorf("the PIN %q is let through: %v", bad, err)
		} else if bad != "" && strings.Contains(err.Error(), bad) {
			t.Errorf("the fault tells the PIN: %v", err)
		}
	}
	for _, good := range []string{"4806", "9137", "480615", "31415926"} {
		must(t, flow.CheckNewPIN("p-4711", good))
	}
	left := 0
	for n := range 10_000 {
		if flow.CheckNewPIN("p-4711", fmt.Sprintf("%04d", n)) == nil {
			left++
		}
	}
	if left < 9_300 || left > 9_600 {
		t.Errorf("%d of 10000 PINs of four digits may be chosen", left)
	}
}

// TestLocksGrowAndLast: five wrong tries lock, for twice as long each time, over a restart, and only that person.
func TestLocksGrowAndLast(t *testing.T) {
	for _, who := range []string{"somebody", "nobody"} {
		t.Run(who, func(t *testing.T) {
			x := newPINShop(t)
			person := x.ada
			if who == "nobody" {
				person = "p-none"
			}
			device := 0
			wrong := func(n int) {
				for range n {
					device++
					if got := x.try(t, fmt.Sprint("d", device), person, "480616"); strings.Contains(got, "Try again") {
						t.Fatalf("locked too early: %s", got)
					}
				}
			}
			isLocked := func(what string) {
				t.Helper()
				if got := x.try(t, "d", person, pin); !strings.Contains(got, "for this person. Try again in") {
					t.Errorf("%s: %s", what, got)
				}
			}
			wrong(5)
			isLocked("after five")
			x.restart(t)
			isLocked("after a restart")
			must(t, x.CheckPIN(flow.AtDevice(ctx, "d"), x.ben, pin))
			x.clock.pass(5*time.Minute - time.Second)
			isLocked("before five minutes are over")
			x.clock.pass(time.Second)
			wrong(5)
			x.clock.pass(9 * time.Minute)
			isLocked("after nine minutes of the second lock")
			x.clock.pass(2 * time.Minute)
			if err := x.CheckPIN(ctx, person, pin); (err == nil) != (who == "somebody") {
				t.Errorf("after the second lock: %v", err)
			}
			if who == "nobody" {
				return
			}
			wrong(5)
			isLocked("after a success and five more")
			must(t, x.UnlockPIN(ctx, boss, person))
			must(t, x.CheckPIN(ctx, person, pin))
		})
	}
}

// TestAHundredWrongTriesEndAPIN: no patience gets through.
func TestAHundredWrongTriesEndAPIN(t *testing.T) {
	x := newPINShop(t)
	must(t, x.Store().ChangeTries(ctx, string(x.ada), "d", 0, func(p, _ *store.Tries) error {
		p.Failures, p.Last = 94, plant.At(x.clock.now()) // many days of patience
		return nil
	}))
	for range 6 {
		x.try(t, "d", x.ada, "480616")
		x.clock.pass(5 * time.Hour)
	}
	if n := x.HashedPINs(); n != 6 {
		t.Errorf("%d PINs were looked at in six tries, each after the lock of the one before", n)
	}
	x.clock.pass(40 * 24 * time.Hour)
	if got := x.try(t, "d", x.ada, pin); !strings.Contains(got, "Ask a manager for a new one") {
		t.Errorf("after a hundred: %s", got)
	}
	must(t, x.SetPIN(ctx, boss, x.ada, "719304"))
	must(t, x.CheckPIN(ctx, x.ada, "719304"))
}

// TestADeviceIsLocked: who tries one PIN on everybody is stopped at his terminal, and others go on elsewhere.
func TestADeviceIsLocked(t *testing.T) {
	x := newPINShop(t)
	for n := range 20 {
		if n == 10 {
			must(t, x.CheckPIN(flow.AtDevice(ctx, "t1"), x.ada, pin)) // signing on oneself in between forgets nothing
		}
		x.try(t, "t1", plant.PersonID(fmt.Sprint("p-", n)), "480616")
	}
	looked := x.HashedPINs()
	if got := x.try(t, "t1", x.ada, pin); !strings.Contains(got, "at this terminal") {
		t.Errorf("after twenty: %s", got)
	}
	x.restart(t)
	if got := x.try(t, "t1", x.ada, pin); !strings.Contains(got, "at this terminal") || looked != 21 || x.HashedPINs() != 0 {
		t.Errorf("after a restart: %s; %d PINs were looked at before, %d after", got, looked, x.HashedPINs())
	}
	must(t, x.CheckPIN(flow.AtDevice(ctx, "t2"), x.ada, pin))
	x.clock.pass(10 * time.Minute)
	must(t, x.CheckPIN(flow.AtDevice(ctx, "t1"), x.ada, pin))
	for n := range 40 { // slips, spread over time
		x.try(t, "t1", plant.PersonID(fmt.Sprint("q-", n)), "480616")
		x.clock.pass(time.Minute)
	}
}

// TestBruteForce: of all PINs tried at one time from many devices, five are looked at.
func TestBruteForce(t *testing.T) {
	x := newPINShop(t)
	var wait sync.WaitGroup
	for worker := range 8 {
		wait.Go(func() {
			for n := worker; n < 2000; n += 8 {
				if err := x.CheckPIN(flow.AtDevice(ctx, fmt.Sprint("d", n%1000)), x.ada, fmt.Sprintf("48%04d", n)); err == nil {
					t.Error("a PIN was found")
				}
			}
		})
	}
	wait.Wait()
	if n := x.HashedPINs(); n != 5 {
		t.Errorf("%d PINs were looked at", n)
	}
	must(t, x.CheckPIN(ctx, x.ben, pin))
}

// TestAStolenDatabaseGivesNoPINs: the files of the database hold neither PINs nor tokens, and without the key beside them the right
// guess cannot be told from a wrong one.
func TestAStolenDatabaseGivesNoPINs(t *testing.T) {
	x := newPINShop(t)
	token, d, err := x.Enrol(ctx, boss, "Tack 1", small().Plants[0].ID, "")
	must(t, err)
	kept, _, err := x.OpenDevice(ctx, token)
	must(t, err)
	row, _, err := x.Store().PIN(ctx, x.ada)
	must(t, err)
	if same, err := argon2id.ComparePasswordAndHash(pin, row.Hash); same || err != nil {
		t.Errorf("the PIN can be found from its hash alone: %t, %v", same, err)
	}
	if dev, err := x.Store().Device(ctx, d.ID); err != nil || dev.Token != flow.TokenHash(kept) {
		t.Errorf("of the token is kept %q, %v", dev.Token, err)
	}
	info, err := os.Stat(x.path + ".pinkey")
	must(t, err)
	if info.Mode().Perm() != 0o600 {
		t.Errorf("the key can be read by others: %v", info.Mode())
	}
	must(t, x.Close())
	key, err := os.ReadFile(x.path + ".pinkey")
	must(t, err)
	files, err := filepath.Glob(x.path + "*")
	must(t, err)
	for _, f := range files {
		text, err := os.ReadFile(f)
		must(t, err)
		for what, secret := range map[string]string{"a token of a link": token, "a token": kept, "the key": strings.TrimSpace(string(key))} {
			if !strings.HasSuffix(f, ".pinkey") && bytes.Contains(text, []byte(secret)) {
				t.Errorf("%s holds %s", filepath.Base(f), what)
			}
		}
	}

	must(t, os.Remove(x.path+".pinkey")) // a copy without the key
	stolen := openShop(t, openStore(t, x.path), flow.Options{Clock: x.clock.now})
	refused(t, stolen.CheckPIN(ctx, x.ada, pin), fault.Denied, "the PIN without the key")
	must(t, stolen.SetPIN(ctx, boss, x.ben, pin))
	states, err := stolen.PINs(ctx)
	must(t, err)
	if !states[x.ada].Lost || states[x.ben].Lost || states[x.ada].Failures != 1 {
		t.Errorf("states: %+v", states)
	}
}

// TestWhoLeavesTheBookSignsOnNoMore: the PIN of a person whose row is gone does not count.
func TestWhoLeavesTheBookSignsOnNoMore(t *testing.T) {
	x := newPINShop(t)
	b := small()
	gone := b.People[0]
	gone.ID = "p-gone"
	b.People = append(b.People, gone)
	must(t, x.ImportBook(ctx, boss, b, nil))
	must(t, x.SetPIN(ctx, boss, "p-gone", pin))
	must(t, x.CheckPIN(ctx, "p-gone", pin))
	must(t, x.ImportBook(ctx, boss, small(), nil))
	refused(t, x.CheckPIN(ctx, "p-gone", pin), fault.Denied, "the PIN of who has left the book")
}

func TestADamagedKeyIsReported(t *testing.T) {
	path := filepath.Join(t.TempDir(), "key")
	must(t, os.WriteFile(path, []byte("abc"), 0o600))
	shop := openShop(t, openStore(t, filepath.Join(t.TempDir(), "shop.db")), flow.Options{PINKey: path})
	must(t, shop.ImportBook(ctx, boss, small(), nil))
	refused(t, shop.SetPIN(ctx, boss, small().People[0].ID, pin), fault.Conflict, "a damaged key")
}

// TestTheHashOfAPINIsBound: a hash counts for the person whom it was made for.
func TestTheHashOfAPINIsBound(t *testing.T) {
	x := newPINShop(t)
	row, _, err := x.Store().PIN(ctx, x.ada)
	must(t, err)
	must(t, x.Store().SavePIN(ctx, store.PIN{Person: x.ben, Hash: row.Hash, Key: row.Key, Set: row.Set}, store.Act{Kind: "test"}))
	refused(t, x.CheckPIN(ctx, x.ben, pin), fault.Denied, "the hash of somebody else, copied")
}

func FuzzPIN(f *testing.F) {
	for _, s := range []string{"4806", "0000", "١٢٣٤", "12345678", "\x00\xff", "1 2 3 4"} {
		f.Add("p-101", s)
	}
	f.Fuzz(func(t *testing.T, person, pin string) {
		err := flow.CheckNewPIN(plant.PersonID(person), pin)
		if err != nil && fault.KindOf(err) != fault.Invalid {
			t.Errorf("%q: %v", pin, err)
		}
		if err == nil && (len(pin) < 4 || len(pin) > 8 || strings.Trim(pin, "0123456789") != "") {
			t.Errorf("%q is taken for a PIN", pin)
		}
	})
}

// BenchmarkShiftChange times forty-five people who sign on at one time, from the first to the last.
func BenchmarkShiftChange(b *testing.B) {
	st, err := store.Open(ctx, filepath.Join(b.TempDir(), "shop.db"))
	if err != nil {
		b.Fatal(err)
	}
	defer st.Close()
	shop, err := flow.Open(ctx, st, flow.Options{SignInMin: -1})
	if err != nil {
		b.Fatal(err)
	}
	defer shop.Close()
	book := small()
	if err := shop.ImportBook(ctx, boss, book, nil); err != nil {
		b.Fatal(err)
	}
	person := book.People[0].ID
	if err := shop.SetPIN(ctx, boss, person, pin); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		var wait sync.WaitGroup
		for n := range 45 {
			wait.Go(func() {
				if err := shop.CheckPIN(flow.AtDevice(ctx, fmt.Sprint("t-", n)), person, pin); err != nil {
					b.Error(err)
				}
			})
		}
		wait.Wait()
	}
}
