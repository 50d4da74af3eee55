package flow

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"strings"

	"tackline/fault"
	"tackline/plant"
	"tackline/store"
)

// Device is an enrolled terminal: a screen on the wall, or a tablet that is carried about.
type Device struct {
	ID, Name string
	Plant    plant.ID
	Station  plant.StationID // "" if it is carried about
	Enrolled plant.Time
	Opened   plant.Time // when it opened its link; 0: not yet
	Until    plant.Time // until when it can
	Seen     plant.Time // 0: never
	Disabled bool
}

// Who is a device as the acts of flow take it: it may do what an operator may.
func (d Device) Who() Who { return Who{Name: d.Name, Role: Operator} }

const (
	linkLasts  plant.Seconds = 24 * 3600
	seenEvery  plant.Seconds = 60 // how finely it is noted when a device was last there
	tokenBytes               = 32
)

type deviceKey struct{}

// AtDevice gives a context for what is done at a device; wrong PINs are counted for it. id is that of a Device, or another name
// that tells places apart.
func AtDevice(ctx context.Context, id string) context.Context {
	return context.WithValue(ctx, deviceKey{}, id)
}

func deviceIn(ctx context.Context) string {
	if id, _ := ctx.Value(deviceKey{}).(string); id != "" {
		return id
	}
	return "elsewhere"
}

// newToken makes a token and the hash that is kept of it. The token is random throughout, so that its hash needs neither salt nor
// slowness.
func newToken() (token, hash string) {
	var b [tokenBytes]byte
	_, _ = rand.Read(b[:]) // it never fails
	token = base64.RawURLEncoding.EncodeToString(b[:])
	return token, tokenHash(token)
}

func tokenHash(token string) string {
	h := sha256.Sum256([]byte(token))
	return hex.EncodeToString(h[:])
}

// isToken says whether a text has the form of a token, so that nothing else is looked for.
func isToken(s string) bool {
	if len(s) != base64.RawURLEncoding.EncodedLen(tokenBytes) {
		return false
	}
	b, err := base64.RawURLEncoding.DecodeString(s)
	return err == nil && base64.RawURLEncoding.EncodeToString(b) == s
}

// Enrol makes a terminal of a plant, at a station or carried about (station ""). The token is shown once, in the link that the
// terminal opens within a day; only its SHA-256 is kept.
func (s *Shop) Enrol(ctx context.Context, who Who, name string, site plant.ID, station plant.StationID) (token string, d Device, err error) {
	if err := need(who, MayKeepTerminals); err != nil {
		return "", d, err
	}
	if err := s.checkDevice(ctx, name, site, station); err != nil {
		return "", d, err
	}
	token, hash := newToken()
	now := s.now()
	row := store.Device{ID: "t-" + strings.ToLower(rand.Text()[:10]), Name: name, Plant: site, Station: station, Token: hash, Enrolled: now, Until: now.Add(linkLasts)}
	if err := s.store.AddDevice(ctx, row, s.deviceAct(who.Name, row, "enrolled")); err != nil {
		return "", d, err
	}
	return token, deviceOf(row), nil
}

func (s *Shop) checkDevice(ctx context.Context, name string, site plant.ID, station plant.StationID) error {
	ix, err := s.bookIndex(ctx)
	if err != nil {
		return err
	}
	var faults fault.List
	if n := len([]rune(name)); n == 0 || n > longestName || strings.TrimSpace(name) != name || strings.ContainsFunc(name, func(r rune) bool { return r < ' ' }) {
		faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: "name", Value: name, Expected: fmt.Sprintf("1 to %d letters without blanks at the ends", longestName)})
	}
	if ix.Plants[site] == nil {
		faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: "plant", Value: string(site), Expected: "a plant of the shop book"})
	}
	if st := ix.Stations[station]; station != "" && (st == nil || ix.Centres[st.Centre] == nil || ix.Centres[st.Centre].Plant != site) {
		faults = append(faults, &fault.Fault{Kind: fault.Invalid, Column: "station", Value: string(station), Expected: "a station of this plant"})
	}
	if err := faults.Err(); err != nil {
		return err
	}
	_, err = s.store.User(ctx, name)
	if err == nil {
		return fault.New(fault.Conflict, "%q is the name of a user. Give the terminal another, so that the history tells them apart.", name)
	}
	if fault.KindOf(err) == fault.NotFound {
		return nil
	}
	return err
}

func (s *Shop) deviceAct(by string, d store.Device, what string) store.Act {
	return store.Act{At: s.now(), Who: by, Kind: ActDevice, Note: fmt.Sprintf("%s, %s", d.Name, what)}
}

// NewLink gives a terminal a new link, shut out or not: what it carried before counts no longer, and it is let in again.
func (s *Shop) NewLink(ctx context.Context, who Who, id string) (token string, d Device, err error) {
	if err := need(who, MayKeepTerminals); err != nil {
		return "", d, err
	}
	row, err := s.store.Device(ctx, id)
	if err != nil {
		return "", d, err
	}
	was := row.Token
	token, row.Token = newToken()
	row.Opened, row.Until, row.Disabled = 0, s.now().Add(linkLasts), false
	if err := s.store.SaveDevice(ctx, row, was, s.deviceAct(who.Name, row, "given a new link")); err != nil {
		return "", d, err
	}
	return token, deviceOf(row), nil
}

// OpenDevice is what a terminal does with the token of its link: it gets another to keep, and the link counts no longer, so that a
// link that was seen by others is of no use to them.
func (s *Shop) OpenDevice(ctx context.Context, token string) (kept string, d Device, err error) {
	d, ok, err := s.LinkOf(ctx, token)
	if err != nil || !ok {
		return "", d, conflictOr(err, "This link was opened before, or is older than a day. A manager can give the terminal a new one.")
	}
	row, err := s.store.Device(ctx, d.ID)
	if err != nil {
		return "", d, err
	}
	kept, row.Token = newToken()
	row.Opened, row.Until, row.Seen = s.now(), 0, s.now()
	if err := s.store.SaveDevice(ctx, row, tokenHash(token), s.deviceAct(row.Name, row, "opened its link")); err != nil {
		return "", d, err
	}
	return kept, deviceOf(row), nil
}

// LinkOf gives the terminal whose link, not yet opened, holds a token, and whether there is one.
func (s *Shop) LinkOf(ctx context.Context, token string) (Device, bool, error) {
	d, ok, err := s.DeviceOf(ctx, token)
	return d, ok && d.Opened == 0, err
}

// DeviceOf gives the terminal that carries a token. ok is false where there is none, and where it is shut out, which d then says.
func (s *Shop) DeviceOf(ctx context.Context, token string) (d Device, ok bool, err error) {
	if !isToken(token) {
		return d, false, nil
	}
	row, found, err := s.store.DeviceByToken(ctx, tokenHash(token))
	if err != nil || !found {
		return d, false, err
	}
	now := s.now()
	if row.Opened == 0 && row.Until <= now {
		return d, false, nil
	}
	if d = deviceOf(row); d.Disabled {
		return d, false, nil
	}
	if row.Opened > 0 && now.Sub(row.Seen) >= seenEvery {
		if err := s.store.SeeDevice(ctx, row.ID, now); err != nil {
			s.log.Warn("note that a terminal is there", "terminal", row.ID, "error", err)
		}
	}
	return d, true, nil
}

// Devices gives all terminals by name.
func (s *Shop) Devices(ctx context.Context) ([]Device, error) {
	rows, err := s.store.Devices(ctx)
	out := make([]Device, len(rows))
	for i := range rows {
		out[i] = deviceOf(rows[i])
	}
	return out, err
}

// Device gives the terminal with an ID.
func (s *Shop) Device(ctx context.Context, id string) (Device, error) {
	row, err := s.store.Device(ctx, id)
	return deviceOf(row), err
}

// DisableDevice shuts a terminal out at once, until it gets a new link.
func (s *Shop) DisableDevice(ctx context.Context, who Who, id string) error {
	if err := need(who, MayKeepTerminals); err != nil {
		return err
	}
	row, err := s.store.Device(ctx, id)
	if err != nil {
		return err
	}
	row.Disabled = true
	return s.store.SaveDevice(ctx, row, row.Token, s.deviceAct(who.Name, row, "shut out"))
}

func deviceOf(r store.Device) Device {
	return Device{ID: r.ID, Name: r.Name, Plant: r.Plant, Station: r.Station, Enrolled: r.Enrolled, Opened: r.Opened, Until: r.Until, Seen: r.Seen, Disabled: r.Disabled}
}
