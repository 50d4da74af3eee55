package book

import (
	"strings"

	"tackline/plant"
	"tackline/stock"
)

// unfinished marks the faults reported since before as ones that do no harm yet: nothing uses what they are about. A book is built row
// by row in forms, and a calendar without shifts or an item without operations must be there before its shifts or operations
// can name it.
func (c *checker) unfinished(before int) {
	for _, f := range c.faults[before:] {
		f.Unfinished = true
	}
}

// follows tells whether a station, a pool or a person follows a calendar.
func (c *checker) follows(id plant.CalendarID) bool {
	for i := range c.b.Stations {
		if c.b.Stations[i].Calendar == id {
			return true
		}
	}
	for i := range c.b.Pools {
		if c.b.Pools[i].Calendar == id {
			return true
		}
	}
	for i := range c.b.People {
		if c.b.People[i].Calendar == id {
			return true
		}
	}
	return false
}

// asked tells whether an order line, a released job, a safety stock or a parts list may ask for an item. A pattern counts
// if its fixed text fits the item.
func (c *checker) asked(id plant.ItemID) bool {
	for i := range c.b.Lines {
		if c.b.Lines[i].Product == id {
			return true
		}
	}
	if it := c.ix.Items[id]; it != nil && it.Safety > 0 {
		return true
	}
	if hasRelease(c.b.Releases, id) {
		return true
	}
	for i := range c.b.Parts {
		if fits(string(c.b.Parts[i].Component), string(id)) {
			return true
		}
	}
	return false
}

func hasRelease(rows []stock.Release, id plant.ItemID) bool {
	for i := range rows {
		if rows[i].Item == id {
			return true
		}
	}
	return false
}

// fits tells whether text may be what a pattern gives, whatever its expressions give.
func fits(pattern, text string) bool {
	before, rest, open := strings.Cut(pattern, "{")
	if !open {
		return pattern == text
	}
	text, ok := strings.CutPrefix(text, before)
	if !ok {
		return false
	}
	after := rest[strings.LastIndex(rest, "}")+1:]
	return strings.HasSuffix(text, after)
}
