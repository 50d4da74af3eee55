package setout

import (
	"fmt"
	"slices"
	"time"

	"tackline/needs"
	"tackline/plant"
	"tackline/stock"
)

// wait is the latest of the instants that an operation waits for, with its reason. Of equal ones the first counts.
type wait struct {
	at  plant.Time
	why string
	loc *time.Location
}

// until takes at into account if it is later. Reason and its arguments are followed by the time in words.
func (w *wait) until(at plant.Time, reason string, args ...any) {
	if at <= w.at {
		return
	}
	w.at = at
	w.why = fmt.Sprintf(reason, args...) + " "
	if at < plant.Never {
		w.why += inWords(at, w.loc)
	} else {
		w.why += "a time after the end of the plan"
	}
}

// earliest gives the first instant at which an operation can be loaded for reasons that no plan changes, and which reason
// decides; "" if none does.
func (b *builder) earliest(o *needs.Op, job *needs.Job) (plant.Time, string) {
	w := &wait{at: b.now, loc: b.ix.Zone(job.Plant)}
	if job.Unit >= 0 {
		w.until(b.r.Units[job.Unit].Release, "order line not to be begun before")
	}
	for _, d := range o.Demands {
		b.material(w, &b.r.Demands[d])
	}
	if p := b.ix.Programs[o.Program]; p != nil && !p.Approved {
		if due, ok := p.Due.EndOfDay(w.loc); ok {
			w.until(due, "program %s is not approved; expected by", p.ID)
		}
	}
	if d := b.ix.Drawings[plant.DrawingID(o.Drawing)]; d != nil && !d.Approved {
		if due, ok := d.Due.EndOfDay(w.loc); ok {
			w.until(due, "drawing %s is not approved; expected by", d.ID)
		}
	}
	if f, ok := b.factOf(o); ok && f.row.State == stock.Held {
		w.until(f.end, "%s", held(f.row))
	}
	return w.at, w.why
}

func held(row *stock.Work) string {
	s := "held"
	if row.Note != "" {
		s += " (" + row.Note + ")"
	}
	return s + "; expected to go on"
}

// material waits for what is bought, received or brought from another plant. What other jobs make comes by links.
func (b *builder) material(w *wait, d *needs.Demand) {
	for _, c := range d.Covers {
		at := c.At
		if c.Kind != needs.FromJob && c.Kind != needs.Issued && c.Plant != "" && c.Plant != d.Plant {
			at = b.carried(c.Plant, d.Plant, at, d.Item)
		}
		switch c.Kind {
		case needs.FromStock:
			w.until(at, "%s, lot %s, on its way from %s until", d.Item, c.Lot, c.Plant)
		case needs.FromReceipt:
			w.until(at, "%s, receipt %s, expected", d.Item, c.Receipt)
		case needs.FromPurchase:
			w.until(at, "%s is still to be bought; there by", d.Item)
		}
	}
}

// carried gives the arrival of what is ready at one plant at the other.
func (b *builder) carried(from, to plant.ID, at plant.Time, item plant.ItemID) plant.Time {
	i, ok := b.carrier(from, to, item)
	if !ok {
		return at
	}
	c := &b.p.Carriers[i]
	next, _ := slices.BinarySearch(c.Departures, at)
	if next == len(c.Departures) {
		return plant.Never
	}
	return c.Departures[next].Add(c.Transit)
}
