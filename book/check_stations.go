package book

import (
	"tackline/plant"
	"tackline/product"
)

// What a work centre takes.
const (
	TakesOne    = "one"
	TakesBatch  = "batch"
	TakesPlaces = "places"
	TakesAway   = "away"
)

// stations checks work centres, their stations and setup matrices.
func (c *checker) stations() {
	for i, w := range c.b.Centres {
		if w.Setup < 0 {
			c.say(at{"centres", i, "setup_default"}, OptionText(w.Setup), "a number of minutes not below 0", "", "")
		}
	}
	for i := range c.b.Stations {
		c.station(i, &c.b.Stations[i])
	}
	for i, s := range c.b.Setups {
		if s.Minutes < 0 {
			c.say(at{"setups", i, "minutes"}, OptionText(s.Minutes), "a number of minutes not below 0", "", "")
		}
	}
}

func (c *checker) station(i int, s *plant.Station) {
	if !(s.Speed > 0) || s.Speed > 1000 {
		c.say(at{"stations", i, "speed"}, OptionText(s.Speed), "a number above 0 and up to 1000; 1 is normal", "", "")
	}
	if s.Pallets < 1 || s.Pallets > 100 {
		c.say(at{"stations", i, "pallets"}, OptionText(float64(s.Pallets)), "a whole number from 1 to 100", "", "")
	}
	if s.Capacity <= 0 {
		c.say(at{"stations", i, "capacity"}, s.Capacity.String(), "a quantity above 0", "", "")
	}
	w := c.ix.Centres[s.Centre]
	if w != nil && s.Pallets > 1 && w.Takes != TakesOne {
		c.say(at{"stations", i, "pallets"}, OptionText(float64(s.Pallets)), "1", "",
			"only a station that takes one thing at a time has pallets; %s takes %s", w.ID, w.Takes)
	}
	cal := c.ix.Calendars[s.Calendar]
	if cal != nil && w != nil && c.ix.Zone(cal.Plant).String() != c.ix.Zone(w.Plant).String() && w.Takes != TakesAway {
		c.say(at{"stations", i, "calendar"}, string(s.Calendar), "a calendar in the time zone of the plant "+string(w.Plant), "", "")
	}
	if cal != nil && c.openTime(s.Calendar).Total() > 0 && c.stationTime(s).Total() == 0 {
		c.say(at{"stations", i, "station"}, string(s.ID), "some open time", "",
			"its own exceptions leave it no open time from %s to %s", c.day(c.window.from), c.day(c.window.to))
	}
}

// natures says which natures of operation a work centre can do.
var natures = map[string][]string{
	TakesOne:    {product.Attended, product.Tended},
	TakesBatch:  {product.Batch},
	TakesPlaces: {product.Dwell},
	TakesAway:   {product.Away},
}
