package plant

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestQuantities(t *testing.T) {
	for _, c := range []struct {
		q    Qty
		text string
		ceil int
	}{{2500, "2.5", 3}, {Pieces(4), "4", 4}, {QtyOf(0.1) + QtyOf(0.2), "0.3", 1}, {0, "0", 0}, {-1500, "-1.5", -1}, {QtyOf(0.0004), "0", 0}} {
		if c.q.String() != c.text || c.q.Ceil() != c.ceil {
			t.Errorf("%d: %s, %d; want %s, %d", c.q, c.q, c.q.Ceil(), c.text, c.ceil)
		}
	}
	if m := MoneyOf(12.345); m != 1235 && m != 1234 || MoneyOf(-3).String() != "-3.00" {
		t.Errorf("money %d, %s", m, MoneyOf(-3))
	}
	if MinutesToSeconds(1.5) != 90 || HoursToSeconds(0.25) != 900 {
		t.Error("minutes or hours to seconds")
	}
}

func TestClock(t *testing.T) {
	for text, want := range map[string]Clock{"00:00": 0, "06:30": 390, "24:00": 1440, "9:05": 545} {
		if c, err := ParseClock(text); err != nil || c != want {
			t.Errorf("%q: %d, %v; want %d", text, c, err, want)
		}
	}
	for _, text := range []string{"", "6", "24:01", "12:60", "+6:+0", "-1:30", "06:3x", "06:30:00", "99999999999999999999:00"} {
		if c, err := ParseClock(text); err == nil {
			t.Errorf("%q reads as %s", text, c)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		c := Clock(rapid.IntRange(0, 1440).Draw(t, "minutes"))
		if back, err := ParseClock(c.String()); err != nil || back != c {
			t.Fatalf("%s reads back as %s, %v", c, back, err)
		}
	})
}

func TestWall(t *testing.T) {
	dublin, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]Wall{"2026-11-25 06:00": "2026-11-25T06:00", "2026-11-25": "2026-11-25T00:00", "2026-11-25T06:00:30": "2026-11-25T06:00",
		"2026-10-25T01:30+01:00": "2026-10-25T01:30+01:00"} {
		if w, err := ParseWall(text); err != nil || w != want {
			t.Errorf("%q: %q, %v; want %q", text, w, err, want)
		}
	}
	for _, text := range []string{"", "soon", "25.11.2026", "2026-13-01", "2026-02-30T06:00"} {
		if w, err := ParseWall(text); err == nil {
			t.Errorf("%q reads as %q", text, w)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		at := Time(rapid.Int64Range(0, 4_000_000_000/60).Draw(t, "minute") * 60)
		w, err := ParseWall(string(WallAt(at, dublin)))
		if err != nil {
			t.Fatal(err)
		}
		if back, ok := w.Time(dublin); !ok || back != at {
			t.Fatalf("%d written %q reads back as %d", at, w, back)
		}
	})
}

func TestDate(t *testing.T) {
	dublin, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	d, err := ParseDate("2026-10-25") // clocks go back: the day has 25 hours
	if err != nil {
		t.Fatal(err)
	}
	from, ok1 := d.Time(dublin)
	to, ok2 := d.EndOfDay(dublin)
	if !ok1 || !ok2 || to.Sub(from) != 25*3600 || DateAt(from, dublin) != d || DateAt(to-1, dublin) != d {
		t.Errorf("%s from %d to %d", d, from, to)
	}
	if _, ok := Date("").Time(dublin); ok {
		t.Error("no date has a time")
	}
	if _, err := ParseDate("2026-02-29"); err == nil {
		t.Error("2026-02-29 is no day")
	}
}

func FuzzWall(f *testing.F) {
	f.Add("2026-11-25T06:00")
	f.Fuzz(func(t *testing.T, s string) {
		w, err := ParseWall(s)
		if err != nil {
			return
		}
		if again, err := ParseWall(string(w)); err != nil || again != w {
			t.Fatalf("%q reads as %q, and that as %q (%v)", s, w, again, err)
		}
	})
}

func TestDay(t *testing.T) {
	now, err := ParseWall("2026-11-25T06:00")
	if err != nil {
		t.Fatal(err)
	}
	at, _ := now.Time(time.UTC)
	for days, want := range map[int]string{0: "Wed 25 Nov", 300: "Tue 21 Sep", 301: "Wed 22 Sep 2027", -301: "Wed 28 Jan 2026"} {
		if got := at.Add(Seconds(days)*24*3600).Day(time.UTC, at); got != want {
			t.Errorf("%d days off: %q, want %q", days, got, want)
		}
	}
}
