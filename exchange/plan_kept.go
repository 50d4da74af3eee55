package exchange

import (
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"tackline/fault"
	"tackline/needs"
	"tackline/plant"
	"tackline/store"
)

// ReadKept reads the plan of a folder as a plan in force, from which the changed book is planned again: plan.csv, pegs.csv
// and the instant it was made from. It does not need the book, so jobs and stations may have gone since. A folder without
// pegs.csv settles nothing. What does not read is a fault with its row.
func ReadKept(dir string) (*store.Plan, error) {
	now, _, ok := PlanSpan(dir)
	if !ok {
		return nil, fault.New(fault.NotFound, "%s holds no about.csv with the rows now and horizon", dir)
	}
	p := &store.Plan{State: "adopted", Name: filepath.Base(dir), Now: now}
	var list fault.List
	read := func(f planFile, needed bool, row func(c *kept)) {
		file, err := os.Open(filepath.Join(dir, f.name+".csv"))
		if err != nil {
			if needed {
				list = append(list, fault.New(fault.NotFound, "%s holds no %s.csv", dir, f.name))
			}
			return
		}
		defer file.Close()
		list = append(list, readKept(file, f, row)...)
	}
	read(planTable, true, func(c *kept) { p.Slots = append(p.Slots, c.slot()) })
	read(pegsTable, false, func(c *kept) { p.Pegs = append(p.Pegs, c.peg()) })
	if len(list) > 0 {
		return nil, list
	}
	return p, nil
}

// kept is a row of a plan file while it is read.
type kept struct {
	table  string
	no     int
	places map[string]int
	fields []string
	faults *fault.List
}

func readKept(r io.Reader, f planFile, row func(c *kept)) fault.List {
	var list fault.List
	c := &kept{table: f.name, faults: &list}
	bad := records(r, func(no int, fields []string, _ rune) {
		c.no, c.fields = no, fields
		switch {
		case strings.TrimSpace(strings.Join(fields, "")) == "" || len(list) >= mostFaults:
		case c.places == nil:
			c.header(f)
		default:
			row(c)
		}
	})
	if bad != nil {
		bad.Table = f.name
		list = append(list, bad)
	}
	return list
}

func (c *kept) header(f planFile) {
	c.places = map[string]int{}
	for i, name := range c.fields {
		c.places[plainName(name)] = i
	}
	for _, name := range f.header() {
		if _, there := c.places[name]; !there {
			*c.faults = append(*c.faults, &fault.Fault{Kind: fault.Invalid, Table: f.name, Row: c.no, Column: name, Text: "the column is missing"})
		}
	}
}

func (c *kept) bad(column, expected string) {
	*c.faults = append(*c.faults, &fault.Fault{Kind: fault.Invalid, Table: c.table, Row: c.no, Column: column, Value: c.text(column), Expected: expected})
}

func (c *kept) text(column string) string {
	if i, there := c.places[column]; there && i < len(c.fields) {
		return strings.TrimSpace(c.fields[i])
	}
	return ""
}

func (c *kept) whole(column string) int {
	if c.text(column) == "" {
		return 0
	}
	n, err := strconv.Atoi(c.text(column))
	if err != nil {
		c.bad(column, "a whole number")
	}
	return n
}

func (c *kept) instant(column string) plant.Time {
	t, err := parseInstant(c.text(column))
	if err != nil {
		c.bad(column, "a time such as 2026-11-25T06:00:00+00:00")
	}
	return t
}

func (c *kept) slot() store.Slot {
	s := store.Slot{Job: plant.JobID(c.text("job")), Seq: c.whole("op"), Station: plant.StationID(c.text("station")), Why: c.text("why")}
	if s.Station != "" {
		s.Setup, s.Load, s.Run, s.Unload, s.End = c.instant("setup_start"), c.instant("start"), c.instant("run"), c.instant("unload"), c.instant("end")
		s.Batch = c.whole("batch")
	}
	return s
}

func (c *kept) peg() needs.Peg {
	p := needs.Peg{Job: plant.JobID(c.text("job")), Seq: c.whole("op"), Item: plant.ItemID(c.text("item")), No: c.whole("no"),
		Plant: plant.ID(c.text("plant")), Kind: c.text("kind"), From: c.text("source")}
	q, err := strconv.ParseFloat(c.text("quantity"), 64)
	if err != nil || q < 0 || q > 1e12 {
		c.bad("quantity", "a number of 0 or more")
	}
	p.Qty = plant.QtyOf(q)
	if c.text("expected") != "" {
		p.At = c.instant("expected")
	}
	return p
}
