package flow_test

import (
	"encoding/base64"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
)

// deviceShop has the small book and a clock.
func deviceShop(t *testing.T) (*flow.Shop, *fakeClock) {
	t.Helper()
	clock := newClock()
	shop := openShop(t, openStore(t, filepath.Join(t.TempDir(), "shop.db")), flow.Options{Clock: clock.now,
		People: []flow.NewUser{{Name: "mara", Role: flow.Manager, Password: word}}})
	must(t, shop.ImportBook(ctx, boss, small(), nil))
	return shop, clock
}

// carries gives the terminal that carries a token, "" if there is none.
func carries(t *testing.T, shop *flow.Shop, token string) string {
	t.Helper()
	d, ok, err := shop.DeviceOf(ctx, token)
	must(t, err)
	if !ok {
		return ""
	}
	return d.Name
}

// TestDevices goes the way of a terminal: enrolled, opened once, seen, shut out, let in again.
func TestDevices(t *testing.T) {
	shop, clock := deviceShop(t)
	b := small()
	token, d, err := shop.Enrol(ctx, boss, "Tack 1", b.Plants[0].ID, b.Stations[0].ID)
	must(t, err)
	if w := d.Who(); w.Name != "Tack 1" || w.Role != flow.Operator || d.Station != b.Stations[0].ID {
		t.Errorf("the terminal: %+v", d)
	}
	if raw, err := base64.RawURLEncoding.DecodeString(token); err != nil || len(raw) != 32 {
		t.Errorf("the token %q has %d bytes, %v", token, len(raw), err)
	}
	kept, _, err := shop.OpenDevice(ctx, token)
	must(t, err)
	if _, _, err := shop.OpenDevice(ctx, token); fault.KindOf(err) != fault.Conflict {
		t.Errorf("a link was opened twice: %v", err)
	}
	if carries(t, shop, token) != "" || carries(t, shop, kept) != "Tack 1" {
		t.Error("the token of the link still counts, or the one kept does not")
	}
	if _, _, err := shop.OpenDevice(ctx, kept); fault.KindOf(err) != fault.Conflict {
		t.Errorf("what a terminal carries was taken for a link: %v", err)
	}
	clock.pass(time.Hour)
	carries(t, shop, kept)
	if d, err = shop.Device(ctx, d.ID); err != nil || d.Seen.In(time.UTC) != clock.now() {
		t.Errorf("last there: %v, %v", d.Seen, err)
	}
	must(t, shop.DisableDevice(ctx, boss, d.ID))
	if out, ok, err := shop.DeviceOf(ctx, kept); ok || err != nil || !out.Disabled {
		t.Errorf("a terminal that is shut out: %+v, %t, %v", out, ok, err)
	}
	again, _, err := shop.NewLink(ctx, boss, d.ID)
	must(t, err)
	if carries(t, shop, kept) != "" {
		t.Error("a new link lets what was carried before count again")
	}
	clock.pass(24 * time.Hour)
	if _, _, err := shop.OpenDevice(ctx, again); fault.KindOf(err) != fault.Conflict {
		t.Errorf("a link of the day before was opened: %v", err)
	}
	acts, err := shop.Store().Acts(ctx, 100)
	must(t, err)
	n := 0
	for _, a := range acts {
		if a.Kind == flow.ActDevice {
			n++
		}
		for _, secret := range []string{token, kept, again} {
			if strings.Contains(a.Note, secret) {
				t.Errorf("an act tells a token: %+v", a)
			}
		}
	}
	if n != 4 {
		t.Errorf("%d acts about the terminal; expected enrolled, opened, shut out, a new link", n)
	}
}

func TestDevicesThatAreRefused(t *testing.T) {
	shop, _ := deviceShop(t)
	b := small()
	site := b.Plants[0].ID
	for role, ok := range map[string]bool{flow.Manager: true, flow.Planner: false, flow.Operator: false, flow.Viewer: false} {
		_, _, err := shop.Enrol(ctx, flow.Who{Name: "x", Role: role}, "of "+role, site, "")
		if (err == nil) != ok || !ok && fault.KindOf(err) != fault.Denied {
			t.Errorf("enrolled by a %s: %v", role, err)
		}
	}
	list, err := shop.Devices(ctx)
	must(t, err)
	for _, act := range []func() error{
		func() error { _, _, err := shop.NewLink(ctx, hand, list[0].ID); return err },
		func() error { return shop.DisableDevice(ctx, hand, list[0].ID) },
	} {
		refused(t, act(), fault.Denied, "an operator keeps terminals")
	}
	for _, c := range []struct {
		name, site, station string
		kind                fault.Kind
	}{
		{"", string(site), "", fault.Invalid}, {" a", string(site), "", fault.Invalid}, {"a\nb", string(site), "", fault.Invalid}, {strings.Repeat("a", 61), string(site), "", fault.Invalid},
		{"a", "nowhere", "", fault.Invalid}, {"a", string(site), "nothing", fault.Invalid}, {"mara", string(site), "", fault.Conflict}, {"of manager", string(site), "", fault.Conflict},
	} {
		_, _, err := shop.Enrol(ctx, boss, c.name, plant.ID(c.site), plant.StationID(c.station))
		refused(t, err, c.kind, c.name+" at "+c.site+" "+c.station)
	}
	refused(t, shop.DisableDevice(ctx, boss, "t-none"), fault.NotFound, "no terminal")
}

func FuzzToken(f *testing.F) {
	for _, s := range []string{"", strings.Repeat("A", 43), strings.Repeat("A", 42) + "B", strings.Repeat("-", 43), strings.Repeat("A", 42) + "\n", "../../../etc"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if !flow.IsToken(s) {
			return
		}
		raw, err := base64.RawURLEncoding.DecodeString(s)
		if err != nil || len(raw) != 32 || base64.RawURLEncoding.EncodeToString(raw) != s {
			t.Errorf("%q is taken for a token", s)
		}
	})
}
