package demo

import (
	"fmt"
	"math/rand/v2"
	"time"

	"tackline/book"
	"tackline/plant"
)

// maker puts the book together table by table.
type maker struct {
	b    *book.Book
	rnd  *rand.Rand
	now  plant.Time
	zone *time.Location
}

// Plant gives the demo plant as it stands on the morning of now (06:00 on that day or the working day before it): twelve
// weeks of orders, work begun, and a few things wrong. Equal seed and now give the equal book.
func Plant(seed uint64, now plant.Time) (*book.Book, error) {
	d, err := newMaker(seed, now)
	if err != nil {
		return nil, err
	}
	d.settings()
	d.works()
	d.products()
	d.orders()
	d.materials()
	d.history()
	if err := d.floor(); err != nil {
		return nil, err
	}
	d.wrong()
	return d.b, nil
}

func newMaker(seed uint64, now plant.Time) (*maker, error) {
	zone, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		return nil, fmt.Errorf("time zones are not installed: %w", err)
	}
	return &maker{b: &book.Book{}, rnd: rand.New(rand.NewPCG(seed, 14)), now: morning(now, zone), zone: zone}, nil
}

// morning gives 06:00 of the last working day that has begun by now.
func morning(now plant.Time, zone *time.Location) plant.Time {
	t := now.In(zone)
	m := time.Date(t.Year(), t.Month(), t.Day(), 6, 0, 0, 0, zone)
	for m.After(t) || m.Weekday() == time.Saturday || m.Weekday() == time.Sunday {
		m = m.AddDate(0, 0, -1)
	}
	return plant.At(m)
}

func (d *maker) settings() {
	d.set("plan_from", string(d.wall(0, "06:00")))
	d.set("currency", "EUR")
	d.set("freeze_hours", "24")
}

func (d *maker) set(name, value string) {
	d.b.Settings = append(d.b.Settings, plant.Setting{Name: name, Value: value})
}

// day gives the date n days after the demo's morning.
func (d *maker) day(n int) string { return d.now.In(d.zone).AddDate(0, 0, n).Format("2006-01-02") }

// wall gives a wall time n days after the demo's morning.
func (d *maker) wall(n int, clock string) plant.Wall { return plant.Wall(d.day(n) + "T" + clock) }

func (d *maker) clock(s string) plant.Clock {
	c, err := plant.ParseClock(s)
	if err != nil {
		panic(err) // a literal of this package
	}
	return c
}

func (d *maker) station(id plant.StationID) *plant.Station {
	for i := range d.b.Stations {
		if d.b.Stations[i].ID == id {
			return &d.b.Stations[i]
		}
	}
	panic("no station " + string(id)) // a literal of this package
}
