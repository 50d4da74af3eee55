package book

import (
	"strconv"
	"strings"
	"time"

	"tackline/plant"
)

// SettingInfo describes one setting. Kind says how its value is read: Number (with the smallest value allowed), Wall, Text,
// or a choice where Enum is given.
type SettingInfo struct {
	Name    string
	Kind    Kind
	Unit    string
	Default string
	Least   float64
	Enum    []string
	Note    string
}

// Settings gives every known setting, in the order in which they are shown.
func Settings() []SettingInfo {
	days := []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"}
	return []SettingInfo{
		{Name: "plan_from", Kind: Wall, Note: "wall clock time that planning starts from, in the first plant's time zone; without it, now"},
		{Name: "freeze_hours", Kind: Number, Unit: "h", Default: "24", Note: "moving work planned to begin within this time counts in the score"},
		{Name: "horizon_days", Kind: Number, Unit: "days", Default: "180", Least: 1, Note: "calendars are laid out this far; longer if the work does not fit"},
		{Name: "wait_share_per_hour", Kind: Number, Unit: "share of value", Default: "0.0005", Note: "cost of a branch that waits at a meeting point, per hour, as a share of its value"},
		{Name: "setup_per_hour", Kind: Number, Unit: "currency", Default: "90", Note: "cost of an hour of setup"},
		{Name: "overtime_per_hour", Kind: Number, Unit: "currency", Default: "60", Note: "extra cost of an hour of work in overtime"},
		{Name: "move_cost", Kind: Number, Unit: "currency", Default: "50", Note: "cost of moving one operation inside the freeze window"},
		{Name: "pin_per_hour", Kind: Number, Unit: "currency", Default: "500", Note: "cost of an hour by which pinned work begins after the time it is pinned to"},
		{Name: "hold_hours", Kind: Number, Unit: "h", Default: "24", Note: "how long a hold without an expected end is taken to last"},
		{Name: "week_start", Kind: Text, Default: "mon", Enum: days, Note: "first day of the week in load tables"},
		{Name: "currency", Kind: Text, Default: "EUR", Note: "currency of all amounts, as its three-letter ISO 4217 code"},
	}
}

// settingNamed finds a known setting.
func settingNamed(name string) (SettingInfo, bool) {
	for _, s := range Settings() {
		if s.Name == name {
			return s, true
		}
	}
	return SettingInfo{}, false
}

// Setting gives the value of a setting, or its default.
func (b *Book) Setting(name string) string {
	for _, s := range b.Settings {
		if s.Name == name {
			return s.Value
		}
	}
	s, _ := settingNamed(name)
	return s.Default
}

// SettingNumber gives the value of a number setting, or its default if the book's value is not a number.
func (b *Book) SettingNumber(name string) float64 {
	if f, err := strconv.ParseFloat(strings.TrimSpace(b.Setting(name)), 64); err == nil {
		return f
	}
	s, _ := settingNamed(name)
	f, _ := strconv.ParseFloat(s.Default, 64)
	return f
}

// PlanFrom gives the instant of the setting plan_from, read in the first plant's time zone; ok is false without one.
func (ix *Index) PlanFrom() (t plant.Time, ok bool) {
	loc := time.UTC
	if len(ix.Book.Plants) > 0 {
		loc = ix.Zone(ix.Book.Plants[0].ID)
	}
	w, err := plant.ParseWall(ix.Book.Setting("plan_from"))
	if err != nil {
		return 0, false
	}
	return w.Time(loc)
}
