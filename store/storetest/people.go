package storetest

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"

	"tackline/fault"
	"tackline/plant"
	"tackline/store"
)

func pins(t *testing.T, s *store.Store) {
	ctx := context.Background()
	p := store.PIN{Person: "p-Ø1", Hash: "$argon2id$...", Key: "k1", Set: 5}
	if _, ok, err := s.PIN(ctx, p.Person); ok || err != nil {
		t.Errorf("a PIN before it is set: %t, %v", ok, err)
	}
	wrong(t, s, "p-Ø1", "t1", 10)
	for range 2 { // the second takes the place of the first
		if err := s.SavePIN(ctx, p, act); err != nil {
			t.Fatal(err)
		}
		p.Hash, p.Set = "other", 6
	}
	p.Hash, p.Set = "other", 6
	if err := s.SavePIN(ctx, p, act); err != nil {
		t.Fatal(err)
	}
	got, ok, err := s.PIN(ctx, p.Person)
	if !ok || err != nil {
		t.Fatal(ok, err)
	}
	same(t, "PIN", got, p)
	mine, device, err := s.Tries(ctx, "p-Ø1", "t1")
	if err != nil {
		t.Fatal(err)
	}
	same(t, "a new PIN forgets wrong tries of the person", mine, store.Tries{Kind: store.TriesOfPerson, Name: "p-Ø1"})
	same(t, "and not of the device", device, store.Tries{Kind: store.TriesOfDevice, Name: "t1", Failures: 1, Since: 10, Last: 10, LockedUntil: 11})
	list, err := s.PINs(ctx)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "PINs", list, []store.PIN{p})
	if err := s.ClearPIN(ctx, p.Person, act); err != nil {
		t.Fatal(err)
	}
	isKind(t, s.ClearPIN(ctx, p.Person, act), fault.NotFound)
}

// wrong counts a wrong PIN.
func wrong(t *testing.T, s *store.Store, person, device string, at plant.Time) {
	t.Helper()
	err := s.ChangeTries(context.Background(), person, device, 0, func(p, d *store.Tries) error {
		for _, x := range []*store.Tries{p, d} {
			x.Failures++
			x.Since, x.Last, x.LockedUntil = at, at, at+1
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

func tries(t *testing.T, s *store.Store) {
	ctx := context.Background()
	if err := s.SavePIN(ctx, store.PIN{Person: "ada"}, act); err != nil {
		t.Fatal(err)
	}
	var wait sync.WaitGroup
	for range 20 {
		wait.Go(func() { wrong(t, s, "ada", "t1", 10) })
	}
	wait.Wait()
	p, d, err := s.Tries(ctx, "ada", "t1")
	if err != nil || p.Failures != 20 || d.Failures != 20 {
		t.Errorf("of 20 wrong tries at one time %d and %d were counted, %v", p.Failures, d.Failures, err)
	}
	refused := errors.New("no")
	if err := s.ChangeTries(ctx, "ada", "t1", 0, func(p, d *store.Tries) error { p.Failures = 99; return refused }); !errors.Is(err, refused) {
		t.Errorf("a change that was refused: %v", err)
	}
	wrong(t, s, "nobody", "t2", 12)
	if err := s.ChangeTries(ctx, "ben", "t3", 15, func(p, d *store.Tries) error { return nil }); err != nil {
		t.Fatal(err)
	}
	names := ""
	for _, kind := range []string{store.TriesOfPerson, store.TriesOfDevice} {
		all, err := s.AllTries(ctx, kind)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range all {
			names += x.Name + " "
		}
	}
	same(t, "what is kept of old tries: those of who has a PIN", strings.TrimSpace(names), "ada ben t3")
	if err := s.ForgetTries(ctx, "ada", act); err != nil {
		t.Fatal(err)
	}
	if p, _, err = s.Tries(ctx, "ada", "t1"); err != nil || p.Failures != 0 {
		t.Errorf("forgotten tries: %+v, %v", p, err)
	}
}

func devices(t *testing.T, s *store.Store) {
	ctx := context.Background()
	d := store.Device{ID: "d1", Name: "Tack 1", Plant: "a", Station: "tack-1", Token: "h1", Enrolled: 5, Until: 9}
	if err := s.AddDevice(ctx, d, act); err != nil {
		t.Fatal(err)
	}
	isKind(t, s.AddDevice(ctx, store.Device{ID: "d2", Name: "Tack 1", Token: "h2"}, act), fault.Conflict)
	got, ok, err := s.DeviceByToken(ctx, "h1")
	if !ok || err != nil {
		t.Fatal(ok, err)
	}
	same(t, "device", got, d)
	d.Token, d.Opened, d.Until, d.Disabled = "h3", 6, 0, true
	d.Seen = 7
	if err := s.SaveDevice(ctx, d, "h1", act); err != nil {
		t.Fatal(err)
	}
	isKind(t, s.SaveDevice(ctx, d, "h1", act), fault.Conflict)
	for _, at := range []plant.Time{20, 15} {
		if err := s.SeeDevice(ctx, "d1", at); err != nil {
			t.Fatal(err)
		}
	}
	d.Seen = 20
	if got, err = s.Device(ctx, "d1"); err != nil {
		t.Fatal(err)
	}
	same(t, "changed device", got, d)
	if _, ok, err := s.DeviceByToken(ctx, "h1"); ok || err != nil {
		t.Errorf("the old token still finds the device: %t, %v", ok, err)
	}
	_, err = s.Device(ctx, "none")
	isKind(t, err, fault.NotFound)
	list, err := s.Devices(ctx)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "devices", list, []store.Device{d})
}
